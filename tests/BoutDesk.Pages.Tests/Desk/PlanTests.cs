using System.Text.RegularExpressions;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>The day plan at the desk.</summary>
[Collection(OneBrowser.Name)]
public class PlanTests
{
    private readonly Browser browser;

    public PlanTests(Browser browser) => this.browser = browser;

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task An_organiser_sees_when_the_day_ends_and_what_would_change_it(bool scripts)
    {
        var desk = browser.Desk;
        var tournament = await desk.TournamentAsync();
        await desk.CompetitionAsync(40, "foil", tournamentId: tournament, checkIn: false);
        await desk.CompetitionAsync(0, "sabre", tournamentId: tournament, checkIn: false);
        await using var laptop = await browser.LaptopAsync(scripts: scripts);
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}");
        await page.GetByRole(AriaRole.Link, new() { Name = "Day plan" }).ClickAsync();
        await Assertions.Expect(page.Locator("#wrong")).ToContainTextAsync("The tournament has no strips yet. Say how many there will be.");

        await page.FillAsync("[name=strips]", "8");
        await page.FillAsync("[name=breakFrom]", "12:30");
        await page.FillAsync("[name=breakTo]", "13:15");
        await page.FillAsync("[name=n2]", "24");
        await page.FillAsync("[name=from2]", "11:00");
        await page.GetByRole(AriaRole.Button, new() { Name = "Plan the day" }).ClickAsync();
        await Assertions.Expect(page.Locator("#plan h2").First).ToContainTextAsync("The day ends at");
        await Assertions.Expect(page.Locator("#plan .chart rect").First).ToBeVisibleAsync();
        await Assertions.Expect(page.Locator("#what-if thead th")).ToHaveTextAsync(
        [
            "As planned", "with 1 strip fewer", "when 2 referees are missing", "with 12 late entries in the largest competition",
            "with 1 strip and referee more", "with 2 strips and referees more", "without a break", "opened an hour earlier",
        ]);
        await Assertions.Expect(page.Locator("#what-if tbody th")).ToHaveTextAsync(["The day ends", "1 Open foil", "2 Open sabre", "Waiting in all, minutes"]);
        // All charts lie on one scale.
        await Assertions.Expect(page.Locator(".charts figure")).ToHaveCountAsync(8);
        Assert.Single((await page.Locator(".charts svg").AllAsync()).Select(svg => svg.GetAttributeAsync("width").Result).Distinct());
        await Assertions.Expect(page.Locator("[name=n2]")).ToHaveValueAsync("24");
        if (scripts)
        {
            await Browser.AssertAccessibleAsync(page);
            await Browser.PictureAsync(page, "desk-plan");
            await page.EmulateMediaAsync(new() { Media = Media.Print });
            await Assertions.Expect(page.Locator(".plan-form")).ToBeHiddenAsync();
            await Browser.PictureAsync(page, "desk-plan-print");
        }

        await page.EmulateMediaAsync(new() { Media = Media.Screen });
        await page.FillAsync("[name=fewer]", "2");
        await page.FillAsync("[name=missing]", "0");
        await page.GetByRole(AriaRole.Button, new() { Name = "Plan the day" }).ClickAsync();
        await Assertions.Expect(page.Locator("#what-if thead th").Nth(1)).ToHaveTextAsync("with 2 strips fewer");
        await Assertions.Expect(page.Locator("#what-if thead th").Nth(2)).ToContainTextAsync("late entries");
    }

    [Fact]
    public async Task A_longer_search_is_watched_stopped_and_its_plan_kept()
    {
        var tournament = await browser.Desk.TournamentAsync();
        foreach (var (fencers, weapon) in new[] { (60, "foil"), (55, "epee"), (47, "sabre"), (39, "foil"), (28, "epee") })
        {
            await browser.Desk.CompetitionAsync(fencers, weapon, tournamentId: tournament, checkIn: false);
        }

        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}/plan?opens=09:00&closes=12:00&strips=9&steps=0");
        await Assertions.Expect(page.Locator("#relax li").First).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "Search for longer" }).ClickAsync();
        await Assertions.Expect(page.Locator("#searching [role=status]")).ToContainTextAsync("the best plan so far ends at");
        await Browser.PictureAsync(page, "desk-plan-searching");
        // It may have come to its end by itself, which leads to the same place.
        await Record.ExceptionAsync(() => page.Locator("#searching button").ClickAsync(new() { Timeout = 3000 }));
        await Assertions.Expect(page).ToHaveURLAsync(new Regex("steps=1000000&stopAfter=\\d+"));
        var end = await page.Locator("#plan h2").First.TextContentAsync();

        await page.GetByRole(AriaRole.Button, new() { Name = "Keep this plan for the day" }).ClickAsync();
        await Assertions.Expect(page.Locator("#kept h2")).ToContainTextAsync(Regex.Match(end!, @"\d\d:\d\d").Value);
        await page.Locator("#kept summary").ClickAsync();
        await Assertions.Expect(page.Locator("#kept tbody tr").First).ToBeVisibleAsync();
        await Assertions.Expect(page.Locator("[name=closes]")).ToHaveValueAsync("12:00");
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "desk-plan-kept");
        await Assertions.Expect(page.Locator("#moved")).ToHaveCountAsync(0);
        var late = (await browser.Desk.GetAsync<System.Text.Json.Nodes.JsonObject>($"/api/tournaments/{tournament}"))["competitions"]![0]!.GetValue<string>();
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{late}/entrants", new { familyName = "Late" }, System.Net.HttpStatusCode.Created);
        await page.ReloadAsync();
        await Assertions.Expect(page.Locator("#moved li")).ToHaveTextAsync(["Open foil: planned for 60, 61 entered."]);
        await Browser.AssertAccessibleAsync(page);
        await page.GotoAsync($"/desk/tournaments/{tournament}");
        await Assertions.Expect(page.Locator(".card .moved")).ToHaveTextAsync(["Open foil: planned for 60, 61 entered."]);
        await page.Locator(".card .moved a").ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Give this plan up" }).ClickAsync();
        await Assertions.Expect(page.Locator("#kept")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task It_fits_a_phone()
    {
        var tournament = await browser.Desk.TournamentAsync();
        await browser.Desk.CompetitionAsync(12, "foil", tournamentId: tournament, checkIn: false);
        await browser.Desk.SendAsync(
            HttpMethod.Post, $"/api/tournaments/{tournament}/referees", new { familyName = "Lind", weapons = new[] { "foil" }, from = "10:00" }, System.Net.HttpStatusCode.Created);
        await using var phone = await browser.LaptopAsync(320, 640);
        var page = await phone.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}/plan?opens=09:00&closes=18:00&strips=3");
        await Assertions.Expect(page.Locator("#by-list")).ToContainTextAsync("Planned with the referees of the list, 1 of them");
        await Assertions.Expect(page.Locator("#plan tbody").First.Locator("td", new() { HasText = "10:00 –" })).ToBeVisibleAsync();
        Assert.True(await page.EvaluateAsync<bool>("document.documentElement.scrollWidth <= innerWidth"));
        await Browser.AssertAccessibleAsync(page);
    }
}
