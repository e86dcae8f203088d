using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Contract;

/// <summary>The calls of the wire contract with their fields and statuses, one after the other as on a day.</summary>
[Collection(OneService.Name)]
public class ContractTests
{
    private static readonly string[] Standing =
    [
        "place", "entrantId", "name", "victories", "bouts", "victoryRatio", "touchesScored", "touchesReceived", "indicator", "tied",
        "bestPlace", "worstPlace", "placesExact",
    ];

    private readonly DeskHost host;

    public ContractTests(SharedDesk shared) => host = shared.Host;

    private HttpClient Desk => host.Desk;

    [Fact]
    public async Task A_tournament_is_opened_listed_and_shown()
    {
        using var response = await Desk.TryAsync(HttpMethod.Post, "/api/tournaments", new { name = " Millbrook Open ", venue = "Millbrook Hall", startsOn = "2026-11-28", timeZone = "Europe/Paris" });
        Assert.Equal(HttpStatusCode.Created, response.StatusCode);
        var opened = JsonNode.Parse(await response.Content.ReadAsStringAsync())!;
        Assert.Equal($"/api/tournaments/{opened.Id()}", response.Headers.Location?.ToString());
        var shown = await host.Public.GetAsync<JsonObject>(response.Headers.Location!.ToString());
        Assert.True(JsonNode.DeepEquals(opened, shown));
        Assert.Equal("Millbrook Open", shown["name"]!.GetValue<string>());
        Assert.Equal("2026-11-28", shown["startsOn"]!.GetValue<string>());
        Assert.Equal("Europe/Paris", shown["timeZone"]!.GetValue<string>());
        Assert.Contains(await host.Public.ListAsync("/api/tournaments"), t => t.Id() == opened.Id());
    }

    [Fact]
    public async Task Strips_are_added_and_shown_with_the_tournament()
    {
        var id = await Desk.TournamentAsync();
        var strip = await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{id}/strips", new { name = "Podium", kind = "podium" }, HttpStatusCode.Created);
        Has(strip, "id", "name", "kind", "weapons");
        Assert.Null(strip["weapons"]);
        Assert.True(JsonNode.DeepEquals(strip, (await host.Public.GetAsync<JsonObject>($"/api/tournaments/{id}"))["strips"]![0]));

        var some = await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{id}/strips", new { name = "Floor", weapons = new[] { "epee", "foil", "foil" } }, HttpStatusCode.Created);
        Assert.Equal("""["foil","epee"]""", some["weapons"]!.ToJsonString());
        var corrected = await Desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{id}/strips/{some.Id()}", new { name = "Floor 2", weapons = new[] { "sabre" } }, HttpStatusCode.OK);
        Assert.Equal((some.Id(), "Floor 2", """["sabre"]"""), (corrected.Id(), corrected.Text("name"), corrected["weapons"]!.ToJsonString()));
        Assert.True(JsonNode.DeepEquals(corrected, (await host.Public.GetAsync<JsonObject>($"/api/tournaments/{id}"))["strips"]![1]));
    }

    [Theory]
    [InlineData("foil", "women")]
    [InlineData("epee", "men")]
    [InlineData("sabre", "mixed")]
    public async Task A_competition_is_opened_with_a_formula_of_defaults(string weapon, string category)
    {
        var tournament = await Desk.TournamentAsync();
        using var response = await Desk.TryAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/competitions", new { name = "Open", weapon, category, ageGroup = "cadet", formula = new { } });
        Assert.Equal(HttpStatusCode.Created, response.StatusCode);
        var competition = await host.Public.GetAsync<JsonObject>(response.Headers.Location!.ToString());
        Has(competition, "id", "tournamentId", "name", "weapon", "category", "ageGroup", "stage", "formula");
        Assert.Equal((weapon, category, "cadet", "entries"), (Text(competition, "weapon"), Text(competition, "category"), Text(competition, "ageGroup"), Text(competition, "stage")));
        Assert.Equal(7, competition["formula"]!["pools"]!["size"]!.GetValue<int>());
        Assert.Equal(competition.Id(), (await host.Public.ListAsync($"/api/tournaments/{tournament}/competitions")).Single().Id());
    }

    [Fact]
    public async Task The_stage_goes_from_entries_over_pools_and_elimination_to_finished()
    {
        var id = await Desk.CompetitionAsync(4);
        Assert.Equal("entries", await StageAsync(id));
        await Desk.DrawPoolsAsync(id);
        Assert.Equal("pools", await StageAsync(id));
        await Desk.FenceRoundAsync(id);
        await Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/pool-rounds/1/close", null, HttpStatusCode.OK);
        Assert.Equal("pools", await StageAsync(id));
        await Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, HttpStatusCode.Created);
        Assert.Equal("elimination", await StageAsync(id));
        await Desk.FenceTableauAsync(id);
        Assert.Equal("finished", await StageAsync(id));
    }

    [Fact]
    public async Task Passes_are_given_out_listed_and_revoked()
    {
        var id = await Desk.TournamentAsync();
        var strip = (await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{id}/strips", new { name = "1" }, HttpStatusCode.Created)).Id();
        var expiresAt = new DateTimeOffset(2099, 11, 28, 20, 0, 0, TimeSpan.FromHours(1));
        var given = await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{id}/passes", new { kind = "referee", strips = new[] { strip }, expiresAt }, HttpStatusCode.Created);
        Has(given, "pass", "url", "id", "kind", "pools", "strips", "bouts", "expiresAt");
        var listed = (await Desk.ListAsync($"/api/tournaments/{id}/passes")).Single();
        Assert.Equal("referee", Text(listed, "kind"));
        Assert.Equal(strip, listed["strips"]![0]!.GetValue<string>());
        Assert.Equal(expiresAt, listed["expiresAt"]!.GetValue<DateTimeOffset>());
        Assert.Null(listed["pass"]);
        await Desk.SendAsync(HttpMethod.Delete, $"/api/tournaments/{id}/passes/{given.Id()}", null, HttpStatusCode.NoContent);
    }

    [Fact]
    public async Task A_fencer_is_entered_with_all_that_the_entry_says_and_comes_and_goes()
    {
        var id = await Desk.CompetitionAsync(0);
        var body = new { familyName = "Aubert", givenName = "Maïa", club = "Harbour Blades", country = "FRA", ranking = 3, hand = "left", birthYear = 2004 };
        using var response = await Desk.TryAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants", body);
        Assert.Equal(HttpStatusCode.Created, response.StatusCode);
        var entered = JsonNode.Parse(await response.Content.ReadAsStringAsync())!;
        Assert.Equal($"/api/entrants/{entered.Id()}", response.Headers.Location?.ToString());
        foreach (var (name, value) in System.Text.Json.JsonSerializer.SerializeToNode(body)!.AsObject())
        {
            Assert.True(JsonNode.DeepEquals(value, entered[name]), name);
        }

        var address = $"/api/entrants/{entered.Id()}";
        Assert.Equal("entered", Text(entered, "status"));
        Assert.Equal("checkedIn", Text(await Desk.SendAsync(HttpMethod.Post, address + "/check-in", null, HttpStatusCode.OK), "status"));
        Assert.Equal("absent", Text(await Desk.SendAsync(HttpMethod.Post, address + "/absent", null, HttpStatusCode.OK), "status"));
        var withdrawn = await Desk.SendAsync(HttpMethod.Post, address + "/withdraw", new { reason = "Ill." }, HttpStatusCode.OK);
        Assert.Equal(("withdrawn", "Ill."), (Text(withdrawn, "status"), Text(withdrawn, "reason")));
        await Desk.RefusedAsync(HttpMethod.Post, address + "/check-in", null, 409, "entrant-state");
        Assert.Equal("excluded", Text(await Desk.SendAsync(HttpMethod.Post, address + "/exclude", new { reason = "Black card." }, HttpStatusCode.OK), "status"));
        Assert.Equal("checkedIn", Text(await Desk.SendAsync(HttpMethod.Post, address + "/reinstate", new { reason = "Mistake." }, HttpStatusCode.OK), "status"));
        await Desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants", body, 409, "duplicate-entrant");
        await Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants", new { familyName = "Unranked" }, HttpStatusCode.Created);
        Assert.Null((await host.Public.ListAsync($"/api/competitions/{id}/entrants"))[1]["ranking"]);
    }

    [Fact]
    public async Task Equipment_is_checked_and_shown_with_the_entrant()
    {
        var id = await Desk.CompetitionAsync(1, checkIn: false);
        var entrant = (await Desk.ListAsync($"/api/competitions/{id}/entrants"))[0].Id();
        var check = await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/equipment-checks", new { item = "mask", verdict = "failed", note = "Rust." }, HttpStatusCode.Created);
        Has(check, "entrantId", "passed", "failed", "checks", "caution", "items", "complete", "notes", "verdict", "limits");
        await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/equipment-checks", new { item = "glove", verdict = "passed", mark = "green" }, HttpStatusCode.Created);
        var listed = (await host.Public.ListAsync($"/api/competitions/{id}/entrants"))[0];
        Assert.Equal("mask", listed["equipmentFailed"]![0]!.GetValue<string>());
        Assert.Equal("glove", listed["equipmentPassed"]![0]!.GetValue<string>());
    }

    [Fact]
    public async Task A_pool_round_is_drawn_shown_fenced_and_closed()
    {
        var id = await Desk.CompetitionAsync(8);
        using var response = await Desk.TryAsync(HttpMethod.Post, $"/api/competitions/{id}/pool-rounds", new { poolCount = 2, drawSeed = 11 });
        Assert.Equal(HttpStatusCode.Created, response.StatusCode);
        Assert.Equal($"/api/competitions/{id}/pool-rounds/1", response.Headers.Location?.ToString());
        var round = await host.Public.GetAsync<JsonObject>(response.Headers.Location!.ToString());
        Has(round, "round", "pools", "standings");
        Assert.Equal((1, 11L, 2), (round["round"]!.GetValue<int>(), round["drawSeed"]!.GetValue<long>(), round["pools"]!.AsArray().Count));
        Has(round["pools"]![0]!, "id", "number");
        Has(round["standings"]![0]!, Standing);

        var pool = await host.Public.GetAsync<JsonObject>($"/api/pools/{round["pools"]![0].Id()}");
        Has(pool, "id", "number", "fencers", "bouts", "standings");
        Has(pool["fencers"]![0]!, "position", "entrantId", "name", "club", "country");
        Has(pool["bouts"]![0]!, "id", "order", "left", "right", "status", "score");
        Has(pool["standings"]![0]!, Standing);
        Assert.Equal(Enumerable.Range(1, 6), pool["bouts"]!.AsArray().Select(b => b!["order"]!.GetValue<int>()));

        var open = await Desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{id}/pool-rounds/1/close", null, 409, "bouts-open");
        Assert.Equal(12, open["concerns"]!.AsArray().Count);
        await Desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, 409, "step-missing");
        await Desk.FenceRoundAsync(id);
        var closed = await Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/pool-rounds/1/close", new { drawSeed = 5 }, HttpStatusCode.OK);
        Has(closed, "ranking", "promoted", "cut");
        Has(closed["ranking"]![0]!, Standing);
        Assert.Equal(8, closed["promoted"]!.AsArray().Count);

        foreach (var address in new[] { $"/api/pools/{pool.Id()}/standings", $"/api/competitions/{id}/pool-rounds/1/standings" })
        {
            var standings = await host.Public.ListAsync(address);
            Assert.Equal(address.Contains("round", StringComparison.Ordinal) ? 8 : 4, standings.Count);
            Has(standings[0], Standing);
        }
    }

    [Fact]
    public async Task Seeding_is_by_ranking_before_the_pools_and_by_results_after_them()
    {
        var id = await Desk.CompetitionAsync(4);
        var before = await host.Public.ListAsync($"/api/competitions/{id}/seeding");
        Assert.Equal([1, 2, 3, 4], before.Select(s => s["seed"]!.GetValue<int>()));
        Assert.All(before, s => Assert.Null(s["victories"]));
        await Desk.DrawPoolsAsync(id);
        await Desk.FenceRoundAsync(id);
        await Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/pool-rounds/1/close", null, HttpStatusCode.OK);
        var after = await host.Public.ListAsync($"/api/competitions/{id}/seeding");
        Has(after[0], "seed", "entrantId", "name", "club", "country", "victories", "bouts", "victoryRatio", "indicator", "touchesScored", "touchesReceived");
        // Three bouts won 5:2.
        Assert.Equal((3, 3, 9, 15, 6), (Number(after[0], "victories"), Number(after[0], "bouts"), Number(after[0], "indicator"), Number(after[0], "touchesScored"), Number(after[0], "touchesReceived")));
        Assert.Equal(1m, after[0]["victoryRatio"]!.GetValue<decimal>());
    }

    [Fact]
    public async Task A_bout_is_scored_touch_by_touch_with_cards_and_has_a_history()
    {
        var (bout, _) = await BoutAsync("epee");
        await Desk.SendAsync(HttpMethod.Post, $"{bout}/touches", new { side = "left", at = "2026-11-28T10:00:00+01:00" }, HttpStatusCode.OK);
        await Desk.SendAsync(HttpMethod.Post, $"{bout}/touches", new { side = "both" }, HttpStatusCode.OK);
        var scored = await Desk.SendAsync(HttpMethod.Post, $"{bout}/touches", new { side = "right" }, HttpStatusCode.OK);
        Assert.Equal((2, 2), (Number(scored["score"]!, "left"), Number(scored["score"]!, "right")));
        await Desk.SendAsync(HttpMethod.Delete, $"{bout}/touches/last", null, HttpStatusCode.OK);
        await Desk.SendAsync(HttpMethod.Post, $"{bout}/cards", new { side = "left", card = "yellow", reason = "Turning the back." }, HttpStatusCode.OK);
        await Desk.RefusedAsync(HttpMethod.Post, $"{bout}/cards", new { side = "left", card = "yellow", reason = "Again." }, 409, "already-warned");
        var red = await Desk.SendAsync(HttpMethod.Post, $"{bout}/cards", new { side = "left", card = "red", reason = "Again." }, HttpStatusCode.OK);
        Assert.Equal((2, 2), (Number(red["score"]!, "left"), Number(red["score"]!, "right")));
        Assert.Equal(["yellow", "red"], red["cards"]!.AsArray().Select(c => Text(c!, "card")));

        var history = await host.Public.ListAsync($"{bout}/history");
        Assert.All(history, line => Has(line, "version", "at", "by", "what", "details"));
        Assert.Equal(
            ["bout-programmed", "touch-scored", "touch-scored", "touch-scored", "touch-taken-back", "card-shown", "card-shown"],
            history.Select(line => Text(line, "what")));
        Assert.All(history, line => Assert.Equal("desk-configured", Text(line, "by")));
    }

    [Theory]
    [InlineData("foil")]
    [InlineData("sabre")]
    public async Task Only_épée_knows_double_touches(string weapon)
    {
        var (bout, _) = await BoutAsync(weapon);
        var problem = await Desk.RefusedAsync(HttpMethod.Post, $"{bout}/touches", new { side = "both" }, 400, "no-double-touch");
        Assert.NotNull(problem["errors"]!["side"]);
        await Desk.RefusedAsync(HttpMethod.Delete, $"{bout}/touches/last", null, 409, "nothing-to-take-back");
    }

    [Fact]
    public async Task A_result_can_be_won_below_the_target_or_level_and_the_same_again_changes_nothing()
    {
        var (bout, second) = await BoutAsync("foil");
        var decided = await Desk.SendAsync(HttpMethod.Put, $"{bout}/result", new { left = 3, right = 2, winner = "left" }, HttpStatusCode.OK);
        Assert.Equal(("decided", "left", true), (Text(decided, "status"), Text(decided, "winner"), decided["confirmed"]!.GetValue<bool>()));
        var again = await Desk.SendAsync(HttpMethod.Put, $"{bout}/result", new { left = 3, right = 2, winner = "left" }, HttpStatusCode.OK);
        Assert.True(JsonNode.DeepEquals(decided, again));
        Assert.Equal(2, (await host.Public.ListAsync($"{bout}/history")).Count);
        var level = await Desk.SendAsync(HttpMethod.Put, $"{second}/result", new { left = 2, right = 2, winner = "right" }, HttpStatusCode.OK);
        Assert.Equal("right", Text(level, "winner"));
        await Desk.RefusedAsync(HttpMethod.Post, $"{second}/touches", new { side = "left" }, 409, "bout-decided");
    }

    [Fact]
    public async Task A_tableau_has_its_byes_decided_and_ends_in_a_classification()
    {
        var id = await Desk.DrawnTableauAsync(6);
        var tableau = await host.Public.GetAsync<JsonObject>($"/api/competitions/{id}/tableau");
        Has(tableau, "size", "rounds");
        Assert.Equal(8, Number(tableau, "size"));
        Assert.Equal([8, 4, 2], tableau["rounds"]!.AsArray().Select(r => Number(r!, "tableOf")));
        var first = tableau["rounds"]![0]!["bouts"]!.AsArray();
        Has(first[0]!, "id", "left", "right", "status", "score", "winner");
        Has(first[0]!["left"]!, "seed", "entrantId", "name");
        Assert.Equal([1, 5, 3, 2], first.Select(b => Number(b!["left"]!, "seed")));
        Assert.Equal(("decided", "left"), (Text(first[0]!, "status"), Text(first[0]!, "winner")));
        Assert.Null(first[0]!["right"]);

        var provisional = await host.Public.ListAsync($"/api/competitions/{id}/classification");
        Assert.Equal(6, provisional.Count);
        await Desk.FenceTableauAsync(id);
        var final = await host.Public.ListAsync($"/api/competitions/{id}/classification");
        Has(final[0], "place", "entrantId", "name", "club", "country", "reached");
        Assert.Equal([1, 2, 3, 3, 5, 6], final.Select(l => Number(l, "place")));
        Assert.Equal(["winner", "final", "table of 4", "table of 4", "table of 8", "table of 8"], final.Select(l => Text(l, "reached")));
        var scored = (await host.Public.GetAsync<JsonObject>($"/api/competitions/{id}/tableau"))["rounds"]![2]!["bouts"]![0]!;
        Assert.Equal((15, 9, "left"), (Number(scored["score"]!, "left"), Number(scored["score"]!, "right"), Text(scored, "winner")));
    }

    [Fact]
    public async Task Health_is_told_to_whoever_asks()
    {
        foreach (var address in new[] { "/health/live", "/health/ready" })
        {
            Assert.Equal("Healthy", await host.Public.GetStringAsync(new Uri(address, UriKind.Relative)));
        }
    }

    private static void Has(JsonNode node, params string[] fields) =>
        Assert.Empty(fields.Except(node.AsObject().Select(f => f.Key)));

    private static string? Text(JsonNode node, string field) => node[field]?.GetValue<string>();

    private static int Number(JsonNode node, string field) => node[field]!.GetValue<int>();

    private async Task<string?> StageAsync(string id) => Text(await host.Public.GetAsync<JsonObject>($"/api/competitions/{id}"), "stage");

    private async Task<(string First, string Second)> BoutAsync(string weapon)
    {
        var pool = (await Desk.DrawPoolsAsync(await Desk.CompetitionAsync(3, weapon)))["pools"]![0].Id();
        var bouts = (await Desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]!.AsArray();
        return ($"/api/bouts/{bouts[0].Id()}", $"/api/bouts/{bouts[1].Id()}");
    }
}
