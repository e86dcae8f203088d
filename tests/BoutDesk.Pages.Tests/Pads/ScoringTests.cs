using System.Text.Json.Nodes;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

[Collection(PadBrowser.Name)]
public sealed class ScoringTests
{
    private readonly Browser browser;

    public ScoringTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task A_bout_is_scored_by_tapping_shown_to_both_fencers_and_confirmed()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await Assertions.Expect(pad.Page.GetByRole(AriaRole.Heading, new PageGetByRoleOptions { Level = 1 })).ToHaveTextAsync("Open epee, pool 1");
        Assert.DoesNotContain("#", pad.Page.Url, StringComparison.Ordinal);
        await pad.BeginAsync();
        await pad.TouchesAsync("lrb");
        await pad.ShowsScoreAsync(2, 2);
        await pad.TapAsync("Undo");
        await pad.ShowsScoreAsync(1, 1);
        await pad.TouchesAsync("lrlrl");
        await pad.ShowsScoreAsync(4, 3);
        await pad.HasSentAllAsync();
        Assert.Equal((4, 3), Score(await strip.BoutAsync()));

        await pad.TouchesAsync("l");
        await pad.TapAsync("Show it to both fencers");
        await pad.SaysAsync("Fencers, is this right?");
        await pad.TapAsync("No, go back");
        await pad.TapAsync("Undo");
        await pad.ShowsScoreAsync(4, 3);
        await pad.TouchesAsync("rr");
        await ConfirmAsync(pad);
        await pad.SaysAsync("Pool 1, bout 1 is confirmed: 4:5.");
        await pad.HasSentAllAsync();

        var confirmed = await strip.BoutAsync();
        Assert.True(confirmed["confirmed"]!.GetValue<bool>());
        Assert.Equal((4, 5), Score(confirmed));
        Assert.Empty(pad.Errors);
    }

    [Fact]
    public async Task The_next_bout_and_the_one_after_are_shown_with_side_club_and_hand()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.SaysAsync("Next");
        var bout = await strip.BoutAsync();
        var next = pad.Page.GetByRole(AriaRole.Region, new PageGetByRoleOptions { Name = "Next bout" });
        foreach (var side in new[] { "left", "right" })
        {
            var fencer = bout[side]!;
            await Assertions.Expect(next.Locator($".fencer.{side}")).ToContainTextAsync(fencer["name"]!.GetValue<string>());
            await Assertions.Expect(next.Locator($".fencer.{side}")).ToContainTextAsync(fencer["club"]?.GetValue<string>() ?? fencer["country"]!.GetValue<string>());
            await Assertions.Expect(next.Locator($".fencer.{side}")).ToContainTextAsync(fencer["hand"] is { } hand ? $"{hand.GetValue<string>()}-handed" : string.Empty);
        }

        await Assertions.Expect(pad.Page.Locator(".then")).ToContainTextAsync("Pool 1, bout 2: " + (await strip.BoutAsync(1))["left"]!["name"]!.GetValue<string>());
    }

    [Fact]
    public async Task A_second_tap_at_once_is_ignored_and_said_so()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        await pad.Button("Touch left").DblClickAsync();
        await pad.SaysAsync("Second tap ignored.");
        await pad.ShowsScoreAsync(1, 0);
        await pad.TouchesAsync("l");
        await pad.ShowsScoreAsync(2, 0);
        await pad.HasSentAllAsync();
        Assert.Equal(["touch-scored", "touch-scored"], await strip.RecordedAsync());
    }

    [Fact]
    public async Task Cards_follow_from_the_group_of_the_offence_and_a_black_one_is_asked_for_twice()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.BeginAsync();
        foreach (var _ in new[] { "yellow", "red" })
        {
            await pad.TapAsync("Cards");
            await pad.Page.Locator(".offences > div:first-child button").First.ClickAsync();
        }

        await pad.ShowsScoreAsync(0, 1);
        await pad.TapAsync("Cards");
        await pad.Page.GetByLabel("What for").FillAsync("Refused to fence.");
        await pad.Page.Locator(".offences > div:last-child button").Last.ClickAsync();
        await pad.SaysAsync("is then out of the competition");
        await pad.TapAsync("Show the black card");
        await pad.HasSentAllAsync();
        // The opponent had won it; then the service answers that who is excluded from a pool has fenced nothing in it.
        await pad.SaysAsync("This bout does not count. Go to the next one.");

        var bout = await strip.BoutAsync();
        Assert.Equal(
            ["left yellow 1", "left red 1", "right black 4"],
            bout["cards"]!.AsArray().Select(card => $"{card!["side"]} {card["card"]} {card["group"]}"));
        var reasons = (await strip.Desk.GetAsync(new Uri($"/api/bouts/{strip.Bouts[0]}/history", UriKind.Relative))).Content;
        Assert.Contains("Refused to fence.", await reasons.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_bout_is_scored_by_keyboard()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip, 1000, 700);
        await FocusAsync(pad, "Go to this bout");
        await pad.Page.Keyboard.PressAsync("Enter");
        await FocusAsync(pad, "Touch");
        await pad.Page.Keyboard.PressAsync("Space");
        await pad.ShowsScoreAsync(1, 0);
        await FocusAsync(pad, "Cards");
        await pad.Page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(pad.Page.GetByRole(AriaRole.Dialog)).ToBeVisibleAsync();
        await pad.Page.Keyboard.PressAsync("Escape");
        await Assertions.Expect(pad.Page.GetByRole(AriaRole.Dialog)).ToBeHiddenAsync();
        await FocusAsync(pad, "Undo");
        await pad.Page.Keyboard.PressAsync("Enter");
        await pad.ShowsScoreAsync(0, 0);
    }

    internal static (int Left, int Right) Score(JsonNode bout) => (bout["score"]!["left"]!.GetValue<int>(), bout["score"]!["right"]!.GetValue<int>());

    /// <summary>Shows the result and confirms it, no sooner than two people can have read it.</summary>
    internal static async Task ConfirmAsync(Pad pad)
    {
        await pad.TapAsync("Show it to both fencers");
        await pad.SaysAsync("Fencers, is this right?");
        await Task.Delay(700);
        await pad.TapAsync("Yes, confirm");
    }

    private static async Task FocusAsync(Pad pad, string text)
    {
        for (var presses = 0; presses < 40; presses++)
        {
            await pad.Page.Keyboard.PressAsync("Tab");
            if ((await pad.Page.EvaluateAsync<string>("document.activeElement.textContent")).StartsWith(text, StringComparison.Ordinal))
            {
                return;
            }
        }

        Assert.Fail($"The key Tab does not lead to '{text}'.");
    }
}
