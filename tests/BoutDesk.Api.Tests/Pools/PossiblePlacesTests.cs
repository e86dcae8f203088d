using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Pools;

/// <summary>The places that are still possible, as pools and rounds show them.</summary>
[Collection(OneService.Name)]
public class PossiblePlacesTests
{
    private readonly DeskHost host;

    public PossiblePlacesTests(SharedDesk shared) => host = shared.Host;

    private HttpClient Desk => host.Desk;

    [Fact]
    public async Task They_narrow_with_every_bout_until_they_are_the_places()
    {
        var id = await Desk.CompetitionAsync(4, formula: new { pools = new { promote = new { percent = 50 } } });
        var round = $"/api/competitions/{id}/pool-rounds/1";
        var pool = $"/api/pools/{(await Desk.DrawPoolsAsync(id))["pools"]![0].Id()}";
        var sheet = await host.Public.GetAsync<JsonObject>(pool);
        var entrants = sheet["fencers"]!.AsArray().Select(f => f!["entrantId"]!.GetValue<string>()).ToArray();
        Assert.Equal(["1-4 open", "1-4 open", "1-4 open", "1-4 open"], await LinesAsync(round));
        Assert.Equal(["1-4", "1-4", "1-4", "1-4"], await LinesAsync(pool));

        // 1 and 2 beat 3 and 4: they go on, and fence for the first place.
        foreach (var (winner, loser) in new[] { (1, 3), (1, 4), (2, 3), (2, 4) })
        {
            await BeatsAsync(winner, loser);
        }

        Assert.Equal(["1-2 promoted", "1-2 promoted", "3-4 out", "3-4 out"], await LinesAsync(round));
        Assert.Equal(["1-2", "1-2", "3-4", "3-4"], await LinesAsync(pool));

        // A bout that has begun is open yet. Whoever leaves has no place any more.
        await Desk.SendAsync(HttpMethod.Post, $"/api/bouts/{Bout(1, 2)}/touches", new { side = "left" }, HttpStatusCode.OK);
        Assert.Equal("1-2 promoted", (await LinesAsync(round))[0]);
        await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[3]}/withdraw", new { reason = "Injured." }, HttpStatusCode.OK);
        Assert.Equal(["1-2 promoted", "1-2 promoted", "3-3 out"], await LinesAsync(round));

        await BeatsAsync(2, 1);
        string[] final = ["1-1 promoted", "2-2 promoted", "3-3 out"];
        Assert.Equal(final, await LinesAsync(round));
        var closed = await Desk.SendAsync(HttpMethod.Post, round + "/close", null, HttpStatusCode.OK);
        Assert.Equal(final, closed["ranking"]!.AsArray().Select(Line));
        Assert.Equal(final, await LinesAsync(round));
        Assert.Equal(["1-1", "2-2", "3-3"], await LinesAsync(pool));

        string Bout(int one, int other) => sheet["bouts"]!.AsArray()
            .Single(b => new[] { b!["left"]!.GetValue<int>(), b["right"]!.GetValue<int>() }.Order().SequenceEqual(new[] { one, other }.Order())).Id();

        Task BeatsAsync(int winner, int loser)
        {
            var bout = Bout(winner, loser);
            var isLeft = sheet["bouts"]!.AsArray().Single(b => b.Id() == bout)!["left"]!.GetValue<int>() == winner;
            return Desk.ResultAsync(bout, isLeft ? 5 : 2, isLeft ? 2 : 5);
        }
    }

    [Fact]
    public async Task Equals_may_draw_either_place_until_the_round_is_closed_and_share_it_then()
    {
        var id = await Desk.CompetitionAsync(3, formula: new { pools = new { promote = new { count = 2 } } });
        var round = $"/api/competitions/{id}/pool-rounds/1";
        var pool = $"/api/pools/{(await Desk.DrawPoolsAsync(id))["pools"]![0].Id()}";
        var sheet = await host.Public.GetAsync<JsonObject>(pool);

        // Round in a circle: everybody wins 5:2 once.
        foreach (var bout in sheet["bouts"]!.AsArray())
        {
            var leftWins = (bout!["right"]!.GetValue<int>() - bout["left"]!.GetValue<int>() + 3) % 3 == 1;
            await Desk.ResultAsync(bout.Id(), leftWins ? 5 : 2, leftWins ? 2 : 5);
        }

        Assert.Equal(["1-3 open", "1-3 open", "1-3 open"], await LinesAsync(round));
        await Desk.SendAsync(HttpMethod.Post, round + "/close", null, HttpStatusCode.OK);
        Assert.Equal(["1-1 promoted", "1-1 promoted", "1-1 out"], await LinesAsync(round));
    }

    [Fact]
    public async Task They_are_columns_of_the_standings_to_take_away()
    {
        var id = await Desk.CompetitionAsync(3);
        var pool = (await Desk.DrawPoolsAsync(id))["pools"]![0].Id();
        foreach (var (address, fate) in new[] { ($"/api/competitions/{id}/pool-rounds/1/standings", "promoted"), ($"/api/pools/{pool}/standings", "") })
        {
            using var response = await host.Public.TryAsync(HttpMethod.Get, address, null, ("Accept", "text/csv"));
            var lines = (await response.Content.ReadAsStringAsync()).Split("\r\n");
            Assert.EndsWith(",tied,bestPlace,worstPlace,placesExact,fate", lines[0], StringComparison.Ordinal);
            Assert.EndsWith($",true,1,3,true,{fate}", lines[1], StringComparison.Ordinal);
        }
    }

    private static string Line(JsonNode? s) => $"{s!["bestPlace"]}-{s["worstPlace"]} {s["fate"]}".TrimEnd();

    private async Task<string[]> LinesAsync(string address) =>
        [.. (await host.Public.GetAsync<JsonObject>(address))["standings"]!.AsArray().Select(Line)];
}
