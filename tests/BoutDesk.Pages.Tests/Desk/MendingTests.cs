using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>What was wrong is mended, passes are given out and revoked, announcements made and taken down.</summary>
[Collection(OneBrowser.Name)]
public class MendingTests
{
    private readonly Browser browser;

    public MendingTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task A_result_of_a_closed_round_is_corrected_after_the_list_of_what_it_changes()
    {
        var competition = await browser.Desk.ClosedPoolsAsync(4);
        var pool = (await browser.Desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1"))["pools"]![0]!.Id();
        var bout = (await browser.Desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]![0]!;
        var (left, right) = (bout["score"]!["left"]!.GetValue<int>(), bout["score"]!["right"]!.GetValue<int>());
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/bouts/{bout.Id()}");
        // Both were written into each other's row.
        await page.FillAsync($"#l-{bout.Id()}", $"{right}");
        await page.FillAsync($"#r-{bout.Id()}", $"{left}");
        await page.SelectOptionAsync($"#w-{bout.Id()}", string.Empty);
        await page.FillAsync($"#reason-{bout.Id()}", "sides were exchanged");
        await page.GetByRole(AriaRole.Button, new() { Name = "Correct" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("changes");
        await Assertions.Expect(page.GetByRole(AriaRole.Alert).GetByRole(AriaRole.Listitem).First).ToBeVisibleAsync();
        await Browser.PictureAsync(page, "desk-correction");
        await Browser.AssertAccessibleAsync(page);

        await page.SelectOptionAsync($"#later-{bout.Id()}", "keep");
        await page.GetByRole(AriaRole.Button, new() { Name = "Correct" }).ClickAsync();
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("sides were exchanged");
        var now = await browser.Desk.GetAsync<JsonObject>($"/api/bouts/{bout.Id()}");
        Assert.Equal((right, left), (now["score"]!["left"]!.GetValue<int>(), now["score"]!["right"]!.GetValue<int>()));
        Assert.NotEqual(bout["winner"]!.GetValue<string>(), now["winner"]!.GetValue<string>());
    }

    [Fact]
    public async Task A_semi_final_typed_in_for_the_wrong_fencer_is_corrected_though_the_final_has_begun()
    {
        var competition = await browser.Desk.CompetitionAsync(4, formula: new { pools = new { rounds = 0 } });
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        var semis = await browser.Desk.TableAsync(competition, 4);
        foreach (var semi in semis)
        {
            await browser.Desk.ResultAsync(semi.Id(), 15, 7);
        }

        var final = (await browser.Desk.TableAsync(competition, 2))[0];
        await browser.Desk.AskTouchAsync(final.Id(), "left");
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/tableau");
        await page.Locator($"a[href='/desk/bouts/{semis[0].Id()}']").First.ClickAsync();
        await page.FillAsync($"#l-{semis[0].Id()}", "7");
        await page.FillAsync($"#r-{semis[0].Id()}", "15");
        await page.SelectOptionAsync($"#w-{semis[0].Id()}", string.Empty);
        await page.FillAsync($"#reason-{semis[0].Id()}", "wrong fencer");
        await page.GetByRole(AriaRole.Button, new() { Name = "Correct" }).ClickAsync();
        // The refusal leads to the bout that stands in the way.
        await Assertions.Expect(page.GetByRole(AriaRole.Alert).Locator($"a[href='/desk/bouts/{final.Id()}']")).ToBeVisibleAsync();
        Assert.Equal(1, (await browser.Desk.GetAsync<JsonObject>($"/api/bouts/{final.Id()}"))["score"]!["left"]!.GetValue<int>());

        await page.SelectOptionAsync($"#later-{semis[0].Id()}", "scrap");
        await page.GetByRole(AriaRole.Button, new() { Name = "Correct" }).ClickAsync();
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("wrong fencer");
        var now = await browser.Desk.GetAsync<JsonObject>($"/api/bouts/{final.Id()}");
        Assert.Equal("open", now["status"]!.GetValue<string>());
    }

    [Fact]
    public async Task A_pass_is_given_out_by_the_clock_of_the_hall_and_revoked()
    {
        var tournament = await browser.Desk.TournamentAsync();
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Blue" }, HttpStatusCode.Created);
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}/passes");
        await page.GetByLabel("Blue").CheckAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Give the pass out" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Img, new() { Name = "Code to be scanned" })).ToBeVisibleAsync();
        // Midnight at the hall, wherever the laptop is.
        await Assertions.Expect(page.Locator(".pass-card")).ToContainTextAsync("00:00");
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "desk-pass-given");
        var address = (await page.Locator(".pass-card .address").InnerTextAsync()).Trim();
        await using var phone = await browser.DeviceAsync();
        var pad = await phone.NewPageAsync();
        await pad.GotoAsync(address);
        await Assertions.Expect(pad.Locator("body")).ToContainTextAsync("Blue");

        await page.GetByRole(AriaRole.Link, new() { Name = "Back to the passes" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { NameRegex = new("Revoke the pass") }).ClickAsync();
        await Assertions.Expect(page.Locator("#given")).ToContainTextAsync("revoked");
    }

    [Fact]
    public async Task What_is_announced_is_on_the_board_until_it_is_taken_down()
    {
        var tournament = await browser.Desk.TournamentAsync();
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/tournaments/{tournament}/announcements");
        var board = await laptop.NewPageAsync();
        await board.GotoAsync($"/tournaments/{tournament}");
        await page.FillAsync("#text", "Lunch is served until one o'clock.");
        await page.PressAsync("#text", "Enter");
        await Assertions.Expect(board.GetByText("Lunch is served until one o'clock.")).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Button, new() { NameRegex = new("^Take down") }).ClickAsync();
        await Assertions.Expect(board.GetByText("Lunch is served until one o'clock.")).ToHaveCountAsync(0);
    }
}
