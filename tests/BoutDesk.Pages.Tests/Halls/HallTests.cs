using System.Text;
using System.Text.RegularExpressions;
using Microsoft.Playwright;
using Xunit;

namespace BoutDesk.Pages.Tests.Halls;

/// <summary>The page on which a coach plans the strips of a hall, as it is used and as it is printed.</summary>
[Collection(OneBrowser.Name)]
public partial class HallTests
{
    // A hall with all that can be in one. The club hall is invented.
    private const string Hall =
        "/hall?length=44&width=24.5&door1Wall=top&door1Offset=20&door1Width=2&door1FreeDepth=3&door2Wall=left&door2Offset=11&door2Width=1.8"
        + "&block1Name=Bleachers&block1X=0&block1Y=23&block1Width=30&block1Height=1.5";

    private static readonly (string Name, string Path)[] Pages =
    [
        ("example", "/hall"),
        ("hall", Hall),
        ("mixed", "/hall?length=30&width=30"),
        ("none", "/hall?length=12&width=9"),
        ("wrong", Hall.Replace("door1Wall=top", "door1Wall=", StringComparison.Ordinal).Replace("length=44", "length=4", StringComparison.Ordinal)),
    ];

    private readonly Browser browser;

    public HallTests(Browser browser) => this.browser = browser;

    [Fact]
    public async Task A_coach_plans_a_hall_by_its_form_without_a_script()
    {
        await using var device = await browser.DeviceAsync(scripts: false);
        var page = await device.NewPageAsync();
        await page.GotoAsync("/hall");
        await page.GetByLabel("Length, the wall at the top").FillAsync("40");
        await page.GetByLabel("Width, the wall on the left").FillAsync("20");
        await page.GetByText("Doors, whose floor stays free").ClickAsync();
        var door = page.GetByRole(AriaRole.Group, new() { Name = "Door D1" });
        await door.GetByLabel("Wall").SelectOptionAsync("at the top");
        await door.GetByLabel("From the end").FillAsync("20");
        // As it is typed where the comma is the decimal sign.
        await door.GetByLabel("Width").FillAsync("2,0");
        await page.GetByRole(AriaRole.Button, new() { Name = "Plan the hall" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "9 strips fit into 40 by 20 m" })).ToBeVisibleAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Img, new() { Name = "Plan of the hall, 40 by 20 m, with 9 strips" })).ToBeVisibleAsync();
        await Assertions.Expect(page.GetByText("Emergency exits and escape routes stay free").First).ToBeVisibleAsync();
        // What was typed is still there, to be changed.
        await page.GetByText("1 door").ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Group, new() { Name = "Door D1" }).GetByLabel("Width")).ToHaveValueAsync("2,0");
        await Assertions.Expect(page.GetByRole(AriaRole.Group, new() { Name = "Door D3" })).ToHaveCountAsync(1);
    }

    [Fact]
    public async Task What_cannot_be_used_is_marked_at_its_field()
    {
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        Assert.Equal(400, (await page.GotoAsync(Pages[^1].Path))!.Status);
        await Assertions.Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("2 values cannot be used");
        await Assertions.Expect(page.GetByLabel("Length, the wall at the top")).ToHaveAccessibleDescriptionAsync("Must be from 5 to 200 m, but is 4 m.");
        await Assertions.Expect(page.GetByText("Choose the wall that the door is in.")).ToBeVisibleAsync();
    }

    [Theory]
    [InlineData(320, 640, ColorScheme.Light)]
    [InlineData(1280, 800, ColorScheme.Dark)]
    public async Task Every_state_of_the_page_fits_the_screen_and_can_be_read_by_everybody(int width, int height, ColorScheme colours)
    {
        await using var device = await browser.DeviceAsync(width, height, colours);
        var page = await device.NewPageAsync();
        foreach (var (name, path) in Pages)
        {
            var answer = await page.GotoAsync(path);
            var html = await answer!.TextAsync();
            Assert.DoesNotContain("style=", html, StringComparison.Ordinal);
            Assert.DoesNotContain("<style", html, StringComparison.Ordinal);
            await page.EvaluateAsync("document.querySelectorAll('details').forEach(d => d.open = true)");
            await Browser.PictureAsync(page, $"hall-{name}-{width}");
            Assert.Equal(width, await page.EvaluateAsync<int>("document.documentElement.scrollWidth"));
            await Browser.AssertAccessibleAsync(page);
        }
    }

    [Theory]
    [InlineData("en")]
    [InlineData("fr")]
    public async Task The_drawing_is_printed_on_a_sheet_of_its_own_and_the_lists_on_another(string language)
    {
        await using var device = await browser.DeviceAsync(1280, 800, language: language);
        var page = await device.NewPageAsync();
        await page.GotoAsync(Hall);
        await page.EmulateMediaAsync(new() { Media = Media.Print });
        await Assertions.Expect(page.Locator("form")).ToBeHiddenAsync();
        // What is left of A4 across between margins of 10 mm, in pixels of 1/96 inch.
        await page.SetViewportSizeAsync(1047, 718);
        await Browser.PictureAsync(page, $"hall-print-{language}");
        var plan = (await page.Locator(".plan").BoundingBoxAsync())!;
        Assert.InRange(plan.Height, 0.9 * 718, 718);
        var pdf = await page.PdfAsync(new() { PreferCSSPageSize = true, Path = Path.Combine(AppContext.BaseDirectory, "pictures", $"hall-{language}.pdf") });
        Assert.Equal(2, PageObject().Count(Encoding.Latin1.GetString(pdf)));
    }

    [Fact]
    public async Task The_page_is_French_and_the_desk_leads_to_it()
    {
        await using var device = await browser.DeviceAsync(language: "fr");
        var page = await device.NewPageAsync();
        await page.GotoAsync(Hall);
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToHaveTextAsync("Les pistes d’une salle");
        await Assertions.Expect(page.GetByRole(AriaRole.Heading, new() { Name = "10 pistes tiennent dans 44 sur 24,5 m" })).ToBeVisibleAsync();
        await Assertions.Expect(page.Locator("svg text").Filter(new() { HasText = "24,5 m" })).ToHaveCountAsync(1);

        await using var laptop = await Desk.AtTheDesk.LaptopAsync(browser);
        var desk = await Desk.AtTheDesk.EnterAsync(laptop);
        await desk.GetByRole(AriaRole.Link, new() { Name = "Plan the strips of a hall" }).ClickAsync();
        await Assertions.Expect(desk).ToHaveURLAsync(new Regex("/hall$"));
    }

    [GeneratedRegex(@"/Type\s*/Page\b(?!s)")]
    private static partial Regex PageObject();
}
