using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Corrections;

/// <summary>Correcting the results of pool bouts.</summary>
[Collection(OneService.Name)]
public class PoolCorrectionTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public PoolCorrectionTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Fact]
    public async Task Until_it_is_confirmed_the_referee_can_confirm_another_result_than_the_touches_say()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(3, touches: 3, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        using var referee = await host.RefereeAsync(tournament, pools: [pool.Id()]);
        for (var touch = 0; touch < 3; touch++)
        {
            await referee.AskTouchAsync(bout, "left");
        }

        var (over, _) = await desk.ReadAsync($"/api/bouts/{bout}");
        Assert.Equal(("decided", "left", false), (over.Text("status"), over.Text("winner"), over["confirmed"]!.GetValue<bool>()));
        await referee.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, 409, "bout-decided");

        var confirmed = await referee.AskResultAsync(bout, 2, 3);
        Assert.Equal(200, confirmed.Status);
        Assert.Equal(("right", true), (confirmed.Json.Text("winner"), confirmed.Json["confirmed"]!.GetValue<bool>()));
    }

    [Fact]
    public async Task A_confirmed_result_is_corrected_by_the_desk_alone_naming_the_version_it_has_read()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(3, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        using var referee = await host.RefereeAsync(tournament, pools: [pool.Id()]);
        var confirmed = await referee.AskResultAsync(bout, 5, 2);
        Assert.Equal(200, confirmed.Status);

        // The same once more changes nothing, whoever sends it.
        Assert.Equal(confirmed, await referee.AskResultAsync(bout, 5, 2));
        Assert.Equal(confirmed, await desk.AskResultAsync(bout, 5, 2));

        Assert.Equal((409, "desk-only"), Refusal(await referee.AskResultAsync(bout, 5, 3)));
        Assert.Equal((409, "desk-only"), Refusal(await referee.AskResultAsync(bout, 5, 3, confirmed.ETag)));
        Assert.Equal((428, "version-needed"), Refusal(await desk.AskResultAsync(bout, 5, 3)));
        await desk.RefusedAsync(HttpMethod.Delete, $"/api/bouts/{bout}/touches/last", null, 409, "desk-only");

        // The answer's ETag is the one that a read gives.
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{bout}");
        Assert.Equal(etag, confirmed.ETag);
        var corrected = await desk.AskResultAsync(bout, 5, 3, etag, "a touch was missed");
        Assert.Equal((200, """{"left":5,"right":3}"""), (corrected.Status, corrected.Json["score"]!.ToJsonString()));
        Assert.Equal((412, "stale"), Refusal(await desk.AskResultAsync(bout, 5, 4, etag)));
        Assert.Equal(200, (await desk.AskResultAsync(bout, 5, 4, corrected.ETag)).Status);
    }

    [Fact]
    public async Task A_correction_turns_the_standings_round()
    {
        var (_, pool) = await desk.OnePoolAsync(3);
        var bouts = pool.Items("bouts");
        foreach (var bout in bouts)
        {
            await desk.ResultAsync(bout.Id(), 5, 0);
        }

        var first = bouts[0];
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{first.Id()}");
        Assert.Equal(200, (await desk.AskResultAsync(first.Id(), 0, 5, etag)).Status);

        var sheet = await desk.GetAsync<JsonObject>($"/api/pools/{pool.Id()}");
        Races.SheetArithmetic.AssertRanks(sheet, sheet.Items("standings"), "after the correction");
        Assert.Equal("right", sheet.Items("bouts")[0].Text("winner"));
    }

    [Fact]
    public async Task Once_the_round_is_closed_a_correction_needs_a_reason_and_a_word_on_later_draws()
    {
        var (competition, pool) = await ClosedAsync();
        var bout = BoutOfTheBestTwo(pool);
        var (read, etag) = await desk.ReadAsync($"/api/bouts/{bout}");
        var (left, right) = (read["score"].Number("right"), read["score"].Number("left"));

        Assert.Equal((428, "version-needed"), Refusal(await desk.AskResultAsync(bout, left, right, reason: "exchanged", later: "keep")));
        var unexplained = await desk.AskResultAsync(bout, left, right, etag);
        Assert.Equal((400, "invalid-input"), Refusal(unexplained));
        Assert.NotNull(unexplained.Json["errors"]!["reason"]);
        var listed = await desk.AskResultAsync(bout, left, right, etag, "exchanged");
        Assert.Equal((409, "correction-has-consequences"), Refusal(listed));
        var concerns = listed.Json.Items("concerns").Select(c => c.GetValue<string>()).ToArray();
        Assert.Contains(concerns, c => c.StartsWith("Rank 1: ", StringComparison.Ordinal));
        Assert.DoesNotContain(concerns, c => c.StartsWith("The tableau was drawn", StringComparison.Ordinal));
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        Assert.Contains(
            "The tableau was drawn from this ranking.",
            (await desk.AskResultAsync(bout, left, right, etag, "exchanged")).Json.Items("concerns").Select(c => c.GetValue<string>()));

        // Nothing of all this was kept.
        Assert.Equal(etag, (await desk.ReadAsync($"/api/bouts/{bout}")).ETag);
    }

    [Fact]
    public async Task A_correction_after_the_closing_that_keeps_later_draws_changes_the_ranking_and_nothing_else()
    {
        var (competition, pool) = await ClosedAsync();
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        var tableau = await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/tableau");
        var seeding = await desk.ListAsync($"/api/competitions/{competition}/seeding");
        var bout = BoutOfTheBestTwo(pool);
        var (read, etag) = await desk.ReadAsync($"/api/bouts/{bout}");

        var corrected = await desk.AskResultAsync(bout, read["score"].Number("right"), read["score"].Number("left"), etag, "exchanged", "keep");

        Assert.Equal(200, corrected.Status);
        var sheet = await desk.GetAsync<JsonObject>($"/api/pools/{pool.Id()}");
        var round = await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1");
        Races.SheetArithmetic.AssertRanks(sheet, round.Items("standings"), "after the correction");
        Assert.Equal(seeding[1].Text("entrantId"), round.Items("standings")[0].Text("entrantId"));
        Assert.True(JsonNode.DeepEquals(tableau, await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/tableau")));
        Assert.Equal(
            seeding.Select(s => s.Text("entrantId")),
            (await desk.ListAsync($"/api/competitions/{competition}/seeding")).Select(s => s.Text("entrantId")));
    }

    [Fact]
    public async Task A_correction_after_the_closing_that_scraps_later_draws_lets_them_be_drawn_again()
    {
        var (competition, pool) = await ClosedAsync();
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        var scrapped = (await desk.TableAsync(competition, 4))[0].Id();
        var before = await desk.ListAsync($"/api/competitions/{competition}/seeding");
        var bout = BoutOfTheBestTwo(pool);
        var (read, etag) = await desk.ReadAsync($"/api/bouts/{bout}");

        var corrected = await desk.AskResultAsync(bout, read["score"].Number("right"), read["score"].Number("left"), etag, "exchanged", "scrap");

        Assert.Equal(200, corrected.Status);
        await desk.RefusedAsync(HttpMethod.Get, $"/api/competitions/{competition}/tableau", null, 404, "not-found");
        // A pad that still shows a bout of the old draw is told so.
        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{scrapped}/touches", new { side = "left" }, 409, "bout-annulled");
        await desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{scrapped}/result", new { left = 15, right = 3, winner = "left" }, 409, "bout-annulled");
        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{scrapped}/cards", new { side = "left", card = "yellow", reason = "late" }, 409, "bout-annulled");

        var drawn = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        Assert.NotEqual(scrapped, drawn.Items("rounds")[0].Items("bouts")[0].Id());
        var after = await desk.ListAsync($"/api/competitions/{competition}/seeding");
        Assert.Equal(
            [before[1].Text("entrantId"), before[0].Text("entrantId")],
            after.Take(2).Select(s => s.Text("entrantId")));
        await desk.FenceTableauAsync(competition);
        Assert.Equal("finished", (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}")).Text("stage"));
    }

    [Fact]
    public async Task Later_draws_are_not_scrapped_once_one_of_their_bouts_has_begun()
    {
        var (competition, pool) = await ClosedAsync();
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        var begun = (await desk.TableAsync(competition, 4))[0].Id();
        await desk.AskTouchAsync(begun, "left");
        var bout = BoutOfTheBestTwo(pool);
        var (read, etag) = await desk.ReadAsync($"/api/bouts/{bout}");
        var (left, right) = (read["score"].Number("right"), read["score"].Number("left"));

        var refused = await desk.AskResultAsync(bout, left, right, etag, "exchanged", "scrap");
        Assert.Equal((409, "bouts-begun"), Refusal(refused));
        Assert.Equal([begun], refused.Json.Items("concerns").Select(c => c.GetValue<string>()));
        Assert.Equal(200, (await desk.AskResultAsync(bout, left, right, etag, "exchanged", "keep")).Status);
    }

    [Fact]
    public async Task A_scrapped_round_can_no_longer_be_scored_and_the_new_one_can()
    {
        var (competition, pool) = await desk.OnePoolAsync(4);
        var old = pool.Items("bouts")[0].Id();
        using (var gone = await desk.TryAsync(HttpMethod.Delete, $"/api/competitions/{competition}/pool-rounds/1?reason=late%20entry"))
        {
            Assert.Equal(HttpStatusCode.NoContent, gone.StatusCode);
        }

        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{old}/touches", new { side = "left" }, 409, "bout-annulled");
        var round = await desk.DrawPoolsAsync(competition);
        var anew = await desk.GetAsync<JsonObject>($"/api/pools/{round.Items("pools")[0].Id()}");
        Assert.DoesNotContain(anew.Items("bouts"), b => b.Id() == old);
        Assert.Equal(200, (await desk.AskTouchAsync(anew.Items("bouts")[0].Id(), "left")).Status);
    }

    /// <summary>A closed pool of four: position 1 beat everybody 5:2, position 2 all but position 1, and so on.</summary>
    private async Task<(string Competition, JsonNode Pool)> ClosedAsync()
    {
        var (competition, pool) = await desk.OnePoolAsync(4);
        await desk.FenceRoundAsync(competition);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, HttpStatusCode.OK);
        return (competition, pool);
    }

    private static string BoutOfTheBestTwo(JsonNode pool) =>
        pool.Items("bouts").Single(b => b.Number("left") + b.Number("right") == 3).Id();

    private static (int Status, string? Problem) Refusal(Answered answer) => (answer.Status, answer.Problem);
}
