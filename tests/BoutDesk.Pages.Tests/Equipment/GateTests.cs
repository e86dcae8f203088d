using System.Net;
using BoutDesk.Api.Tests;
using BoutDesk.Pages.Tests.Desk;
using BoutDesk.Pages.Tests.Pads;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Equipment;

/// <summary>Who has not passed is said on desk and pad, or is not called.</summary>
[Collection(OneBrowser.Name)]
public sealed class GateTests
{
    private readonly Browser browser;

    public GateTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task The_desk_sets_the_gate_lets_a_fencer_fence_without_and_takes_it_back()
    {
        var competition = await browser.Desk.CompetitionAsync(3, checkIn: false);
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{competition}-e1/equipment-checks", new { item = "mask", verdict = "failed", note = "rust" }, HttpStatusCode.Created);
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/equipment");
        await page.SelectOptionAsync("#gate", "block");
        await page.GetByRole(AriaRole.Button, new() { Name = "Keep", Exact = true }).ClickAsync();
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("Kept.");
        await Assertions.Expect(page.Locator("#unready li").First).ToContainTextAsync("not waived: protection has failed");

        var second = page.Locator("#unready li").Nth(1);
        await second.Locator("summary").ClickAsync();
        await second.Locator("input[name=reason]").FillAsync("kit of the club, seen by the armourer");
        await second.GetByRole(AriaRole.Button).ClickAsync();
        await Assertions.Expect(second).ToContainTextAsync("waived: kit of the club, seen by the armourer");
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "desk-equipment");

        // What the armourer does shows by itself.
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{competition}-e3/equipment-checks/rest", null, HttpStatusCode.OK);
        await Assertions.Expect(page.Locator("#unready li")).ToHaveCountAsync(2);
        await second.GetByRole(AriaRole.Button).ClickAsync();
        await Assertions.Expect(second).ToContainTextAsync("to be checked: Mask");
        await page.GotoAsync($"/desk/competitions/{competition}/history");
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("may fence without a passed check: kit of the club, seen by the armourer");
        await Assertions.Expect(page.Locator("#board")).ToContainTextAsync("may no longer fence without a passed check.");
    }

    [Fact]
    public async Task The_calls_say_whose_equipment_has_not_passed()
    {
        var competition = await browser.Desk.TableauAloneAsync(4);
        await browser.Desk.SendAsync(HttpMethod.Put, $"/api/competitions/{competition}/equipment-gate", new { gate = "warn" }, HttpStatusCode.OK);
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{competition}-e1/equipment-checks/rest", null, HttpStatusCode.OK);
        await using var laptop = await browser.LaptopAsync();
        var page = await laptop.NewPageAsync();
        await page.GotoAsync($"/desk/competitions/{competition}/tableau");
        await Assertions.Expect(page.Locator("[data-equipment]")).ToHaveCountAsync(2);
        await Assertions.Expect(page.Locator("[data-equipment]").First).ToContainTextAsync("has not passed.");
        await Assertions.Expect(page.Locator("[data-equipment]").First).Not.ToContainTextAsync("Fencer001");
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "desk-calls-equipment");
    }

    [Fact]
    public async Task The_pad_says_it_before_the_bout_and_nothing_is_lost_when_the_gate_blocks()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await browser.Desk.SendAsync(HttpMethod.Put, $"/api/competitions/{strip.CompetitionId}/equipment-gate", new { gate = "block" }, HttpStatusCode.OK);
        await using var pad = await Pad.ScanAsync(browser, strip);
        await pad.SaysAsync("Do not begin: the equipment of");
        await Browser.PictureAsync(pad.Page, "pad-equipment");
        await pad.BeginAsync();
        await Browser.AssertAccessibleAsync(pad.Page);
        await pad.TouchesAsync("l");
        await pad.SaysAsync("The equipment has not passed");
        await pad.SaysAsync("not sent: touch left");

        foreach (var entrant in await browser.Desk.ListAsync($"/api/competitions/{strip.CompetitionId}/entrants"))
        {
            await browser.Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant.Id()}/equipment-checks/rest", null, HttpStatusCode.OK);
        }

        await pad.TapAsync("Add mine");
        await pad.HasSentAllAsync();
        Assert.Equal(["touch-scored"], await strip.RecordedAsync());
        await Assertions.Expect(pad.Page.Locator("#equipment")).ToHaveCountAsync(0);
        Assert.Empty(pad.Errors);
    }
}
