using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Caching;

/// <summary>Answers that are kept for the many who read are never older than what was acknowledged.</summary>
public class KeptReadTests
{
    [Fact]
    public async Task Each_read_shows_what_was_acknowledged_before_it_while_others_write_and_read()
    {
        await using var host = await DeskHost.StartAsync(("BoutDesk:RequestsPerSecond", "0"));
        var (competition, pool) = await host.Desk.OnePoolAsync(6, touches: 15);
        var bouts = pool.Items("bouts").Select(b => b.Id()).ToArray();
        using var enough = new CancellationTokenSource();
        var readers = Enumerable.Range(0, 8).Select(_ => ReadAsync(host, $"/api/pools/{pool.Id()}", enough.Token)).ToArray();
        await Task.WhenAll(bouts.Take(4).Select(async bout =>
        {
            for (var touch = 1; touch <= 10; touch++)
            {
                Assert.Equal(200, (await host.Desk.AskTouchAsync(bout, "left")).Status);
                Assert.Equal(touch, (await host.Public.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"].Number("left"));
                var sheet = await host.Public.GetAsync<JsonObject>($"/api/pools/{pool.Id()}");
                Assert.Equal(touch, sheet.Items("bouts").Single(b => b.Id() == bout)["score"].Number("left"));
                var line = (await host.Public.ListAsync($"/api/competitions/{competition}/pool-rounds/1/bouts")).Single(b => b.Id() == bout);
                Assert.Equal(touch, line.Number("leftTouches"));
            }
        }));
        await enough.CancelAsync();
        Assert.All(await Task.WhenAll(readers), reads => Assert.True(reads > 0));

        // What is kept in the competition, and of its tournament, counts as well.
        var entrant = (await host.Public.ListAsync($"/api/competitions/{competition}/entrants"))[0];
        await host.Desk.AskAsync(HttpMethod.Put, $"/api/entrants/{entrant.Id()}", new { familyName = "Newname" });
        Assert.Equal("Newname", (await host.Public.ListAsync($"/api/competitions/{competition}/entrants"))[0].Text("familyName"));
        var position = pool.Items("fencers").Single(f => f.Text("entrantId") == entrant.Id()).Number("position");
        var his = pool.Items("bouts").Last(b => b.Number("left") == position || b.Number("right") == position);
        var touched = (await host.Desk.AskTouchAsync(his.Id(), "left")).Json;
        Assert.StartsWith("Newname", touched[his.Number("left") == position ? "left" : "right"].Text("name"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_is_kept_is_told_apart_by_form_and_page_and_a_refusal_is_not_kept()
    {
        await using var host = await DeskHost.StartAsync();
        var (competition, _) = await host.Desk.OnePoolAsync(5);
        var entrants = $"/api/competitions/{competition}/entrants";
        for (var round = 0; round < 2; round++)
        {
            Assert.Equal(5, (await host.Public.ListAsync(entrants)).Count);
            Assert.Equal(2, (await host.Public.ListAsync($"{entrants}?limit=2")).Count);
            Assert.Equal(400, (await host.Public.AskAsync(HttpMethod.Get, $"{entrants}?limit=0")).Status);
            using var csv = await host.Public.GetAsync($"{entrants}?format=csv");
            Assert.Equal("text/csv", csv.Content.Headers.ContentType!.MediaType);
            Assert.Equal("attachment", csv.Content.Headers.ContentDisposition!.DispositionType);
            using var page = await host.Public.GetAsync($"{entrants}?limit=2");
            Assert.Contains("rel=\"next\"", page.Headers.GetValues("Link").Single(), StringComparison.Ordinal);
            Assert.Equal(404, (await host.Public.AskAsync(HttpMethod.Get, $"/api/competitions/{competition}/pool-rounds/2")).Status);
        }
    }

    private static async Task<int> ReadAsync(DeskHost host, string address, CancellationToken enough)
    {
        using var reader = host.Client(null);
        var reads = 0;
        var before = 0;
        while (!enough.IsCancellationRequested)
        {
            var touches = (await reader.GetAsync<JsonObject>(address)).Items("bouts").Sum(b => b["score"] is { } score ? score.Number("left") : 0);
            Assert.True(touches >= before, "An older sheet came after a newer one.");
            before = touches;
            reads++;
        }

        return reads;
    }
}
