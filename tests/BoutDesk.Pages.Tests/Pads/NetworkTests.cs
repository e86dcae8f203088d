using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>What happens when the network, the page or the service go away.</summary>
[Collection(PadBrowser.Name)]
public sealed class NetworkTests
{
    private readonly Browser browser;

    public NetworkTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task Without_a_network_the_pad_goes_on_and_over_a_reload_and_each_touch_counts_once()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.IsKeptAsync();
        await pad.BeginAsync();
        await pad.TouchesAsync("lr");
        await pad.HasSentAllAsync();

        await pad.Device.SetOfflineAsync(true);
        await pad.TouchesAsync("lbr");
        await pad.HasNotSentAsync(3);
        await pad.SaysAsync("No connection");
        await pad.Page.ReloadAsync();
        await pad.ShowsScoreAsync(3, 3);
        await pad.HasNotSentAsync(3);
        await pad.TapAsync("Undo");
        await pad.TouchesAsync("ll");
        await ConfirmAsync(pad);
        await pad.SaysAsync("Pool 1, bout 2");
        await pad.BeginAsync();
        await pad.TouchesAsync("r");
        await pad.HasNotSentAsync(8);
        await Browser.PictureAsync(pad.Page, "pad-not-sent");

        await pad.Device.SetOfflineAsync(false);
        await pad.HasSentAllAsync();
        Assert.Equal(
            ["touch-scored", "touch-scored", "touch-scored", "touch-scored", "touch-scored", "touch-taken-back", "touch-scored", "touch-scored", "result-recorded"],
            await strip.RecordedAsync());
        Assert.Equal((5, 2), ScoringTests.Score(await strip.BoutAsync()));
        Assert.Equal(["touch-scored"], await strip.RecordedAsync(1));
        Assert.Empty(pad.Errors);
    }

    [Fact]
    public async Task A_pad_that_was_opened_once_is_opened_again_without_a_network()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.IsKeptAsync();
        await pad.SaysAsync("Pool 1, bout 1");
        await pad.Page.CloseAsync();
        await pad.Device.SetOfflineAsync(true);
        var later = await pad.Device.NewPageAsync();
        await later.GotoAsync("/strip");
        await Assertions.Expect(later.Locator(".next")).ToContainTextAsync("Pool 1, bout 1");
        await later.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = "Go to this bout" }).ClickAsync();
        await Assertions.Expect(later.Locator(".hands")).ToBeVisibleAsync();
    }

    [Fact]
    public async Task A_touch_whose_answer_is_lost_counts_once()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        // Where no worker stands between the page and the network, so that the answer can be taken away.
        var here = new UriBuilder(strip.Url) { Host = Browser.HallName }.Uri;
        await using var pad = await Pad.ScanAsync(browser, strip with { Url = here.ToString() }, address: here.GetLeftPart(UriPartial.Authority));
        await pad.SaysAsync("Keep this page open: without https");
        await pad.BeginAsync();
        var lost = 0;
        await pad.Page.RouteAsync("**/touches", async route =>
        {
            if (lost++ < 2)
            {
                await Pad.DeliverAsync(route);
                await route.AbortAsync();
            }
            else
            {
                await route.ContinueAsync();
            }
        });
        await pad.TouchesAsync("lr");
        await pad.HasSentAllAsync();
        Assert.True(lost > 2);
        Assert.Equal(["touch-scored", "touch-scored"], await strip.RecordedAsync());
        Assert.Equal((1, 1), ScoringTests.Score(await strip.BoutAsync()));
    }

    [Fact]
    public async Task Two_windows_of_one_phone_show_the_same_and_send_once()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        var second = await pad.Device.NewPageAsync();
        await second.GotoAsync("/strip");
        await Assertions.Expect(second.Locator(".sides .left .score")).ToHaveTextAsync("0");
        await pad.TouchesAsync("l");
        await Assertions.Expect(second.Locator(".sides .left .score")).ToHaveTextAsync("1");
        await second.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = "Touch right" }).ClickAsync();
        await pad.ShowsScoreAsync(1, 1);
        await pad.HasSentAllAsync();
        Assert.Equal(["touch-scored", "touch-scored"], await strip.RecordedAsync());
    }

    private static Task ConfirmAsync(Pad pad) => ScoringTests.ConfirmAsync(pad);
}

/// <summary>The service stops, or is killed, in the middle of a bout.</summary>
[Collection(PadBrowser.Name)]
public sealed class RestartTests : IClassFixture<ServiceProcess>
{
    private readonly Browser browser;
    private readonly ServiceProcess service;

    public RestartTests(Browser browser, ServiceProcess service)
    {
        this.browser = browser;
        this.service = service;
    }

    [Fact]
    public async Task A_bout_goes_on_while_the_service_is_killed_and_started_again()
    {
        using var desk = service.Client();
        var strip = await Strip.OfPoolAsync(desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        await pad.TouchesAsync("lr");
        await pad.HasSentAllAsync();
        await pad.TouchesAsync("l");
        await service.KillAsync();
        await pad.TouchesAsync("rb");
        await pad.SaysAsync("No connection");
        await service.StartAsync();
        await pad.TouchesAsync("l");
        await pad.HasSentAllAsync();
        await pad.ShowsScoreAsync(4, 3);
        Assert.Equal((4, 3), ScoringTests.Score(await strip.BoutAsync()));
        Assert.Equal(6, (await strip.RecordedAsync()).Length);
    }

    [Fact]
    public async Task A_bout_goes_on_while_the_service_is_stopped_and_started_again()
    {
        await using var host = await DeskHost.StartAsync();
        var strip = await Strip.OfPoolAsync(host.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        await pad.TouchesAsync("l");
        await host.RestartAsync(async () =>
        {
            await pad.TouchesAsync("rl");
            await pad.SaysAsync("No connection");
        });
        await pad.HasSentAllAsync();
        strip = strip with { Desk = host.Desk };
        Assert.Equal(["touch-scored", "touch-scored", "touch-scored"], await strip.RecordedAsync());
        Assert.Equal((2, 1), ScoringTests.Score(await strip.BoutAsync()));
    }
}
