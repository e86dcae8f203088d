using System.Globalization;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Desk;

/// <summary>A whole day at the desk in a browser, from an empty service to the printed classification.</summary>
[Collection(OneBrowser.Name)]
public class WholeDayTests
{
    // Invented; in the order of the ranking, but for the last two, who have none.
    private static readonly string[] Families =
    [
        "Ahlgren", "Baumann", "Costa", "Dvořák", "Ekwueme", "Fischer", "Galli", "Hansen", "Ibarra", "Jansen", "Kowalski", "Lindqvist", "Moreau",
        "Novák", "Okafor", "Pereira", "Quist", "Rossi", "Svensson", "Tanaka", "Ulrich", "Varga", "Weiss", "Xavier", "Yilmaz", "Zeman", "Aubert",
        "Berg", "Carvalho", "Dorn", "Egan", "Faber", "Grieg", "Holm", "Ito", "Juhász", "Kern",
    ];

    private static readonly string[] Clubs = ["Harbour Blades", "Millbrook Fencing", "Salle du Pont", "Fechtkreis Au", "Riverside"];

    private readonly Browser browser;

    public WholeDayTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task Thirty_seven_entrants_from_an_empty_service_to_the_printed_classification()
    {
        await using var host = await DeskHost.StartAsync();
        await using var laptop = await browser.DeviceAsync(1280, 800, address: host.Public.BaseAddress!.ToString().TrimEnd('/'));
        var page = await laptop.EnterAsync();

        await page.OpenTournamentAsync();
        await page.OpenCompetitionAsync("Open épée");
        await EnterAsync(page);
        await CheckInAsync(page);
        var competition = page.Url.Split('/')[^2];

        await page.GetByRole(AriaRole.Link, new() { Name = "Draw the pools" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Draw", Exact = true }).ClickAsync();
        await Browser.ArriveAsync(page, "**/pools/1");
        await Assertions.Expect(page.Locator("#pool-6")).ToBeVisibleAsync();
        await ExchangeAsync(page);

        await FencePoolsAsync(page, host.Desk, competition);
        await page.GetByRole(AriaRole.Link, new() { Name = "Next", Exact = true }).ClickAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "Close the round" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Close the round" }).ClickAsync();
        await Assertions.Expect(page.GetByText("All 37 go on.")).ToBeVisibleAsync();

        await page.GetByRole(AriaRole.Link, new() { Name = "Draw the tableau" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Draw the tableau" }).ClickAsync();
        await FenceTableauAsync(page);

        await page.GetByRole(AriaRole.Link, new() { Name = "Sheets", Exact = true }).ClickAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "Classification", Exact = true }).Last.ClickAsync();
        await page.EmulateMediaAsync(new() { Media = Media.Print });
        var places = await page.Locator(".sheet tbody th").AllInnerTextsAsync();
        Assert.Equal(37, places.Count);
        Assert.StartsWith("Ahlgren", places[0], StringComparison.Ordinal);
        Assert.Equal(
            (await host.Desk.ListAsync($"/api/competitions/{competition}/classification")).Select(c => c["name"]!.GetValue<string>()),
            places.Select(p => p.Split('\n')[0].Trim()).Select(p => Families.First(f => p.StartsWith(f, StringComparison.Ordinal)) + " Robin"));
        Assert.NotEmpty(await page.PdfAsync(new() { Format = "A4", PreferCSSPageSize = true, Path = Path.Combine(AppContext.BaseDirectory, "pictures", "whole-day-classification.pdf") }));
    }

    /// <summary>A list of 36 of which one row is wrong and is mended in place.</summary>
    private static async Task EnterAsync(IPage page)
    {
        var rows = Families.SkipLast(1).Select((family, i) => $"{family},Robin,{Clubs[i % Clubs.Length]},{(i < 35 ? i + 1 : null)}");
        var list = "familyName,givenName,club,ranking\n" + string.Join('\n', rows);
        await page.FillAsync("#csv", list.Replace(",35", ",thirty-five", StringComparison.Ordinal));
        await page.GetByRole(AriaRole.Button, new() { Name = "Check the list" }).ClickAsync();
        await Assertions.Expect(page.Locator("#checked")).ToContainTextAsync("Line 36");
        await page.FillAsync("#csv", list);
        await page.GetByRole(AriaRole.Button, new() { Name = "Enter the list" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "36 entrants" })).ToBeVisibleAsync();
    }

    /// <summary>Everybody comes but one, who then comes after all; one comes who was not entered.</summary>
    private static async Task CheckInAsync(IPage page)
    {
        await page.GetByRole(AriaRole.Link, new() { Name = "Check-in", Exact = true }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Absent: Baumann Robin" }).ClickAsync();
        await Assertions.Expect(page.Locator("#told")).ToContainTextAsync("Baumann Robin is marked absent.");
        foreach (var family in Families.SkipLast(1).Where(f => f != "Baumann"))
        {
            await page.FillAsync("#who", family[..3]);
            await page.PressAsync("#who", "Enter");
            await Assertions.Expect(page.Locator("#told")).ToContainTextAsync($"{family} Robin is here.");
        }

        await page.GetByRole(AriaRole.Button, new() { Name = "Here after all: Baumann Robin" }).ClickAsync();
        await Assertions.Expect(page.GetByText("36 here, 0 absent, 0 not yet")).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "Enter somebody who comes without an entry" }).ClickAsync();
        await page.FillAsync("#familyName", Families[^1]);
        await page.FillAsync("#givenName", "Robin");
        await page.PressAsync("#givenName", "Enter");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "37 entrants" })).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "Check-in", Exact = true }).ClickAsync();
        await page.FillAsync("#who", "kern");
        await page.PressAsync("#who", "Enter");
        await Assertions.Expect(page.GetByText("37 here, 0 absent, 0 not yet")).ToBeVisibleAsync();
    }

    private static async Task ExchangeAsync(IPage page)
    {
        var (first, second) = (await SecondOfAsync("#pool-1"), await SecondOfAsync("#pool-2"));
        await page.LookAtExchangeAsync(await ValueOfAsync(first), await ValueOfAsync(second));
        await page.GetByRole(AriaRole.Button, new() { Name = "Exchange them" }).ClickAsync();
        await Assertions.Expect(page.Locator("#pool-1")).ToContainTextAsync(second);

        async Task<string> SecondOfAsync(string pool) => (await page.Locator($"{pool} p").First.InnerTextAsync()).Split(", ")[1];

        async Task<string> ValueOfAsync(string name) => (await page.Locator("#exchange-first option", new() { HasText = name }).GetAttributeAsync("value"))!;
    }

    /// <summary>Types all pools in, the better ranked winning; the browser's Back in between loses nothing.</summary>
    private static async Task FencePoolsAsync(IPage page, HttpClient desk, string competition)
    {
        await page.GetByRole(AriaRole.Link, new() { Name = "Pool 1", Exact = true }).First.ClickAsync();
        for (var number = 1; ; number++)
        {
            await Assertions.Expect(page.Locator(".cell:focus")).ToHaveCountAsync(1);
            foreach (var bout in await desk.ListAsync($"/api/pools/{competition}-d1p{number}/bouts"))
            {
                var (left, right) = (Rank(bout, "leftName"), Rank(bout, "rightName"));
                foreach (var (own, other) in new[] { (left, right), (right, left) })
                {
                    await page.Keyboard.PressAsync(own < other ? "V" : (own % 5).ToString(CultureInfo.InvariantCulture));
                    await page.Keyboard.PressAsync("Enter");
                }
            }

            await Assertions.Expect(page.GetByText("This pool is complete.")).ToBeVisibleAsync();
            if (number == 1)
            {
                await page.GoBackAsync();
                await Browser.ArriveAsync(page, "**/pools/1");
                await Assertions.Expect(page.Locator("#pool-1")).ToContainTextAsync("all fenced");
                await page.GoForwardAsync();
                await Assertions.Expect(page.GetByText("This pool is complete.")).ToBeVisibleAsync();
            }

            if (number == 6)
            {
                return;
            }

            await page.GetByRole(AriaRole.Link, new() { Name = $"Pool {number + 1} →" }).ClickAsync();
        }
    }

    private static async Task FenceTableauAsync(IPage page)
    {
        await Assertions.Expect(page.Locator(".results .result").First).ToBeVisibleAsync();
        for (var bouts = 0; bouts < 36; bouts++)
        {
            var form = page.Locator(".results .result").First;
            var (one, other) = (form.Locator("input[inputmode=numeric]").First, form.Locator("input[inputmode=numeric]").Last);
            var id = await one.GetAttributeAsync("id");
            var names = await form.Locator("label span").AllInnerTextsAsync();
            var (left, right) = (Rank(names[0]), Rank(names[1]));
            await one.FocusAsync();
            await page.Keyboard.TypeAsync(left < right ? "15" : (left % 15).ToString(CultureInfo.InvariantCulture));
            await page.Keyboard.PressAsync("Tab");
            await page.Keyboard.TypeAsync(right < left ? "15" : (right % 15).ToString(CultureInfo.InvariantCulture));
            await page.Keyboard.PressAsync("Enter");
            await Assertions.Expect(page.Locator($"[id='{id}']")).ToHaveCountAsync(0);
        }

        await Assertions.Expect(page.Locator(".results .result")).ToHaveCountAsync(0);
    }

    private static int Rank(JsonNode bout, string member) => Rank(bout[member]!.GetValue<string>());

    private static int Rank(string name) => Array.FindIndex(Families, family => name.StartsWith(family, StringComparison.Ordinal)) + 1;
}
