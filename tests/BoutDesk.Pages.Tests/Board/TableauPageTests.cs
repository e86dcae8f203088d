using System.Net;
using System.Text;
using BoutDesk.Api.Board;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

/// <summary>The largest tableau that the board draws as a tree.</summary>
[Collection(OneBrowser.Name)]
public sealed class TableauPageTests
{
    private const int MostBytes = 150_000;
    private static Task<string>? large;
    private readonly Browser browser;

    public TableauPageTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task A_page_of_256_with_all_it_loads_is_within_its_bytes()
    {
        var id = await FinishedAsync(browser.Desk);
        await using var device = await browser.DeviceAsync(1920, 1080);
        var page = await device.NewPageAsync();
        var answers = new List<IResponse>();
        page.Response += (_, answer) => answers.Add(answer);
        await page.GotoAsync($"/competitions/{id}/tableau");
        await Assertions.Expect(page.Locator("#live")).ToHaveTextAsync("Live");
        Assert.Equal(2 * 255, await page.Locator(".tree text:not(.head, .to, .where)").CountAsync());
        Assert.Equal(2 * 255, await page.Locator(".tree .to").CountAsync());
        await page.Locator("summary").ClickAsync();
        await Assertions.Expect(page.Locator(".bouts li")).ToHaveCountAsync(255);
        var bytes = new List<(string Path, int Bytes)>();
        foreach (var answer in answers.Where(a => !a.Url.Contains("/feed", StringComparison.Ordinal) && !a.Url.EndsWith(".svg", StringComparison.Ordinal)))
        {
            bytes.Add((new Uri(answer.Url).AbsolutePath, (await answer.BodyAsync()).Length));
        }

        Assert.Contains(bytes, b => b.Path == "/live.js");
        Assert.True(bytes.Sum(b => b.Bytes) <= MostBytes, string.Join(", ", bytes));
    }

    [Fact]
    public async Task Following_one_fencer_of_256_is_readable_on_the_smallest_phone()
    {
        var id = await LargeAsync();
        await using var device = await browser.DeviceAsync(320, 640);
        var page = await device.NewPageAsync();
        await page.GotoAsync($"/competitions/{id}/tableau");
        await page.GetByLabel("Follow one fencer").SelectOptionAsync(id + "-e1");
        await page.GetByRole(AriaRole.Button, new() { Name = "Show" }).ClickAsync();
        var way = page.Locator(".way li");
        await Assertions.Expect(way).ToHaveCountAsync(8);
        await Assertions.Expect(way.First).ToContainTextAsync("Fencer256 Robin");
        await Assertions.Expect(way.First).ToContainTextAsync("15:9");
        await Assertions.Expect(way.Nth(1)).ToContainTextAsync("Fencer128 Robin");
        await Assertions.Expect(way.Last).ToContainTextAsync("or one of");
        Assert.True(await page.EvaluateAsync<bool>("document.documentElement.scrollWidth <= innerWidth"));
        Assert.True(await way.First.Locator("a").EvaluateAsync<double>("e => parseFloat(getComputedStyle(e).fontSize)") >= 16);
    }

    [Fact]
    public async Task A_quarter_of_256_scrolls_in_itself()
    {
        var id = await LargeAsync();
        await using var device = await browser.DeviceAsync(320, 640);
        var page = await device.NewPageAsync();
        for (var quarter = 1; quarter <= 4; quarter++)
        {
            await page.GotoAsync($"/competitions/{id}/tableau?quarter={quarter}");
            Assert.True(await page.EvaluateAsync<bool>("document.documentElement.scrollWidth <= innerWidth"));
            // 32 bouts of the first table, then 16, 8, 4, 2 and the quarter-final.
            await Assertions.Expect(page.Locator(".tree .head")).ToHaveCountAsync(6);
            Assert.Equal(64, await page.Locator(".tree text[x='7']").CountAsync());
            // A page that exchanges its tree in the moment of the key has lost the key, as for a reader: he presses again.
            for (var tries = 1; await page.Locator(".treebox").EvaluateAsync<double>("e => e.scrollLeft") == 0; tries++)
            {
                Assert.True(tries <= 20, $"The tree of quarter {quarter} does not scroll.");
                await page.Locator(".treebox").FocusAsync();
                await page.Keyboard.PressAsync("ArrowRight");
                await page.WaitForTimeoutAsync(250);
            }
        }
    }

    [Fact]
    public async Task The_hall_sees_the_tree_whole()
    {
        var id = await LargeAsync();
        await using var device = await browser.DeviceAsync(1920, 1080);
        var page = await device.NewPageAsync();
        await page.GotoAsync($"/screen/{id.Split('-')[0]}?slide=5");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToContainTextAsync("tableau");
        var box = await page.Locator(".tree").BoundingBoxAsync();
        Assert.True(box!.X >= 0 && box.Y >= 0 && box.X + box.Width <= 1920 && box.Y + box.Height <= 1080, $"{box.X} {box.Y} {box.Width} {box.Height}");
        await Browser.PictureAsync(page, "board-screen-tree", wholePage: false);
    }

    [Theory]
    [InlineData("Ahlgren", "Mette", "Ahlgren Mette")]
    [InlineData("Papadimitriou", "Eleni", "Papadimitriou E.")]
    [InlineData("Papadimitrakopoulou", "Eleni", "Papadimitrakopou…")]
    [InlineData("佐々木小次郎", "健太郎", "佐々木小次郎 健.")]
    [InlineData("Madonna", "", "Madonna")]
    [InlineData("👨‍👩‍👧👨‍👩‍👧👨‍👩‍👧👨‍👩‍👧", "A", "👨‍👩‍👧👨‍👩‍👧…")]
    public void A_name_is_cut_to_its_room_between_letters(string family, string given, string shown) =>
        Assert.Equal(shown, TableauDrawing.Fit(family, given, 17));

    private Task<string> LargeAsync() => large ??= MakeAsync(browser.Desk);

    /// <summary>256 fencers with long names and every bout fenced: as many letters as a tableau comes to.</summary>
    private static async Task<string> FinishedAsync(HttpClient desk)
    {
        var id = await desk.CompetitionAsync(0, formula: new { pools = new { rounds = 0 } }, checkIn: false);
        var rows = Enumerable.Range(1, 256).Select(i => $"Longfamilyname{i},Bartholomew,Fencing Society of the Valley,{i}");
        using var list = new StringContent("familyName,givenName,club,ranking\n" + string.Join('\n', rows), Encoding.UTF8, "text/csv");
        using var answer = await desk.PostAsync($"/api/competitions/{id}/entrants", list);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, HttpStatusCode.Created);
        await desk.FenceTableauAsync(id);
        return id;
    }

    /// <summary>256 fencers without pools; the first table is fenced, the better seed wins.</summary>
    private static async Task<string> MakeAsync(HttpClient desk)
    {
        var id = await desk.CompetitionAsync(256, formula: new { pools = new { rounds = 0 } }, checkIn: false);
        var tableau = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, HttpStatusCode.Created);
        foreach (var bout in tableau["rounds"]![0]!["bouts"]!.AsArray())
        {
            var leftWins = bout!["left"]!["seed"]!.GetValue<int>() < bout["right"]!["seed"]!.GetValue<int>();
            await desk.ResultAsync(bout.Id(), leftWins ? 15 : 9, leftWins ? 9 : 15);
        }

        return id;
    }
}
