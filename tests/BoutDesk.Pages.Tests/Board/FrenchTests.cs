using System.Net;
using System.Net.Http.Headers;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using BoutDesk.Api.Tests;
using BoutDesk.Pages.Tests.Desk;
using BoutDesk.Pages.Tests.Pads;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

/// <summary>The board and the pad for people whose browser speaks French, and for those who choose it.</summary>
[Collection(OneBrowser.Name)]
public sealed partial class FrenchTests
{
    private readonly Browser browser;

    public FrenchTests(Browser browser) => this.browser = browser;

    [Theory]
    [InlineData(320, 640)]
    [InlineData(1280, 800)]
    public async Task Every_page_of_the_board_speaks_French_fits_and_is_accessible(int width, int height)
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync(width, height, language: "fr-FR");
        var page = await device.NewPageAsync();
        var wrong = new List<string>();
        foreach (var (name, path) in day.Pages)
        {
            await page.GotoAsync(path);
            Assert.Equal("fr", await page.Locator("html").GetAttributeAsync("lang"));
            await page.EvaluateAsync("document.querySelectorAll('details').forEach(d => d.open = true)");
            await Browser.PictureAsync(page, $"french-{name}-{width}");
            var text = await page.Locator("body").InnerTextAsync();
            wrong.AddRange(English().Matches(text).Select(word => $"{name} says {word.Value}"));
            if (await page.EvaluateAsync<int>("document.documentElement.scrollWidth") is var wide && wide > width)
            {
                wrong.Add($"{name} is {wide} wide");
            }

            // What a reader hears is the same at every width; the layout is looked at in English.
            if (width == 320 && await Record.ExceptionAsync(() => Browser.AssertAccessibleAsync(page)) is { } found)
            {
                wrong.Add($"{name}: {found.Message}");
            }
        }

        Assert.Empty(wrong);
    }

    [Fact]
    public async Task The_link_at_the_foot_changes_the_language_on_this_device_for_all_pages()
    {
        var day = await BoardDay.OfAsync(browser);
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.GotoAsync($"/competitions/{day.Finished}/entrants");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 2 })).ToHaveTextAsync("12 fencers");
        await page.GetByRole(AriaRole.Link, new() { Name = "Français" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 2 })).ToHaveTextAsync("12 tireurs");
        Assert.EndsWith($"/competitions/{day.Finished}/entrants", page.Url, StringComparison.Ordinal);
        await Assertions.Expect(page.Locator("#live")).ToHaveTextAsync("En direct");
        await page.GotoAsync($"/entrants/{day.Finished}-e1");
        await Assertions.Expect(page.Locator("#remember")).ToHaveTextAsync("Retenir comme mon tireur");
        await page.GotoAsync($"/screen/{day.TournamentId}");
        await Assertions.Expect(page.Locator("#pause")).ToHaveTextAsync("Arrêter de tourner");
        await page.GotoAsync("/strip");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading)).ToHaveTextAsync("Tablette d’arbitre");
        await page.GetByRole(AriaRole.Button, new() { Name = "English" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading)).ToHaveTextAsync("Referee's pad");
        await page.GotoAsync("/");
        Assert.Equal("en", await page.Locator("html").GetAttributeAsync("lang"));
    }

    [Fact]
    public async Task Each_language_of_a_page_is_kept_by_itself()
    {
        var day = await BoardDay.OfAsync(browser);
        var address = $"/competitions/{day.Finished}/entrants";
        // The page may still be about to hear of the day that was just made.
        var (before, now) = (string.Empty, await TagAsync(address));
        for (var tries = 0; before != now && tries < 20; tries++)
        {
            await Task.Delay(500);
            (before, now) = (now, await TagAsync(address));
        }

        using var french = await AskAsync(address, "fr-CH, en;q=0.5");
        using var english = await AskAsync(address, "de, en;q=0.5");
        using var again = await AskAsync(address, "fr");
        Assert.Contains("12 tireurs", await french.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Contains("12 fencers", await english.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Contains("12 tireurs", await again.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal(french.Headers.ETag, again.Headers.ETag);
        Assert.NotEqual(french.Headers.ETag, english.Headers.ETag);
        Assert.Superset(new HashSet<string> { "Accept-Language", "Cookie" }, french.Headers.Vary.ToHashSet());
    }

    [Fact]
    public async Task What_the_desk_is_refused_is_said_in_French_to_scripts_and_without_them()
    {
        var competition = await browser.Desk.CompetitionAsync(5);
        await browser.Desk.DrawPoolsAsync(competition, new { poolCount = 1, drawSeed = 7 });
        await using var device = await browser.DeviceAsync(1280, 800, language: "fr-FR");
        var page = await device.EnterAsync();
        var script = JsonNode.Parse(await SendAsync("application/json"))!;
        Assert.Equal("Des matchs sont encore à tirer", script["title"]!.GetValue<string>());
        Assert.Equal("urn:boutdesk:problem:bouts-open", script["type"]!.GetValue<string>());
        Assert.StartsWith("10 match(s) du tour n’ont pas encore de résultat.", script["detail"]!.GetValue<string>(), StringComparison.Ordinal);
        var shown = await SendAsync("text/html");
        Assert.Contains("<h1>Des matchs sont encore", WebUtility.HtmlDecode(shown), StringComparison.Ordinal);
        Assert.Contains("Rien n’a été changé.", WebUtility.HtmlDecode(shown), StringComparison.Ordinal);
        Assert.Contains("10 match(s) du tour", WebUtility.HtmlDecode(shown), StringComparison.Ordinal);

        Task<string> SendAsync(string accept) => page.EvaluateAsync<string>(
            "([address, accept]) => fetch(address, { method: 'POST', body: new URLSearchParams(), headers: { Accept: accept } }).then(answer => answer.text())",
            new[] { $"/desk/send/POST/competitions/{competition}/pool-rounds/1/close", accept });
    }

    [Theory]
    [InlineData(320, 568)]
    [InlineData(390, 780)]
    public async Task A_referee_scores_a_bout_in_French(int width, int height)
    {
        var strip = await Strip.OfPoolAsync(browser.Desk);
        await using var pad = await Pad.ScanAsync(browser, strip, width, height, language: "fr-FR");
        await pad.SaysAsync("Ensuite");
        await LookAsync("next");
        await pad.TapAsync("Aller à ce match");
        await pad.TapAsync("Touche gauche");
        await pad.SaysAsync("Touche gauche. 1:0");
        await pad.TapAsync("Double");
        await pad.TapAsync("Cartons");
        await LookAsync("cards");
        await pad.Page.Locator(".offences button").First.ClickAsync();
        await pad.SaysAsync("carton jaune gauche.");
        await pad.TapAsync("Plus");
        await LookAsync("more");
        await pad.TapAsync("Fermer");
        await LookAsync("bout");
        for (var touch = 0; touch < 3; touch++)
        {
            await pad.TapAsync("Touche gauche");
        }

        await pad.TapAsync("Montrer aux deux tireurs");
        await LookAsync("confirm");
        await pad.TapAsync("Oui, confirmer");
        await Assertions.Expect(pad.Page.Locator("#sent")).ToHaveTextAsync("Tout est envoyé");
        await pad.SaysAsync("Poule 1, match 1 : confirmé, 5:1.");
        Assert.Equal("fr", await pad.Page.Locator("html").GetAttributeAsync("lang"));
        Assert.Empty(pad.Errors);

        async Task LookAsync(string screen)
        {
            await Browser.PictureAsync(pad.Page, $"french-pad-{screen}-{width}", wholePage: false);
            Assert.True(await pad.FitsAsync(), $"{screen} is wider than the screen.");
            Assert.DoesNotMatch(English(), await pad.Page.Locator("body").InnerTextAsync());
            await Browser.AssertAccessibleAsync(pad.Page);
        }
    }

    private async Task<string> TagAsync(string address)
    {
        using var page = await AskAsync(address, "fr");
        return page.Headers.ETag!.Tag;
    }

    private async Task<HttpResponseMessage> AskAsync(string address, string language)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, address);
        request.Headers.AcceptLanguage.ParseAdd(language);
        request.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue(address.StartsWith("/api", StringComparison.Ordinal) ? "application/json" : "text/html"));
        return await browser.Host.Public.SendAsync(request);
    }

    // Words that no French text of the pages has, and no name of the day that is shown.
    [GeneratedRegex(@"\b(bouts?|fencers?|pools?|won|lost|next|place so|seed|left|right|card|strip named|not|with)\b", RegexOptions.IgnoreCase)]
    private static partial Regex English();
}
