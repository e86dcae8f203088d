using System.IO.Compression;
using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using BoutDesk.Api.Tests.EventStore;
using Xunit;

namespace BoutDesk.Api.Tests.Erasing;

/// <summary>
/// A fencer who is entered in two competitions and listed as a referee, whose name was once spelt otherwise and stands in
/// all kinds of texts, has her data erased when everything is fenced.
/// </summary>
[Collection(OneService.Name)]
public class ErasureTests : IAsyncLifetime
{
    /// <summary>What must not be found any more, in any spelling of upper and lower case.</summary>
    private static readonly string[] Marks = ["Quillfether", "Quillfeather", "Zenobia", "Ravenscourt", Country, "ligament", "dented visor", "MK-4711"];

    // So short that it stands in a random identifier now and then; only as a word of its own it is hers.
    private const string Country = "XQZ";

    private readonly DeskHost host;
    private string tournament = null!;
    private string competition = null!;
    private string she = null!;
    private string sheToo = null!;
    private string referee = null!;
    private string pool = null!;

    public ErasureTests(SharedDesk shared) => host = shared.Host;

    private HttpClient Desk => host.Desk;

    public async Task InitializeAsync()
    {
        tournament = await Desk.TournamentAsync();
        competition = await Desk.CompetitionAsync(6, tournamentId: tournament, checkIn: false, formula: new { pools = new { size = 4 } });
        she = (await DoAsync(HttpMethod.Post, $"competitions/{competition}/entrants", new { familyName = "Quillfether", givenName = "Zenobia", club = "Ravenscourt Blades", country = "XQZ", birthYear = 1973, ranking = 2 }, 201)).Id();
        await DoAsync(HttpMethod.Put, $"entrants/{she}", new { familyName = "Quillfeather", givenName = "Zenobia", club = "Ravenscourt Blades", country = "XQZ", birthYear = 1973, ranking = 2 });
        await DoAsync(HttpMethod.Post, $"entrants/{she}/equipment-checks", new { item = "mask", verdict = "failed", mark = "MK-4711", note = "dented visor" }, 201);
        await DoAsync(HttpMethod.Post, $"entrants/{she}/equipment-checks", new { item = "weapon", verdict = "passed", bladeSize = 5, measured = new { mass = "733 g" } }, 201);
        await DoAsync(HttpMethod.Post, $"tournaments/{tournament}/loan-kit", new { item = "glove", label = "of QUILLFEATHER", club = "Club of the Quillfeather family" }, 201);
        await DoAsync(HttpMethod.Post, $"loan-kit/{tournament}-k1/issue", new { entrantId = she });
        await DoAsync(HttpMethod.Post, $"loan-kit/{tournament}-k1/return", new { state = "toMend", note = "torn, says Quillfeather" });
        referee = (await DoAsync(HttpMethod.Post, $"tournaments/{tournament}/referees", new { familyName = "Quillfeather", givenName = "Zenobia", club = "Ravenscourt Blades", country = "XQZ", weapons = new[] { "epee" }, from = "09:00" }, 201)).Id();
        await DoAsync(HttpMethod.Post, $"tournaments/{tournament}/announcements", new { text = "Zenobia Quillfeather to strip 3, please." }, 201);
        await DoAsync(HttpMethod.Post, $"tournaments/{tournament}/announcements", new { text = "Lunch is served." }, 201);
        var other = await Desk.CompetitionAsync(3, "foil", tournamentId: tournament, checkIn: false);
        sheToo = (await DoAsync(HttpMethod.Post, $"competitions/{other}/entrants", new { familyName = "quillfeather", givenName = "Zenobia", club = "Ravenscourt Blades" }, 201)).Id();

        var round = await Desk.DrawPoolsAsync(competition, new { drawSeed = 3 });
        await DoAsync(HttpMethod.Delete, $"competitions/{competition}/pool-rounds/1", null, 204);
        round = await Desk.DrawPoolsAsync(competition, new { drawSeed = 5 });
        pool = round.Items("pools").Single(p => p.Items("fencers").Any(f => f.Text("entrantId") == she)).Id();
        await DoAsync(HttpMethod.Put, $"pools/{pool}/referee", new { refereeId = referee, despite = "Quillfeather insists" });
        var sheet = await Desk.GetAsync<JsonObject>($"/api/pools/{pool}");
        var position = sheet.Items("fencers").Single(f => f.Text("entrantId") == she).Number("position");
        var bout = sheet.Items("bouts").First(b => b.Number("left") == position || b.Number("right") == position);
        await DoAsync(HttpMethod.Post, $"bouts/{bout.Id()}/cards", new { side = bout.Number("left") == position ? "left" : "right", card = "yellow", reason = "shouted about her ligament" });
        await DoAsync(HttpMethod.Post, $"bouts/{bout.Id()}/cards", new { side = bout.Number("left") == position ? "right" : "left", card = "yellow", reason = "late at the strip" });
        await Desk.FenceRoundAsync(competition);
        var (_, etag) = await Desk.ReadAsync($"/api/bouts/{bout.Id()}");
        Assert.Equal(200, (await Desk.AskResultAsync(bout.Id(), 5, 4, etag, "misheard Quillfeather")).Status);
        await DoAsync(HttpMethod.Post, $"competitions/{competition}/pool-rounds/1/close", null);
        await DoAsync(HttpMethod.Post, $"competitions/{competition}/tableau", null, 201);
        await DoAsync(HttpMethod.Post, $"entrants/{she}/withdraw", new { reason = "a torn ligament", cause = "injury" });
        await Desk.FenceTableauAsync(competition);
    }

    /// <summary>Erases, so that the next test finds nobody of this name.</summary>
    public Task DisposeAsync() => DoAsync(HttpMethod.Post, $"entrants/{she}/erasure", new { alsoAs = new[] { sheToo, referee } });

    [Fact]
    public async Task Nothing_of_a_person_is_found_anywhere_once_it_is_erased_and_every_result_is_as_it_was()
    {
        foreach (var mark in Marks)
        {
            Assert.NotEmpty(await FoundAsync(mark));
        }

        Assert.Equal(3L, await YearsAsync());
        var before = await ResultsAsync();
        var pages = await PagesAsync();
        Assert.Contains(pages, page => page.Value.Contains("Quillfeather", StringComparison.Ordinal));
        var (_, etag) = await host.Public.ReadAsync($"/api/entrants/{she}");

        var erased = await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{she}/erasure", new { alsoAs = new[] { sheToo, referee } }, HttpStatusCode.OK, ("Idempotency-Key", "erase"));
        Assert.Equal([she, sheToo, referee], erased.Items("erased").Select(e => e.GetValue<string>()));
        Assert.Empty(erased.Items("looksLike"));

        foreach (var mark in Marks)
        {
            Assert.Empty(await FoundAsync(mark));
        }

        Assert.Equal(0L, await YearsAsync());
        // Of the kept answers only that to the erasure itself has a body.
        Assert.Single(await host.RowsAsync($"select id from boutdesk.mt_doc_kept_answer where data ->> 'tournament' = '{tournament}' and data ->> 'body' <> ''"));
        var after = await ResultsAsync();
        Assert.All(before, list => Assert.Equal(Nameless(list.Value), Nameless(after[list.Key])));
        foreach (var (address, page) in await PagesAsync())
        {
            Assert.All(Marks, mark => Assert.False(Stands(mark, page), $"{mark} is still on {address}."));
        }

        Assert.Equal("N. N.", (await host.Public.GetAsync<JsonObject>($"/api/entrants/{she}")).Text("familyName"));
        Assert.Equal(200, (await host.Public.AskAsync(HttpMethod.Get, $"/api/entrants/{she}", null, ("If-None-Match", etag))).Status);
        // What others did is still told.
        Assert.NotEmpty(await FoundAsync("late at the strip"));
        Assert.Equal("Lunch is served.", Assert.Single((await host.Public.GetAsync<JsonObject>($"/api/tournaments/{tournament}")).Items("announcements")).Text("text"));
    }

    [Fact]
    public async Task An_archive_made_afterwards_holds_nothing_of_the_person_and_can_be_taken_in()
    {
        await DoAsync(HttpMethod.Post, $"entrants/{she}/erasure", new { alsoAs = new[] { sheToo, referee } });
        var file = await Desk.GetByteArrayAsync(new Uri($"/api/tournaments/{tournament}/archive", UriKind.Relative));
        using (var zip = new ZipArchive(new MemoryStream(file)))
        {
            foreach (var entry in zip.Entries)
            {
                using var reader = new StreamReader(await entry.OpenAsync());
                var text = await reader.ReadToEndAsync();
                Assert.All(Marks, mark => Assert.False(Stands(mark, text), $"{mark} is in {entry.FullName}."));
            }
        }

        await using var elsewhere = await DeskHost.StartAsync();
        using var content = new ByteArrayContent(file);
        content.Headers.ContentType = new("application/zip");
        using var taken = await elsewhere.Desk.PostAsync(new Uri("/api/archives", UriKind.Relative), content);
        Assert.Equal(HttpStatusCode.Created, taken.StatusCode);
        await elsewhere.StatesFollowFromTheEventsAsync();
    }

    [Fact]
    public async Task Who_looks_like_the_person_is_named_and_left_alone_until_asked_for()
    {
        var erased = await DoAsync(HttpMethod.Post, $"entrants/{she}/erasure", null);
        Assert.Equal(new[] { sheToo, referee }.Order(), erased.Items("looksLike").Select(e => e.GetValue<string>()).Order());
        Assert.Equal("quillfeather", (await host.Public.GetAsync<JsonObject>($"/api/entrants/{sheToo}")).Text("familyName"));
        await DoAsync(HttpMethod.Post, $"referees/{referee}/erasure", null);
        Assert.Equal("N. N.", (await host.Public.GetAsync<JsonObject>($"/api/referees/{referee}")).Text("familyName"));
        Assert.Equal("quillfeather", (await host.Public.GetAsync<JsonObject>($"/api/entrants/{sheToo}")).Text("familyName"));

        await Desk.RefusedAsync(HttpMethod.Post, $"/api/entrants/{sheToo}/erasure", new { alsoAs = new[] { "nobody" } }, 400, "invalid-input");
        await Desk.RefusedAsync(HttpMethod.Post, $"/api/entrants/{sheToo}/erasure", new { alsoAs = new string?[] { null } }, 400, "invalid-input");
        await Desk.RefusedAsync(HttpMethod.Post, $"/api/entrants/{competition}-e99/erasure", null, 404, "not-found");
        await Desk.RefusedAsync(HttpMethod.Post, $"/api/referees/{tournament}-r9/erasure", null, 404, "not-found");
    }

    [Fact]
    public async Task Asked_again_it_changes_nothing_unless_something_was_added_since()
    {
        var address = $"entrants/{she}/erasure";
        Assert.True((await DoAsync(HttpMethod.Post, address, null)).Number("events") > 10);
        var events = (await host.RowsAsync("select count(*) from boutdesk.mt_events"))[0][0];
        Assert.Equal(0, (await DoAsync(HttpMethod.Post, address, null)).Number("events"));
        Assert.Equal(events, (await host.RowsAsync("select count(*) from boutdesk.mt_events"))[0][0]);

        await DoAsync(HttpMethod.Post, $"entrants/{she}/reinstate", new { reason = "only a cramp after all", later = "scrap" });
        Assert.Equal(1, (await DoAsync(HttpMethod.Post, address, null)).Number("events"));
        Assert.Empty(await FoundAsync("only a cramp after all"));
    }

    [Fact]
    public async Task A_repeat_of_what_was_sent_before_does_not_bring_the_name_back()
    {
        var address = $"/api/tournaments/{tournament}/announcements";
        await Desk.SendAsync(HttpMethod.Post, address, new { text = "Zenobia Quillfeather is here." }, HttpStatusCode.Created, ("Idempotency-Key", "announced"));
        await Desk.SendAsync(HttpMethod.Post, address, new { text = "Zenobia Quillfeather is here." }, HttpStatusCode.Created, ("Idempotency-Key", "announced"));
        await DoAsync(HttpMethod.Post, $"entrants/{she}/erasure", null);
        var repeated = await Desk.RefusedAsync(HttpMethod.Post, address, new { text = "Zenobia Quillfeather is here." }, 422, "key-reused", ("Idempotency-Key", "announced"));
        Assert.Contains("done already", repeated.Text("detail"), StringComparison.Ordinal);
        Assert.Single((await host.Public.GetAsync<JsonObject>($"/api/tournaments/{tournament}")).Items("announcements"));
    }

    [Fact]
    public async Task The_feed_and_the_history_tell_that_it_was_done_and_not_whose_name_it_was()
    {
        using var listener = new StreamReader(await host.Public.GetStreamAsync(new Uri($"/api/tournaments/{tournament}/feed", UriKind.Relative)));
        await listener.ReadLineAsync();
        await DoAsync(HttpMethod.Post, $"entrants/{she}/erasure", new { alsoAs = new[] { referee } });
        var told = new StringBuilder();
        while (!told.ToString().Contains("entrant-erased", StringComparison.Ordinal))
        {
            told.AppendLine(await listener.ReadLineAsync().WaitAsync(TimeSpan.FromSeconds(20)));
        }

        using var history = await Desk.TryAsync(HttpMethod.Get, $"/desk/competitions/{competition}/history", null, ("Accept", "text/html"), ("Cookie", "boutdesk-pass=" + DeskHost.DeskPass));
        var page = await history.Content.ReadAsStringAsync();
        Assert.Contains("The data of N. N. 1-e7 were erased.", page, StringComparison.Ordinal);
        Assert.DoesNotContain("Quillf", page + told, StringComparison.OrdinalIgnoreCase);
    }

    /// <summary>Sends a request with a key, so that its answer is kept.</summary>
    private Task<JsonNode> DoAsync(HttpMethod method, string path, object? body, int status = 200) =>
        Desk.SendAsync(method, "/api/" + path, body, (HttpStatusCode)status, ("Idempotency-Key", Guid.NewGuid().ToString()));

    /// <summary>The tables in which a text stands in any row.</summary>
    private async Task<string[]> FoundAsync(string text)
    {
        var tables = await host.RowsAsync("select format('%I.%I', schemaname, tablename) from pg_tables where schemaname = 'boutdesk'");
        var found = new List<string>();
        foreach (var table in tables.Select(t => (string)t[0]))
        {
            // What is encrypted looks like anything now and then; that of this tournament is looked for below.
            var row = table.EndsWith("kept_answer", StringComparison.Ordinal) ? $"(select id, data - 'body' from {table})" : table;
            var stands = text == Country
                ? $@"t::text ~* '\y{text}\y'"
                : $"t::text ilike '%{text}%' or t::text ilike '%{Convert.ToHexStringLower(Encoding.UTF8.GetBytes(text))}%'";
            var rows = await host.RowsAsync($"select count(*) from {row} t where {stands}");
            if ((long)rows[0][0] > 0)
            {
                found.Add(table);
            }
        }

        return [.. found];
    }

    private static bool Stands(string mark, string text) =>
        mark == Country ? Regex.IsMatch(text, $@"\b{mark}\b", RegexOptions.IgnoreCase) : text.Contains(mark, StringComparison.OrdinalIgnoreCase);

    /// <summary>In how many events and states the year of birth stands.</summary>
    private async Task<object> YearsAsync() => (await host.RowsAsync(
        """select count(*) from (select data from boutdesk.mt_events union all select data from boutdesk.mt_doc_competition) d where data::text like '%"birthYear": 1973%'"""))[0][0];

    private async Task<Dictionary<string, JsonNode>> ResultsAsync()
    {
        var results = new Dictionary<string, JsonNode>();
        foreach (var address in new[]
        {
            $"competitions/{competition}/seeding", $"competitions/{competition}/pool-rounds/1/standings", $"competitions/{competition}/pool-rounds/1", $"pools/{pool}",
            $"competitions/{competition}/tableau", $"competitions/{competition}/classification", $"competitions/{competition}/referees", $"competitions/{competition}/equipment",
        })
        {
            results[address] = await Desk.SendAsync(HttpMethod.Get, "/api/" + address, null, HttpStatusCode.OK);
        }

        return results;
    }

    private async Task<Dictionary<string, string>> PagesAsync()
    {
        var pages = new Dictionary<string, string>();
        foreach (var address in new[]
        {
            "/", $"/tournaments/{tournament}", $"/competitions/{competition}", $"/competitions/{competition}/entrants", $"/competitions/{competition}/pools/1", $"/competitions/{competition}/tableau",
            $"/competitions/{competition}/classification", $"/competitions/{competition}/ranking", $"/entrants/{she}", $"/screen/{tournament}", $"/tournaments/{tournament}/fencers?name=q",
            $"/desk/tournaments/{tournament}", $"/desk/competitions/{competition}/entries", $"/desk/competitions/{competition}/history", $"/desk/tournaments/{tournament}/referees", $"/desk/tournaments/{tournament}/loan-kit",
            $"/desk/competitions/{competition}/equipment", $"/desk/pools/{pool}", $"/desk/competitions/{competition}/sheets", $"/desk/entrants/{she}/erase",
            $"/api/competitions/{competition}/entrants?format=csv", $"/api/tournaments/{tournament}/timetable?format=ics",
        })
        {
            using var answer = await Desk.TryAsync(HttpMethod.Get, address, null, ("Accept", "text/html, */*"), ("Cookie", "boutdesk-pass=" + DeskHost.DeskPass));
            Assert.True(answer.IsSuccessStatusCode, $"{address} was answered {answer.StatusCode}.");
            pages[address] = await answer.Content.ReadAsStringAsync();
        }

        return pages;
    }

    /// <summary>A list without what an erasure takes from it.</summary>
    private static string Nameless(JsonNode list)
    {
        var copy = list.DeepClone();
        Strip(copy);
        return copy.ToJsonString();

        static void Strip(JsonNode? node)
        {
            if (node is JsonObject thing)
            {
                foreach (var name in new[] { "name", "club", "country", "details", "checks", "mark", "note", "findings", "limits", "notes", "despite", "version", "toMend" })
                {
                    thing.Remove(name);
                }

                foreach (var (_, value) in thing.ToArray())
                {
                    Strip(value);
                }
            }
            else if (node is JsonArray items)
            {
                foreach (var item in items)
                {
                    Strip(item);
                }
            }
        }
    }
}
