using BoutDesk.Api.Tests;
using BoutDesk.Api.Tests.Organisers;
using BoutDesk.Pages.Tests.Pads;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

/// <summary>The pages of an organiser that is one of several, for those who come to its address.</summary>
[Collection(OneBrowser.Name)]
public sealed class OrganiserPagesTests
{
    // The longest name that an operator can give, in one word.
    private const string LongName = "Fechtregionalverband";

    private readonly Browser browser;

    public OrganiserPagesTests(Browser browser) => this.browser = browser;

    [Theory]
    [InlineData(320, 640, "en")]
    [InlineData(320, 640, "fr")]
    [InlineData(1280, 800, "en")]
    public async Task They_bear_its_name_fit_and_are_accessible_before_there_is_a_tournament_and_with_one(int width, int height, string language)
    {
        await using var host = await DeskHost.StartAsync();
        var pass = await Operator.CreateAsync("north", Operator.Host, host);
        var name = string.Concat(Enumerable.Repeat(LongName, 10));
        await Operator.DoAsync(host.ConnectionString, "change", "north", "--name", name);
        using var desk = host.ClientAt(Operator.Host, pass);
        await using var device = await browser.DeviceAsync(width, height, address: At(host, Operator.Host), language: language);
        var page = await device.NewPageAsync();
        for (var tries = 0; await NameAsync() != name; tries++)
        {
            Assert.True(tries < 100, "The service does not learn of the name.");
            await Task.Delay(100);
        }

        Assert.Equal(name, await page.TitleAsync());
        foreach (var path in new[] { "/", "/nothing", "/desk/enter" })
        {
            await LookAsync(path, "nothing");
        }

        var tournament = await desk.TournamentAsync();
        await desk.CompetitionAsync(4, tournamentId: tournament);
        foreach (var path in new[] { "/", $"/tournaments/{tournament}", $"/screen/{tournament}" })
        {
            await LookAsync(path, "tournament");
        }

        await page.GotoAsync("/");
        Assert.StartsWith(name + ", ", await page.TitleAsync(), StringComparison.Ordinal);

        // The one at home has no name, and is shown as where it is alone.
        await page.GotoAsync(At(host, Browser.HallName));
        Assert.Equal("BoutDesk", await page.TitleAsync());
        await Assertions.Expect(page.Locator(".top .home")).ToHaveTextAsync("BoutDesk");

        async Task<string?> NameAsync()
        {
            await page.GotoAsync("/");
            return await page.Locator(".top .home").TextContentAsync();
        }

        async Task LookAsync(string path, string when)
        {
            await page.GotoAsync(path);
            await Browser.PictureAsync(page, $"organiser-{when}-{path.Split('/')[1]}-{language}-{width}");
            await Assertions.Expect(page.Locator(".top .home")).ToHaveTextAsync(name);
            Assert.Equal((path, width), (path, Math.Max(width, await page.EvaluateAsync<int>("document.documentElement.scrollWidth"))));
            await Browser.AssertAccessibleAsync(page);
        }
    }

    [Fact]
    public async Task A_referee_who_types_the_address_of_his_code_into_the_pad_of_another_organiser_is_told_where_it_does_not_hold()
    {
        await using var host = await DeskHost.StartAsync();
        var pass = await Operator.CreateAsync("north", Operator.Host, host);
        using var desk = host.ClientAt(Operator.Host, pass);
        var strip = await Strip.OfPoolAsync(desk);
        var elsewhere = At(host, Browser.HallName);
        Assert.StartsWith(At(host, Operator.Host), strip.Url, StringComparison.Ordinal);
        await using var pad = await Pad.ScanAsync(browser, strip with { Url = elsewhere + "/strip" }, width: 320, address: elsewhere);
        await pad.Page.GetByLabel("No camera?").FillAsync(strip.Url);
        await pad.TapAsync("Open");
        await pad.SaysAsync($"This code does not hold at {new Uri(elsewhere).Authority}, or no longer.");
        await Browser.PictureAsync(pad.Page, "pad-elsewhere");
        Assert.True(await pad.FitsAsync());
        await Browser.AssertAccessibleAsync(pad.Page);
    }

    private static string At(DeskHost host, string hostName) => $"http://{hostName}:{host.Public.BaseAddress!.Port}";
}
