using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

/// <summary>Every page of the board, as it is met: on small and large screens, by day and night, without a script.</summary>
[Collection(OneBrowser.Name)]
public sealed class LookTests
{
    private readonly Browser browser;

    public LookTests(Browser browser) => this.browser = browser;

    [Theory]
    [InlineData(320, 640)]
    // A window of 1280 by 800 at 200 % zoom.
    [InlineData(640, 400)]
    [InlineData(1920, 1080)]
    public async Task Every_page_fits_the_screen(int width, int height)
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync(width, height);
        var page = await device.NewPageAsync();
        var tooWide = new List<string>();
        foreach (var (name, path) in day.Pages)
        {
            await page.GotoAsync(path);
            await Browser.PictureAsync(page, $"board-{name}-{width}");
            if (await page.EvaluateAsync<int>("document.documentElement.scrollWidth") is var wide && wide > width)
            {
                tooWide.Add($"{name} is {wide} wide");
            }
        }

        Assert.Empty(tooWide);
    }

    [Theory]
    [InlineData(320, 640, ColorScheme.Light)]
    [InlineData(1280, 800, ColorScheme.Dark)]
    public async Task Axe_finds_nothing_wrong_with_any_page(int width, int height, ColorScheme colours)
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync(width, height, colours);
        var page = await device.NewPageAsync();
        var found = new List<string>();
        foreach (var (name, path) in day.Pages)
        {
            await page.GotoAsync(path);
            // What is folded away is looked at too.
            await page.EvaluateAsync("document.querySelectorAll('details').forEach(d => d.open = true)");
            await Browser.PictureAsync(page, $"board-{name}-{colours}");
            if (await Record.ExceptionAsync(() => Browser.AssertAccessibleAsync(page)) is { } wrong)
            {
                found.Add($"{name}: {wrong.Message}");
            }
        }

        Assert.Empty(found);
    }

    [Fact]
    public async Task Every_page_says_all_without_a_script_and_has_nothing_inline()
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync(scripts: false);
        var page = await device.NewPageAsync();
        foreach (var (name, path) in day.Pages.Where(p => p.Name != "missing"))
        {
            var answer = await page.GotoAsync(path);
            var html = await answer!.TextAsync();
            Assert.DoesNotContain("style=", html, StringComparison.Ordinal);
            Assert.DoesNotContain("<style", html, StringComparison.Ordinal);
            Assert.DoesNotContain("onclick", html, StringComparison.Ordinal);
            Assert.DoesNotContain("Fischer <b>", html, StringComparison.Ordinal);
            await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToBeVisibleAsync();
            Assert.True(await page.Locator("#remember, #mine, #pause").EvaluateAllAsync<bool>("all => all.every(e => e.hidden)"), $"{name} offers what only a script can do.");
        }

        await page.GotoAsync($"/competitions/{day.Pools}");
        await Assertions.Expect(page.Locator(".grid")).ToHaveCountAsync(4);
        await Assertions.Expect(page.Locator(".grid .won").First).ToHaveTextAsync("V5");
        await Assertions.Expect(page.GetByText("Now fencing").First).ToBeVisibleAsync();
        await Assertions.Expect(page.Locator(".slip").Filter(new() { HasText = "Fischer <b> Lena & Co" }).Or(page.Locator(".grid").Filter(new() { HasText = "Fischer <b> Lena & Co" })).First).ToBeVisibleAsync();
    }

    [Fact]
    public async Task A_page_that_is_not_there_says_so_to_people_and_to_programs()
    {
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        foreach (var path in new[] { "/competitions/nothing-1", "/entrants/nothing-1-e1", "/entrants/nothing", "/tournaments/nothing", "/screen/nothing", "/nothing" })
        {
            var answer = await page.GotoAsync(path);
            Assert.Equal(404, answer!.Status);
            await Assertions.Expect(page.GetByRole(AriaRole.Heading)).ToHaveTextAsync("There is nothing at this address");
            using var program = await browser.Host.Public.GetAsync(path);
            Assert.Equal("application/problem+json", program.Content.Headers.ContentType?.MediaType);
        }
    }
}
