using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests;

[Collection(OneService.Name)]
public class WholeDayTests
{
    private readonly HttpClient desk;

    public WholeDayTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task A_competition_goes_from_the_entry_list_to_the_classification()
    {
        var id = await desk.DrawnTableauAsync(23, formula: new { pools = new { promote = new { percent = 80 } }, elimination = new { thirdPlace = "bout" } });
        await desk.FenceTableauAsync(id);

        var competition = await desk.GetAsync<JsonObject>($"/api/competitions/{id}");
        Assert.Equal("finished", competition["stage"]!.GetValue<string>());
        var classification = await desk.ListAsync($"/api/competitions/{id}/classification");
        Assert.Equal(23, classification.Count);
        Assert.Equal(Enumerable.Range(1, 4), classification.Take(4).Select(l => l["place"]!.GetValue<int>()));
        Assert.Equal("winner", classification[0]["reached"]!.GetValue<string>());
        // 80 per cent of 23 is 18.4, so 19 go on and 4 are cut.
        Assert.Equal(4, classification.Count(l => l["reached"]!.GetValue<string>() == "pool round 1"));
        // The better seed always won, so the first four seeds have the first four places.
        var seeding = await desk.ListAsync($"/api/competitions/{id}/seeding");
        Assert.Equal(
            seeding.Take(4).Select(s => s["entrantId"]!.GetValue<string>()),
            classification.Take(4).Select(l => l["entrantId"]!.GetValue<string>()));
    }

    [Fact]
    public async Task Two_pool_rounds_added_up_seed_the_tableau_and_nobody_tied_at_the_cut_is_cut()
    {
        var id = await desk.ClosedPoolsAsync(8, formula: new
        {
            pools = new { rounds = 2, size = 4, promote = new { count = 3 }, tiesAtCut = "promoteAll", seedingBy = "allRounds" },
        });
        // Two pools of four that went alike: the second of each is tied at the cut.
        Assert.Equal(4, (await desk.DrawPoolsAsync(id)).Items("pools").Sum(p => p.Items("fencers").Length));
        await desk.FenceRoundAsync(id, round: 2);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/pool-rounds/2/close", null, HttpStatusCode.OK);

        var before = await desk.ListAsync($"/api/competitions/{id}/seeding");
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", new { drawSeed = 5 }, HttpStatusCode.Created);
        var after = await desk.ListAsync($"/api/competitions/{id}/seeding");

        Assert.All(before, s => Assert.Equal(6, s.Number("bouts")));
        Assert.Equal(Enumerable.Range(1, after.Count), after.Select(s => s.Number("seed")));
        Assert.Equal(before.Select(s => s.Text("entrantId")).Order(), after.Select(s => s.Text("entrantId")).Order());
        var victories = after.Select(s => s.Number("victories")).ToArray();
        Assert.Equal(victories.OrderDescending(), victories);
    }
}
