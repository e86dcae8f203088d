using BoutDesk.Api.Tests;
using Microsoft.Playwright;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>Coming to the desk.</summary>
internal static class AtTheDesk
{
    /// <summary>Opens the desk in a new page: by the link that holds the pass, or by typing it where there are no scripts.</summary>
    public static async Task<IPage> EnterAsync(this IBrowserContext device, bool scripts = true)
    {
        var page = await device.NewPageAsync();
        if (scripts)
        {
            await page.GotoAsync("/desk/enter#" + DeskHost.DeskPass);
        }
        else
        {
            await page.GotoAsync("/desk/enter");
            await page.Locator("[name=pass]").FillAsync(DeskHost.DeskPass);
            await page.Keyboard.PressAsync("Enter");
        }

        await page.WaitForURLAsync("**/desk");
        return page;
    }

    /// <summary>A laptop at the desk.</summary>
    public static async Task<IBrowserContext> LaptopAsync(this Browser browser, int width = 1280, int height = 800, bool scripts = true)
    {
        var laptop = await browser.DeviceAsync(width, height, scripts: scripts);
        await (await laptop.EnterAsync(scripts)).CloseAsync();
        return laptop;
    }
}
