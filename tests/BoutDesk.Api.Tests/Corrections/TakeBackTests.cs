using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Corrections;

/// <summary>Results that belong to another bout.</summary>
[Collection(OneService.Name)]
public class TakeBackTests
{
    private readonly HttpClient desk;

    public TakeBackTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task A_pool_result_is_taken_back_and_the_bout_is_as_it_was()
    {
        var competition = await desk.CompetitionAsync(4);
        var pool = (await desk.DrawPoolsAsync(competition))["pools"]![0]!.Id();
        var bout = (await desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]![0]!.Id();
        await desk.AskTouchAsync(bout, "right");
        await desk.ResultAsync(bout, 5, 2);

        Assert.Equal("version-needed", (await desk.AskAsync(HttpMethod.Delete, $"/api/bouts/{bout}/result")).Problem);
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{bout}");
        var answer = await desk.AskAsync(HttpMethod.Delete, $"/api/bouts/{bout}/result?reason=wrong%20row", null, ("If-Match", etag));

        Assert.Equal(200, answer.Status);
        Assert.Equal("fencing", answer.Json["status"]!.GetValue<string>());
        Assert.Equal(1, answer.Json["score"]!["right"]!.GetValue<int>());
        Assert.Equal("nothing-to-take-back", (await desk.AskAsync(HttpMethod.Delete, $"/api/bouts/{bout}/result", null, ("If-Match", answer.ETag!))).Problem);
        var history = await desk.ListAsync($"/api/bouts/{bout}/history");
        Assert.Equal(("result-taken-back", "wrong row"), (history[^1]["what"]!.GetValue<string>(), history[^1]["details"]!["reason"]!.GetValue<string>()));
    }

    [Fact]
    public async Task A_result_of_the_tableau_is_taken_back_with_its_winner_and_only_as_told_when_the_next_bout_has_begun()
    {
        var competition = await desk.CompetitionAsync(4, formula: new { pools = new { rounds = 0 } });
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", new { drawSeed = 7 }, HttpStatusCode.Created);
        var tables = (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/tableau"))["rounds"]!.AsArray();
        var (one, other, final) = (tables[0]!["bouts"]![0]!.Id(), tables[0]!["bouts"]![1]!.Id(), tables[1]!["bouts"]![0]!.Id());
        await desk.ResultAsync(one, 15, 4);
        await desk.ResultAsync(other, 15, 9);
        await desk.AskTouchAsync(final, "left");

        var (_, etag) = await desk.ReadAsync($"/api/bouts/{one}");
        var asked = await desk.AskAsync(HttpMethod.Delete, $"/api/bouts/{one}/result", null, ("If-Match", etag));
        Assert.Equal("correction-has-consequences", asked.Problem);

        var done = await desk.AskAsync(HttpMethod.Delete, $"/api/bouts/{one}/result?later=scrap", null, ("If-Match", etag));
        Assert.Equal("open", done.Json["status"]!.GetValue<string>());
        var after = (await desk.ReadAsync($"/api/bouts/{final}")).Body;
        Assert.Equal("waiting", after["status"]!.GetValue<string>());
        Assert.Null(after["left"]);
    }

    [Fact]
    public async Task An_announcement_is_on_the_board_until_it_is_taken_down()
    {
        var tournament = await desk.TournamentAsync();
        var made = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/announcements", new { text = "Lunch is served until one." }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/announcements", new { text = "A glove was found." }, HttpStatusCode.Created);
        Assert.Equal(
            ["A glove was found.", "Lunch is served until one."],
            (await desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}"))["announcements"]!.AsArray().Select(a => a!["text"]!.GetValue<string>()));

        foreach (var _ in new[] { "once", "and again" })
        {
            Assert.Equal(204, (await desk.AskAsync(HttpMethod.Delete, $"/api/tournaments/{tournament}/announcements/{made.Id()}")).Status);
        }

        Assert.Equal(
            ["A glove was found."],
            (await desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}"))["announcements"]!.AsArray().Select(a => a!["text"]!.GetValue<string>()));
        Assert.Equal("invalid-input", (await desk.AskAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/announcements", new { text = "two\nlines" })).Problem);
    }
}
