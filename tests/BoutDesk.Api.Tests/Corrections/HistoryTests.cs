using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Corrections;

/// <summary>What the history of a bout tells, and to whom.</summary>
[Collection(OneService.Name)]
public class HistoryTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public HistoryTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Fact]
    public async Task The_history_says_who_did_what_and_when_from_the_draw_to_the_correction()
    {
        var began = DateTimeOffset.UtcNow;
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(3, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        var given = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "referee", pools = new[] { pool.Id() } }, HttpStatusCode.Created);
        using var referee = host.Client(given.Text("pass"));

        await referee.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "both", at = "2026-11-28T10:15:30.25+01:00" }, HttpStatusCode.OK);
        await referee.SendAsync(HttpMethod.Delete, $"/api/bouts/{bout}/touches/last", null, HttpStatusCode.OK);
        await referee.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/cards", new { side = "right", card = "red", reason = "turned his back" }, HttpStatusCode.OK);
        await referee.ResultAsync(bout, 5, 4);
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{bout}");
        Assert.Equal(200, (await desk.AskResultAsync(bout, 4, 5, etag, "sides were exchanged")).Status);

        var history = await desk.ListAsync($"/api/bouts/{bout}/history");
        Assert.Equal(
            ["bout-programmed", "touch-scored", "touch-taken-back", "card-shown", "result-recorded", "result-corrected"],
            history.Select(l => l.Text("what")));
        Assert.Equal([1, 2, 3, 4, 5, 6], history.Select(l => l.Number("version")));
        var refereePass = given.Id();
        Assert.Equal(
            ["desk-configured", refereePass, refereePass, refereePass, refereePass, "desk-configured"],
            history.Select(l => l.Text("by")));
        var times = history.Select(l => DateTimeOffset.Parse(l.Text("at"))).ToArray();
        Assert.Equal(times.Order(), times);
        Assert.InRange(times[0], began.AddSeconds(-1), DateTimeOffset.UtcNow.AddSeconds(1));

        Assert.Equal("both", history[1]["details"].Text("side"));
        Assert.Equal("""{"left":1,"right":1}""", history[1]["details"]!["score"]!.ToJsonString());
        Assert.Equal(DateTimeOffset.Parse("2026-11-28T09:15:30.25Z"), DateTimeOffset.Parse(history[1]["details"].Text("at")));
        Assert.Equal("turned his back", history[3]["details"].Text("reason"));
        Assert.Equal("""{"left":1,"right":0}""", history[3]["details"]!["score"]!.ToJsonString());
        Assert.Equal("right", history[5]["details"].Text("winner"));
        Assert.Equal("sides were exchanged", history[5]["details"].Text("reason"));
    }

    [Fact]
    public async Task Reasons_in_the_history_are_for_the_desk_of_the_tournament_only()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(4, tournamentId: tournament);
        var bout = pool.Items("bouts")[0];
        var leaver = pool.Items("fencers")[bout.Number("left") - 1].Text("entrantId");
        await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout.Id()}/cards", new { side = "right", card = "yellow", reason = "secret offence" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/withdraw", new { reason = "secret illness" }, HttpStatusCode.OK);
        using var referee = await host.RefereeAsync(tournament, pools: [pool.Id()]);
        var elsewhere = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{await desk.TournamentAsync()}/passes", new { kind = "desk" }, HttpStatusCode.Created);
        using var otherDesk = host.Client(elsewhere.Text("pass"));

        var forDesk = await desk.AskAsync(HttpMethod.Get, $"/api/bouts/{bout.Id()}/history");
        Assert.Contains("secret offence", forDesk.Body, StringComparison.Ordinal);
        Assert.Contains("secret illness", forDesk.Body, StringComparison.Ordinal);
        foreach (var other in new[] { host.Public, referee, otherDesk })
        {
            foreach (var path in new[] { $"/api/bouts/{bout.Id()}/history", $"/api/bouts/{bout.Id()}", $"/api/entrants/{leaver}", $"/api/pools/{pool.Id()}" })
            {
                var answer = await other.AskAsync(HttpMethod.Get, path);
                Assert.Equal(200, answer.Status);
                Assert.DoesNotContain("secret", answer.Body, StringComparison.Ordinal);
            }
        }
    }

    [Fact]
    public async Task The_history_names_the_rule_by_which_a_pool_bout_does_not_count()
    {
        var (_, pool) = await desk.OnePoolAsync(4);
        var bout = pool.Items("bouts")[0];
        var leaver = pool.Items("fencers")[bout.Number("left") - 1].Text("entrantId");
        await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout.Id()}/cards", new { side = "right", card = "yellow", reason = "covering" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/withdraw", new { reason = "hurt" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/reinstate", new { reason = "a mistake" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout.Id()}/cards", new { side = "left", card = "black", reason = "violence" }, HttpStatusCode.OK);

        Assert.Equal(
            [("bout-programmed", null), ("card-shown", null), ("bout-annulled", "poolBoutsAnnulled"), ("bout-restored", null), ("card-shown", null), ("bout-annulled", "poolBoutsAnnulled")],
            await RulesAsync(bout.Id()));
    }

    [Fact]
    public async Task The_history_names_the_rule_by_which_an_elimination_bout_is_lost()
    {
        var competition = await desk.TableauAloneAsync(4, thirdPlace: "bout");
        var semis = await desk.TableAsync(competition, 4);
        var leaver = semis[1]["right"].Text("entrantId");

        var black = await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{semis[0].Id()}/cards", new { side = "left", card = "black", reason = "violence" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/withdraw", new { reason = "hurt" }, HttpStatusCode.OK);

        Assert.Equal(["opponentGoesOn", "excludedHasNoPlace"], black.Items("consequences").Select(c => c.Text("rule")));
        Assert.Equal([("bout-programmed", null), ("card-shown", "opponentGoesOn")], await RulesAsync(semis[0].Id()));
        Assert.Equal([("bout-programmed", null), ("fencer-out", "opponentGoesOn")], await RulesAsync(semis[1].Id()));
        var third = (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/tableau"))["thirdPlace"]!.Id();
        Assert.Equal(
            [("bout-programmed", null), ("seat-taken", "opponentGoesOn"), ("seat-taken", "opponentGoesOn")],
            await RulesAsync(third));
    }

    private async Task<IEnumerable<(string What, string? Rule)>> RulesAsync(string bout) =>
        (await host.Public.ListAsync($"/api/bouts/{bout}/history")).Select(line => (line.Text("what"), line["rule"]?.GetValue<string>()));
}
