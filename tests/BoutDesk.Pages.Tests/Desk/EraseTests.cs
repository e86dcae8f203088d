using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>Somebody asks at the desk that nothing of him is kept.</summary>
[Collection(OneBrowser.Name)]
public class EraseTests(Browser browser)
{
    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_person_is_erased_wherever_he_is_listed_once_it_is_ticked_that_he_asks(bool scripts)
    {
        var tournament = await browser.Desk.TournamentAsync();
        var ids = new List<string>();
        foreach (var weapon in new[] { "foil", "epee" })
        {
            var competition = await browser.Desk.CompetitionAsync(3, weapon, tournamentId: tournament, checkIn: false);
            ids.Add((await browser.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", new { familyName = "Halvorsen", givenName = "Iduna", club = "Millbrook" }, HttpStatusCode.Created)).Id());
        }

        await using var laptop = await browser.LaptopAsync(scripts: scripts);
        var page = await laptop.NewPageAsync();
        var address = $"/desk/entrants/{ids[0]}/erase";
        await page.GotoAsync(address);
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToContainTextAsync("Halvorsen Iduna");
        await Browser.PictureAsync(page, "desk-erase");
        if (scripts)
        {
            await Browser.AssertAccessibleAsync(page);
        }

        // Without the tick the browser does not send it.
        await page.GetByRole(AriaRole.Button, new() { Name = "Erase for good" }).ClickAsync();
        Assert.Equal("Halvorsen", (await browser.Desk.GetAsync<JsonObject>($"/api/entrants/{ids[0]}")).Text("familyName"));

        await page.GetByLabel("I have made sure who asks").CheckAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Erase for good" }).ClickAsync();
        await Assertions.Expect(page.GetByText("Halvorsen")).ToHaveCountAsync(0);
        await Assertions.Expect(page.GetByText("N. N.").First).ToBeVisibleAsync();
        foreach (var id in ids)
        {
            Assert.Equal("N. N.", (await browser.Desk.GetAsync<JsonObject>($"/api/entrants/{id}")).Text("familyName"));
        }
    }
}
