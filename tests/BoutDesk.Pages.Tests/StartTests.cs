using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests;

[Collection(OneBrowser.Name)]
public sealed class StartTests
{
    private readonly Browser browser;

    public StartTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task The_start_page_is_there()
    {
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.GotoAsync("/");
        await Assertions.Expect(page).ToHaveTitleAsync("BoutDesk");
        await Browser.PictureAsync(page, "start");
        await Browser.AssertAccessibleAsync(page);
    }
}
