using System.Globalization;
using System.Net;
using System.Text.RegularExpressions;
using BoutDesk.Api.Tests;
using BoutDesk.Pages.Tests.Desk;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

/// <summary>What is to be expected, on the pages of board and desk.</summary>
[Collection(OneBrowser.Name)]
public sealed partial class ForecastTests
{
    private readonly Browser browser;

    public ForecastTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task A_fencer_sees_when_the_next_bout_is_expected_and_takes_it_into_a_calendar()
    {
        var (tournament, competition) = await DayAsync();
        await using var phone = await browser.DeviceAsync();
        var page = await phone.NewPageAsync();
        var last = (await BoardDay.BoutsAsync(browser.Desk, competition, 1))[^1];
        var fencer = (await browser.Desk.GetAsync<System.Text.Json.Nodes.JsonObject>($"/api/bouts/{last.Id()}"))["left"]!["entrantId"]!.GetValue<string>();
        await page.GotoAsync($"/entrants/{fencer}");
        var expected = page.Locator(".expected");
        await Assertions.Expect(expected).ToContainTextAsync(Span());
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "fencer-expected");

        // Once everything before it is fenced, it comes at once.
        var before = await expected.InnerTextAsync();
        foreach (var bout in (await BoardDay.BoutsAsync(browser.Desk, competition, 1)).SkipLast(1))
        {
            await browser.Desk.ResultAsync(bout.Id(), 5, 3);
        }

        await Assertions.Expect(expected).Not.ToHaveTextAsync(before);

        var address = await page.GetByRole(AriaRole.Link, new() { Name = "In my calendar" }).GetAttributeAsync("href");
        Assert.Contains($"UID:{last.Id()}@boutdesk", await browser.Desk.GetStringAsync(new Uri(address!, UriKind.Relative)), StringComparison.Ordinal);

        await page.GotoAsync($"/tournaments/{tournament}");
        await Assertions.Expect(page.Locator(".card .expected")).ToContainTextAsync(Span());
        await page.GotoAsync($"/competitions/{competition}");
        await Assertions.Expect(page.Locator(".expected")).ToContainTextAsync("ends about");
    }

    [Fact]
    public async Task The_desk_sees_when_competitions_end_and_what_is_to_be_called_in_its_language()
    {
        var (tournament, competition) = await DayAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}");
        await Assertions.Expect(page.Locator(".card .expected")).ToContainTextAsync("ends about");
        var calls = page.Locator("section", new() { Has = page.GetByRole(AriaRole.Heading, new() { Name = "Next to be called" }) }).Locator("tbody tr");
        await Assertions.Expect(calls).ToHaveCountAsync(2);
        await Assertions.Expect(calls.First).ToContainTextAsync(Span());
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "desk-expected");
        await page.GotoAsync("/language/fr");
        await page.GotoAsync($"/competitions/{competition}");
        await Assertions.Expect(page.Locator(".expected")).ToContainTextAsync("se termine vers");
    }

    /// <summary>A strip and two pools that wait for it.</summary>
    private async Task<(string Tournament, string Competition)> DayAsync()
    {
        var day = DateTime.UtcNow.AddDays(1).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        var tournament = (await browser.Desk.SendAsync(
            HttpMethod.Post, "/api/tournaments", new { name = "Lantern Cup", venue = "Old Mill Hall", startsOn = day, timeZone = "Europe/Vienna" }, HttpStatusCode.Created)).Id();
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Strip 1" }, HttpStatusCode.Created);
        return (tournament, await BoardDay.PoolsAsync(browser.Desk, tournament, 10, "Épée on one strip", new { pools = new { size = 5 } }));
    }

    [GeneratedRegex(@"about \d\d:\d\d, between \d\d:\d\d and \d\d:\d\d")]
    private static partial Regex Span();
}
