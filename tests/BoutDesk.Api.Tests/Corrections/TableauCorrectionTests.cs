using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Corrections;

/// <summary>Correcting the results of elimination bouts.</summary>
[Collection(OneService.Name)]
public class TableauCorrectionTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public TableauCorrectionTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Fact]
    public async Task A_correction_seats_the_other_fencer_as_long_as_the_next_bout_has_not_begun()
    {
        var competition = await desk.TableauAloneAsync(4, "bout");
        var semi = (await desk.TableAsync(competition, 4))[0];
        await desk.ResultAsync(semi.Id(), 15, 9);
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{semi.Id()}");

        Assert.Equal(200, (await desk.AskResultAsync(semi.Id(), 9, 15, etag, "exchanged")).Status);

        var tableau = await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/tableau");
        Assert.Equal(semi["right"].Text("entrantId"), tableau.Items("rounds")[1].Items("bouts")[0]["left"].Text("entrantId"));
        Assert.Equal(semi["left"].Text("entrantId"), tableau["thirdPlace"]!["left"].Text("entrantId"));
    }

    [Fact]
    public async Task A_correction_that_takes_a_fencer_out_of_a_bout_that_has_begun_says_which_and_clears_it_when_told_to()
    {
        var competition = await desk.TableauAloneAsync(4);
        var semis = await desk.TableAsync(competition, 4);
        await desk.ResultAsync(semis[0].Id(), 15, 9);
        await desk.ResultAsync(semis[1].Id(), 15, 9);
        var final = (await desk.TableAsync(competition, 2))[0].Id();
        await desk.AskTouchAsync(final, "left");
        await desk.AskTouchAsync(final, "right");
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{semis[0].Id()}");

        var refused = await desk.AskResultAsync(semis[0].Id(), 9, 15, etag, "exchanged");
        Assert.Equal((409, "correction-has-consequences"), (refused.Status, refused.Problem));
        Assert.Equal([final], refused.Json.Items("concerns").Select(c => c.GetValue<string>()));
        var untouched = await desk.GetAsync<JsonObject>($"/api/bouts/{final}");
        Assert.Equal("""{"left":1,"right":1}""", untouched["score"]!.ToJsonString());

        Assert.Equal(200, (await desk.AskResultAsync(semis[0].Id(), 9, 15, etag, "exchanged", "scrap")).Status);
        var cleared = await desk.GetAsync<JsonObject>($"/api/bouts/{final}");
        Assert.Equal("open", cleared.Text("status"));
        Assert.Null(cleared["score"]);
        Assert.Equal(semis[0]["right"].Text("entrantId"), cleared["left"].Text("entrantId"));
        Assert.Equal(semis[1]["left"].Text("entrantId"), cleared["right"].Text("entrantId"));
        await desk.ResultAsync(final, 15, 14);
        Assert.Equal(semis[0]["right"].Text("entrantId"), (await desk.ListAsync($"/api/competitions/{competition}/classification"))[0].Text("entrantId"));
    }

    [Fact]
    public async Task A_referee_does_not_clear_bouts_that_his_pass_is_not_for()
    {
        var tournament = await desk.TournamentAsync();
        var competition = await desk.TableauAloneAsync(4, tournamentId: tournament);
        var semis = await desk.TableAsync(competition, 4);
        for (var touch = 0; touch < 15; touch++)
        {
            await desk.AskTouchAsync(semis[0].Id(), "left");
        }

        await desk.ResultAsync(semis[1].Id(), 15, 9);
        var final = (await desk.TableAsync(competition, 2))[0].Id();
        await desk.AskTouchAsync(final, "left");
        using var referee = await host.RefereeAsync(tournament, bouts: [semis[0].Id()]);

        // The result is not confirmed yet, so he may confirm another one, but not at the cost of the final.
        var path = $"/api/bouts/{semis[0].Id()}/result";
        await referee.RefusedAsync(HttpMethod.Put, path, new { left = 9, right = 15, winner = "right", later = "scrap" }, 403, "pass-insufficient");
        await referee.RefusedAsync(HttpMethod.Put, path, new { left = 9, right = 15, winner = "right" }, 409, "correction-has-consequences");
        Assert.Equal("fencing", (await desk.GetAsync<JsonObject>($"/api/bouts/{final}")).Text("status"));
    }

    [Fact]
    public async Task A_correction_that_leaves_the_winner_as_he_was_does_not_touch_later_bouts()
    {
        var competition = await desk.TableauAloneAsync(4);
        var semis = await desk.TableAsync(competition, 4);
        await desk.ResultAsync(semis[0].Id(), 15, 9);
        await desk.ResultAsync(semis[1].Id(), 15, 9);
        var final = (await desk.TableAsync(competition, 2))[0].Id();
        await desk.AskTouchAsync(final, "left");
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{semis[0].Id()}");
        var (_, before) = await desk.ReadAsync($"/api/bouts/{final}");

        Assert.Equal(200, (await desk.AskResultAsync(semis[0].Id(), 15, 10, etag, "a touch was missed")).Status);

        Assert.Equal(before, (await desk.ReadAsync($"/api/bouts/{final}")).ETag);
    }

    [Fact]
    public async Task Taking_the_last_touch_back_takes_the_winner_out_of_the_next_bout_again()
    {
        var formula = new { pools = new { rounds = 0 }, elimination = new { touches = 2 } };
        var competition = await desk.CompetitionAsync(4, formula: formula, checkIn: false);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        var semi = (await desk.TableAsync(competition, 4))[0].Id();
        await desk.AskTouchAsync(semi, "left");
        await desk.AskTouchAsync(semi, "left");
        Assert.NotNull((await desk.TableAsync(competition, 2))[0]["left"]);

        await desk.SendAsync(HttpMethod.Delete, $"/api/bouts/{semi}/touches/last", null, HttpStatusCode.OK);

        Assert.Null((await desk.TableAsync(competition, 2))[0]["left"]);
        Assert.Equal("fencing", (await desk.TableAsync(competition, 4))[0].Text("status"));
    }

    [Fact]
    public async Task Bouts_of_a_scrapped_tableau_can_no_longer_be_scored()
    {
        var competition = await desk.TableauAloneAsync(5);
        var old = (await desk.TableAsync(competition, 8)).Single(b => b.Text("status") == "open").Id();
        await desk.SendAsync(HttpMethod.Delete, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.NoContent);

        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{old}/touches", new { side = "left" }, 409, "bout-annulled");
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        await desk.FenceTableauAsync(competition);
        await desk.RefusedAsync(HttpMethod.Delete, $"/api/competitions/{competition}/tableau", null, 409, "bouts-begun");
    }
}
