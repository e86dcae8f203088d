using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.LoanKit;

/// <summary>Loan kit as a list: in by CSV, and out.</summary>
[Collection(OneService.Name)]
public class KitListTests
{
    private const string Header = "item,weapon,club,size,hand,label,count\n";

    private readonly HttpClient desk;

    public KitListTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task A_list_is_taken_as_it_stands()
    {
        var at = await StockAsync();
        var report = await SendAsync(at, Header + "glove,,Harbour Blades,8,right,G1,3\nMASK,,,M,,,\nweapon,foil,,0,left,F1,2\n", 200);
        Assert.Equal((3, 0), (report.Number("added"), report.Number("rejected")));
        var items = await desk.ListAsync(at);
        Assert.Equal(["G1", "G2", "G3", null, "F1", "F2"], items.Select(i => i["label"]?.GetValue<string>()));
        Assert.Equal(("weapon", "foil", "0", "left"), (items[5].Text("item"), items[5].Text("weapon"), items[5].Text("size"), items[5].Text("hand")));
        Assert.Equal("either", items[3].Text("hand"));
    }

    [Fact]
    public async Task Semicolons_other_orders_and_columns_nobody_knows_are_no_obstacle()
    {
        var at = await StockAsync();
        var report = await SendAsync(at, "label;price;item\nB1;30;bodyCord\n", 200);
        Assert.Equal(["price"], report["ignored"]!.AsArray().Select(i => i!.GetValue<string>()));
        Assert.Equal("B1", (await desk.ListAsync(at)).Single().Text("label"));
    }

    [Fact]
    public async Task What_is_wrong_is_told_row_by_row_and_nothing_is_added()
    {
        var at = await StockAsync();
        const string List = Header + "helmet,,,,,,\nmask,,,,,M1,0\n,,,,,,2\nweapon,,,,,,\nglove,,,,both,,\nmask,,,,,M2,two\njacket,,,,,J1,\njacket,,,,,J1,\nmask,,,,,M7,2\n";
        var problem = await SendAsync(at, List, 400);
        Assert.Equal("urn:boutdesk:problem:rows-rejected", problem.Text("type"));
        Assert.Equal(
            [(2, "item"), (3, "count"), (4, "item"), (5, "weapon"), (6, "hand"), (7, "count"), (9, "label")],
            problem.Items("rows").Select(r => (r.Number("line"), r.Text("field"))));
        Assert.All(problem.Items("rows"), r => Assert.EndsWith(".", r.Text("problem"), StringComparison.Ordinal));
        Assert.Empty(await desk.ListAsync(at));

        var checkedOnly = await SendAsync(at + "?dryRun=true", List, 200);
        Assert.Equal((2, 7), (checkedOnly.Number("added"), checkedOnly.Number("rejected")));
        Assert.Empty(await desk.ListAsync(at));

        var some = await SendAsync(at + "?partial=true", List, 200);
        Assert.Equal((2, 7), (some.Number("added"), some.Number("rejected")));
        Assert.Equal(["J1", "M7", "M8"], (await desk.ListAsync(at)).Select(i => i.Text("label")));
    }

    [Fact]
    public async Task A_row_of_several_is_told_of_once_and_a_list_sent_twice_is_refused()
    {
        var at = await StockAsync();
        await SendAsync(at, Header + "mask,,,,,M1,3\n", 200);
        var again = await SendAsync(at, Header + "mask,,,,,M1,3\nglove,,,,,G1,\n", 400);
        Assert.Equal([(2, "label")], again.Items("rows").Select(r => (r.Number("line"), r.Text("field"))));
        Assert.Equal(1, again.Number("rejected"));
        Assert.Equal(3, (await desk.ListAsync(at)).Count);
    }

    [Fact]
    public async Task A_file_that_is_no_list_or_too_long_is_refused()
    {
        var at = await StockAsync();
        Assert.EndsWith("unreadable-file", (await SendAsync(at, "what,size\nmask,M\n", 400)).Text("type"), StringComparison.Ordinal);
        Assert.EndsWith("unreadable-file", (await SendAsync(at, "item\n" + string.Concat(Enumerable.Repeat("mask\n", 2001)), 400)).Text("type"), StringComparison.Ordinal);
        Assert.EndsWith("invalid-input", (await SendAsync(at, "item,count\n" + string.Concat(Enumerable.Repeat("mask,100\n", 21)), 400)).Text("type"), StringComparison.Ordinal);
        Assert.Empty(await desk.ListAsync(at));
    }

    [Fact]
    public async Task The_list_goes_out_for_a_spreadsheet()
    {
        var at = await StockAsync();
        await SendAsync(at, Header + "glove,,Harbour Blades,8,right,=G1,\n", 200);
        using var answer = await desk.TryAsync(HttpMethod.Get, at + "?state=in", null, ("Accept", "text/csv"));
        Assert.Equal("text/csv", answer.Content.Headers.ContentType?.MediaType);
        var lines = (await answer.Content.ReadAsStringAsync()).Split("\r\n");
        Assert.Equal("id,number,item,weapon,club,size,hand,label,state,entrantId,fencer,fencerClub,competitionId,competition,due,note,givenBackBy", lines[0]);
        Assert.EndsWith("-k1,1,glove,,Harbour Blades,8,right,'=G1,in,,,,,,,,", lines[1], StringComparison.Ordinal);
    }

    private async Task<string> StockAsync() => $"/api/tournaments/{await desk.TournamentAsync()}/loan-kit";

    private async Task<JsonNode> SendAsync(string at, string csv, int status)
    {
        using var list = new StringContent(csv, Encoding.UTF8, "text/csv");
        return await desk.SendAsync(HttpMethod.Post, at, list, (HttpStatusCode)status);
    }
}
