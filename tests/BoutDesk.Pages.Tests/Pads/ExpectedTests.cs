using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>When the bouts of a code are expected, on the pad.</summary>
[Collection(PadBrowser.Name)]
public sealed class ExpectedTests
{
    private readonly Browser browser;

    public ExpectedTests(Browser browser) => this.browser = browser;

    [Theory]
    [InlineData("en-US", "about")]
    [InlineData("fr-FR", "vers")]
    public async Task A_referee_sees_when_the_next_bouts_are_expected(string language, string about)
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip, language: language);
        var span = new Regex($@"{about} (\w+\.? )?\d\d:\d\d \(\d\d:\d\d–\d\d:\d\d\)");
        await Assertions.Expect(pad.Page.Locator(".next .when")).ToContainTextAsync(about);
        await Assertions.Expect(pad.Page.Locator(".then .when")).ToHaveTextAsync(span);
        await pad.Page.Locator("summary").ClickAsync();
        await Assertions.Expect(pad.Page.Locator(".bouts .when")).ToHaveCountAsync(6);
        await Browser.AssertAccessibleAsync(pad.Page);
        await Browser.PictureAsync(pad.Page, $"pad-expected-{language}");

        // What has begun is not expected any more, and the result of another phone moves the rest; the next may begin at once,
        // and should have begun as soon as the minute is over.
        var last = pad.Page.Locator(".bouts .when").Last;
        var before = await last.TextContentAsync();
        await browser.Desk.ResultAsync(strip.Bouts[0], 5, 3);
        await Assertions.Expect(pad.Page.Locator(".bouts .when")).Not.ToHaveCountAsync(6);
        await Assertions.Expect(last).Not.ToHaveTextAsync(before!);
        Assert.Empty(pad.Errors);
    }

    [Fact]
    public async Task Without_a_network_times_are_told_with_their_age_and_are_left_out_when_they_are_old()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.IsKeptAsync();
        var when = pad.Page.Locator(".next .when");
        await Assertions.Expect(when).Not.ToContainTextAsync("as of");
        await pad.Device.SetOfflineAsync(true);
        await LaterAsync(5);
        await Assertions.Expect(when).ToHaveTextAsync(new Regex(@"^about .*, as of \d\d:\d\d$"));
        await LaterAsync(20);
        await pad.SaysAsync("Pool 1, bout 1");
        await Assertions.Expect(when).ToHaveCountAsync(0);

        async Task LaterAsync(int minutes)
        {
            await pad.Page.Clock.InstallAsync(new() { TimeDate = DateTime.UtcNow.AddMinutes(minutes) });
            await pad.Page.ReloadAsync();
        }
    }

    [Theory]
    [InlineData("08:59:30", "09:20 09:12 09:31 - -")]
    [InlineData("09:01:30", "09:20 09:12 09:31 - 08:58")] // Older than three minutes.
    [InlineData("09:14:00", null)] // Older than a quarter of an hour.
    public async Task Times_are_those_of_the_hall_and_grow_old(string now, string? expected) =>
        Assert.Equal(expected, await AskAsync("2026-11-28T08:58:10+05:30", "2026-11-28T{0}+05:30", now));

    [Theory]
    [InlineData("2026-11-27T23:50:00+05:30", "2026-11-28")]
    [InlineData("2026-11-28T00:10:00+05:30", "-")]
    public async Task The_day_is_told_when_it_is_another(string now, string day) =>
        Assert.Equal($"09:20 09:12 09:31 {day} -", await AskAsync(now, "{0}", now));

    [Fact]
    public async Task What_should_have_begun_and_what_is_not_in_the_forecast_is_left_out()
    {
        Assert.Null(await AskAsync("2026-11-28T09:30:00+05:30", "{0}", "2026-11-28T09:32:00+05:30"));
        Assert.Null(await AskAsync("2026-11-28T09:10:00+05:30", "{0}", "2026-11-28T09:10:00+05:30", "another"));
    }

    /// <summary>What the pad makes of a bout at twenty past nine in a hall that is far away.</summary>
    private async Task<string?> AskAsync(string at, string pattern, string now, string bout = "b1")
    {
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.GotoAsync("/strip");
        var forecast = new
        {
            at,
            bouts = new[] { new { boutId = "b1", begins = new { at = "2026-11-28T09:20:00+05:30", from = "2026-11-28T09:12:00+05:30", to = "2026-11-28T09:31:00+05:30" } } },
        };
        return await page.EvaluateAsync<string?>(
            "async json => { const { forecast, bout, now } = JSON.parse(json); const e = (await import('/pad/expected.js')).expected(forecast, bout, Date.parse(now)); return e && `${e.at} ${e.from} ${e.to} ${e.day ?? '-'} ${e.as ?? '-'}`; }",
            JsonSerializer.Serialize(new { forecast, bout, now = string.Format(CultureInfo.InvariantCulture, pattern, now) }));
    }
}
