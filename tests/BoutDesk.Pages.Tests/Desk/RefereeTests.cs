using System.Net;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>Referees at the desk: listed, assigned to pools, told of on the board.</summary>
[Collection(OneBrowser.Name)]
public class RefereeTests
{
    private readonly Browser browser;

    public RefereeTests(Browser browser) => this.browser = browser;

    private HttpClient Desk => browser.Desk;

    [Fact]
    public async Task Referees_are_listed_and_assigned_and_who_is_missing_is_said()
    {
        var (tournament, competition) = await DayAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}");
        await page.GetByRole(AriaRole.Link, new() { Name = "Referees", Exact = true }).ClickAsync();

        // One by hand; without a weapon he cannot be listed.
        await page.FillAsync("#f-new", "Lind");
        await page.FillAsync("#g-new", "Mara");
        await page.FillAsync("#c-new", "Club 1");
        await page.PressAsync("#g-new", "Enter");
        await Assertions.Expect(page.Locator("#referees summary")).ToHaveTextAsync([new Regex("Lind Mara.*Club 1.*load 0")]);
        await page.FillAsync("#csv", "familyName,givenName,weapons\nOtero,Paz,foil epee\nGrau,Emil,spear\n");
        await page.GetByRole(AriaRole.Button, new() { Name = "Check the list" }).ClickAsync();
        await Assertions.Expect(page.Locator("#checked")).ToContainTextAsync("Line 3: weapons");
        await page.GetByRole(AriaRole.Button, new() { Name = "Take the good rows in" }).ClickAsync();
        await Assertions.Expect(page.Locator("#referees summary")).ToHaveCountAsync(2);
        await Browser.PictureAsync(page, "desk-referees");

        // Two pools, and one of the two referees belongs to a club that is in both.
        await page.GotoAsync($"/desk/competitions/{competition}/pools/1");
        await page.GetByRole(AriaRole.Button, new() { Name = "Assign referees" }).ClickAsync();
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync(new Regex("Pool [12]: All who could take it are needed elsewhere"));
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("Lind Mara (own club)");
        var covered = (await Desk.GetAsync<JsonObject>($"/api/competitions/{competition}/referees")).Items("appointments").Single().Number("pool");
        var open = 3 - covered;
        await Assertions.Expect(page.Locator($"#pool-{covered}")).ToContainTextAsync("Referee: Otero Paz");
        await Assertions.Expect(page.Locator($"#pool-{open}")).ToContainTextAsync("no referee yet");
        await Browser.PictureAsync(page, "desk-round-referees");

        // By hand, which takes a reason.
        await page.Locator($"#pool-{open} h3 a").ClickAsync();
        await page.SelectOptionAsync("#referee-of", new SelectOptionValue { Label = "Lind Mara (Club 1)" });
        await page.GetByRole(AriaRole.Button, new() { Name = "Appoint" }).ClickAsync();
        await Assertions.Expect(page.Locator("#referee .refused")).ToContainTextAsync("Lind Mara belongs to Club 1");
        await page.SelectOptionAsync("#referee-of", new SelectOptionValue { Label = "Lind Mara (Club 1)" });
        await page.FillAsync("#despite", "there is nobody else");
        await page.GetByRole(AriaRole.Button, new() { Name = "Appoint" }).ClickAsync();
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("It is kept.");

        await page.GotoAsync($"/competitions/{competition}/pools/1");
        await Assertions.Expect(page.Locator($"#pool-{open}")).ToContainTextAsync("Referee: Lind Mara");
        await page.GotoAsync($"/desk/competitions/{competition}/sheets/pools/1");
        await Assertions.Expect(page.Locator(".poolsheet").Nth(covered - 1).Locator(".fill")).ToContainTextAsync("Otero Paz");
        await page.GotoAsync($"/desk/competitions/{competition}/history");
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync($"Pool {open}: referee Lind Mara, all the same: there is nobody else");
    }

    [Fact]
    public async Task Without_scripts_who_is_missing_is_said_too()
    {
        var (tournament, competition) = await DayAsync();
        await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/referees", new { familyName = "Otero", weapons = new[] { "epee" } }, HttpStatusCode.Created);
        await using var laptop = await browser.LaptopAsync(scripts: false);
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/pools/1");
        await page.GetByRole(AriaRole.Button, new() { Name = "Assign referees" }).ClickAsync();
        await Assertions.Expect(page.Locator("main")).ToContainTextAsync("are needed elsewhere at the same time; so many could: 1.");
        await page.GetByRole(AriaRole.Link, new() { Name = "Go on" }).ClickAsync();
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("Referee: Otero");
    }

    private async Task<(string Tournament, string Competition)> DayAsync()
    {
        var tournament = await Desk.TournamentAsync();
        var competition = await Desk.CompetitionAsync(12, tournamentId: tournament, checkIn: false);
        await Desk.DrawPoolsAsync(competition, new { poolCount = 2, drawSeed = 1 });
        Assert.Equal(2, (await Desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1")).Items("pools").Length);
        return (tournament, competition);
    }
}
