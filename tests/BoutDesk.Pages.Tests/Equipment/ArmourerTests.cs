using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;
using BoutDesk.Pages.Tests.Pads;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Equipment;

/// <summary>The armourer's page on a device of its own.</summary>
[Collection(PadBrowser.Name)]
public sealed class ArmourerTests
{
    private const string Entries = """
        familyName,givenName,club,hand
        Abernathy,Maximiliane,Salle d'Armes du Vieux Pont,left
        Brûlé,Zoë,Harbour Blades,right
        Costa,Ines,Millbrook Fencing,
        """;

    private readonly Browser browser;

    public ArmourerTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task A_fencer_is_found_by_a_few_letters_measured_failed_mended_and_through()
    {
        await using var table = await OpenAsync();
        var page = table.Page;
        await Assertions.Expect(page.Locator(".queue")).ToContainTextAsync("3 wait, 0 are through.");
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "armourer-table");

        await page.FillAsync("#who", "brul");
        await Assertions.Expect(page.Locator(".fencers li")).ToHaveCountAsync(1);
        await page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(page.Locator("h1")).ToHaveTextAsync("Brûlé Zoë");
        await Assertions.Expect(page.Locator("main .verdict")).ToContainTextAsync("Still to check: Mask");

        await PressAsync(page, "Check Weapon 1");
        await page.FillAsync("#measure-mass", "781,5");
        await Assertions.Expect(page.Locator("#sheet .verdict")).ToContainTextAsync("A limit is broken");
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "armourer-measure", wholePage: false);
        await PressAsync(page, "Passes");
        await Assertions.Expect(page.Locator("#notice")).ToContainTextAsync("Say in the note why it passes");
        await page.FillAsync("#note", "Too heavy.");
        await PressAsync(page, "Fails");
        await Assertions.Expect(page.Locator("main .verdict")).ToContainTextAsync("✗ Failed: Weapon");

        await page.FillAsync("#mark", "green 14");
        await PressAsync(page, "All that was not checked yet passes");
        await Assertions.Expect(page.Locator(".items .passed")).ToHaveCountAsync(8);
        await Assertions.Expect(page.Locator("main .verdict")).ToContainTextAsync("✗ Failed: Weapon");
        await PressAsync(page, "Check Weapon 1 again");
        await PressAsync(page, "Passes");
        await Assertions.Expect(page.Locator("main .verdict")).ToContainTextAsync("✓ Everything has passed");
        await table.HasSentAllAsync();
        await Browser.AssertAccessibleAsync(page);
        await Browser.PictureAsync(page, "armourer-fencer");

        var kept = await browser.Desk.GetAsync<JsonObject>($"/api/entrants/{table.Entrant(2)}/equipment-checks");
        Assert.True(kept["complete"]!.GetValue<bool>());
        Assert.Equal(10, kept.Items("checks").Length);
        Assert.Equal(781.5m, kept.Items("checks")[0].Items("limits").Single()["measured"]!.GetValue<decimal>());
        Assert.Equal("green 14", kept.Items("checks")[^1].Text("mark"));

        await PressAsync(page, "All fencers");
        await Assertions.Expect(page.Locator(".queue")).ToContainTextAsync("2 wait, 1 are through.");
        Assert.Empty(table.Errors);
    }

    [Fact]
    public async Task Without_a_network_checks_go_on_over_a_reload_and_each_counts_once()
    {
        await using var table = await OpenAsync();
        var page = table.Page;
        await page.EvaluateAsync("navigator.serviceWorker.ready.then(() => true)");
        await page.Locator(".fencers button").First.ClickAsync();
        await table.Device.SetOfflineAsync(true);
        await PressAsync(page, "Mask passes");
        await PressAsync(page, "Check Glove");
        await page.FillAsync("#note", "A hole at the thumb.");
        await PressAsync(page, "Fails");
        await PressAsync(page, "All that was not checked yet passes");
        await Assertions.Expect(page.Locator("#sent")).ToContainTextAsync("3 not sent yet");
        await page.GotoAsync("/equipment");
        await Assertions.Expect(page.Locator(".fencers li").First).ToContainTextAsync("failed: Glove");
        await page.Locator(".fencers button").First.ClickAsync();
        await Assertions.Expect(page.Locator("main .verdict")).ToContainTextAsync("✗ Failed: Glove");
        await PressAsync(page, "Undo the last check");
        await Assertions.Expect(page.Locator("main .verdict")).ToContainTextAsync("Failed: Glove");
        await Assertions.Expect(page.Locator("#sent")).ToContainTextAsync("2 not sent yet");

        await table.Device.SetOfflineAsync(false);
        await table.HasSentAllAsync();
        var kept = await browser.Desk.GetAsync<JsonObject>($"/api/entrants/{table.Entrant(1)}/equipment-checks");
        Assert.Equal([("mask", "passed"), ("glove", "failed")], kept.Items("checks").Select(c => (c.Text("item"), c.Text("verdict"))));
        Assert.Empty(table.Errors);
    }

    [Fact]
    public async Task What_another_device_checks_is_seen_and_a_refusal_stays_until_somebody_decides()
    {
        await using var table = await OpenAsync();
        var page = table.Page;
        await page.Locator(".fencers button").First.ClickAsync();
        await browser.Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{table.Entrant(1)}/equipment-checks/rest", null, HttpStatusCode.OK);
        await Assertions.Expect(page.Locator("main .verdict")).ToContainTextAsync("✓ Everything has passed");

        // Rules that measure something else come between the press and its arrival.
        await table.Device.SetOfflineAsync(true);
        await PressAsync(page, "Check Weapon 1 again");
        await page.FillAsync("#measure-mass", "700");
        await PressAsync(page, "Passes");
        var own = new { name = "Club rules", edition = "1", required = new[] { new { item = "mask", count = 1, source = "§ 1" } }, limits = Array.Empty<object>() };
        await browser.Desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{table.TournamentId}/equipment-rules", own, HttpStatusCode.OK);
        await table.Device.SetOfflineAsync(false);
        await Assertions.Expect(page.Locator(".trouble")).ToContainTextAsync("measure nothing like that");
        await PressAsync(page, "Drop it");
        await Assertions.Expect(page.Locator(".trouble")).ToHaveCountAsync(0);
        Assert.Empty(table.Errors);
    }

    [Fact]
    public async Task A_wrong_code_says_what_to_do()
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.GotoAsync(strip.Url.Replace("/strip/", "/equipment/", StringComparison.Ordinal));
        await Assertions.Expect(page.Locator(".trouble")).ToContainTextAsync("Ask the desk for an armourer's code");
        await page.GotoAsync("/equipment#unknown");
        await Assertions.Expect(page.Locator(".trouble")).ToContainTextAsync("This code does not hold");
        await Browser.AssertAccessibleAsync(page);
    }

    [Fact]
    public async Task It_is_narrow_enough_for_a_small_phone_prints_a_card_and_speaks_French()
    {
        await using var table = await OpenAsync(320, "fr");
        var page = table.Page;
        await Assertions.Expect(page.Locator(".queue")).ToContainTextAsync("3 en attente, 0 passés.");
        await page.Locator(".fencers button").First.ClickAsync();
        Assert.True(await page.EvaluateAsync<bool>("document.documentElement.scrollWidth <= innerWidth"));
        await PressAsync(page, "Contrôler Arme 1");
        Assert.True(await page.EvaluateAsync<bool>("document.getElementById('sheet').scrollWidth <= document.getElementById('sheet').clientWidth"));
        await Browser.PictureAsync(page, "armourer-french", wholePage: false);
        await page.Keyboard.PressAsync("Escape");
        await page.EmulateMediaAsync(new() { Media = Media.Print });
        await Assertions.Expect(page.Locator(".print-card")).ToBeVisibleAsync();
        await Assertions.Expect(page.Locator(".print-card")).ToContainTextAsync("Tout n’est pas encore accepté");
        await Assertions.Expect(page.Locator(".items")).ToBeHiddenAsync();
        await Browser.PictureAsync(page, "armourer-card");
    }

    private static Task PressAsync(IPage page, string name) => page.GetByRole(AriaRole.Button, new() { Name = name, Exact = true }).ClickAsync();

    private async Task<Table> OpenAsync(int width = 390, string? language = null)
    {
        var desk = browser.Desk;
        var tournament = await desk.TournamentAsync();
        var competition = await desk.CompetitionAsync(0, checkIn: false, tournamentId: tournament);
        using var list = new StringContent(Entries, Encoding.UTF8, "text/csv");
        using var entered = await desk.PostAsync(new Uri($"/api/competitions/{competition}/entrants", UriKind.Relative), list);
        entered.EnsureSuccessStatusCode();
        var given = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "armourer" }, HttpStatusCode.Created);
        var device = await browser.DeviceAsync(width, language: language);
        var table = new Table(device, await device.NewPageAsync(), tournament, competition);
        await table.Page.GotoAsync(given.Text("url"));
        await Assertions.Expect(table.Page.Locator(".fencers li")).ToHaveCountAsync(3);
        return table;
    }

    private sealed class Table : IAsyncDisposable
    {
        private readonly string competition;
        private readonly List<string> errors = [];

        public Table(IBrowserContext device, IPage page, string tournamentId, string competition)
        {
            (Device, Page, TournamentId, this.competition) = (device, page, tournamentId, competition);
            page.PageError += (_, error) => errors.Add(error);
        }

        public IBrowserContext Device { get; }

        public IPage Page { get; }

        public string TournamentId { get; }

        public IReadOnlyList<string> Errors => errors;

        public string Entrant(int number) => $"{competition}-e{number}";

        public Task HasSentAllAsync() => Assertions.Expect(Page.Locator("#sent")).ToHaveTextAsync("All sent", new() { Timeout = 20_000 });

        public async ValueTask DisposeAsync() => await Device.DisposeAsync();
    }
}
