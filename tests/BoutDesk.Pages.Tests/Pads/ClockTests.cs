using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

[Collection(PadBrowser.Name)]
public sealed class ClockTests
{
    private readonly Browser browser;

    public ClockTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task The_clock_runs_over_a_reload_and_a_touch_halts_it_where_it_is()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        await Assertions.Expect(pad.Page.Locator("#clock")).ToHaveTextAsync("3:00");
        await pad.TapAsync("Start");
        await pad.HasSentAllAsync();
        Assert.NotNull((await strip.BoutAsync())["clock"]!["runningSince"]);
        await Assertions.Expect(pad.Page.Locator("#clock")).ToHaveTextAsync("2:59");
        await pad.Page.ReloadAsync();
        await Assertions.Expect(pad.Button("Halt")).ToBeVisibleAsync();
        await Assertions.Expect(pad.Page.Locator("#clock")).ToHaveTextAsync("2:57");
        await pad.TouchesAsync("l");
        await Assertions.Expect(pad.Button("Start")).ToBeVisibleAsync();
        await pad.HasSentAllAsync();
        var clock = (await strip.BoutAsync())["clock"]!;
        Assert.Null(clock["runningSince"]);
        var seconds = (clock["remainingMs"]!.GetValue<int>() + 999) / 1000;
        await Assertions.Expect(pad.Page.Locator("#clock")).ToHaveTextAsync($"2:{seconds - 120:00}");
    }

    [Fact]
    public async Task At_zero_it_asks_and_at_a_level_score_priority_is_drawn_and_a_minute_fenced()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        await SetAsync(pad, 0, 2);
        await pad.TapAsync("Start");
        await pad.SaysAsync("The clock is at zero");
        await pad.SaysAsync("The score is level: priority is drawn, and a minute is fenced.");
        await Browser.AssertAccessibleAsync(pad.Page);
        await pad.TapAsync("Time has run out");
        await pad.SaysAsync("Draw who has priority");
        await pad.TapAsync("Draw by lot");
        await Assertions.Expect(pad.Page.Locator("#clock")).ToHaveTextAsync("1:00");
        await pad.HasSentAllAsync();
        var bout = await strip.BoutAsync();
        var priority = bout["priority"]!.GetValue<string>();
        await Assertions.Expect(pad.Page.Locator($".sides .{priority} .priority")).ToBeVisibleAsync();

        await SetAsync(pad, 0, 1);
        await pad.TapAsync("Start");
        await pad.SaysAsync("The clock is at zero");
        await pad.TapAsync("Time has run out");
        await pad.SaysAsync("wins 0:0");
        await ScoringTests.ConfirmAsync(pad);
        await pad.HasSentAllAsync();
        bout = await strip.BoutAsync();
        Assert.True(bout["confirmed"]!.GetValue<bool>());
        Assert.Equal(priority, bout["winner"]!.GetValue<string>());
    }

    [Fact]
    public async Task Between_periods_and_for_an_injury_a_break_counts_down()
    {
        var strip = await Strip.OfTableauAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        await pad.SaysAsync("period 1 of 3");
        await pad.TapAsync("More");
        await pad.TapAsync("Time has run out");
        await pad.SaysAsync("Pause");
        await Assertions.Expect(pad.Page.Locator("#clock")).ToHaveTextAsync("0:58");
        await pad.TapAsync("Start");
        await pad.SaysAsync("period 2 of 3");
        await pad.TapAsync("More");
        await pad.TapAsync("Medical break right");
        await Assertions.Expect(pad.Page.Locator("#clock")).ToHaveTextAsync("4:58");
        await Browser.PictureAsync(pad.Page, "pad-medical-break");
        await pad.HasSentAllAsync();
        var bout = await strip.BoutAsync();
        Assert.Equal("medicalBreak", bout["phase"]!.GetValue<string>());
        Assert.Equal("right", bout["breaks"]![0]!["side"]!.GetValue<string>());
        await pad.TapAsync("Undo");
        await pad.SaysAsync("period 2 of 3");
        await pad.TapAsync("Start");
        await pad.TouchesAsync("l");
        await pad.HasSentAllAsync();
        Assert.Equal("halted", (await strip.BoutAsync())["phase"]!.GetValue<string>());
    }

    private static async Task SetAsync(Pad pad, int minutes, int seconds)
    {
        await pad.TapAsync("More");
        await pad.TapAsync("Set the clock");
        await pad.Page.GetByLabel("Minutes").FillAsync($"{minutes}");
        await pad.Page.GetByLabel("Seconds").FillAsync($"{seconds}");
        await pad.TapAsync("Set$");
        await pad.SaysAsync("Clock set.");
    }
}
