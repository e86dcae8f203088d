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

        await Browser.ArriveAsync(page, "**/desk");
        return page;
    }

    /// <summary>Opens a tournament on the first page, and goes to where its competitions are set up.</summary>
    public static async Task OpenTournamentAsync(this IPage page)
    {
        await page.FillAsync("#name", "Lantern Cup");
        await page.FillAsync("#venue", "Old Mill Hall");
        await page.FillAsync("#startsOn", "2027-03-14");
        await page.FillAsync("#timeZone", "Europe/Vienna");
        await page.PressAsync("#timeZone", "Enter");
        await Browser.ArriveAsync(page, "**/desk/tournaments/*");
        await page.GetByRole(AriaRole.Link, new() { Name = "Set up", Exact = true }).ClickAsync();
    }

    /// <summary>Opens a competition of épée, and goes to its entries.</summary>
    public static async Task OpenCompetitionAsync(this IPage page, string name)
    {
        await page.FillAsync("#name", name);
        await page.SelectOptionAsync("#weapon", "epee");
        await page.PressAsync("#name", "Enter");
        await page.GetByRole(AriaRole.Link, new() { Name = "Enter the fencers" }).ClickAsync();
    }

    /// <summary>Has the page of a round show what an exchange of two fencers would do.</summary>
    public static async Task LookAtExchangeAsync(this IPage page, string first, string second)
    {
        await page.Locator("#exchange summary").ClickAsync();
        await page.SelectOptionAsync("#exchange-first", first);
        await page.SelectOptionAsync("#exchange-second", second);
        await page.GetByRole(AriaRole.Button, new() { Name = "Show what it does" }).ClickAsync();
    }

    /// <summary>A laptop at the desk.</summary>
    public static async Task<IBrowserContext> LaptopAsync(this Browser browser, int width = 1280, int height = 800, bool scripts = true)
    {
        var laptop = await browser.DeviceAsync(width, height, scripts: scripts);
        await (await laptop.EnterAsync(scripts)).CloseAsync();
        return laptop;
    }
}
