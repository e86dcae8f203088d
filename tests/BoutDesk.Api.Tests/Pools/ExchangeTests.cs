using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Pools;

/// <summary>Fencers of a draw are exchanged by hand, and check-ins taken back, over HTTP.</summary>
[Collection(OneService.Name)]
public class ExchangeTests
{
    private readonly HttpClient desk;

    public ExchangeTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task A_dry_run_says_what_an_exchange_would_do_and_keeps_nothing()
    {
        var (competition, round) = await TwoPoolsAsync();
        var answer = await ExchangeAsync(competition, Fencer(round, 0, 1), Fencer(round, 1, 1), HttpStatusCode.OK, "?dryRun=true");
        Assert.Equal((1, 2), (answer["first"].Number("from"), answer["first"].Number("to")));
        Assert.Equal("club", answer.Items("separation").Single().Text("kind"));
        Assert.Equal(Pools(round), Pools(await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1")));
    }

    [Fact]
    public async Task Two_fencers_change_pools_with_their_bouts_and_back_again()
    {
        var (competition, round) = await TwoPoolsAsync();
        var (first, second) = (Fencer(round, 0, 1), Fencer(round, 1, 1));
        await ExchangeAsync(competition, first, second, HttpStatusCode.OK);
        var now = await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1");
        Assert.Contains(first, Pool(now, 1));
        Assert.Contains(second, Pool(now, 0));
        var bouts = await desk.ListAsync($"/api/pools/{now.Items("pools")[1].Id()}/bouts");
        Assert.Equal(Pool(now, 1).Count - 1, bouts.Count(b => b.Text("leftEntrantId") == first || b.Text("rightEntrantId") == first));
        await ExchangeAsync(competition, second, first, HttpStatusCode.OK);
        Assert.Equal(Pools(round), Pools(await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1")));
    }

    [Fact]
    public async Task Once_a_bout_of_the_two_pools_has_begun_they_stand()
    {
        var (competition, round) = await TwoPoolsAsync();
        var pool = await desk.GetAsync<JsonObject>($"/api/pools/{round.Items("pools")[0].Id()}");
        await desk.AskTouchAsync(pool.Items("bouts")[0].Id(), "left");
        var refused = await ExchangeAsync(competition, Fencer(round, 0, 1), Fencer(round, 1, 1), HttpStatusCode.Conflict);
        Assert.EndsWith("bouts-begun", refused.Text("type"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Who_is_not_drawn_is_named_by_the_field()
    {
        var (competition, round) = await TwoPoolsAsync();
        var refused = await ExchangeAsync(competition, Fencer(round, 0, 1), "nobody", HttpStatusCode.BadRequest);
        Assert.NotNull(refused["errors"]!["second"]);
        refused = await ExchangeAsync(competition, null, "nobody", HttpStatusCode.BadRequest);
        Assert.NotNull(refused["errors"]!["first"]);
    }

    [Fact]
    public async Task A_repeat_with_the_version_that_was_seen_does_not_exchange_them_back()
    {
        var (competition, round) = await TwoPoolsAsync();
        var (first, second) = (Fencer(round, 0, 1), Fencer(round, 1, 1));
        var (_, etag) = await desk.ReadAsync($"/api/competitions/{competition}");
        var address = $"/api/competitions/{competition}/pool-rounds/1/exchange";
        await desk.SendAsync(HttpMethod.Post, address, new { first, second }, HttpStatusCode.OK, ("If-Match", etag));
        await desk.RefusedAsync(HttpMethod.Post, address, new { first, second }, 412, "stale", ("If-Match", etag));
        Assert.Contains(first, Pool(await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1"), 1));
    }

    [Fact]
    public async Task A_check_in_is_taken_back()
    {
        var competition = await desk.CompetitionAsync(4, checkIn: false);
        var entrant = (await desk.ListAsync($"/api/competitions/{competition}/entrants"))[0].Id();
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/check-in", null, HttpStatusCode.OK);
        var back = await desk.SendAsync(HttpMethod.Delete, $"/api/entrants/{entrant}/check-in", null, HttpStatusCode.OK);
        Assert.Equal("entered", back.Text("status"));
        await desk.DrawPoolsAsync(competition);
        await desk.SendAsync(HttpMethod.Delete, $"/api/entrants/{entrant}/check-in", null, HttpStatusCode.OK);
    }

    private async Task<(string Competition, JsonObject Round)> TwoPoolsAsync()
    {
        var competition = await desk.CompetitionAsync(8, checkIn: false);
        return (competition, (JsonObject)await desk.DrawPoolsAsync(competition, new { poolCount = 2, drawSeed = 1 }));
    }

    private Task<JsonNode> ExchangeAsync(string competition, string? first, string second, HttpStatusCode status, string query = "") =>
        desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/exchange{query}", new { first, second }, status);

    private static string Fencer(JsonNode round, int pool, int position) => round.Items("pools")[pool].Items("fencers")[position].Text("entrantId");

    private static List<string> Pool(JsonNode round, int pool) => [.. round.Items("pools")[pool].Items("fencers").Select(f => f.Text("entrantId"))];

    private static IEnumerable<string> Pools(JsonNode round) => round.Items("pools").Select((_, i) => string.Join(' ', Pool(round, i)));
}
