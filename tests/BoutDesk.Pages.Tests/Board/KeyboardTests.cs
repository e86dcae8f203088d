using BoutDesk.Api.Board;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

/// <summary>The board without a mouse, the hall's screen, and "my fencer".</summary>
[Collection(OneBrowser.Name)]
public sealed class KeyboardTests
{
    private readonly Browser browser;

    public KeyboardTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task From_the_start_page_to_a_fencer_by_keyboard()
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync(1280, 800);
        var page = await device.NewPageAsync();
        // Of the making of the day the page has nothing left to hear, so that it is not renewed while somebody types.
        await browser.Host.Services.GetRequiredService<BoardStates>().CaughtUpAsync(CancellationToken.None);
        await page.GotoAsync($"/tournaments/{day.TournamentId}");
        await page.Keyboard.PressAsync("Tab");
        await Assertions.Expect(page.GetByText("Skip to the content")).ToBeFocusedAsync();
        await page.Keyboard.PressAsync("Enter");
        await page.Keyboard.PressAsync("Tab");
        await Assertions.Expect(page.GetByLabel("Find a fencer or club")).ToBeFocusedAsync();
        await page.Keyboard.TypeAsync("ahlgren");
        await page.Keyboard.PressAsync("Enter");
        await Browser.ArriveAsync(page, "**/fencers?name=ahlgren");
        var found = page.Locator(".fencers a").First;
        await found.FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await Browser.ArriveAsync(page, "**/entrants/*");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToContainTextAsync("Ahlgren");
    }

    [Fact]
    public async Task A_fencer_is_found_without_accents_and_by_club()
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        foreach (var (wanted, name) in new[] { ("durovic", "Ďurovič"), ("ines cast", "Castellón y Fuentes"), ("佐々", "佐々木"), ("salle du", "Ahlgren") })
        {
            await page.GotoAsync($"/tournaments/{day.TournamentId}/fencers?name={Uri.EscapeDataString(wanted)}");
            await Assertions.Expect(page.Locator(".fencers")).ToContainTextAsync(name);
        }

        await page.GotoAsync($"/tournaments/{day.TournamentId}/fencers?name=nobody%20at%20all");
        await Assertions.Expect(page.GetByText("Nobody found")).ToBeVisibleAsync();
    }

    [Fact]
    public async Task My_fencer_is_remembered_on_this_device_and_can_be_forgotten()
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.GotoAsync($"/entrants/{day.Tableau}-e1");
        await page.GetByRole(AriaRole.Button, new() { Name = "Remember as my fencer" }).ClickAsync();
        await page.GotoAsync($"/competitions/{day.Pools}");
        await page.Locator("#mine").ClickAsync();
        await Browser.ArriveAsync(page, $"**/entrants/{day.Tableau}-e1");
        await page.GetByRole(AriaRole.Button, new() { Name = "My fencer: forget" }).ClickAsync();
        await Assertions.Expect(page.Locator("#mine")).ToBeHiddenAsync();
    }

    [Fact]
    public async Task The_screen_turns_by_itself_until_it_is_stopped()
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync(1920, 1080);
        var page = await device.NewPageAsync();
        await page.Clock.InstallAsync();
        await page.GotoAsync($"/screen/{day.TournamentId}");
        var number = page.Locator(".turn span");
        await Assertions.Expect(number).ToHaveTextAsync(new System.Text.RegularExpressions.Regex("^1 of "));
        var count = int.Parse((await number.TextContentAsync())!.Split(' ')[^1]);
        for (var slide = 2; slide <= count; slide++)
        {
            await page.Clock.FastForwardAsync(12_500);
            await Assertions.Expect(number).ToHaveTextAsync($"{slide} of {count}");
            // The clock goes on while the page is looked at, which on a busy machine takes longer than a page stands.
            await page.Keyboard.PressAsync("p");
            await Browser.PictureAsync(page, $"board-screen-{slide}", wholePage: false);
            await Browser.AssertAccessibleAsync(page);
            await page.Keyboard.PressAsync("p");
        }

        await page.Clock.FastForwardAsync(12_500);
        await Assertions.Expect(number).ToHaveTextAsync($"1 of {count}");
        await page.Keyboard.PressAsync("p");
        await Assertions.Expect(page.Locator("#pause")).ToHaveAttributeAsync("aria-pressed", "true");
        await page.Clock.FastForwardAsync(18_000);
        await Assertions.Expect(number).ToHaveTextAsync($"1 of {count}");
        await page.Keyboard.PressAsync("ArrowRight");
        await Assertions.Expect(number).ToHaveTextAsync($"2 of {count}");
        await page.Keyboard.PressAsync("ArrowLeft");
        await Assertions.Expect(number).ToHaveTextAsync($"1 of {count}");
    }

    [Fact]
    public async Task The_screen_turns_without_a_script_too()
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync(1920, 1080, scripts: false);
        var page = await device.NewPageAsync();
        await page.GotoAsync($"/screen/{day.TournamentId}");
        Assert.Equal($"12;url=/screen/{day.TournamentId}?slide=2", await page.Locator("meta[http-equiv=refresh]").GetAttributeAsync("content"));
        await page.GetByRole(AriaRole.Link, new() { Name = "On", Exact = true }).ClickAsync();
        await Assertions.Expect(page.Locator(".turn span")).ToHaveTextAsync(new System.Text.RegularExpressions.Regex("^2 of "));
    }
}
