using System.Text.RegularExpressions;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>A phone with the pad on it, and the finger of a referee.</summary>
internal sealed class Pad : IAsyncDisposable
{
    private readonly List<string> errors = [];

    private Pad(IBrowserContext device, IPage page)
    {
        Device = device;
        Page = page;
        page.PageError += (_, error) => errors.Add(error);
    }

    public IBrowserContext Device { get; }

    public IPage Page { get; }

    /// <summary>What went wrong in its scripts.</summary>
    public IReadOnlyList<string> Errors => errors;

    /// <summary>Scans a code with a phone, and waits until the pad is there.</summary>
    public static async Task<Pad> ScanAsync(Browser browser, Strip strip, int width = 390, int height = 780, ColorScheme colours = ColorScheme.Light, string? address = null, string? language = null)
    {
        var device = await browser.DeviceAsync(width, height, colours, address, language: language);
        device.SetDefaultTimeout(15_000);
        var pad = new Pad(device, await device.NewPageAsync());
        await pad.Page.GotoAsync(strip.Url);
        return pad;
    }

    public async ValueTask DisposeAsync() => await Device.DisposeAsync();

    public ILocator Button(string name) => Page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { NameRegex = new Regex("^" + name) });

    /// <summary>Presses a button, once the pad takes its next tap for one that is meant.</summary>
    public async Task TapAsync(string name)
    {
        var button = Button(name);
        await Assertions.Expect(button).Not.ToHaveClassAsync(new Regex("just"));
        await button.ClickAsync();
    }

    /// <summary>Opens the next bout.</summary>
    public async Task BeginAsync() => await TapAsync("Go (to this bout|on)");

    /// <summary>Taps touches, l for the left, r for the right, b for both.</summary>
    public async Task TouchesAsync(string sides)
    {
        foreach (var side in sides)
        {
            await TapAsync(side switch { 'l' => "Touch left", 'r' => "Touch right", _ => "Both" });
        }
    }

    public async Task ShowsScoreAsync(int left, int right)
    {
        await Assertions.Expect(Page.Locator(".sides .left .score")).ToHaveTextAsync(left.ToString(System.Globalization.CultureInfo.InvariantCulture));
        await Assertions.Expect(Page.Locator(".sides .right .score")).ToHaveTextAsync(right.ToString(System.Globalization.CultureInfo.InvariantCulture));
    }

    public Task HasSentAllAsync() => Assertions.Expect(Page.Locator("#sent")).ToHaveTextAsync("All sent", new LocatorAssertionsToHaveTextOptions { Timeout = 20_000 });

    public Task HasNotSentAsync(int count) => Assertions.Expect(Page.Locator("#sent")).ToContainTextAsync($"{count} not sent yet");

    public Task SaysAsync(string text) => Assertions.Expect(Page.Locator("body")).ToContainTextAsync(text);

    /// <summary>Whether the pad is on the phone, so that it can be opened without a network.</summary>
    public Task IsKeptAsync() => Page.EvaluateAsync("navigator.serviceWorker.ready.then(() => true)");

    /// <summary>Brings a request of a page in the hall to the service, whose name only the browser knows.</summary>
    public static async Task DeliverAsync(IRoute route)
    {
        var address = new UriBuilder(route.Request.Url) { Host = "127.0.0.1" }.Uri.ToString();
        var answer = await route.FetchAsync(new RouteFetchOptions { Url = address });
        Assert.True(answer.Ok, $"{address} was answered {answer.Status}.");
    }

    /// <summary>Whether the page is as wide as the screen, and no wider.</summary>
    public Task<bool> FitsAsync() => Page.EvaluateAsync<bool>("document.documentElement.scrollWidth <= document.documentElement.clientWidth");
}
