using System.Globalization;
using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>Results of a pool typed in at the desk, by keyboard, with the mistakes that people make.</summary>
[Collection(OneBrowser.Name)]
public class PoolGridTests
{
    private readonly Browser browser;

    public PoolGridTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task A_pool_of_seven_is_typed_in_with_three_keys_a_bout_beyond_the_touches()
    {
        var (competition, pool) = await PoolAsync(7);
        await using var laptop = await browser.LaptopAsync();
        var page = await OpenAsync(laptop, pool);

        var keys = 0;
        foreach (var bout in await BoutsAsync(pool))
        {
            // The one with the lower position wins, 5 to the position of the other less 3.
            var (left, right) = (bout["left"]!.GetValue<int>(), bout["right"]!.GetValue<int>());
            foreach (var (own, other) in new[] { (left, right), (right, left) })
            {
                var said = own < other ? "V" : Math.Max(0, own - 3).ToString(CultureInfo.InvariantCulture);
                await page.Keyboard.PressAsync(said);
                await page.Keyboard.PressAsync("Enter");
                keys += own < other ? 2 : 1; // The digits are what is read out.
            }
        }

        Assert.Equal(3 * 21, keys);
        await Assertions.Expect(page.GetByText("This pool is complete.")).ToBeVisibleAsync();
        await Browser.PictureAsync(page, "desk-pool-typed");
        var kept = await BoutsAsync(pool);
        Assert.All(kept, bout =>
        {
            var (left, right) = (bout["left"]!.GetValue<int>(), bout["right"]!.GetValue<int>());
            Assert.Equal("decided", bout["status"]!.GetValue<string>());
            Assert.Equal(left < right ? "left" : "right", bout["winner"]!.GetValue<string>());
            Assert.Equal(Math.Max(0, Math.Max(left, right) - 3), bout["score"]![left < right ? "right" : "left"]!.GetValue<int>());
        });
        await Assertions.Expect(page.Locator("[data-sum=won]").First).ToHaveTextAsync("6/6");

        await page.GetByRole(AriaRole.Link, new() { Name = "Next", Exact = true }).ClickAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "Close the round" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Close the round" }).ClickAsync();
        await Assertions.Expect(page.GetByText("All 7 go on.")).ToBeVisibleAsync();
        Assert.Equal("elimination", (await browser.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created) is not null
            ? await browser.Desk.GetAsync<JsonObject>($"/api/competitions/{competition}")
            : null)!["stage"]!.GetValue<string>());
    }

    [Fact]
    public async Task A_sheet_can_be_typed_in_row_by_row()
    {
        var (_, pool) = await PoolAsync(4);
        await using var laptop = await browser.LaptopAsync();
        var page = await OpenAsync(laptop, pool);
        await page.GetByLabel("the rows").CheckAsync();
        await page.Locator("#r1c2").FocusAsync();

        // A level bout by priority, and one that time ended.
        foreach (var cell in new[] { "v", "v4", "3", "2", "v", "1", "2", "3", "v", "V3", "V5", "0" })
        {
            await page.Keyboard.TypeAsync(cell);
            await page.Keyboard.PressAsync("Enter");
        }

        await Assertions.Expect(page.GetByText("This pool is complete.")).ToBeVisibleAsync();
        var bouts = (await BoutsAsync(pool)).ToDictionary(b => (Math.Min(b["left"]!.GetValue<int>(), b["right"]!.GetValue<int>()), Math.Max(b["left"]!.GetValue<int>(), b["right"]!.GetValue<int>())));
        var level = bouts[(1, 4)];
        Assert.Equal((3, 3), (level["score"]!["left"]!.GetValue<int>(), level["score"]!["right"]!.GetValue<int>()));
        Assert.Equal(4, level[level["winner"]!.GetValue<string>()]!.GetValue<int>());
        var timed = bouts[(1, 3)];
        Assert.Equal(4, timed["score"]![timed["winner"]!.GetValue<string>()]!.GetValue<int>());
    }

    [Fact]
    public async Task What_contradicts_itself_is_marked_at_once_and_not_kept()
    {
        var (_, pool) = await PoolAsync(4);
        await using var laptop = await browser.LaptopAsync();
        var page = await OpenAsync(laptop, pool);
        var (left, right) = await FirstAsync(page, pool);
        var matter = page.Locator("#matter");

        await TypeAsync(left, "V");
        await TypeAsync(right, "v");
        await Assertions.Expect(matter).ToContainTextAsync("Both fencers have a V");
        Assert.Equal("true", await right.GetAttributeAsync("aria-invalid"));

        await TypeAsync(right, "V1");
        await TypeAsync(left, "2");
        await Assertions.Expect(matter).ToContainTextAsync("fewer touches");

        await TypeAsync(right, "9");
        await Assertions.Expect(matter).ToContainTextAsync("ends at 5");

        await TypeAsync(right, "x");
        await Assertions.Expect(matter).ToContainTextAsync("Type V for a victory");

        await TypeAsync(right, "2");
        await Assertions.Expect(matter).ToContainTextAsync("who had priority");
        await Browser.PictureAsync(page, "desk-pool-level");
        Assert.All(await BoutsAsync(pool), b => Assert.Equal("open", b["status"]!.GetValue<string>()));

        await TypeAsync(right, "V2");
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("2 : V2");
        var kept = (await BoutsAsync(pool))[0];
        Assert.Equal(("decided", "right"), (kept["status"]!.GetValue<string>(), kept["winner"]!.GetValue<string>()));
    }

    [Fact]
    public async Task A_result_in_the_wrong_row_is_undone_and_one_entered_twice_is_noticed()
    {
        var (_, pool) = await PoolAsync(4);
        await using var laptop = await browser.LaptopAsync();
        var page = await OpenAsync(laptop, pool);
        var (left, right) = await FirstAsync(page, pool);
        await TypeAsync(left, "V");
        await TypeAsync(right, "3");
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("V5 : 3");

        // Twice the same bout: the cell is full, and another result asks first.
        await TypeAsync(right, "1");
        await Assertions.Expect(page.Locator("#matter")).ToContainTextAsync("has the result V5 : 3 already");
        Assert.Equal(3, (await BoutsAsync(pool))[0]["score"]!["right"]!.GetValue<int>());
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("V5 : 1");

        await page.GetByRole(AriaRole.Button, new() { Name = "Undo the last entry" }).ClickAsync();
        await Assertions.Expect(right).ToHaveValueAsync("3");
        await page.GetByRole(AriaRole.Button, new() { Name = "Undo the last entry" }).ClickAsync();
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("is taken back");
        await Assertions.Expect(left).ToHaveValueAsync(string.Empty);
        Assert.Equal("open", (await BoutsAsync(pool))[0]["status"]!.GetValue<string>());
    }

    [Fact]
    public async Task Two_desks_on_one_pool_see_each_other_and_choose_where_they_differ()
    {
        var (_, pool) = await PoolAsync(4);
        await using var laptop = await browser.LaptopAsync();
        await using var second = await browser.LaptopAsync();
        var (one, other) = (await OpenAsync(laptop, pool), await OpenAsync(second, pool));
        var (left, right) = await FirstAsync(one, pool);
        var (otherLeft, otherRight) = await FirstAsync(other, pool);

        await TypeAsync(left, "V");
        await TypeAsync(otherLeft, "2");
        await TypeAsync(right, "3");
        await Assertions.Expect(one.Locator("#told")).ToContainTextAsync("V5 : 3");
        await TypeAsync(otherRight, "V");
        await Assertions.Expect(other.Locator("#matter")).ToContainTextAsync("Meanwhile another desk entered V5 : 3");
        await Browser.PictureAsync(other, "desk-pool-meanwhile");
        await other.GetByRole(AriaRole.Button, new() { Name = "Leave theirs" }).ClickAsync();
        await Assertions.Expect(otherLeft).ToHaveValueAsync("V5");

        // What one desk enters appears at the other.
        var bout = (await BoutsAsync(pool))[1];
        await browser.Desk.ResultAsync(bout.Id(), 5, 0);
        await Assertions.Expect(one.Locator($"[data-bout='{bout.Id()}'][data-side=right]")).ToHaveValueAsync("0");
    }

    [Fact]
    public async Task What_the_service_could_not_take_is_sent_again_and_counts_once()
    {
        var (_, pool) = await PoolAsync(4);
        await using var laptop = await browser.LaptopAsync();
        var page = await OpenAsync(laptop, pool);
        var (left, right) = await FirstAsync(page, pool);
        await laptop.SetOfflineAsync(true);
        await TypeAsync(left, "V");
        await TypeAsync(right, "0");
        await Assertions.Expect(page.Locator("#matter")).ToContainTextAsync("is not kept yet");
        await laptop.SetOfflineAsync(false);
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("V5 : 0", new() { Timeout = 15_000 });
        Assert.Equal("decided", (await BoutsAsync(pool))[0]["status"]!.GetValue<string>());
    }

    private async Task<(string Competition, string Pool)> PoolAsync(int fencers)
    {
        var competition = await browser.Desk.CompetitionAsync(fencers);
        var round = await browser.Desk.DrawPoolsAsync(competition, new { poolCount = 1, drawSeed = 7 });
        return (competition, round["pools"]![0]!.Id());
    }

    private async Task<IReadOnlyList<JsonNode>> BoutsAsync(string pool) =>
        [.. (await browser.Desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]!.AsArray().Select(b => b!)];

    private static async Task<IPage> OpenAsync(IBrowserContext laptop, string pool)
    {
        var page = await laptop.NewPageAsync();
        await page.GotoAsync("/desk/pools/" + pool);
        await Assertions.Expect(page.Locator(".cell:focus")).ToHaveCountAsync(1);
        return page;
    }

    private async Task<(ILocator Left, ILocator Right)> FirstAsync(IPage page, string pool)
    {
        var bout = (await BoutsAsync(pool))[0].Id();
        return (page.Locator($"[data-bout='{bout}'][data-side=left]"), page.Locator($"[data-bout='{bout}'][data-side=right]"));
    }

    private static async Task TypeAsync(ILocator cell, string text)
    {
        await cell.FocusAsync();
        await cell.FillAsync(string.Empty);
        await cell.PressSequentiallyAsync(text);
        await cell.PressAsync("Enter");
    }
}
