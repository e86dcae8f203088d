using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>Loan kit at the desk, and what first-timers are told to bring.</summary>
[Collection(OneBrowser.Name)]
public partial class LoanKitTests
{
    private static readonly string[] Weapons = ["foil", "epee", "sabre"];

    private readonly Browser browser;

    public LoanKitTests(Browser browser) => this.browser = browser;

    private HttpClient Desk => browser.Desk;

    [Fact]
    public async Task Kit_is_handed_out_and_taken_in_by_keyboard()
    {
        var (tournament, _) = await DayAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}");
        await page.GetByRole(AriaRole.Link, new() { Name = "Loan kit" }).PressAsync("Enter");
        await Assertions.Expect(page.Locator("#fencer")).ToBeFocusedAsync();

        // Two fencers have these letters; a third letter more, and only one does.
        await page.Keyboard.TypeAsync("ker");
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.Locator("#found li")).ToHaveCountAsync(2);
        await page.FillAsync("#fencer", "kern m");
        await page.PressAsync("#fencer", "Enter");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Hand out to Kern Mara" })).ToBeVisibleAsync();

        // She fences with the left hand, so the glove for it comes first.
        await Assertions.Expect(page.Locator("#who")).ToBeFocusedAsync();
        await page.Keyboard.TypeAsync("glove");
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.Locator("#has li")).ToHaveTextAsync([new Regex("Glove GL")]);
        await Assertions.Expect(page.Locator("#told")).ToHaveTextAsync("Glove GL is with Kern Mara.");
        await page.Keyboard.TypeAsync("g1");
        await Assertions.Expect(page.Locator("#stock li:visible")).ToHaveTextAsync([new Regex("for the other hand")]);
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("Note: it is for the right hand, and Kern Mara is entered as left-handed.");
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo: Glove G1 was not handed out" }).PressAsync("Enter");
        await Assertions.Expect(page.Locator("#has li")).ToHaveCountAsync(1);

        await page.GetByRole(AriaRole.Link, new() { Name = "Another fencer, and all lists" }).PressAsync("Enter");
        await page.GetByRole(AriaRole.Button, new() { Name = "Is back: Glove GL of Kern Mara" }).PressAsync("Enter");
        await Assertions.Expect(page.Locator("#out li")).ToHaveCountAsync(0);
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("Nothing is out.");
    }

    [Fact]
    public async Task What_is_to_be_fetched_stands_first_and_what_came_back_broken_is_mended()
    {
        var (tournament, competition) = await DayAsync();
        await IssueAsync(tournament, 1, competition + "-e1");
        await IssueAsync(tournament, 2, competition + "-e2");
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync(At(tournament));
        await Assertions.Expect(page.Locator("#out li")).ToHaveTextAsync([new Regex("Kern Mara"), new Regex("Kerner Timo")]);
        await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{competition}-e2/withdraw", new { reason = "ill" }, HttpStatusCode.OK);
        await Assertions.Expect(page.Locator("#out li")).ToHaveTextAsync([new Regex("Kerner Timo.*has left", RegexOptions.Singleline), new Regex("Kern Mara")]);

        var first = page.Locator("#out li").First;
        await first.Locator("summary").ClickAsync();
        await first.GetByLabel("What is the matter with it").FillAsync("thumb torn");
        await first.GetByRole(AriaRole.Button, new() { Name = "Take in" }).ClickAsync();
        await Assertions.Expect(page.Locator("#mend li")).ToHaveTextAsync([new Regex("thumb torn")]);
        await Browser.PictureAsync(page, "desk-loan-kit");
        await page.GetByRole(AriaRole.Button, new() { NameRegex = new Regex("^Mended:") }).ClickAsync();
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("Nothing is to be mended.");

        // A second desk hands something out meanwhile, and this one sees it.
        await IssueAsync(tournament, 4, competition + "-e3");
        await Assertions.Expect(page.Locator("#out li")).ToHaveCountAsync(2);
    }

    [Fact]
    public async Task Kit_is_added_by_hand_and_by_list()
    {
        var tournament = await Desk.TournamentAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync(At(tournament));
        await page.SelectOptionAsync("#new-item", "weapon");
        await page.FillAsync("#new-label", "F8");
        await page.FillAsync("#new-count", "3");
        await page.PressAsync("#new-count", "Enter");
        await Assertions.Expect(page.Locator("#add .refused")).ToContainTextAsync("Say for which weapon");
        await Assertions.Expect(page.Locator("#new-weapon")).ToBeFocusedAsync();
        await page.SelectOptionAsync("#new-weapon", "foil");
        await page.PressAsync("#new-count", "Enter");
        await Assertions.Expect(page.Locator("#stock summary")).ToHaveTextAsync([new Regex("Weapon F8"), new Regex("Weapon F9"), new Regex("Weapon F10")]);

        await page.FillAsync("#csv", "item,size,label,count\nmask,S,M1,2\nhelmet,,,\n");
        await page.GetByRole(AriaRole.Button, new() { Name = "Check the list" }).ClickAsync();
        await Assertions.Expect(page.Locator("#checked")).ToContainTextAsync("1 rows are good.");
        await Assertions.Expect(page.Locator("#checked")).ToContainTextAsync("Line 3: item");
        await page.GetByRole(AriaRole.Button, new() { Name = "Add the good rows" }).ClickAsync();
        await Assertions.Expect(page.Locator("#stock summary")).ToHaveCountAsync(5);

        await page.Locator("#stock details").First.Locator("summary").ClickAsync();
        await page.Locator($"[id='{tournament}-k4-size']").FillAsync("M");
        await page.Locator("#stock details").First.GetByRole(AriaRole.Button, new() { Name = "Correct" }).ClickAsync();
        await Assertions.Expect(page.Locator("#stock summary").First).ToContainTextAsync("size M");
    }

    [Fact]
    public async Task Without_scripts_kit_goes_out_with_its_warning_and_comes_back()
    {
        var (tournament, _) = await DayAsync();
        await using var laptop = await browser.LaptopAsync(scripts: false);
        var page = await laptop.NewPageAsync();
        await page.GotoAsync(At(tournament));
        await page.FillAsync("#fencer", "mara");
        await page.PressAsync("#fencer", "Enter");
        await Assertions.Expect(page.Locator("#door")).ToBeHiddenAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Hand out: Glove G1" }).ClickAsync();
        await Assertions.Expect(page.Locator("main")).ToContainTextAsync("entered as left-handed");
        await page.GetByRole(AriaRole.Link, new() { Name = "Go on" }).ClickAsync();
        await Assertions.Expect(page.Locator("#has li")).ToHaveCountAsync(1);
        await page.GotoAsync(At(tournament));
        await page.GetByRole(AriaRole.Button, new() { Name = "Is back: Glove G1 of Kern Mara" }).ClickAsync();
        await Assertions.Expect(page.Locator("#out li")).ToHaveCountAsync(0);
    }

    [Theory]
    [InlineData("en", ColorScheme.Light)]
    [InlineData("fr", ColorScheme.Dark)]
    public async Task Every_page_can_be_read_by_everybody_and_on_a_phone(string language, ColorScheme colours)
    {
        var (tournament, competition) = await DayAsync();
        await IssueAsync(tournament, 1, competition + "-e1");
        await IssueAsync(tournament, 2, competition + "-e2");
        await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k2/return", new { state = "toMend", note = "The seam of the thumb is open." }, HttpStatusCode.OK);
        await Desk.SendAsync(HttpMethod.Delete, $"/api/loan-kit/{tournament}-k3", null, HttpStatusCode.NoContent);
        await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{competition}-e1/absent", null, HttpStatusCode.OK);
        await using var phone = await browser.DeviceAsync(320, 640, colours, language: language);
        var page = await phone.EnterAsync();
        string[] paths = ["", "?who=ker", $"?to={competition}-e3", "/sheet"];
        foreach (var path in paths.Select(p => At(tournament) + p).Concat(Weapons.Select(w => "/bring/" + w)))
        {
            await page.GotoAsync(path);
            Assert.Equal(language, await page.Locator("html").GetAttributeAsync("lang"));
            await page.EvaluateAsync("document.querySelectorAll('details').forEach(d => d.open = true)");
            await Browser.AssertAccessibleAsync(page);
            Assert.True(await page.EvaluateAsync<int>("document.documentElement.scrollWidth") <= 320, path);
        }

        await page.GotoAsync(At(tournament));
        await Browser.PictureAsync(page, "desk-loan-kit-phone-" + language);
    }

    [Theory]
    [InlineData("A4", 703)]
    [InlineData("Letter", 725)]
    public async Task Sheets_and_lists_fit_the_paper(string format, int width)
    {
        var (tournament, competition) = await DayAsync();
        await IssueAsync(tournament, 1, competition + "-e1");
        await IssueAsync(tournament, 2, competition + "-e2");
        await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k2/return", new { state = "toMend", note = "The seam of the thumb is open." }, HttpStatusCode.OK);
        foreach (var language in new[] { "en", "fr" })
        {
            await using var laptop = await browser.DeviceAsync(width, 900, language: language);
            var page = await laptop.EnterAsync();
            await page.EmulateMediaAsync(new() { Media = Media.Print });
            foreach (var (name, path, pages) in Weapons.Select(w => ("bring-" + w, "/bring/" + w, 1)).Append(("loan-kit", At(tournament) + "/sheet", 2)))
            {
                await page.GotoAsync(path);
                await Browser.PictureAsync(page, $"sheet-{name}-{format}-{language}");
                var wide = await page.EvaluateAsync<string[]>("width => [...document.querySelectorAll('.sheet *')].filter(e => e.getBoundingClientRect().right > width + 1).map(e => e.outerHTML.slice(0, 80))", width);
                Assert.Empty(wide);
                var pdf = await page.PdfAsync(new() { Format = format, PreferCSSPageSize = true });
                Assert.Equal((name, pages), (name, PageObject().Count(Encoding.Latin1.GetString(pdf))));
            }
        }
    }

    [Fact]
    public async Task Anybody_reads_what_to_bring_and_finds_the_other_weapons()
    {
        var (_, competition) = await DayAsync();
        await using var phone = await browser.DeviceAsync();
        var page = await phone.NewPageAsync();
        await page.GotoAsync("/bring/epee");
        Assert.Equal(0, await page.GetByText("Conductive jacket", new() { Exact = true }).CountAsync());
        await Assertions.Expect(page.Locator(".caution")).ToContainTextAsync("a qualified armourer decide");
        await Assertions.Expect(page.Locator(".caution")).ToContainTextAsync("Who has failed or missing protection does not fence.");
        await page.GetByRole(AriaRole.Link, new() { Name = "sabre" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 2 })).ToHaveTextAsync("What to bring: sabre");
        await Assertions.Expect(page.Locator(".bring")).ToContainTextAsync("Conductive cuff");
        await page.GetByRole(AriaRole.Link, new() { Name = "Français" }).ClickAsync();
        await Assertions.Expect(page.Locator(".bring")).ToContainTextAsync("Manchette conductrice");
        Assert.Equal(404, (await page.GotoAsync("/bring/axe"))!.Status);

        await using var laptop = await browser.LaptopAsync();
        var sheets = await laptop.NewPageAsync();
        await sheets.GotoAsync($"/desk/competitions/{competition}/sheets");
        await sheets.GetByRole(AriaRole.Link, new() { Name = "What to bring" }).ClickAsync();
        await Browser.ArriveAsync(sheets, "**/bring/foil");
        await sheets.GoBackAsync();
        await sheets.GetByRole(AriaRole.Link, new() { Name = "Loan kit that is out" }).ClickAsync();
        await Assertions.Expect(sheets.Locator(".sheet").First).ToContainTextAsync("Nothing is out.");
    }

    [GeneratedRegex(@"/Type\s*/Page\b")]
    private static partial Regex PageObject();

    private static string At(string tournament) => $"/desk/tournaments/{tournament}/loan-kit";

    private Task<JsonNode> IssueAsync(string tournament, int item, string entrantId) =>
        Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k{item}/issue", new { entrantId }, HttpStatusCode.OK);

    /// <summary>Three fencers of foil, two of them with names alike, and gloves for both hands and a mask to lend.</summary>
    private async Task<(string Tournament, string Competition)> DayAsync()
    {
        var tournament = await Desk.TournamentAsync();
        var competition = await Desk.CompetitionAsync(0, "foil", tournamentId: tournament);
        using var list = new StringContent("familyName,givenName,club,hand\nKern,Mara,Riverside,left\nKerner,Timo,Salle du Pont,right\nĎurovič,Jan,Fencing Society of the Upper and Lower Valleys,\n", Encoding.UTF8, "text/csv");
        await Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", list, HttpStatusCode.OK);
        using var kit = new StringContent("item,weapon,size,hand,club,label,count\nglove,,7,right,Riverside,G1,3\nglove,,7,left,Riverside,GL,\nmask,foil,S,,Riverside,M1,\n", Encoding.UTF8, "text/csv");
        await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/loan-kit", kit, HttpStatusCode.OK);
        return (tournament, competition);
    }
}
