using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>How the pad looks: on small and large phones, by day and by night, enlarged.</summary>
[Collection(PadBrowser.Name)]
public sealed class LookTests
{
    private readonly Browser browser;

    public LookTests(Browser browser) => this.browser = browser;

    [Theory]
    [InlineData(320, 568, ColorScheme.Light)]
    [InlineData(320, 568, ColorScheme.Dark)]
    [InlineData(390, 780, ColorScheme.Light)]
    [InlineData(390, 780, ColorScheme.Dark)]
    [InlineData(195, 390, ColorScheme.Light)] // A phone of 390 by 780 at 200 %.
    public async Task Every_screen_fits_and_is_accessible(int width, int height, ColorScheme colours)
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip, width, height, colours);
        var name = $"pad-{width}-{colours}-".ToLowerInvariant();
        await pad.SaysAsync("Next");
        await LookAsync("1-next", 48);
        await pad.BeginAsync();
        await pad.TouchesAsync("lrb");
        await pad.TapAsync("Cards");
        await LookAsync("3-cards", 64);
        await pad.Page.Locator(".offences button").First.ClickAsync();
        await pad.TapAsync("Start");
        await pad.HasSentAllAsync();
        await LookAsync("2-bout", 64);
        await pad.TapAsync("More");
        await LookAsync("4-more", 64);
        await pad.TapAsync("Cancel");
        await pad.TouchesAsync("lrll");
        await pad.SaysAsync("wins 5:3");
        await LookAsync("5-over", 64);
        await pad.TapAsync("Show it to both fencers");
        await LookAsync("6-confirm", 64);
        Assert.Empty(pad.Errors);

        async Task LookAsync(string screen, int least)
        {
            await Browser.PictureAsync(pad.Page, name + screen, wholePage: false);
            Assert.True(await pad.FitsAsync(), $"{name}{screen} is wider than the screen.");
            var small = await pad.Page.EvaluateAsync<string[]>(
                "least => [...document.querySelectorAll('main button')].filter(b => b.checkVisibility() && b.getBoundingClientRect().height < least).map(b => b.textContent)", least);
            Assert.Empty(small);
            await Browser.AssertAccessibleAsync(pad.Page);
        }
    }

    [Fact]
    public async Task Without_scrolling_all_that_scores_is_on_a_usual_phone()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip, 360, 640);
        await pad.BeginAsync();
        await Assertions.Expect(pad.Button("Start")).ToBeInViewportAsync(new LocatorAssertionsToBeInViewportOptions { Ratio = 1 });
        await Assertions.Expect(pad.Page.Locator(".sides")).ToBeInViewportAsync(new LocatorAssertionsToBeInViewportOptions { Ratio = 1 });
        await Browser.PictureAsync(pad.Page, "pad-360-bout", wholePage: false);
    }

    [Theory]
    [InlineData("en-US")]
    [InlineData("fr-FR")]
    public async Task The_whole_pad_is_at_most_80_kB_and_comes_from_the_service_alone(string language)
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var device = await browser.DeviceAsync(language: language);
        var page = await device.NewPageAsync();
        var hosts = new HashSet<string>();
        var bytes = new Dictionary<string, int>();
        var bodies = new List<Task>();
        page.Request += (_, request) => hosts.Add(new Uri(request.Url).Authority);
        page.Response += (_, response) =>
        {
            var path = new Uri(response.Url).AbsolutePath;
            if (!path.StartsWith("/api/", StringComparison.Ordinal))
            {
                bodies.Add(CountAsync(path, response));
            }
        };
        await page.GotoAsync(strip.Url);
        await Assertions.Expect(page.Locator(".next")).ToBeVisibleAsync();
        await Task.WhenAll(bodies);
        Assert.Equal([new Uri(browser.Address).Authority], hosts);
        Assert.InRange(bytes.Values.Sum(), 1, 80_000);

        async Task CountAsync(string path, IResponse response)
        {
            var body = await response.BodyAsync();
            lock (bytes)
            {
                bytes[path] = body.Length;
            }
        }
    }
}
