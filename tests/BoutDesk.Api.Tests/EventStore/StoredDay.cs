using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using BoutDesk.Api.EventStore;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.EventStore;

/// <summary>
/// A service of its own with a day behind it on which everything happened that can: draws scrapped and made
/// again, results corrected before and after the closing, fencers who left and came back, cards, time and priority.
/// </summary>
public sealed class StoredDay : IAsyncLifetime
{
    internal DeskHost Host { get; private set; } = null!;

    internal string Tournament { get; private set; } = null!;

    internal string Competition { get; private set; } = null!;

    public async Task InitializeAsync()
    {
        Host = await DeskHost.StartAsync();
        var desk = Host.Desk;
        Tournament = await desk.TournamentAsync();
        var strip = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{Tournament}/strips", new { name = "Blue" }, HttpStatusCode.Created, ("Idempotency-Key", "strip"));
        await desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{Tournament}/strips/{strip.Id()}", new { name = "Blue", weapons = new[] { "foil", "epee" } }, HttpStatusCode.OK);
        Competition = await desk.CompetitionAsync(9, formula: new { pools = new { size = 5 }, elimination = new { touches = 5, periods = 1, thirdPlace = "bout" } }, tournamentId: Tournament);
        var entrants = await desk.ListAsync($"/api/competitions/{Competition}/entrants");
        await desk.SendAsync(HttpMethod.Put, $"/api/competitions/{Competition}/formula", new { pools = new { size = 5 }, elimination = new { touches = 5, thirdPlace = "bout" } }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Put, $"/api/entrants/{entrants[8].Id()}", new { familyName = "Marchetti", givenName = "Noé", ranking = 9 }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[0].Id()}/equipment-checks", new { item = "mask", verdict = "failed", note = "rust" }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[0].Id()}/equipment-checks", new { item = "mask", verdict = "passed", mark = "M-17" }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[0].Id()}/equipment-checks", new { item = "weapon", piece = 2, bladeSize = 5, measured = new { mass = "781 g" } }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[0].Id()}/equipment-checks", new { item = "jacket", verdict = "passed", opens = "back" }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Delete, $"/api/entrants/{entrants[0].Id()}/equipment-checks/last", null, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[1].Id()}/equipment-waiver", new { reason = "lent by the club" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Delete, $"/api/entrants/{entrants[1].Id()}/equipment-waiver", null, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Put, $"/api/competitions/{Competition}/equipment-gate", new { gate = "warn" }, HttpStatusCode.OK);
        var own = new { name = "Millbrook youth rules", edition = "2026", required = new[] { new { item = "mask", count = 1, source = "§ 1" } }, limits = Array.Empty<object>() };
        await desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{Tournament}/equipment-rules", own, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Delete, $"/api/tournaments/{Tournament}/equipment-rules", null, HttpStatusCode.OK);

        await desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{Tournament}/plan", new { opensAt = "09:00", closesAt = "18:00", strips = 2, steps = 0 }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Delete, $"/api/tournaments/{Tournament}/plan", null, HttpStatusCode.NoContent);

        await LendAsync(desk, entrants[0].Id());
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{Tournament}/referees", new { familyName = "Lind", club = "Riverside", weapons = new[] { "epee" } }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Put, $"/api/referees/{Tournament}-r1", new { familyName = "Lind", weapons = new[] { "foil", "epee", "sabre" }, breaks = new[] { "12:00-12:45" } }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/referees/{Tournament}-r1/away", null, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/referees/{Tournament}-r1/back", null, HttpStatusCode.OK);

        await desk.SendAsync(HttpMethod.Delete, $"/api/entrants/{entrants[0].Id()}/check-in", null, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[0].Id()}/check-in", null, HttpStatusCode.OK);
        await desk.DrawPoolsAsync(Competition, new { drawSeed = 1 });
        await desk.SendAsync(HttpMethod.Delete, $"/api/competitions/{Competition}/pool-rounds/1", null, HttpStatusCode.NoContent);
        var round = await desk.DrawPoolsAsync(Competition, new { drawSeed = 2 });
        var exchange = new { first = round.Items("pools")[0]["fencers"]![1].Text("entrantId"), second = round.Items("pools")[1]["fencers"]![1].Text("entrantId") };
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{Competition}/pool-rounds/1/exchange", exchange, HttpStatusCode.OK);
        var pool = await desk.GetAsync<JsonObject>($"/api/pools/{round.Items("pools")[0].Id()}");
        await desk.SendAsync(HttpMethod.Put, $"/api/pools/{pool.Id()}/strip", new { stripId = strip.Id() }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{Competition}/pool-rounds/1/referees", null, HttpStatusCode.OK);
        using var referee = await Host.RefereeAsync(Tournament, pools: [pool.Id()]);

        // The bouts of the one who will withdraw are left aside: they are annulled with everything in them.
        var leaver = entrants[8].Id();
        var leaving = pool.Items("fencers").Where(f => f.Text("entrantId") == leaver).Select(f => f.Number("position")).SingleOrDefault();
        var bouts = pool.Items("bouts").Where(b => b.Number("left") != leaving && b.Number("right") != leaving).ToArray();
        var first = bouts[0].Id();
        await ScoreAsync(referee, first, "touches", new { side = "left", at = DateTimeOffset.UtcNow });
        await ScoreAsync(referee, first, "touches", new { side = "both" });
        await referee.SendAsync(HttpMethod.Delete, $"/api/bouts/{first}/touches/last", null, HttpStatusCode.OK);
        await ScoreAsync(referee, first, "cards", new { side = "left", group = 2, reason = "turned his back" });
        await ScoreAsync(referee, first, "cards", new { side = "right", card = "yellow", reason = "late" });
        await referee.SendAsync(HttpMethod.Delete, $"/api/bouts/{first}/cards/last", null, HttpStatusCode.OK);
        await ScoreAsync(referee, first, "clock", new { action = "start" });
        await ScoreAsync(referee, first, "clock", new { action = "halt", remainingMs = 20_000 });
        await ScoreAsync(referee, first, "clock", new { action = "set", remainingMs = 25_000 });
        await ScoreAsync(referee, first, "breaks", new { side = "left", kind = "medical" });
        await referee.SendAsync(HttpMethod.Delete, $"/api/bouts/{first}/breaks/last", null, HttpStatusCode.OK);
        await ScoreAsync(referee, first, "clock", new { action = "start" });
        await ScoreAsync(referee, first, "time", null);
        await referee.SendAsync(HttpMethod.Delete, $"/api/bouts/{first}/actions/last", null, HttpStatusCode.OK);
        await ScoreAsync(referee, first, "time", null);
        await ScoreAsync(referee, first, "priority", new { drawSeed = 4 });
        await referee.SendAsync(HttpMethod.Delete, $"/api/bouts/{first}/priority/last", null, HttpStatusCode.OK);
        await ScoreAsync(referee, first, "priority", new { drawSeed = 5 });
        await ScoreAsync(referee, first, "time", null);
        var second = bouts[1];
        await desk.ResultAsync(second.Id(), 5, 1);
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{second.Id()}");
        Assert.Equal(200, (await desk.AskResultAsync(second.Id(), 5, 2, etag, "misheard")).Status);
        (_, etag) = await desk.ReadAsync($"/api/bouts/{second.Id()}");
        Assert.Equal(200, (await desk.AskAsync(HttpMethod.Delete, $"/api/bouts/{second.Id()}/result", null, ("If-Match", etag))).Status);
        await desk.ResultAsync(second.Id(), 5, 2);
        var announced = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{Tournament}/announcements", new { text = "Lunch is served." }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Delete, $"/api/tournaments/{Tournament}/announcements/{announced.Id()}", null, HttpStatusCode.NoContent);
        await ScoreAsync(desk, bouts[2].Id(), "cards", new { side = "left", card = "black", reason = "violence" });
        var excluded = (await desk.ListAsync($"/api/competitions/{Competition}/entrants")).Single(e => e.Text("status") == "excluded").Id();
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{excluded}/reinstate", new { reason = "wrong fencer" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/withdraw", new { reason = "hurt" }, HttpStatusCode.OK);
        await desk.FenceRoundAsync(Competition);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{Competition}/pool-rounds/1/close", null, HttpStatusCode.OK, ("Idempotency-Key", "close"));

        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{Competition}/tableau", null, HttpStatusCode.Created);
        (var read, etag) = await desk.ReadAsync($"/api/bouts/{second.Id()}");
        Assert.Equal(200, (await desk.AskResultAsync(second.Id(), read["score"].Number("right"), read["score"].Number("left"), etag, "exchanged", "scrap")).Status);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{Competition}/tableau", null, HttpStatusCode.Created);
        var quarters = await desk.TableAsync(Competition, 8);
        await desk.ResultAsync(quarters[0].Id(), 5, 2);
        await desk.ResultAsync(quarters[1].Id(), 5, 2);
        var semi = (await desk.TableAsync(Competition, 4))[0];
        await desk.AskTouchAsync(semi.Id(), "left");
        (_, etag) = await desk.ReadAsync($"/api/bouts/{quarters[0].Id()}");
        Assert.Equal(200, (await desk.AskResultAsync(quarters[0].Id(), 2, 5, etag, "exchanged", "scrap")).Status);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{quarters[2]["left"].Text("entrantId")}/absent", null, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{quarters[3]["left"].Text("entrantId")}/withdraw", new { reason = "hurt" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{quarters[3]["left"].Text("entrantId")}/reinstate", new { reason = "only a cramp" }, HttpStatusCode.OK);
        await desk.FenceTableauAsync(Competition, target: 5, losers: 3);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/erasure", new { alsoAs = new[] { Tournament + "-r1" } }, HttpStatusCode.OK);
        Assert.Equal("finished", (await desk.GetAsync<JsonObject>($"/api/competitions/{Competition}")).Text("stage"));
    }

    public async Task DisposeAsync() => await Host.DisposeAsync();

    /// <summary>Kit goes out and comes back, both also by mistake; one item is mended, and one taken out.</summary>
    private async Task LendAsync(HttpClient desk, string entrantId)
    {
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{Tournament}/loan-kit", new { item = "glove", hand = "right", label = "G1", count = 2 }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Put, $"/api/loan-kit/{Tournament}-k1", new { item = "glove", hand = "left", label = "G1" }, HttpStatusCode.OK);
        foreach (var (method, path, body) in new (HttpMethod, string, object?)[]
        {
            (HttpMethod.Post, "issue", new { entrantId }), (HttpMethod.Delete, "issue", null), (HttpMethod.Post, "issue", new { entrantId }),
            (HttpMethod.Post, "return", new { state = "good" }), (HttpMethod.Delete, "return", null), (HttpMethod.Post, "return", new { state = "toMend", note = "torn" }),
            (HttpMethod.Post, "mend", null), (HttpMethod.Post, "issue", new { entrantId }),
        })
        {
            await desk.SendAsync(method, $"/api/loan-kit/{Tournament}-k1/{path}", body, HttpStatusCode.OK);
        }

        await desk.SendAsync(HttpMethod.Delete, $"/api/loan-kit/{Tournament}-k2", null, HttpStatusCode.NoContent);
    }

    private static Task<JsonNode> ScoreAsync(HttpClient client, string bout, string what, object? body) =>
        client.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/{what}", body, HttpStatusCode.OK);
}

internal static class LookingBehind
{
    private static readonly string[] StateTables = ["mt_doc_tournament", "mt_doc_competition", "mt_doc_bout", "mt_doc_equipment", "mt_doc_loan_kit"];

    /// <summary>Runs a query on the database of the service and returns its rows.</summary>
    public static async Task<List<object[]>> RowsAsync(this DeskHost host, string sql)
    {
        await using var connection = await host.OpenDatabaseAsync();
        return await connection.RowsAsync(sql);
    }

    /// <summary>Every row of any table, in any column, with this word in it.</summary>
    public static async Task<List<object[]>> FoundAsync(string connectionString, string word)
    {
        await using var connection = new NpgsqlConnection(connectionString);
        await connection.OpenAsync();
        var tables = await connection.RowsAsync("select format('%I.%I', table_schema, table_name) from information_schema.tables where table_schema = 'boutdesk' and table_type = 'BASE TABLE'");
        Assert.True(tables.Count >= 10, $"Only {tables.Count} tables.");
        return await connection.RowsAsync(string.Join(" union all ", tables.Select(t => $"select '{t[0]}', t::text from {t[0]} t where t::text ~ '\\m{word}\\M'")));
    }

    /// <summary>Runs a query and returns its rows.</summary>
    public static async Task<List<object[]>> RowsAsync(this NpgsqlConnection connection, string sql)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await using var reader = await command.ExecuteReaderAsync();
        var rows = new List<object[]>();
        while (await reader.ReadAsync())
        {
            var row = new object[reader.FieldCount];
            reader.GetValues(row);
            rows.Add(row);
        }

        return rows;
    }

    /// <summary>The states as kept, as JSON by identifier.</summary>
    public static async Task<Dictionary<string, string>> StatesAsync(this DeskHost host)
    {
        var rows = await host.RowsAsync(string.Join(" union all ", StateTables.Select(t => $"select id, data::text from boutdesk.{t}")));
        return rows.ToDictionary(r => (string)r[0], r => (string)r[1]);
    }

    /// <summary>Asserts that each state is what its events amount to, and has their number.</summary>
    public static async Task StatesFollowFromTheEventsAsync(this DeskHost host)
    {
        var serializer = ((DocumentStore)host.Services.GetRequiredService<IDocumentStore>()).Options.Serializer();
        var types = EventNames.All.ToDictionary(e => e.Value, e => e.Key);
        var states = new Dictionary<string, object>();
        foreach (var row in await host.RowsAsync("select stream_id, type, data::text, timestamp from boutdesk.mt_events order by stream_id, version"))
        {
            var id = (string)row[0];
            using var json = new MemoryStream(Encoding.UTF8.GetBytes((string)row[2]));
            var before = states.GetValueOrDefault(id);
            states[id] = serializer.FromJson(types[(string)row[1]], json) switch
            {
                ITournamentEvent e => Tournament.Evolve((Tournament?)before, id, e),
                ICompetitionEvent e => Competition.Evolve((Competition?)before, id, e),
                IBoutEvent e => BoutTimes.Note((Bout?)before, Bout.Evolve((Bout?)before, id, e), new DateTimeOffset((DateTime)row[3])),
                IEquipmentEvent e => EquipmentRecord.Evolve((EquipmentRecord?)before, id, e),
                ILoanEvent e => LoanStore.Evolve((LoanStore?)before, id, e),
                var other => throw new InvalidOperationException(other.GetType().Name),
            };
        }

        var kept = await host.StatesAsync();
        Assert.Equal(states.Keys.Order(StringComparer.Ordinal), kept.Keys.Order(StringComparer.Ordinal));
        Assert.All(states, s => Assert.True(
            JsonNode.DeepEquals(JsonNode.Parse(serializer.ToJson(s.Value)), JsonNode.Parse(kept[s.Key])),
            $"{s.Key} by its events:\n{serializer.ToJson(s.Value)}\nas kept:\n{kept[s.Key]}"));
        var versions = await host.RowsAsync("select id, version from boutdesk.mt_streams");
        Assert.All(versions, v => Assert.Equal((long)v[1], JsonNode.Parse(kept[(string)v[0]])!["version"]!.GetValue<long>()));
    }
}
