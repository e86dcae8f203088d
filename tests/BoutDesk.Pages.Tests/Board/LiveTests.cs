using System.Net;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

/// <summary>A page that is open follows what happens, also after it could not for a while.</summary>
[Collection(OneBrowser.Name)]
public sealed class LiveTests
{
    private readonly Browser browser;

    public LiveTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task A_touch_appears_in_every_window_without_loading_the_page_again()
    {
        var (competition, bout) = await OpenBoutAsync();
        await using var phone = await browser.DeviceAsync();
        await using var laptop = await browser.DeviceAsync(1280, 800);
        var pages = new[] { await phone.NewPageAsync(), await laptop.NewPageAsync(), await phone.NewPageAsync() };
        await pages[0].GotoAsync($"/competitions/{competition}");
        await pages[1].GotoAsync($"/competitions/{competition}/pools/1");
        await pages[2].GotoAsync($"/tournaments/{competition.Split('-')[0]}");
        foreach (var page in pages)
        {
            await page.EvaluateAsync("window.sameDocument = true");
            await Assertions.Expect(page.Locator("#live")).ToHaveTextAsync("Live");
        }

        await BoardDay.TouchAsync(browser.Desk, bout, "left");
        await BoardDay.TouchAsync(browser.Desk, bout, "left");

        foreach (var page in pages)
        {
            await Assertions.Expect(Now(page).First).ToHaveTextAsync("2");
            Assert.True(await page.EvaluateAsync<bool>("window.sameDocument === true"));
        }
    }

    [Fact]
    public async Task A_result_changes_the_grid_the_places_and_what_is_next()
    {
        var (competition, bout) = await OpenBoutAsync();
        await using var device = await browser.DeviceAsync(1280, 800);
        var page = await device.NewPageAsync();
        await page.GotoAsync($"/competitions/{competition}/pools/1");
        var count = page.Locator(".count").First;
        await Assertions.Expect(count).ToHaveTextAsync("0 of 10 fenced");

        await browser.Desk.ResultAsync(bout, 5, 3);

        await Assertions.Expect(count).ToHaveTextAsync("1 of 10 fenced");
        await Assertions.Expect(page.Locator(".grid .won")).ToHaveTextAsync("V5");
        await Assertions.Expect(page.Locator(".grid .lost")).ToHaveTextAsync("3");
        await Assertions.Expect(page.Locator(".grid tr", new() { Has = page.Locator(".won") }).Locator(".place")).ToHaveTextAsync("1");
    }

    [Fact]
    public async Task What_happens_while_a_phone_is_offline_is_there_when_it_is_back()
    {
        var (competition, bout) = await OpenBoutAsync();
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.GotoAsync($"/competitions/{competition}/pools/1");
        await Assertions.Expect(page.Locator("#live")).ToHaveTextAsync("Live");

        await device.SetOfflineAsync(true);
        await Assertions.Expect(page.Locator("#live")).ToContainTextAsync("Not live: last known at");
        await Browser.PictureAsync(page, "board-offline");
        await browser.Desk.ResultAsync(bout, 5, 4);
        var next = (await BoardDay.BoutsAsync(browser.Desk, competition, 1))[1].Id();
        await BoardDay.TouchAsync(browser.Desk, next, "right");
        await device.SetOfflineAsync(false);

        await Assertions.Expect(page.Locator("#live")).ToHaveTextAsync("Live");
        await Assertions.Expect(page.Locator(".grid .won")).ToHaveTextAsync("V5");
        await Assertions.Expect(page.Locator(".grid .lost")).ToHaveTextAsync("4");
        await BoardDay.TouchAsync(browser.Desk, next, "right");
        await Assertions.Expect(page.Locator(".grid .now").Filter(new() { HasText = "2" })).ToHaveCountAsync(1);
    }

    [Fact]
    public async Task A_page_that_slept_is_right_when_it_wakes()
    {
        var (competition, bout) = await OpenBoutAsync();
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.Clock.InstallAsync();
        // The feed is silent for this page: what it learns, it learns by waking.
        await device.RouteAsync("**/feed?*", route => route.AbortAsync());
        await page.GotoAsync($"/competitions/{competition}/pools/1");
        await browser.Desk.ResultAsync(bout, 5, 1);
        while (!(await browser.Host.Public.GetStringAsync($"/competitions/{competition}/pools/1")).Contains("1 of 10 fenced", StringComparison.Ordinal))
        {
            await Task.Delay(20);
        }

        await page.Clock.FastForwardAsync(60 * 60 * 1000);

        await Assertions.Expect(page.Locator(".grid .lost")).ToHaveTextAsync("1");
    }

    [Fact]
    public async Task Focus_scroll_and_what_was_opened_stay_when_the_page_changes()
    {
        var day = await BoardDay.OfAsync(browser);
        var competition = await BoardDay.PoolsAsync(browser.Desk, day.TournamentId, 8, "Kept open", new { pools = new { rounds = 1, size = 8 } });
        await browser.Desk.FenceRoundAsync(competition);
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, HttpStatusCode.OK);
        var tableau = await browser.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.GotoAsync($"/competitions/{competition}/tableau");
        await page.Locator("summary").First.ClickAsync();
        var link = page.Locator("details a").Nth(3);
        var address = await link.GetAttributeAsync("href");
        await link.FocusAsync();
        await page.Locator(".treebox").EvaluateAsync("box => box.scrollLeft = 120");

        await browser.Desk.ResultAsync(tableau["rounds"]![0]!["bouts"]![0].Id(), 15, 8);

        await Assertions.Expect(page.Locator(".tree .won").First).ToBeAttachedAsync();
        Assert.Equal(address, await page.EvaluateAsync<string>("document.activeElement.getAttribute('href')"));
        await Assertions.Expect(page.Locator("details[open]")).ToHaveCountAsync(1);
        await Assertions.Expect(page.Locator(".treebox")).ToHaveJSPropertyAsync("scrollLeft", 120);
    }

    [Fact]
    public async Task The_same_page_is_not_sent_twice_and_comes_compressed()
    {
        var day = await BoardDay.OfAsync(browser);
        // The feed may still be telling of what was done before; then the page changes once more.
        var status = HttpStatusCode.OK;
        for (var attempt = 0; attempt < 50 && status != HttpStatusCode.NotModified; attempt++)
        {
            using var first = await GetAsync($"/competitions/{day.Finished}/classification");
            using var again = await GetAsync($"/competitions/{day.Finished}/classification", ("If-None-Match", first.Headers.ETag!.ToString()));
            status = again.StatusCode;
        }

        Assert.Equal(HttpStatusCode.NotModified, status);
        using var gzip = await GetAsync($"/competitions/{day.Finished}/classification", ("Accept-Encoding", "gzip"));
        Assert.Equal("gzip", Assert.Single(gzip.Content.Headers.ContentEncoding));
        using var brotli = await GetAsync($"/competitions/{day.Finished}/classification", ("Accept-Encoding", "gzip, br"));
        Assert.Equal("br", Assert.Single(brotli.Content.Headers.ContentEncoding));
    }

    private static ILocator Now(IPage page) => page.Locator("b.now, td.now, .touches.now").Filter(new() { HasText = "2" });

    private async Task<HttpResponseMessage> GetAsync(string path, params (string, string)[] headers) =>
        await browser.Host.Public.TryAsync(HttpMethod.Get, path, null, headers);

    /// <summary>A competition of one pool of five in a tournament of its own; its first bout.</summary>
    private async Task<(string Competition, string Bout)> OpenBoutAsync()
    {
        var tournament = await browser.Desk.TournamentAsync();
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Strip 1" }, HttpStatusCode.Created);
        var competition = await BoardDay.PoolsAsync(browser.Desk, tournament, 5, "Lantern épée");
        return (competition, (await BoardDay.BoutsAsync(browser.Desk, competition, 1))[0].Id());
    }
}
