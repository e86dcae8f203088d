using System.Text.RegularExpressions;
using BoutDesk.Api.Tests;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>Two phones on one bout, and a desk that changes it meanwhile.</summary>
[Collection(PadBrowser.Name)]
public sealed class ConflictTests
{
    private readonly Browser browser;

    public ConflictTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task What_another_phone_scores_is_shown_a_moment_later_with_a_warning()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var one = await Pad.ScanAsync(browser, strip);
        await using var other = await Pad.ScanAsync(browser, strip);
        await one.BeginAsync();
        await other.BeginAsync();
        await one.TouchesAsync("l");
        await other.ShowsScoreAsync(1, 0);
        await other.SaysAsync("Score it on one phone only");
        await other.TouchesAsync("r");
        await one.ShowsScoreAsync(1, 1);
        await one.HasSentAllAsync();
        await other.HasSentAllAsync();
        Assert.Equal(["touch-scored", "touch-scored"], await strip.RecordedAsync());
    }

    [Fact]
    public async Task What_another_phone_scores_comes_with_the_warning_by_whichever_way_it_is_heard()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var one = await Pad.ScanAsync(browser, strip);
        await using var other = await Pad.ScanAsync(browser, strip);
        await one.BeginAsync();
        await other.BeginAsync();
        // The bout alone cannot be read, so the touch comes with the list of all bouts.
        await other.Page.RouteAsync(new Regex("/api/bouts/[^/]+$"), route => route.AbortAsync());
        await one.TouchesAsync("l");
        await one.HasSentAllAsync();
        await other.Page.EvaluateAsync("dispatchEvent(new Event('online'))");
        await other.ShowsScoreAsync(1, 0);
        await other.SaysAsync("Score it on one phone only");
    }

    [Theory]
    [InlineData("Add mine", 1, 2)]
    [InlineData("Take the desk", 1, 0)]
    public async Task When_two_phones_scored_apart_both_versions_are_shown_and_a_person_chooses(string choice, int left, int right)
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var one = await Pad.ScanAsync(browser, strip);
        await using var other = await Pad.ScanAsync(browser, strip);
        await one.BeginAsync();
        await other.BeginAsync();
        await other.IsKeptAsync();
        await other.Device.SetOfflineAsync(true);
        await other.TouchesAsync("rr");
        await one.TouchesAsync("l");
        await one.HasSentAllAsync();
        await other.Device.SetOfflineAsync(false);

        await other.SaysAsync("Pool 1, bout 1: two versions");
        await other.SaysAsync("not sent: touch right, touch right");
        await Browser.PictureAsync(other.Page, "pad-two-versions");
        await Browser.AssertAccessibleAsync(other.Page);
        await other.HasNotSentAsync(2);
        await other.Page.ReloadAsync();
        await other.SaysAsync("two versions");
        await other.TapAsync(choice);
        await other.ShowsScoreAsync(left, right);
        await other.HasSentAllAsync();
        Assert.Equal((left, right), ScoringTests.Score(await strip.BoutAsync()));
        Assert.Empty(other.Errors);
    }

    [Fact]
    public async Task When_the_desk_has_confirmed_the_bout_meanwhile_its_result_is_shown_beside_mine_and_stays()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.IsKeptAsync();
        await pad.BeginAsync();
        await pad.Device.SetOfflineAsync(true);
        await pad.TouchesAsync("lr");
        await strip.Desk.ResultAsync(strip.Bouts[0], 5, 2);
        await pad.Device.SetOfflineAsync(false);

        await pad.SaysAsync("Meanwhile the desk or another phone confirmed this bout.");
        Assert.Equal(0, await pad.Button("Add mine").CountAsync());
        await pad.TapAsync("Decide later");
        await pad.TapAsync("Pool 1, bout 1 has two versions");
        await pad.TapAsync("Take the desk");
        await pad.SaysAsync("Is it wrong? Only the desk can change it now.");
        await pad.HasSentAllAsync();
        Assert.Equal((5, 2), ScoringTests.Score(await strip.BoutAsync()));
    }

    [Fact]
    public async Task When_only_the_strip_was_changed_meanwhile_nobody_is_asked()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.IsKeptAsync();
        await pad.BeginAsync();
        await pad.Device.SetOfflineAsync(true);
        await pad.TouchesAsync("lr");
        var added = await strip.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{strip.TournamentId}/strips", new { name = "Strip 4" }, System.Net.HttpStatusCode.Created);
        await strip.Desk.SendAsync(HttpMethod.Put, $"/api/pools/{strip.PoolId}/strip", new { stripId = added.Id() }, System.Net.HttpStatusCode.OK);
        await pad.Device.SetOfflineAsync(false);
        await pad.HasSentAllAsync();
        await pad.ShowsScoreAsync(1, 1);
        Assert.Equal((1, 1), ScoringTests.Score(await strip.BoutAsync()));
    }
}
