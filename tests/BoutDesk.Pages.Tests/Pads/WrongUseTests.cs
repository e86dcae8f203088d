using BoutDesk.Api.Tests;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>Wrong codes and wrong steps: each says what to do next, and nothing is lost.</summary>
[Collection(PadBrowser.Name)]
public sealed class WrongUseTests
{
    private readonly Browser browser;

    public WrongUseTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task When_the_code_is_revoked_what_was_scored_stays_and_is_sent_with_a_new_one()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        await pad.TouchesAsync("l");
        await pad.HasSentAllAsync();
        await strip.RevokeAsync();
        await pad.TouchesAsync("r");
        await pad.SaysAsync($"This code does not hold at {new Uri(strip.Url).Authority}, or no longer. Ask the desk for a new one, and scan it with this phone.");
        await pad.TouchesAsync("l");
        await pad.HasNotSentAsync(2);
        await Browser.PictureAsync(pad.Page, "pad-revoked");
        await Browser.AssertAccessibleAsync(pad.Page);

        var renewed = await strip.WithCodeAsync(new { kind = "referee", pools = new[] { strip.PoolId } });
        await pad.Page.GotoAsync(renewed.Url);
        await pad.HasSentAllAsync();
        Assert.Equal(["touch-scored", "touch-scored", "touch-scored"], await strip.RecordedAsync());
        Assert.Equal((2, 1), ScoringTests.Score(await strip.BoutAsync()));
    }

    [Fact]
    public async Task A_touch_that_arrived_with_the_old_code_does_not_count_again_with_the_new_one()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        var here = new UriBuilder(strip.Url) { Host = Browser.HallName }.Uri;
        await using var pad = await Pad.ScanAsync(browser, strip with { Url = here.ToString() }, address: here.GetLeftPart(UriPartial.Authority));
        await pad.BeginAsync();
        await pad.Page.RouteAsync("**/touches", async route =>
        {
            await Pad.DeliverAsync(route);
            await route.AbortAsync();
        });
        await pad.TouchesAsync("l");
        await pad.SaysAsync("No connection");
        await strip.RevokeAsync();
        await pad.Page.UnrouteAsync("**/touches");
        await pad.SaysAsync("Ask the desk for a new one");

        var renewed = await strip.WithCodeAsync(new { kind = "referee", pools = new[] { strip.PoolId } });
        await pad.Page.GotoAsync(new UriBuilder(renewed.Url) { Host = Browser.HallName }.Uri.ToString());
        await pad.HasSentAllAsync();
        Assert.Equal(["touch-scored"], await strip.RecordedAsync());
    }

    [Fact]
    public async Task A_code_that_has_ended_says_when_and_what_to_do()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk, expiresAt: DateTimeOffset.UtcNow.AddSeconds(8));
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        await Task.Delay(TimeSpan.FromSeconds(8));
        await pad.TouchesAsync("l");
        await pad.SaysAsync("This code ended at");
        await pad.SaysAsync("Ask the desk for a new one");
        await pad.HasNotSentAsync(1);
    }

    [Fact]
    public async Task A_code_that_was_never_given_out_leads_to_the_desk()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip with { Url = browser.Address + "/strip/x#aPassThatNobodyGaveOut0123456789" });
        await pad.SaysAsync($"This code does not hold at {new Uri(strip.Url).Authority}, or no longer. Ask the desk for a new one");
        await Browser.AssertAccessibleAsync(pad.Page);
        await pad.Page.GetByLabel("No camera?").FillAsync(strip.Url);
        await pad.TapAsync("Open");
        await pad.SaysAsync("Pool 1, bout 1");
    }

    [Fact]
    public async Task A_code_of_another_pool_keeps_what_is_not_sent_until_the_right_one_is_back()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        var elsewhere = await Strip.OfPoolAsync(browser.Desk, "foil");
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.IsKeptAsync();
        await pad.BeginAsync();
        await pad.Device.SetOfflineAsync(true);
        await pad.TouchesAsync("l");
        await pad.Page.GotoAsync(elsewhere.Url);
        await pad.HasNotSentAsync(1);
        await pad.Device.SetOfflineAsync(false);
        await pad.SaysAsync("This code is not for Pool 1, bout 1.");
        await pad.SaysAsync("Open foil, pool 1");
        await pad.Page.GotoAsync(strip.Url);
        await pad.HasSentAllAsync();
        Assert.Equal(["touch-scored"], await strip.RecordedAsync());
    }

    [Fact]
    public async Task A_code_of_another_kind_says_which_one_is_needed()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        var armourer = await strip.WithCodeAsync(new { kind = "armourer" });
        await using var pad = await Pad.ScanAsync(browser, armourer with { Url = armourer.Url.Replace("/equipment/", "/strip/", StringComparison.Ordinal) });
        await pad.SaysAsync("This code is for the armourer, not for a strip. Ask the desk for a referee's code");
    }

    [Fact]
    public async Task A_bout_that_is_confirmed_already_says_who_can_change_it()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await strip.Desk.ResultAsync(strip.Bouts[0], 5, 3);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.SaysAsync("Pool 1, bout 2");
        await pad.Page.GetByText("All bouts").ClickAsync();
        await pad.TapAsync("Pool 1, bout 1");
        await pad.SaysAsync("wins 5:3.");
        await pad.SaysAsync("Is it wrong? Only the desk can change it now. Go there and name this bout.");
        Assert.Equal(0, await pad.Button("Touch left").CountAsync());
    }

    [Theory]
    [InlineData(-3_600_000, false)]
    [InlineData(-3_600_000, true)]
    [InlineData(600_000, false)]
    [InlineData(600_000, true)]
    public async Task When_the_time_of_the_phone_is_changed_the_clock_goes_on_and_says_what_to_do(int byMs, bool theServiceIsHeardFirst)
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.Page.AddInitScriptAsync("const now = Date.now; globalThis.shift = 0; Date.now = () => now() + globalThis.shift;"
            + "const every = globalThis.setInterval; globalThis.asleep = false; globalThis.setInterval = (work, ms) => every(() => globalThis.asleep || work(), ms)");
        await pad.Page.ReloadAsync();
        await pad.BeginAsync();
        await pad.TapAsync("Start");
        await pad.HasSentAllAsync();
        await pad.Page.EvaluateAsync($"globalThis.asleep = {(theServiceIsHeardFirst ? "true" : "false")}; globalThis.shift = {byMs}");
        if (theServiceIsHeardFirst)
        {
            await pad.Page.RunAndWaitForResponseAsync(() => pad.Page.EvaluateAsync("dispatchEvent(new Event('online'))"), "**/api/pass/bouts");
            await Task.Delay(300);
            await pad.Page.EvaluateAsync("globalThis.asleep = false");
        }
        await pad.SaysAsync("The time of this phone was changed. The fencing clock goes on as it was.");
        await Task.Delay(700);
        await pad.TapAsync("Halt");
        await pad.HasSentAllAsync();
        var clock = (await strip.BoutAsync())["clock"]!;
        Assert.InRange(clock["remainingMs"]!.GetValue<int>(), 120_000, 179_999);
        Assert.Null(clock["runningSince"]);
    }
}
