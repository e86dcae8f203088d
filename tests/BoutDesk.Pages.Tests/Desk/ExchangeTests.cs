using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>The draw is looked at, and mended by hand, before it is fenced; a check-in is undone.</summary>
[Collection(OneBrowser.Name)]
public class ExchangeTests
{
    private readonly Browser browser;

    public ExchangeTests(Browser browser) => this.browser = browser;

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task What_an_exchange_does_is_seen_before_it_is_made_and_it_can_be_undone(bool scripts)
    {
        var (competition, first, second) = await TwoPoolsAsync();
        await using var laptop = await browser.LaptopAsync(scripts: scripts);
        var page = await laptop.NewPageAsync();
        var address = $"/desk/competitions/{competition}/pools/1";
        await page.GotoAsync(address);
        var before = await page.Locator("#pool-1").InnerTextAsync();
        await ExchangeAsync(page, first, second);
        await Assertions.Expect(page.Locator("#pool-1")).ToContainTextAsync("Fencer003");
        Assert.NotEqual(before, await page.Locator("#pool-1").InnerTextAsync());

        await ExchangeAsync(page, second, first);
        await Assertions.Expect(page.Locator("#pool-1")).Not.ToContainTextAsync("Fencer003");
        await page.GotoAsync($"/desk/competitions/{competition}/history");
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("changed pools.");

        async Task ExchangeAsync(IPage page, string one, string other)
        {
            await page.LookAtExchangeAsync(one, other);
            await Assertions.Expect(page.Locator("#effect")).ToContainTextAsync("Pairs of one club in a pool");
            await Browser.PictureAsync(page, "desk-exchange");
            if (scripts)
            {
                await Browser.AssertAccessibleAsync(page);
            }

            await page.GetByRole(AriaRole.Button, new() { Name = "Exchange them" }).ClickAsync();
            await Browser.ArriveAsync(page, "**" + address);
        }
    }

    [Fact]
    public async Task A_pool_that_is_open_elsewhere_shows_its_new_fencers()
    {
        var (competition, first, second) = await TwoPoolsAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/pools/{competition}-d1p1");
        await Assertions.Expect(page.Locator($"tr[data-entrant=\"{first}\"]")).ToBeVisibleAsync();
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/exchange", new { first, second }, System.Net.HttpStatusCode.OK);
        await Assertions.Expect(page.Locator($"tr[data-entrant=\"{second}\"]")).ToBeVisibleAsync();
        await Assertions.Expect(page.Locator($"tr[data-entrant=\"{first}\"]")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task What_is_typed_for_fencers_who_were_exchanged_meanwhile_is_not_recorded_for_others()
    {
        var (competition, first, second) = await TwoPoolsAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        // This laptop hears of nothing.
        await page.RouteAsync("**/feed*", route => route.AbortAsync());
        await page.GotoAsync($"/desk/pools/{competition}-d1p1");
        var cell = page.Locator($"tr[data-entrant=\"{first}\"] input.cell").First;
        var bout = (await cell.GetAttributeAsync("data-bout"))!;
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/exchange", new { first, second }, System.Net.HttpStatusCode.OK);

        foreach (var (half, said) in new[] { (cell, "V"), (page.Locator($"input.cell[data-bout=\"{bout}\"]:not([id=\"{await cell.GetAttributeAsync("id")}\"])"), "3") })
        {
            await half.FillAsync(said);
            await half.PressAsync("Enter");
        }

        await Assertions.Expect(page.Locator("#matter")).ToContainTextAsync("Meanwhile fencers of this pool were exchanged");
        Assert.Equal("open", (await browser.Desk.GetAsync<JsonObject>($"/api/bouts/{bout}"))["status"]!.GetValue<string>());
        await page.GetByRole(AriaRole.Button, new() { Name = "Load the new sheet" }).ClickAsync();
        await Assertions.Expect(page.Locator($"tr[data-entrant=\"{second}\"]")).ToBeVisibleAsync();
    }

    [Fact]
    public async Task A_check_in_of_the_wrong_fencer_is_undone_with_one_key()
    {
        var competition = await browser.Desk.CompetitionAsync(4, checkIn: false);
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/check-in");
        await page.FillAsync("#who", "fencer002");
        await page.PressAsync("#who", "Enter");
        await Assertions.Expect(page.GetByText("1 here, 0 absent, 3 not yet")).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo: Fencer002 Robin is not yet here" }).PressAsync("Enter");
        await Assertions.Expect(page.GetByText("0 here, 0 absent, 4 not yet")).ToBeVisibleAsync();
    }

    /// <summary>Eight fencers in two pools, 1 4 5 8 and 2 3 6 7, of which 4 and 3 are to change places.</summary>
    private async Task<(string Competition, string First, string Second)> TwoPoolsAsync()
    {
        var competition = await browser.Desk.CompetitionAsync(8);
        var round = await browser.Desk.DrawPoolsAsync(competition, new { poolCount = 2, drawSeed = 1 });
        var pools = round["pools"]!.AsArray().Select(p => p!["fencers"]!.AsArray().Select(f => f!["entrantId"]!.GetValue<string>()).ToArray()).ToArray();
        Assert.DoesNotContain($"{competition}-e3", pools[0]);
        return (competition, pools[0][1], $"{competition}-e3");
    }
}
