using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>The morning at the desk: set up, enter, check in, draw.</summary>
[Collection(OneBrowser.Name)]
public class MorningTests
{
    private readonly Browser browser;

    public MorningTests(Browser browser) => this.browser = browser;

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_strip_is_for_some_weapons_and_a_wrong_click_is_corrected(bool scripts)
    {
        var tournament = await browser.Desk.TournamentAsync();
        await using var laptop = await browser.LaptopAsync(scripts: scripts);
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}/set-up");
        await page.FillAsync("#strip", "Strip 1");
        await page.UncheckAsync("#strip-0");
        await page.GetByRole(AriaRole.Button, new() { Name = "Add the strip" }).ClickAsync();
        await Assertions.Expect(page.Locator("#strips summary")).ToHaveTextAsync("Strip 1 only épée, sabre");

        await page.ClickAsync("#strips summary");
        var id = $"strip-{tournament}-s1";
        await page.CheckAsync($"#{id}-0");
        await page.UncheckAsync($"#{id}-2");
        await page.FillAsync($"#{id}", "Strip A");
        if (scripts)
        {
            await Browser.AssertAccessibleAsync(page);
            await Browser.PictureAsync(page, "desk-strips");
        }

        await page.GetByRole(AriaRole.Button, new() { Name = "Correct" }).ClickAsync();
        await Assertions.Expect(page.Locator("#strips summary")).ToHaveTextAsync("Strip A only foil, épée");
        var stored = (await browser.Desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}"))["strips"]![0]!;
        Assert.Equal(("Strip A", """["foil","epee"]"""), (stored.Text("name"), stored["weapons"]!.ToJsonString()));
    }

    [Fact]
    public async Task A_tournament_is_set_up_entered_checked_in_and_drawn_by_keyboard()
    {
        await using var laptop = await browser.DeviceAsync(1280, 800);
        var page = await laptop.EnterAsync();

        await page.OpenTournamentAsync();
        await page.FillAsync("#strip", "Strip 1");
        await page.PressAsync("#strip", "Enter");
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("Strip 1");
        await page.OpenCompetitionAsync("Under 12 épée");

        // A row without a given name is told with its line, and mended in place.
        await page.FillAsync("#csv", "familyName,givenName,club,ranking\nAhlgren,Mette,Salle du Pont,1\nBaumann,Jonas,Fechtkreis Au,zwei\nCosta,Ines,Riverside,3\nDvořák,Petr,Riverside,\n");
        await page.GetByRole(AriaRole.Button, new() { Name = "Check the list" }).ClickAsync();
        await Assertions.Expect(page.Locator("#checked")).ToContainTextAsync("Line 3");
        await page.FillAsync("#csv", (await page.InputValueAsync("#csv")).Replace("zwei", "2", StringComparison.Ordinal));
        await page.GetByRole(AriaRole.Button, new() { Name = "Enter the list" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "4 entrants" })).ToBeVisibleAsync();
        await page.FillAsync("#familyName", "Ekwueme");
        await page.FillAsync("#givenName", "Ada");
        await page.PressAsync("#givenName", "Enter");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "5 entrants" })).ToBeVisibleAsync();
        await Browser.PictureAsync(page, "desk-entries");
        await Browser.AssertAccessibleAsync(page);

        await page.GetByRole(AriaRole.Link, new() { Name = "Check-in", Exact = true }).ClickAsync();
        foreach (var (letters, name) in new[] { ("ahl", "Ahlgren Mette"), ("dvorak", "Dvořák Petr"), ("river", "Costa Ines"), ("ekw", "Ekwueme Ada") })
        {
            await page.FillAsync("#who", letters);
            await page.PressAsync("#who", "Enter");
            await Assertions.Expect(page.Locator("#told")).ToContainTextAsync($"{name} is here.");
            await Assertions.Expect(page.Locator("#settled")).ToContainTextAsync(name);
        }

        await page.GetByRole(AriaRole.Button, new() { Name = "Absent: Baumann Jonas" }).ClickAsync();
        await Assertions.Expect(page.GetByText("4 here, 1 absent, 0 not yet")).ToBeVisibleAsync();
        await Browser.PictureAsync(page, "desk-check-in");
        await Browser.AssertAccessibleAsync(page);

        await page.GetByRole(AriaRole.Link, new() { Name = "Draw the pools" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Draw", Exact = true }).ClickAsync();
        await Browser.ArriveAsync(page, "**/pools/1");
        await Assertions.Expect(page.Locator("#pool-1")).ToContainTextAsync("Ahlgren Mette");
    }

    [Fact]
    public async Task The_whole_formula_can_be_set_and_what_is_not_touched_stays()
    {
        var competition = await browser.Desk.CompetitionAsync(12, checkIn: false, formula: new { elimination = new { fencedPlaces = 128 } });
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/formula");
        await page.SelectOptionAsync("#spread", "country club");
        await page.SelectOptionAsync("#repechage", "8");
        await page.SelectOptionAsync("#into", "4");
        await KeepAsync();
        var formula = await FormulaAsync();
        Assert.Equal("[\"country\",\"club\"]", formula["pools"]!["separateBy"]!.ToJsonString());
        Assert.Equal((8, 4), (formula["elimination"]!["repechageFrom"]!.GetValue<int>(), formula["elimination"]!["repechageInto"]!.GetValue<int>()));

        await page.ReloadAsync();
        await Assertions.Expect(page.Locator("#spread")).ToHaveValueAsync("country club");
        await page.SelectOptionAsync("#spread", string.Empty);
        await page.FillAsync("#size", "6");
        await KeepAsync();
        formula = await FormulaAsync();
        Assert.Equal("[]", formula["pools"]!["separateBy"]!.ToJsonString());
        Assert.Equal((6, 8), (formula["pools"]!["size"]!.GetValue<int>(), formula["elimination"]!["repechageFrom"]!.GetValue<int>()));
        Assert.Equal(128, formula["elimination"]!["fencedPlaces"]!.GetValue<int>());

        async Task KeepAsync()
        {
            await page.GetByRole(AriaRole.Button, new() { Name = "Keep the formula" }).ClickAsync();
            await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("The formula is kept.");
        }

        async Task<JsonNode> FormulaAsync() => (await browser.Desk.GetAsync<JsonObject>($"/api/competitions/{competition}"))["formula"]!;
    }

    [Fact]
    public async Task A_scanned_code_means_one_fencer_though_others_begin_with_it()
    {
        var competition = await browser.Desk.CompetitionAsync(12, checkIn: false);
        // The tenth comes first in the list, and its identifier begins as that of the first.
        await browser.Desk.SendAsync(HttpMethod.Put, $"/api/entrants/{competition}-e10", new { familyName = "Aubert", givenName = "Maïa" }, HttpStatusCode.OK);
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/check-in");
        await page.FillAsync("#who", $"{competition}-e1");
        await page.PressAsync("#who", "Enter");
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("Fencer001 Robin is here.");
    }

    [Fact]
    public async Task Without_scripts_too_it_is_told_what_is_wrong_with_a_list_and_what_follows_when_a_fencer_leaves()
    {
        var competition = await browser.Desk.CompetitionAsync(4);
        await using var laptop = await browser.LaptopAsync(scripts: false);
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/entries");
        await page.FillAsync("#csv", "familyName,givenName,ranking\nAubert,Maïa,1\nBerg,Nils,two\n");
        await page.GetByRole(AriaRole.Button, new() { Name = "Check the list" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Listitem)).ToContainTextAsync("Line 3: ranking");

        await page.GetByRole(AriaRole.Link, new() { Name = "Go on" }).ClickAsync();
        await page.Locator($"#of-{competition}-e2 summary").ClickAsync();
        await page.FillAsync($"#w-{competition}-e2", "a fever");
        await page.Locator($"#of-{competition}-e2").GetByRole(AriaRole.Button, new() { Name = "Withdraw" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "Done" })).ToBeVisibleAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Listitem)).ToContainTextAsync("drawn");
    }

    [Theory]
    [InlineData(1280, ColorScheme.Light)]
    [InlineData(320, ColorScheme.Dark)]
    public async Task Axe_finds_nothing_wrong_with_the_pages_of_the_desk_and_they_fit(int width, ColorScheme colours)
    {
        var tournament = await browser.Desk.TournamentAsync();
        var competition = await browser.Desk.CompetitionAsync(7, tournamentId: tournament);
        var pool = (await browser.Desk.DrawPoolsAsync(competition, new { poolCount = 1, drawSeed = 7 }))["pools"]![0]!.Id();
        var bout = (await browser.Desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]![0]!.Id();
        await browser.Desk.ResultAsync(bout, 5, 2);
        await using var laptop = await browser.DeviceAsync(width, 800, colours);
        var page = await laptop.EnterAsync();
        var (about, at) = ($"/desk/tournaments/{tournament}", $"/desk/competitions/{competition}");
        var found = new List<string>();
        foreach (var path in new[] { "/desk", about, about + "/set-up", about + "/passes", about + "/announcements", at, at + "/entries", at + "/check-in", at + "/draw", at + "/formula", at + "/pools/1", "/desk/pools/" + pool, "/desk/bouts/" + bout, at + "/tableau", at + "/classification", at + "/history" })
        {
            var answer = await page.GotoAsync(path);
            Assert.Equal(200, answer!.Status);
            await page.EvaluateAsync("document.querySelectorAll('details').forEach(d => d.open = true)");
            await Browser.PictureAsync(page, $"{path.TrimStart('/').Replace('/', '-').Replace(competition, "c", StringComparison.Ordinal).Replace(tournament, "t", StringComparison.Ordinal)}-{width}");
            if (await Record.ExceptionAsync(() => Browser.AssertAccessibleAsync(page)) is { } wrong)
            {
                found.Add($"{path}: {wrong.Message}");
            }

            if (await page.EvaluateAsync<int>("document.documentElement.scrollWidth") is var wide && wide > width)
            {
                found.Add($"{path} is {wide} wide.");
            }
        }

        Assert.Empty(found);
    }

    [Fact]
    public async Task The_desk_is_closed_without_its_pass_and_its_forms_take_nothing_from_elsewhere()
    {
        await using var laptop = await browser.DeviceAsync(1280, 800);
        var page = await laptop.NewPageAsync();
        await page.GotoAsync("/desk");
        await Browser.ArriveAsync(page, "**/desk/enter?to=%2Fdesk");
        await page.FillAsync("#pass", "not the pass of anybody");
        await page.PressAsync("#pass", "Enter");
        await Assertions.Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("This is no pass for the desk");

        using var foreign = new HttpRequestMessage(HttpMethod.Post, "/desk/send/POST/tournaments") { Content = new FormUrlEncodedContent([new("name", "x")]) };
        foreign.Headers.Add("Origin", "http://elsewhere.example");
        foreign.Headers.Add("Cookie", "boutdesk-pass=" + DeskHost.DeskPass);
        using var answer = await browser.Host.Public.SendAsync(foreign);
        Assert.Equal(403, (int)answer.StatusCode);
    }
}
