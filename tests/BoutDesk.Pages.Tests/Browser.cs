using BoutDesk.Api.Tests;
using BoutDesk.Api.Tests.Organisers;
using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using Xunit;

[assembly: TestFramework("BoutDesk.Api.Tests.StopsPostgres", "BoutDesk.Api.Tests")]

namespace BoutDesk.Pages.Tests;

/// <summary>A service and an installed Chromium, shared by the tests that neither kill nor reconfigure the service.</summary>
public sealed class Browser : IAsyncLifetime
{
    // The shell without a window first: it makes a page in half the time.
    private static readonly string[] Places = ["/usr/bin/chromium-headless-shell", "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome", "/snap/bin/chromium"];

    /// <summary>A name of this machine that browsers do not take for it, so that it is as unsafe to them as a laptop in a hall.</summary>
    internal const string HallName = "laptop.hall.test";

    private IPlaywright playwright = null!;
    private IBrowser browser = null!;

    internal DeskHost Host { get; private set; } = null!;

    internal HttpClient Desk => Host.Desk;

    internal string Address => Host.Public.BaseAddress!.ToString().TrimEnd('/');

    public async Task InitializeAsync()
    {
        playwright = await Playwright.CreateAsync();
        // What is expected comes in a moment; on a machine that does much else at once it may take longer.
        Assertions.SetDefaultExpectTimeout(20_000);
        browser = await playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions { ExecutablePath = Chromium(), Args = ["--no-sandbox", $"--host-resolver-rules=MAP {HallName} 127.0.0.1,MAP {Operator.Host} 127.0.0.1"] });
        Host = await DeskHost.StartAsync();
    }

    public async Task DisposeAsync()
    {
        await browser.DisposeAsync();
        playwright.Dispose();
        await Host.DisposeAsync();
    }

    /// <summary>A device of its own, with its own storage: a phone, unless a size is given.</summary>
    internal async Task<IBrowserContext> DeviceAsync(
        int width = 390, int height = 780, ColorScheme colours = ColorScheme.Light, string? address = null, bool scripts = true, string? language = null)
    {
        var device = await browser.NewContextAsync(new BrowserNewContextOptions
        {
            BaseURL = address ?? Address,
            ViewportSize = new ViewportSize { Width = width, Height = height },
            ColorScheme = colours,
            HasTouch = width < 800,
            JavaScriptEnabled = scripts,
            Locale = language,
        });
        // As with what is expected of a page: a machine that does much else at once may take longer to load one.
        device.SetDefaultNavigationTimeout(60_000);
        return device;
    }

    /// <summary>Waits until the page stands at an address and is loaded, asking the page itself: word of it can get lost when one page follows another at once.</summary>
    internal static async Task ArriveAsync(IPage page, string address)
    {
        await page.WaitForURLAsync(address, new() { WaitUntil = WaitUntilState.Commit });
        for (var until = DateTime.UtcNow.AddMinutes(1); await page.EvaluateAsync<string>("document.readyState") != "complete" && DateTime.UtcNow < until;)
        {
            await Task.Delay(20);
        }
    }

    /// <summary>Keeps a picture of the page beside the test output when BOUTDESK_PICTURES asks for it: to be looked at, and slow to make.</summary>
    internal static async Task PictureAsync(IPage page, string name, bool wholePage = true)
    {
        if (Environment.GetEnvironmentVariable("BOUTDESK_PICTURES") == "1")
        {
            await page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(AppContext.BaseDirectory, "pictures", name + ".png"), FullPage = wholePage });
        }
    }

    /// <summary>Fails with what axe finds wrong for people who do not see, hear or move as most do.</summary>
    internal static async Task AssertAccessibleAsync(IPage page)
    {
        var found = await page.RunAxe(new AxeRunOptions { ResultTypes = [ResultType.Violations] });
        Assert.True(found.Violations.Length == 0, string.Join('\n', found.Violations.Select(Told)));
    }

    private static string Told(AxeResultItem violation) =>
        $"{violation.Id}: {violation.Help}: {string.Join("; ", violation.Nodes.Select(node => node.Html))}";

    private static string Chromium() =>
        Environment.GetEnvironmentVariable("BOUTDESK_CHROMIUM")
        ?? Places.FirstOrDefault(File.Exists)
        ?? throw new InvalidOperationException("These tests drive an installed Chromium: apt install chromium, or name one in BOUTDESK_CHROMIUM.");
}

/// <summary>Names the collection of tests that share a service and a browser.</summary>
[CollectionDefinition(Name)]
public sealed class OneBrowser : ICollectionFixture<Browser>
{
    public const string Name = "One browser";
}

/// <summary>Names the collection of the tests of the pad, which wait more than they work and so run beside the others, with a service and a browser of their own.</summary>
[CollectionDefinition(Name)]
public sealed class PadBrowser : ICollectionFixture<Browser>
{
    public const string Name = "A browser for the pads";
}
