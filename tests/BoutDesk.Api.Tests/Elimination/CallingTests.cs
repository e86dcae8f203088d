using System.Globalization;
using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Elimination;

/// <summary>Which bout is called next, and whom a fencer can meet.</summary>
[Collection(OneService.Name)]
public class CallingTests
{
    private readonly HttpClient desk;
    private readonly HttpClient anybody;

    public CallingTests(SharedDesk shared) => (desk, anybody) = (shared.Host.Desk, shared.Host.Public);

    [Fact]
    public async Task Bouts_are_called_first_table_first_and_nobody_before_his_ten_minutes_are_over()
    {
        var id = await desk.DrawnTableauAsync(4);
        var semis = await anybody.ListAsync($"/api/competitions/{id}/calling-order");
        Assert.Equal([(4, true), (4, true), (2, false)], semis.Select(c => (c.Number("tableOf"), c["canBeCalled"]!.GetValue<bool>())));

        foreach (var semi in semis.Take(2))
        {
            await desk.ResultAsync(semi.Text("boutId")!, 15, 9);
        }

        var final = Assert.Single(await anybody.ListAsync($"/api/competitions/{id}/calling-order"));
        Assert.False(final["canBeCalled"]!.GetValue<bool>());
        Assert.NotNull(final.Text("left"));
        // Ten minutes from the end of the later bout, which the history of that bout tells.
        var history = await desk.ListAsync($"/api/bouts/{semis[1].Text("boutId")}/history");
        var ended = Moment(history.Single(l => l.Text("what") == "result-recorded").Text("at")!);
        Assert.Equal(ended.AddMinutes(10), Moment(final.Text("restedAt")!), TimeSpan.FromMilliseconds(2));

        Assert.True(Assert.Single(await anybody.ListAsync($"/api/competitions/{id}/calling-order?restMinutes=0"))["canBeCalled"]!.GetValue<bool>());
        // A correction does not begin the rest anew.
        var corrected = await desk.AskResultAsync(semis[1].Text("boutId")!, 15, 8, "*", "misread");
        Assert.Equal(200, corrected.Status);
        Assert.Equal(final.Text("restedAt"), Assert.Single(await anybody.ListAsync($"/api/competitions/{id}/calling-order")).Text("restedAt"));
    }

    [Fact]
    public async Task With_few_strips_the_plan_spreads_the_bouts()
    {
        var id = await desk.DrawnTableauAsync(8);
        var calls = await anybody.ListAsync($"/api/competitions/{id}/calling-order?strips=1&boutMinutes=15");
        var begin = Moment(calls[0].Text("plannedAt")!);
        // The last semi-final begins when the other has ended, and the final ten minutes after it.
        Assert.Equal([0, 15, 30, 45, 60, 75, 100], calls.Select(c => (int)(Moment(c.Text("plannedAt")!) - begin).TotalMinutes));
        Assert.Equal(4, calls.Count(c => c["canBeCalled"]!.GetValue<bool>()));
        await anybody.RefusedAsync(HttpMethod.Get, $"/api/competitions/{id}/calling-order?strips=0", null, 400, "invalid-input");
    }

    [Fact]
    public async Task Before_the_draw_there_is_nothing_to_call()
    {
        var id = await desk.CompetitionAsync(4);
        await anybody.RefusedAsync(HttpMethod.Get, $"/api/competitions/{id}/calling-order", null, 404, "not-found");
    }

    [Fact]
    public async Task The_way_of_a_fencer_is_provisional_until_the_tableau_is_drawn()
    {
        var id = await desk.CompetitionAsync(8, formula: new { pools = new { rounds = 0 }, elimination = new { thirdPlace = "bout" } });
        var first = (await desk.ListAsync($"/api/competitions/{id}/entrants"))[0].Id();

        var provisional = await anybody.GetAsync<JsonObject>($"/api/entrants/{first}/path");
        Assert.True(provisional["provisional"]!.GetValue<bool>());
        Assert.Equal([[8], [4, 5], [2, 3, 6, 7]], Opponents(provisional));
        Assert.All(provisional.Items("bouts"), b => Assert.Null(b["boutId"]));

        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, HttpStatusCode.Created);
        var drawn = await anybody.GetAsync<JsonObject>($"/api/entrants/{first}/path");
        Assert.False(drawn["provisional"]!.GetValue<bool>());
        Assert.Equal(Opponents(provisional), Opponents(drawn));
        Assert.Equal([8, 4, 2], drawn.Items("bouts").Select(b => b.Number("tableOf")));
        Assert.Equal([(false, 5, 8), (true, 3, 4), (false, 2, 2)], drawn.Items("bouts").Select(b => (
            b["ifLost"]!["fencesOn"]!.GetValue<bool>(), b["ifLost"]!.Number("bestPlace"), b["ifLost"]!.Number("worstPlace"))));

        // The lower seed wins, and has the way of the first before him.
        var bout = drawn.Items("bouts")[0];
        var eighth = bout.Items("opponents")[0].Text("entrantId");
        await desk.ResultAsync(bout.Text("boutId")!, 3, 15);
        Assert.Empty((await anybody.GetAsync<JsonObject>($"/api/entrants/{first}/path")).Items("bouts"));
        var onward = await anybody.GetAsync<JsonObject>($"/api/entrants/{eighth}/path");
        Assert.Equal((8, 2), (onward.Number("seed"), onward.Items("bouts").Length));
        Assert.Equal([[4, 5], [2, 3, 6, 7]], Opponents(onward));
    }

    [Fact]
    public async Task Who_was_cut_is_not_in_it()
    {
        var id = await desk.ClosedPoolsAsync(6, formula: new { pools = new { promote = new { count = 2 } } });
        var last = (await desk.ListAsync($"/api/competitions/{id}/pool-rounds/1/standings"))[^1].Text("entrantId");
        var path = await anybody.GetAsync<JsonObject>($"/api/entrants/{last}/path");
        Assert.Null(path["seed"]);
        Assert.Empty(path.Items("bouts"));
    }

    private static int[][] Opponents(JsonNode path) =>
        [.. path.Items("bouts").Select(b => b.Items("opponents").Select(o => o.Number("seed")).ToArray())];

    private static DateTimeOffset Moment(string text) => DateTimeOffset.Parse(text, CultureInfo.InvariantCulture);
}
