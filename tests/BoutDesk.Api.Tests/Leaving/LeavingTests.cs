using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Leaving;

/// <summary>Fencers who leave a competition, and come back.</summary>
[Collection(OneService.Name)]
public class LeavingTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public LeavingTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Fact]
    public async Task Who_withdraws_from_an_open_pool_is_taken_out_of_everybodys_standings_and_counts_again_when_he_is_back()
    {
        var (competition, pool) = await desk.OnePoolAsync(4);
        await desk.FenceRoundAsync(competition);
        var before = await desk.GetAsync<JsonObject>($"/api/pools/{pool.Id()}");
        var leaver = pool.Items("fencers")[0].Text("entrantId");

        var left = await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/withdraw", new { reason = "hurt" }, HttpStatusCode.OK);

        Assert.Equal(("withdrawn", "hurt"), (left.Text("status"), left.Text("reason")));
        var sheet = await desk.GetAsync<JsonObject>($"/api/pools/{pool.Id()}");
        Assert.All(sheet.Items("bouts"), b => Assert.Equal(b.Number("left") == 1 || b.Number("right") == 1 ? "annulled" : "decided", b.Text("status")));
        Assert.Equal("withdrawn", sheet.Items("fencers")[0].Text("status"));
        Assert.DoesNotContain(sheet.Items("standings"), s => s.Text("entrantId") == leaver);
        // The second position lost to the first only; now nobody has beaten it.
        var second = sheet.Items("standings")[0];
        Assert.Equal((pool.Items("fencers")[1].Text("entrantId"), 2, 2, 10, 4), (second.Text("entrantId"), second.Number("victories"), second.Number("bouts"), second.Number("touchesScored"), second.Number("touchesReceived")));
        var bout = sheet.Items("bouts").First(b => b.Text("status") == "annulled").Id();
        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, 409, "bout-annulled");

        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/reinstate", new { reason = "only a cramp" }, HttpStatusCode.OK);

        var after = await desk.GetAsync<JsonObject>($"/api/pools/{pool.Id()}");
        // Leaving and coming back are two more versions of a bout, and all else is as it was.
        foreach (var one in before.Items("bouts").Concat(after.Items("bouts")))
        {
            one.AsObject().Remove("version");
        }

        Assert.True(JsonNode.DeepEquals(before["bouts"], after["bouts"]));
        Assert.True(JsonNode.DeepEquals(before["standings"], after["standings"]));
    }

    [Fact]
    public async Task Who_leaves_makes_up_for_his_open_bouts_when_the_round_is_closed()
    {
        var (competition, pool) = await desk.OnePoolAsync(4);
        foreach (var bout in pool.Items("bouts").Where(b => b.Number("left") != 4 && b.Number("right") != 4))
        {
            await desk.ResultAsync(bout.Id(), 5, 1);
        }

        var refused = await desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, 409, "bouts-open");
        Assert.Equal(3, refused.Items("concerns").Length);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{pool.Items("fencers")[3].Text("entrantId")}/absent", null, HttpStatusCode.OK);

        var closed = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, HttpStatusCode.OK);
        Assert.Equal(3, closed.Items("ranking").Length);
        Assert.All(closed.Items("ranking"), line => Assert.Equal(2, line.Number("bouts")));
        // Marked absent after the draw he has no place.
        Assert.Equal(3, (await desk.ListAsync($"/api/competitions/{competition}/classification")).Count);
    }

    [Fact]
    public async Task A_black_card_of_a_referee_in_a_pool_excludes_the_fencer_from_the_competition()
    {
        var tournament = await desk.TournamentAsync();
        var (competition, pool) = await desk.OnePoolAsync(4, tournamentId: tournament);
        using var referee = await host.RefereeAsync(tournament, pools: [pool.Id()]);
        var bouts = pool.Items("bouts");
        await referee.ResultAsync(bouts[1].Id(), 5, 3);
        var bout = bouts[0];
        var excluded = pool.Items("fencers")[bout.Number("right") - 1].Text("entrantId");

        var answer = await referee.SendAsync(HttpMethod.Post, $"/api/bouts/{bout.Id()}/cards", new { side = "right", card = "black", reason = "violence" }, HttpStatusCode.OK);

        Assert.Equal("annulled", answer.Text("status"));
        var sheet = await desk.GetAsync<JsonObject>($"/api/pools/{pool.Id()}");
        Assert.Equal("excluded", sheet.Items("fencers")[bout.Number("right") - 1].Text("status"));
        Assert.Equal(3, sheet.Items("bouts").Count(b => b.Text("status") == "annulled"));
        Assert.Equal(3, sheet.Items("standings").Length);
        Assert.Equal("violence", (await desk.GetAsync<JsonObject>($"/api/entrants/{excluded}")).Text("reason"));

        // The desk lifts it; the card goes with it.
        await desk.RefusedAsync(HttpMethod.Delete, $"/api/bouts/{bout.Id()}/cards/last", null, 409, "bout-annulled");
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{excluded}/reinstate", new { reason = "wrong fencer" }, HttpStatusCode.OK);
        var lifted = await desk.GetAsync<JsonObject>($"/api/bouts/{bout.Id()}");
        Assert.Equal("open", lifted.Text("status"));
        Assert.Empty(lifted.Items("cards"));
        await desk.FenceRoundAsync(competition);
        Assert.Equal(4, (await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, HttpStatusCode.OK)).Items("ranking").Length);
    }

    [Fact]
    public async Task A_black_card_in_the_tableau_sends_the_opponent_on_and_strikes_the_fencer_from_the_classification()
    {
        var competition = await desk.TableauAloneAsync(4);
        var semi = (await desk.TableAsync(competition, 4))[0];
        await desk.AskTouchAsync(semi.Id(), "left");

        var answer = await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{semi.Id()}/cards", new { side = "left", card = "black", reason = "violence" }, HttpStatusCode.OK);

        Assert.Equal(("decided", "right"), (answer.Text("status"), answer.Text("winner")));
        Assert.Equal(semi["right"].Text("entrantId"), (await desk.TableAsync(competition, 2))[0]["left"].Text("entrantId"));
        await desk.FenceTableauAsync(competition);
        var classification = await desk.ListAsync($"/api/competitions/{competition}/classification");
        Assert.Equal(3, classification.Count);
        Assert.DoesNotContain(classification, l => l.Text("entrantId") == semi["left"].Text("entrantId"));
        Assert.Equal([1, 2, 3], classification.Select(l => l.Number("place")));
    }

    [Fact]
    public async Task Who_withdraws_from_the_tableau_keeps_his_place_and_his_next_opponent_goes_on()
    {
        var competition = await desk.TableauAloneAsync(8);
        var quarters = await desk.TableAsync(competition, 8);
        foreach (var bout in quarters)
        {
            await desk.ResultAsync(bout.Id(), 15, 4);
        }

        var semi = (await desk.TableAsync(competition, 4))[0];
        var leaver = semi["left"].Text("entrantId");
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/withdraw", new { reason = "hurt" }, HttpStatusCode.OK);

        Assert.Equal("right", (await desk.TableAsync(competition, 4))[0].Text("winner"));
        Assert.Equal(semi["right"].Text("entrantId"), (await desk.TableAsync(competition, 2))[0]["left"].Text("entrantId"));
        await desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{semi.Id()}/result", new { left = 15, right = 3, winner = "left" }, 409, "bout-decided");
        await desk.FenceTableauAsync(competition);
        var classification = await desk.ListAsync($"/api/competitions/{competition}/classification");
        Assert.Equal(8, classification.Count);
        Assert.Equal((3, "table of 4"), classification.Where(l => l.Text("entrantId") == leaver).Select(l => (l.Number("place"), l.Text("reached"))).Single());
    }

    [Fact]
    public async Task Who_comes_back_into_the_tableau_does_so_over_bouts_that_have_begun_only_when_told_to()
    {
        var competition = await desk.TableauAloneAsync(4);
        var semis = await desk.TableAsync(competition, 4);
        var leaver = semis[0]["left"].Text("entrantId");
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/withdraw", new { reason = "hurt" }, HttpStatusCode.OK);
        await desk.ResultAsync(semis[1].Id(), 15, 4);
        var final = (await desk.TableAsync(competition, 2))[0].Id();
        await desk.AskTouchAsync(final, "right");

        var refused = await desk.RefusedAsync(HttpMethod.Post, $"/api/entrants/{leaver}/reinstate", new { reason = "a mistake" }, 409, "correction-has-consequences");
        Assert.Equal([final], refused.Items("concerns").Select(c => c.GetValue<string>()));
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{leaver}/reinstate", new { reason = "a mistake", later = "scrap" }, HttpStatusCode.OK);

        Assert.Equal("open", (await desk.TableAsync(competition, 4))[0].Text("status"));
        var waiting = await desk.GetAsync<JsonObject>($"/api/bouts/{final}");
        Assert.Equal("waiting", waiting.Text("status"));
        Assert.Null(waiting["score"]);
    }

    [Fact]
    public async Task Who_is_excluded_after_the_last_bout_is_struck_and_those_behind_move_up()
    {
        var competition = await desk.TableauAloneAsync(4);
        await desk.FenceTableauAsync(competition);
        var before = await desk.ListAsync($"/api/competitions/{competition}/classification");

        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{before[0].Text("entrantId")}/exclude", new { reason = "found out later" }, HttpStatusCode.OK);

        var after = await desk.ListAsync($"/api/competitions/{competition}/classification");
        Assert.Equal(before.Skip(1).Select(l => l.Text("entrantId")), after.Select(l => l.Text("entrantId")));
        Assert.Equal([1, 2, 2], after.Select(l => l.Number("place")));
        Assert.Equal("finished", (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}")).Text("stage"));
    }

    [Fact]
    public async Task Who_leaves_between_pools_and_tableau_is_not_drawn_and_keeps_the_place_of_his_ranking()
    {
        var competition = await desk.ClosedPoolsAsync(6);
        var seeding = await desk.ListAsync($"/api/competitions/{competition}/seeding");
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{seeding[0].Text("entrantId")}/withdraw", new { reason = "train to catch" }, HttpStatusCode.OK);

        var tableau = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);

        Assert.Equal(
            seeding.Skip(1).Select(s => s.Text("entrantId")),
            (await desk.ListAsync($"/api/competitions/{competition}/seeding")).Select(s => s.Text("entrantId")));
        Assert.DoesNotContain(seeding[0].Text("entrantId"), tableau.ToJsonString(), StringComparison.Ordinal);
        await desk.FenceTableauAsync(competition);
        var last = (await desk.ListAsync($"/api/competitions/{competition}/classification"))[^1];
        Assert.Equal((6, seeding[0].Text("entrantId"), "pool round 1"), (last.Number("place"), last.Text("entrantId"), last.Text("reached")));
    }

    [Fact]
    public async Task A_black_card_tells_what_follows_and_a_yellow_one_nothing()
    {
        var (_, pool) = await desk.OnePoolAsync(4);
        var bout = pool.Items("bouts")[0].Id();

        var yellow = await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/cards", new { side = "left", card = "yellow", reason = "covering" }, HttpStatusCode.OK);
        Assert.Empty(yellow.Items("consequences"));
        var black = await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/cards", new { side = "left", group = 4, reason = "violence" }, HttpStatusCode.OK);
        Assert.Equal(["poolBoutsAnnulled", "excludedHasNoPlace"], black.Items("consequences").Select(c => c.Text("rule")));
    }

    [Fact]
    public async Task Whoever_leaves_is_told_what_follows_and_by_which_rule()
    {
        var id = await desk.CompetitionAsync(4, formula: new { pools = new { rounds = 0 } }, checkIn: false);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, HttpStatusCode.Created);
        var entrants = await desk.ListAsync($"/api/competitions/{id}/entrants");

        var left = await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[0].Id()}/withdraw", new { reason = "hurt", cause = "injury" }, HttpStatusCode.OK);
        Assert.Equal("injury", left.Text("cause"));
        Assert.Equal(["opponentGoesOn", "placeKept"], left.Items("consequences").Select(c => c.Text("rule")));
        var again = await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[0].Id()}/withdraw", new { reason = "hurt", cause = "injury" }, HttpStatusCode.OK);
        Assert.Empty(again.Items("consequences"));

        var excluded = await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[1].Id()}/exclude", new { reason = "violence" }, HttpStatusCode.OK);
        Assert.Equal(["opponentGoesOn", "excludedHasNoPlace"], excluded.Items("consequences").Select(c => c.Text("rule")));

        // What made him leave is a private matter.
        var seen = await host.Public.GetAsync<JsonObject>($"/api/entrants/{entrants[0].Id()}");
        Assert.Null(seen["cause"]);
        Assert.Null(seen["reason"]);
    }
}
