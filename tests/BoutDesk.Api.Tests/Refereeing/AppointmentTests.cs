using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Refereeing;

/// <summary>Referees assigned and appointed over HTTP. The fencers belong to Club 0 to Club 4.</summary>
[Collection(OneService.Name)]
public class AppointmentTests
{
    private readonly SharedDesk shared;
    private readonly HttpClient desk;

    public AppointmentTests(SharedDesk shared)
    {
        this.shared = shared;
        desk = shared.Host.Desk;
    }

    [Fact]
    public async Task Pools_get_referees_of_other_clubs_and_who_cannot_get_one_is_told_why()
    {
        var (tournament, competition, pools) = await DrawnAsync(12, poolCount: 2);
        await ListAsync(tournament, "Lind,Riverside,epee\nOwn,CLUB 1,epee\nOther,Riverside,foil\n");
        var assigned = await AssignAsync(competition);
        Assert.Equal([tournament + "-r1"], assigned.Items("appointed").Select(a => a.Text("refereeId")));
        var uncovered = assigned.Items("uncovered").Single();
        Assert.Equal("neededElsewhere", uncovered.Text("reason"));
        Assert.Contains("All who could take it are needed elsewhere at the same time", uncovered.Text("what"), StringComparison.Ordinal);
        Assert.Equal(["Own (ownClub)"], uncovered.Items("waysOut").Select(w => $"{w.Text("name")} ({w.Text("rule")})"));

        // In two turns one is enough.
        assigned = await AssignAsync(competition, new { atOnce = 1 });
        Assert.Empty(assigned.Items("uncovered"));
        Assert.Empty((await AssignAsync(competition, new { atOnce = 1 })).Items("appointed"));
        var all = await shared.Host.Public.GetAsync<JsonObject>($"/api/competitions/{competition}/referees");
        Assert.Equal(pools.Order(StringComparer.Ordinal), all.Items("appointments").Select(a => a.Text("at")).Order(StringComparer.Ordinal));
        Assert.Equal([(30, 30), (0, 0), (0, 0)], all.Items("referees").Select(r => (r.Number("here"), r.Number("total"))));
    }

    [Fact]
    public async Task Anew_takes_pools_that_have_not_begun_from_whoever_is_away()
    {
        var (tournament, competition, pools) = await DrawnAsync(12, poolCount: 2);
        await ListAsync(tournament, "A,Riverside,epee\nB,Riverside,epee\n");
        await AssignAsync(competition);
        var begun = (await desk.GetAsync<JsonObject>($"/api/pools/{pools[0]}")).Items("bouts")[0].Id();
        Assert.Equal(200, (await desk.AskTouchAsync(begun, "left")).Status);
        await desk.SendAsync(HttpMethod.Post, $"/api/referees/{tournament}-r1/away", null, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/referees/{tournament}-r2/away", null, HttpStatusCode.OK);
        var anew = await AssignAsync(competition, new { keep = false });
        Assert.Equal([(pools[1], "nobodyFree")], anew.Items("uncovered").Select(u => (u.Text("at"), u.Text("reason"))));
        Assert.Equal([pools[0]], (await AllAsync(competition)).Select(a => a.Text("at")));
    }

    [Fact]
    public async Task What_is_said_follows_the_language_that_is_asked_for()
    {
        var (tournament, competition, _) = await DrawnAsync(6, poolCount: 1);
        await ListAsync(tournament, "Own,Club 1,epee\n");
        var answer = await desk.AskAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/referees", null, ("Accept-Language", "fr"));
        Assert.Equal(
            "Poule 1 : Tous ceux qui sont libres appartiennent à des clubs de ses tireurs : Club 1. Libres, à une règle près : Own (son propre club).",
            answer.Json.Items("uncovered").Single().Text("what"));
    }

    [Fact]
    public async Task By_hand_the_own_club_takes_a_reason_which_only_the_desk_reads()
    {
        var (tournament, competition, pools) = await DrawnAsync(6, poolCount: 1);
        await ListAsync(tournament, "Own,Club 1,epee\n");
        var at = $"/api/pools/{pools[0]}/referee";
        var refused = await desk.RefusedAsync(HttpMethod.Put, at, new { refereeId = tournament + "-r1" }, 409, "referee-unsuited");
        Assert.Equal("Own belongs to Club 1, the club of a fencer. Choose another, or say why it is done despite that.", refused.Text("detail"));
        await desk.RefusedAsync(HttpMethod.Put, at, new { refereeId = tournament + "-r9" }, 400, "invalid-input");
        await desk.RefusedAsync(HttpMethod.Put, at, new { refereeId = tournament + "-r1", despite = new string('x', 201) }, 400, "invalid-input");
        var appointed = await desk.SendAsync(HttpMethod.Put, at, new { refereeId = tournament + "-r1", despite = "nobody else" }, HttpStatusCode.OK);
        Assert.Equal(("Own", "nobody else"), (appointed.Text("name"), appointed.Text("despite")));
        Assert.Equal(["ownClub"], appointed["against"]!.AsArray().Select(b => b!.GetValue<string>()));

        var seen = (await shared.Host.Public.GetAsync<JsonObject>($"/api/competitions/{competition}/referees")).Items("appointments").Single();
        Assert.Equal("Own", seen.Text("name"));
        Assert.Null(seen["despite"]);
        Assert.Null((await desk.SendAsync(HttpMethod.Put, at, new { refereeId = (string?)null }, HttpStatusCode.OK))["refereeId"]);
        Assert.Empty(await AllAsync(competition));
    }

    [Fact]
    public async Task Bouts_of_the_tableau_get_referees_and_those_of_a_pool_have_the_one_of_the_pool()
    {
        var tournament = await desk.TournamentAsync();
        var competition = await desk.CompetitionAsync(8, tournamentId: tournament, checkIn: false, formula: new { pools = new { rounds = 0 } });
        await ListAsync(tournament, "A,Riverside,epee\nB,Riverside,epee\n");
        await desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau/referees", null, 409, "step-missing");
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);

        // Without strips all four are taken to be fenced at once.
        Assert.Equal(2, (await TableauAsync(competition)).Items("uncovered").Length);
        Assert.Empty((await TableauAsync(competition, new { atOnce = 2 })).Items("uncovered"));
        var all = await AllAsync(competition);
        Assert.Equal([8, 8, 8, 8], all.Select(a => a.Number("tableOf")));
        Assert.Equal([2, 2], all.CountBy(a => a.Text("refereeId")).Select(n => n.Value));

        var final = (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/tableau")).Items("rounds")[^1].Items("bouts").Single().Id();
        await desk.SendAsync(HttpMethod.Put, $"/api/bouts/{final}/referee", new { refereeId = tournament + "-r1" }, HttpStatusCode.OK);
        var first = all[0].Text("at");
        await desk.ResultAsync(first, 15, 3);
        await desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{first}/referee", new { refereeId = tournament + "-r1" }, 409, "bout-decided");

        var (_, _, pools) = await DrawnAsync(6, poolCount: 1);
        var poolBout = (await desk.GetAsync<JsonObject>($"/api/pools/{pools[0]}")).Items("bouts")[0].Id();
        await desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{poolBout}/referee", new { refereeId = (string?)null }, 409, "step-missing");
        await desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{competition}-d9t8b1/referee", new { refereeId = (string?)null }, 404, "not-found");
    }

    [Fact]
    public async Task Who_fences_or_has_a_pool_elsewhere_is_not_assigned()
    {
        var (tournament, competition, _) = await DrawnAsync(6, poolCount: 1);
        await ListAsync(tournament, "Fencer003,Club 3,epee\nLind,Riverside,epee\n");
        // The first of them is listed with the given name that the entry list has.
        await desk.SendAsync(HttpMethod.Put, $"/api/referees/{tournament}-r1", new { familyName = "Fencer003", givenName = "Robin", club = "club 3", weapons = new[] { "epee" } }, HttpStatusCode.OK);
        Assert.Equal("Lind", (await AssignAsync(competition)).Items("appointed").Single().Text("name"));

        var other = await desk.CompetitionAsync(0, "epee", tournamentId: tournament, checkIn: false);
        using var list = new StringContent("familyName,givenName\nX,1\nY,2\nZ,3\n", Encoding.UTF8, "text/csv");
        Assert.Equal(200, (await desk.AskAsync(HttpMethod.Post, $"/api/competitions/{other}/entrants", list)).Status);
        await desk.DrawPoolsAsync(other);
        var uncovered = (await AssignAsync(other)).Items("uncovered").Single();
        Assert.Equal("nobodyFree", uncovered.Text("reason"));
        Assert.Equal([("Lind", "elsewhere")], uncovered.Items("waysOut").Select(w => (w.Text("name"), w.Text("rule"))));
        await desk.FenceRoundAsync(competition);
        Assert.Equal("Lind", (await AssignAsync(other)).Items("appointed").Single().Text("name"));
    }

    [Fact]
    public async Task A_repeat_with_its_key_counts_once_and_a_stale_version_is_refused()
    {
        var (tournament, competition, pools) = await DrawnAsync(6, poolCount: 1);
        await ListAsync(tournament, "Lind,Riverside,epee\n");
        var (_, etag) = await desk.ReadAsync($"/api/competitions/{competition}");
        var at = $"/api/competitions/{competition}/pool-rounds/1/referees";
        var first = await desk.AskAsync(HttpMethod.Post, at, null, ("If-Match", etag), ("Idempotency-Key", "assign"));
        Assert.Equal(200, first.Status);
        Assert.Equal(first.Body, (await desk.AskAsync(HttpMethod.Post, at, null, ("If-Match", etag), ("Idempotency-Key", "assign"))).Body);
        await desk.RefusedAsync(HttpMethod.Put, $"/api/pools/{pools[0]}/referee", new { refereeId = (string?)null }, 412, "stale", ("If-Match", etag));
        await desk.RefusedAsync(HttpMethod.Post, at, new { atOnce = 0 }, 400, "invalid-input");
        await desk.RefusedAsync(HttpMethod.Post, at, new { begins = "soon" }, 400, "invalid-input");
        await desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/2/referees", null, 404, "not-found");
    }

    [Fact]
    public async Task Hours_count_from_the_time_that_is_given()
    {
        var (tournament, competition, _) = await DrawnAsync(6, poolCount: 1);
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/referees", new { familyName = "Lind", weapons = new[] { "epee" }, to = "10:00" }, HttpStatusCode.Created);
        // A pool of six is 15 bouts of five minutes.
        Assert.Equal("nobodyFree", (await AssignAsync(competition, new { begins = "09:00" })).Items("uncovered").Single().Text("reason"));
        Assert.Single((await AssignAsync(competition, new { begins = "08:45" })).Items("appointed"));
    }

    private async Task<(string Tournament, string Competition, string[] Pools)> DrawnAsync(int entrants, int poolCount)
    {
        var tournament = await desk.TournamentAsync();
        var competition = await desk.CompetitionAsync(entrants, tournamentId: tournament, checkIn: false);
        var round = await desk.DrawPoolsAsync(competition, new { poolCount, drawSeed = 1 });
        return (tournament, competition, [.. round.Items("pools").Select(p => p.Id())]);
    }

    private async Task ListAsync(string tournament, string rows)
    {
        using var list = new StringContent("familyName,club,weapons,givenName\n" + rows, Encoding.UTF8, "text/csv");
        Assert.Equal(200, (await desk.AskAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/referees", list)).Status);
    }

    private Task<JsonNode> AssignAsync(string competition, object? body = null) =>
        desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/referees", body, HttpStatusCode.OK);

    private Task<JsonNode> TableauAsync(string competition, object? body = null) =>
        desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau/referees", body, HttpStatusCode.OK);

    private async Task<JsonNode[]> AllAsync(string competition) =>
        [.. (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/referees")).Items("appointments")];
}
