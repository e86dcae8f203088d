using System.Globalization;
using System.Net;
using System.Text;
using System.Text.RegularExpressions;
using BoutDesk.Api.Tests;
using BoutDesk.Pages.Tests.Board;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>What a hall pins to the wall, printed by the browser as people do.</summary>
[Collection(OneBrowser.Name)]
public partial class SheetTests
{
    private static Task<Paper>? made;
    private readonly Browser browser;

    public SheetTests(Browser browser) => this.browser = browser;

    [Theory]
    // What is left of the paper between margins of 12 mm, upright and across, in pixels of 1/96 inch.
    [InlineData("A4", 703, 1031)]
    [InlineData("Letter", 725, 965)]
    public async Task Every_sheet_fits_the_paper(string format, int upright, int across)
    {
        var paper = await PaperAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.EmulateMediaAsync(new() { Media = Media.Print });
        var wrong = new List<string>();
        foreach (var (name, path, pages) in paper.Sheets)
        {
            await page.GotoAsync(path);
            var width = name.StartsWith("tableau", StringComparison.Ordinal) ? across : upright;
            await page.SetViewportSizeAsync(width, 900);
            await Browser.PictureAsync(page, $"sheet-{name}-{format}");
            var wide = await page.EvaluateAsync<string[]>("width => [...document.querySelectorAll('.sheet *')].filter(e => e.getBoundingClientRect().right > width + 1).map(e => e.outerHTML.slice(0, 80))", width);
            wrong.AddRange(wide.Take(2).Select(e => $"{name} is too wide at {e}"));
            var pdf = await page.PdfAsync(new() { Format = format, PreferCSSPageSize = true, Path = Path.Combine(AppContext.BaseDirectory, "pictures", $"sheet-{name}-{format}.pdf") });
            if (PageObject().Count(Encoding.Latin1.GetString(pdf)) is var printed && (pages is { } wanted ? printed != wanted : printed < 2))
            {
                wrong.Add($"{name} takes {printed} pages, not {pages?.ToString(CultureInfo.InvariantCulture) ?? "several"}");
            }
        }

        Assert.Empty(wrong);
    }

    [Fact]
    public async Task Every_sheet_can_be_read_by_everybody_and_on_a_phone()
    {
        var paper = await PaperAsync();
        await using var laptop = await browser.LaptopAsync(320, 640);
        var page = await laptop.NewPageAsync();
        var index = $"/desk/competitions/{paper.Day.Pools}/sheets";
        foreach (var path in paper.Sheets.DistinctBy(s => s.Name.Split('-')[0]).Select(s => s.Path).Append(index))
        {
            await page.GotoAsync(path);
            await Browser.AssertAccessibleAsync(page);
            Assert.True(await page.EvaluateAsync<int>("document.documentElement.scrollWidth") <= 320, path);
        }

        await Browser.PictureAsync(page, "sheet-index");
    }

    [Fact]
    public async Task A_code_printed_on_a_pool_sheet_opens_the_pad_of_that_pool()
    {
        var day = await BoardDay.OfAsync(browser);
        var competition = await BoardDay.PoolsAsync(browser.Desk, day.TournamentId, 12, "Foil by codes");
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/sheets");
        await page.GetByRole(AriaRole.Button, new() { Name = "Pool sheets with a code for each referee" }).ClickAsync();
        await Assertions.Expect(page.Locator(".code")).ToHaveCountAsync(2);
        await Browser.AssertAccessibleAsync(page);
        await page.EmulateMediaAsync(new() { Media = Media.Print });
        await page.SetViewportSizeAsync(703, 900);
        await Browser.PictureAsync(page, "sheet-pools-codes");
        var second = page.Locator(".poolsheet").Nth(1);
        var link = await second.Locator(".code a").GetAttributeAsync("href");
        var text = await second.InnerTextAsync();
        Assert.Contains("whoever has it can score this pool", text, StringComparison.Ordinal);
        Assert.Contains(link![..link!.IndexOf('#', StringComparison.Ordinal)], text.ReplaceLineEndings(string.Empty), StringComparison.Ordinal);
        Assert.DoesNotContain(link[(link.IndexOf('#', StringComparison.Ordinal) + 1)..], text, StringComparison.Ordinal);

        await using var phone = await browser.DeviceAsync();
        var pad = await phone.NewPageAsync();
        await pad.GotoAsync(link);
        var first = (await BoardDay.BoutsAsync(browser.Desk, competition, 2))[0];
        var family = (await second.Locator("tbody th").Nth(first["left"]!.GetValue<int>() - 1).InnerTextAsync()).Split(' ', '\n')[0];
        await Assertions.Expect(pad.Locator("body")).ToContainTextAsync(family);
    }

    [Fact]
    public async Task Codes_are_not_given_out_for_another_site()
    {
        var day = await BoardDay.OfAsync(browser);
        using var request = new HttpRequestMessage(HttpMethod.Post, $"/desk/competitions/{day.Pools}/sheets/pools/1/codes");
        request.Headers.Add("Origin", "https://elsewhere.test");
        var before = (await browser.Desk.ListAsync($"/api/tournaments/{day.TournamentId}/passes")).Count;
        using var answer = await browser.Desk.SendAsync(request);
        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Equal(before, (await browser.Desk.ListAsync($"/api/tournaments/{day.TournamentId}/passes")).Count);
    }

    [Fact]
    public async Task Sheets_say_what_is_known()
    {
        var paper = await PaperAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();

        await page.GotoAsync(paper.Of("pools-done"));
        await Assertions.Expect(page.Locator(".grid tbody tr").First).ToContainTextAsync("V");
        await Assertions.Expect(page.GetByRole(AriaRole.Button, new() { Name = "Print" })).ToBeVisibleAsync();

        await page.GotoAsync(paper.Of("ranking"));
        // Half of nine, rounded up, go on.
        Assert.Equal(5, await page.Locator(".cutline").EvaluateAsync<int>("row => [...row.parentElement.children].indexOf(row)"));

        await page.GotoAsync(paper.Of("tableau-64"));
        await Assertions.Expect(page.Locator(".sheet").First).ToContainTextAsync("The winner of this part goes on to: Final, above. The mark is A.");
        await Assertions.Expect(page.Locator(".sheet").Nth(1)).ToContainTextAsync("The winner of this part goes on to: Final, below. The mark is B.");
        // The same letters stand on the page of the last eight, beside the seats of the final.
        Assert.Equal(["A", "B"], await page.Locator(".sheet").Nth(2).Locator("text.mark").AllTextContentsAsync());

        await page.GotoAsync(paper.Of("check-in-90"));
        var names = await page.Locator("tbody th").AllInnerTextsAsync();
        Assert.Equal(names.Order(StringComparer.Create(new("en"), ignoreCase: true)), names);

        await using var plain = await browser.LaptopAsync(scripts: false);
        var still = await plain.NewPageAsync();
        await still.GotoAsync(paper.Of("slips"));
        await Assertions.Expect(still.Locator(".slip").First).ToContainTextAsync("Referee");
        await Assertions.Expect(still.Locator("#print")).ToBeHiddenAsync();
    }

    [GeneratedRegex(@"/Type\s*/Page\b")]
    private static partial Regex PageObject();

    private Task<Paper> PaperAsync() => made ??= Paper.MakeAsync(browser);

    /// <summary>Competitions at every stage, with the sheets that each has and how many pages they take.</summary>
    private sealed record Paper(BoardDay Day, IReadOnlyList<(string Name, string Path, int? Pages)> Sheets)
    {
        public string Of(string name) => Sheets.Single(s => s.Name == name).Path;

        public static async Task<Paper> MakeAsync(Browser browser)
        {
            var (day, desk) = (await BoardDay.OfAsync(browser), browser.Desk);
            var twelve = await desk.CompetitionAsync(12);
            await desk.DrawPoolsAsync(twelve, new { poolCount = 1, drawSeed = 7 });
            var three = await desk.CompetitionAsync(3);
            await desk.DrawPoolsAsync(three, new { poolCount = 1, drawSeed = 7 });
            var closed = await desk.ClosedPoolsAsync(9, formula: new { pools = new { promote = new { percent = 50 } } });
            var ninety = await desk.CompetitionAsync(90);
            var large = await desk.CompetitionAsync(64, formula: new { pools = new { rounds = 0 } });
            await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{large}/tableau", null, HttpStatusCode.Created);
            var repechage = await desk.CompetitionAsync(64, formula: new { pools = new { rounds = 0 }, elimination = new { repechageFrom = 8 } });
            await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{repechage}/tableau", null, HttpStatusCode.Created);
            static string At(string competition, string sheet) => $"/desk/competitions/{competition}/sheets/{sheet}";
            return new Paper(day,
            [
                ("pools", At(day.Pools, "pools/1"), 4),
                ("pools-done", At(day.Finished, "pools/1"), 2),
                ("pool-12", At(twelve, "pools/1"), 1),
                ("pool-3", At(three, "pools/1"), 1),
                // How many lines go on a page hangs on the fonts of the machine.
                ("check-in-90", At(ninety, "check-in"), null),
                ("equipment", At(day.Pools, "equipment"), 4),
                ("ranking", At(closed, "ranking/1"), 1),
                ("classification", At(day.Finished, "classification"), 1),
                ("calls", At(day.Tableau, "calls"), 1),
                ("calls-pools", At(day.Pools, "calls/1"), 1),
                ("slips", At(large, "slips"), 16),
                ("tableau-20", At(day.Tableau, "tableau"), 3),
                ("tableau-64", At(large, "tableau"), 3),
                // Two halves, the repechage, and the last table.
                ("tableau-repechage", At(repechage, "tableau"), 4),
            ]);
        }
    }
}
