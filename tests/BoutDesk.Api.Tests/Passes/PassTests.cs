using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.Contract;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Passes;

[Collection(WholeSurface.Name)]
public class PassTests
{
    private readonly Hall hall;

    public PassTests(Hall hall) => this.hall = hall;

    [Fact]
    public async Task A_missing_pass_and_a_wrong_one_are_different_problems_and_say_how_to_go_on()
    {
        var missing = await hall.Host.Public.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 401, "pass-missing");
        Assert.Contains("Authorization: Bearer", missing["detail"]!.GetValue<string>());
        using var unknown = hall.Host.Client("nobody-gave-this-pass-out");
        await unknown.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 401, "pass-invalid");
        using var response = await unknown.TryAsync(HttpMethod.Post, "/api/tournaments");
        Assert.Equal("Bearer", response.Headers.WwwAuthenticate.Single().Scheme);
    }

    [Fact]
    public async Task A_referee_scores_only_the_bouts_of_his_pools_and_single_bouts()
    {
        var others = (await hall.Desk.GetAsync<JsonObject>($"/api/pools/{hall.OtherPoolId}"))["bouts"]!.AsArray();
        var (named, unnamed) = (others[0].Id(), others[1].Id());
        using var referee = hall.Host.Client(await hall.GiveAsync(hall.TournamentId, new { kind = "referee", bouts = new[] { named } }));
        await referee.SendAsync(HttpMethod.Post, $"/api/bouts/{named}/touches", new { side = "left" }, HttpStatusCode.OK);
        await referee.RefusedAsync(HttpMethod.Post, $"/api/bouts/{unnamed}/touches", new { side = "left" }, 403, "pass-insufficient");
        await referee.RefusedAsync(HttpMethod.Post, $"/api/bouts/{hall.BoutId}/touches", new { side = "left" }, 403, "pass-insufficient");
    }

    [Fact]
    public async Task A_pass_for_a_strip_works_once_the_pool_is_put_on_it_and_no_longer_than_that()
    {
        var competition = await hall.Desk.CompetitionAsync(4, tournamentId: hall.TournamentId, checkIn: false);
        var pool = (await hall.Desk.DrawPoolsAsync(competition))["pools"]![0].Id();
        var bout = (await hall.Desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]![0].Id();
        using var referee = hall.Host.Client(await hall.GiveAsync(hall.TournamentId, new { kind = "referee", strips = new[] { hall.StripId } }));

        await referee.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, 403, "pass-insufficient");
        await hall.Desk.SendAsync(HttpMethod.Put, $"/api/pools/{pool}/strip", new { stripId = hall.StripId }, HttpStatusCode.OK);
        await referee.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, HttpStatusCode.OK);
        await hall.Desk.SendAsync(HttpMethod.Put, $"/api/bouts/{bout}/strip", new { stripId = (string?)null }, HttpStatusCode.OK);
        await referee.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, 403, "pass-insufficient");
    }

    [Fact]
    public async Task A_revoked_pass_is_refused_from_the_next_request_on()
    {
        var given = await hall.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{hall.TournamentId}/passes", new { kind = "desk" }, HttpStatusCode.Created);
        using var client = hall.Host.Client(given["pass"]!.GetValue<string>());
        var address = $"/api/tournaments/{hall.TournamentId}/passes";
        await client.SendAsync(HttpMethod.Get, address, null, HttpStatusCode.OK);
        await hall.Desk.SendAsync(HttpMethod.Delete, $"{address}/{given.Id()}", null, HttpStatusCode.NoContent);
        await client.RefusedAsync(HttpMethod.Get, address, null, 401, "pass-invalid");
        await hall.Desk.SendAsync(HttpMethod.Delete, $"{address}/{given.Id()}", null, HttpStatusCode.NoContent);
        var listed = (await hall.Desk.ListAsync(address)).Single(p => p.Id() == given.Id());
        Assert.NotNull(listed["revokedAt"]);
    }

    [Fact]
    public async Task A_pass_is_shown_once_and_its_address_carries_it_where_no_log_sees_it()
    {
        var given = await hall.Desk.SendAsync(
            HttpMethod.Post, $"/api/tournaments/{hall.TournamentId}/passes", new { kind = "referee", pools = new[] { hall.PoolId } }, HttpStatusCode.Created);
        var pass = given["pass"]!.GetValue<string>();
        Assert.Equal(32, pass.Length);
        Assert.Equal("#" + pass, new Uri(given["url"]!.GetValue<string>()).Fragment);
        Assert.DoesNotContain(pass, new Uri(given["url"]!.GetValue<string>()).PathAndQuery);
        Assert.DoesNotContain(pass, (await hall.Desk.GetAsync<JsonArray>($"/api/tournaments/{hall.TournamentId}/passes")).ToJsonString());
    }

    [Fact]
    public async Task The_store_holds_no_pass_in_any_table_only_hashes()
    {
        var given = await hall.Desk.SendAsync(
            HttpMethod.Post,
            $"/api/tournaments/{hall.TournamentId}/passes",
            new { kind = "armourer" },
            HttpStatusCode.Created,
            ("Idempotency-Key", "the answer with the pass is kept too"));
        var pass = given["pass"]!.GetValue<string>();
        var hash = Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(Encoding.UTF8.GetBytes(pass)));

        await using var connection = new NpgsqlConnection(hall.Host.ConnectionString);
        await connection.OpenAsync();
        var tables = new List<string>();
        await using (var command = new NpgsqlCommand("SELECT format('%I.%I', schemaname, tablename) FROM pg_tables WHERE schemaname = 'boutdesk'", connection))
        await using (var reader = await command.ExecuteReaderAsync())
        {
            while (await reader.ReadAsync())
            {
                tables.Add(reader.GetString(0));
            }
        }

        Assert.Contains("boutdesk.mt_doc_kept_answer", tables);
        var hashes = 0L;
        foreach (var table in tables)
        {
            // A row as text shows bytes in hexadecimal.
            await using var rows = new NpgsqlCommand(
                $"SELECT count(*) FILTER (WHERE row LIKE '%' || $1 || '%' OR row LIKE '%' || $2 || '%'), count(*) FILTER (WHERE row LIKE '%' || $3 || '%') FROM (SELECT t::text AS row FROM {table} t) AS rows",
                connection);
            rows.Parameters.AddWithValue(pass);
            rows.Parameters.AddWithValue(Convert.ToHexStringLower(Encoding.UTF8.GetBytes(pass)));
            rows.Parameters.AddWithValue(hash);
            await using var reader = await rows.ExecuteReaderAsync();
            await reader.ReadAsync();
            Assert.True(reader.GetInt64(0) == 0, $"The table {table} holds a pass in clear.");
            hashes += reader.GetInt64(1);
        }

        Assert.Equal(1, hashes);
    }

    [Fact]
    public async Task Years_of_birth_and_reasons_are_shown_with_a_desk_pass_of_the_tournament_and_else_never()
    {
        await HidePrivateThingsAsync();
        var toldTheDesk = 0;
        foreach (var operation in hall.Document.Operations.Where(o => o.Method == HttpMethod.Get && !o.IsStream && !o.NeedsPass))
        {
            foreach (var format in operation.IsList ? new[] { "application/json", "text/csv" } : ["application/json"])
            {
                foreach (var kind in hall.Passes.Keys.Where(k => k is not ("desk" or "desk of the tournament")).Append(null))
                {
                    var text = await ReadAsync(operation, format, kind is null ? null : hall.Passes[kind]);
                    Assert.False(IsPrivate(text), $"{operation} as {format} told the pass '{kind}': {text}");
                }

                toldTheDesk += IsPrivate(await ReadAsync(operation, format, hall.Passes["desk of the tournament"])) ? 1 : 0;
            }
        }

        // The entrant, and the list and the history in both formats, the referee and the list of referees, the appointments; so the search above can find what it looks for.
        Assert.Equal(9, toldTheDesk);
    }

    [Fact]
    public async Task Public_pages_and_the_feed_show_nothing_private()
    {
        await HidePrivateThingsAsync();
        var addresses = new[]
        {
            "/", $"/tournaments/{hall.TournamentId}", $"/tournaments/{hall.TournamentId}/fencers?name=l", $"/competitions/{hall.CompetitionId}", $"/competitions/{hall.CompetitionId}/entrants",
            $"/competitions/{hall.CompetitionId}/pools/1", $"/competitions/{hall.CompetitionId}/ranking", $"/competitions/{hall.CompetitionId}/classification", $"/competitions/{hall.TableauCompetitionId}/tableau",
            $"/entrants/{hall.EntrantId}", $"/screen/{hall.TournamentId}", $"/strip/{hall.TournamentId}", $"/equipment/{hall.TournamentId}", $"/api/tournaments/{hall.TournamentId}/timetable?format=ics",
        };
        foreach (var address in addresses)
        {
            using var answer = await hall.Host.Public.TryAsync(HttpMethod.Get, address, null, ("Accept", "text/html, */*"));
            Assert.True(answer.IsSuccessStatusCode, $"{address} was answered {answer.StatusCode}.");
            var page = await answer.Content.ReadAsStringAsync();
            Assert.False(IsPrivate(page), $"{address}: {page}");
        }

        using var feed = new StreamReader(await hall.Host.Public.GetStreamAsync(new Uri($"/api/tournaments/{hall.TournamentId}/feed?after=0", UriKind.Relative)));
        var told = new StringBuilder();
        while (!told.ToString().Contains("kit-returned", StringComparison.Ordinal))
        {
            told.AppendLine(await feed.ReadLineAsync().WaitAsync(TimeSpan.FromSeconds(20)));
        }

        Assert.Contains("equipment-waived", told.ToString(), StringComparison.Ordinal);
        Assert.False(IsPrivate(told.ToString()), told.ToString());
    }

    /// <summary>Puts what is private in every place where it can stand.</summary>
    private async Task HidePrivateThingsAsync()
    {
        foreach (var (method, path, body, status) in new (HttpMethod Method, string Path, object Body, int Status)[]
        {
            (HttpMethod.Post, $"bouts/{hall.BoutId}/cards", new { side = "left", group = 2, reason = Hall.PrivateReason }, 200),
            (HttpMethod.Post, $"entrants/{hall.EntrantId}/equipment-checks", new { item = "mask", verdict = "failed", mark = Hall.PrivateMark, note = Hall.PrivateReason }, 201),
            (HttpMethod.Post, $"entrants/{hall.EntrantId}/equipment-checks", new { item = "mask", verdict = "passed", mark = Hall.PrivateMark, note = Hall.PrivateReason }, 201),
            (HttpMethod.Post, $"entrants/{hall.EntrantId}/equipment-waiver", new { reason = Hall.PrivateReason }, 200),
            (HttpMethod.Put, $"referees/{hall.TournamentId}-r1", new { familyName = "Lind", weapons = new[] { "epee", "foil" }, from = "09:00", to = Hall.PrivateHour }, 200),
            (HttpMethod.Put, $"pools/{hall.PoolId}/referee", new { refereeId = hall.TournamentId + "-r2", despite = Hall.PrivateReason }, 200),
            (HttpMethod.Post, $"loan-kit/{hall.TournamentId}-k1/return", new { state = "toMend", note = Hall.PrivateReason }, 200),
        })
        {
            using var answer = await hall.Desk.TryAsync(method, "/api/" + path, body);
            // Kit that is back already stays so, when the other test was first.
            Assert.True((int)answer.StatusCode == status || path.StartsWith("loan-kit", StringComparison.Ordinal), $"{path}: {await answer.Content.ReadAsStringAsync()}");
        }
    }

    [Fact]
    public async Task A_pass_cannot_be_bound_to_what_is_not_of_the_tournament()
    {
        var address = $"/api/tournaments/{hall.TournamentId}/passes";
        foreach (var (body, field) in new (object Body, string Field)[]
        {
            (new { kind = "referee" }, "pools"),
            (new { kind = "referee", pools = Array.Empty<string>() }, "pools"),
            (new { kind = "armourer", pools = new[] { hall.PoolId } }, "pools"),
            (new { kind = "referee", pools = new[] { "zzzzzzzz-1-d1p1" } }, "pools"),
            (new { kind = "referee", pools = new[] { hall.BoutId } }, "pools"),
            (new { kind = "referee", strips = new[] { "nowhere" } }, "strips"),
            (new { kind = "referee", bouts = new[] { hall.PoolId } }, "bouts"),
            (new { kind = "referee", bouts = new string?[] { null } }, "bouts"),
            (new { kind = "referee", pools = new string?[] { "" } }, "pools"),
            (new { kind = "referee", pools = new[] { hall.PoolId + "\0" } }, "pools"),
            (new { kind = "referee", bouts = new[] { hall.TournamentId + "-1-\0" } }, "bouts"),
            (new { kind = "desk", expiresAt = "2020-01-01T00:00:00Z" }, "expiresAt"),
        })
        {
            var problem = await hall.Desk.RefusedAsync(HttpMethod.Post, address, body, 400, "invalid-input");
            Assert.NotNull(problem["errors"]![field]);
        }
    }

    private static bool IsPrivate(string text) =>
        text.Contains(Hall.PrivateReason, StringComparison.Ordinal)
        || text.Contains(Hall.PrivateMark, StringComparison.Ordinal)
        // Alone in its field: within a time it is chance.
        || text.Contains($"\"{Hall.PrivateHour}\"", StringComparison.Ordinal)
        || text.Contains($",{Hall.PrivateHour},", StringComparison.Ordinal)
        || text.Contains("\"hand\":\"left\"", StringComparison.Ordinal)
        || text.Contains($"\"birthYear\":{Hall.PrivateYear}", StringComparison.Ordinal)
        || text.Contains($",{Hall.PrivateYear},", StringComparison.Ordinal);

    private async Task<string> ReadAsync(Operation operation, string format, string? pass)
    {
        using var client = hall.Host.Client(pass);
        using var response = await client.TryAsync(HttpMethod.Get, hall.At(operation), null, ("Accept", format));
        Assert.True(response.IsSuccessStatusCode, $"{operation} was answered {response.StatusCode}");
        return await response.Content.ReadAsStringAsync();
    }
}

public class LimitTests
{
    [Fact]
    public async Task Too_many_wrong_passes_and_too_many_requests_are_told_when_to_come_back()
    {
        await using var host = await DeskHost.StartAsync(("BoutDesk:WrongPassesPerMinute", "3"), ("BoutDesk:RequestsPerSecond", "20"));
        // The same wrong pass again is an old phone that does not know it yet, and no guess.
        using var old = host.Client("revoked yesterday");
        for (var i = 0; i < 5; i++)
        {
            await old.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 401, "pass-invalid");
        }

        var tournament = await host.Desk.TournamentAsync();
        for (var i = 0; i < 2; i++)
        {
            using var guess = host.Client($"guessed {i}");
            await guess.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 401, "pass-invalid");
        }

        // Who is in stays in, from the same address; who is not waits, with a good pass too.
        var given = await host.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "armourer" }, HttpStatusCode.Created);
        using var newcomer = host.Client(given.Text("pass"));
        await newcomer.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 429, "too-many-requests");
        using var guesser = host.Client("guessed");
        await guesser.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 429, "too-many-requests");
        using var wait = await guesser.TryAsync(HttpMethod.Post, "/api/tournaments");
        Assert.Equal(TimeSpan.FromMinutes(1), wait.Headers.RetryAfter?.Delta);
        await host.Public.SendAsync(HttpMethod.Get, "/api/tournaments", null, HttpStatusCode.OK);

        var answers = await Task.WhenAll(Enumerable.Range(0, 200).Select(async _ =>
        {
            using var response = await host.Public.TryAsync(HttpMethod.Get, "/api/tournaments");
            return (Status: (int)response.StatusCode, response.Headers.RetryAfter?.Delta);
        }));
        Assert.Contains(answers, a => a.Status == 200);
        Assert.Contains(answers, a => a.Status == 429);
        Assert.All(answers, a => Assert.Contains(a.Status, new[] { 200, 429 }));
        Assert.All(answers.Where(a => a.Status == 429), a => Assert.Equal(TimeSpan.FromSeconds(1), a.Delta));
        using var health = await host.Public.TryAsync(HttpMethod.Get, "/health/live");
        Assert.Equal(HttpStatusCode.OK, health.StatusCode);
    }

    [Fact]
    public async Task Who_writes_too_much_with_one_pass_waits_and_the_others_go_on()
    {
        await using var host = await DeskHost.StartAsync(("BoutDesk:WritesPerSecond", "10"));
        var tournament = await host.Desk.TournamentAsync();
        using var other = host.Client((await host.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "desk" }, HttpStatusCode.Created)).Text("pass"));
        var answers = await Task.WhenAll(Enumerable.Range(0, 60).Select(async i =>
        {
            using var response = await host.Desk.TryAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = $"Strip {i}" });
            return (Status: (int)response.StatusCode, response.Headers.RetryAfter?.Delta);
        }));
        Assert.All(answers, a => Assert.Contains(a.Status, new[] { 201, 429 }));
        Assert.InRange(answers.Count(a => a.Status == 201), 10, 59);
        Assert.All(answers.Where(a => a.Status == 429), a => Assert.Equal(TimeSpan.FromSeconds(1), a.Delta));
        await other.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Of the other" }, HttpStatusCode.Created);
        await host.Desk.SendAsync(HttpMethod.Get, $"/api/tournaments/{tournament}", null, HttpStatusCode.OK);
    }

    [Fact]
    public async Task So_many_follow_the_feed_and_a_place_is_free_again_when_one_leaves()
    {
        await using var host = await DeskHost.StartAsync(("BoutDesk:ListenersPerDevice", "2"));
        var address = $"/api/tournaments/{await host.Desk.TournamentAsync()}/feed";
        using var first = await host.Public.GetAsync(new Uri(address, UriKind.Relative), HttpCompletionOption.ResponseHeadersRead);
        using (var second = await host.Public.GetAsync(new Uri(address, UriKind.Relative), HttpCompletionOption.ResponseHeadersRead))
        {
            Assert.Equal(HttpStatusCode.OK, second.StatusCode);
            using var third = await host.Public.TryAsync(HttpMethod.Get, address);
            Assert.Equal(HttpStatusCode.TooManyRequests, third.StatusCode);
            Assert.Equal(TimeSpan.FromSeconds(10), third.Headers.RetryAfter?.Delta);
        }

        for (var tries = 0; tries < 200; tries++)
        {
            using var again = await host.Public.GetAsync(new Uri(address, UriKind.Relative), HttpCompletionOption.ResponseHeadersRead);
            if (again.StatusCode == HttpStatusCode.OK)
            {
                return;
            }

            await Task.Delay(50);
        }

        Assert.Fail("The place stays taken.");
    }

    [Fact]
    public async Task Beyond_so_many_connections_the_next_is_hung_up_on_and_those_there_are_served()
    {
        await using var host = await DeskHost.StartAsync(("BoutDesk:Connections", "4"));
        using var there = host.Client(null);
        await there.SendAsync(HttpMethod.Get, "/api/tournaments", null, HttpStatusCode.OK);
        var crowd = new List<System.Net.Sockets.TcpClient>();
        try
        {
            var service = there.BaseAddress!;
            for (var i = 0; i < 8; i++)
            {
                var client = new System.Net.Sockets.TcpClient();
                crowd.Add(client);
                await client.ConnectAsync(service.Host, service.Port);
            }

            var last = crowd[^1].GetStream();
            var read = 1;
            try
            {
                read = await last.ReadAsync(new byte[1]).AsTask().WaitAsync(TimeSpan.FromSeconds(20));
            }
            catch (IOException)
            {
                read = 0;
            }

            Assert.Equal(0, read);
            await there.SendAsync(HttpMethod.Get, "/api/tournaments", null, HttpStatusCode.OK);
        }
        finally
        {
            crowd.ForEach(client => client.Dispose());
        }
    }
}
