using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using System.Xml.Linq;
using Xunit;

namespace BoutDesk.Api.Tests.Halls;

/// <summary>Strips and halls over HTTP. Nothing of it needs a pass.</summary>
[Collection(OneService.Name)]
public class HallPlanTests
{
    private const string Strip = "/api/calculators/strip";
    private const string Plan = "/api/calculators/hall-plan";
    private static readonly XNamespace Svg = "http://www.w3.org/2000/svg";

    private readonly HttpClient anybody;

    public HallPlanTests(SharedDesk shared) => anybody = shared.Host.Public;

    [Fact]
    public async Task A_strip_is_compared_with_the_rule_measure_by_measure()
    {
        var answer = await anybody.SendAsync(HttpMethod.Post, Strip, new { length = 13.96, width = 1.8, leftRunOff = 2.25 }, HttpStatusCode.OK);
        Assert.False(answer["fits"]!.GetValue<bool>());
        Assert.Equal(["length -0.04", "width 0", "leftRunOff 0.25"], answer.Items("findings").Select(f => $"{f.Text("measure")} {f["offBy"]}"));
        Assert.Equal("A strip is 14 m long.", answer.Items("findings")[0].Text("rule"));
        Assert.Contains("from memory", answer.Items("findings")[0].Text("provenance"), StringComparison.Ordinal);
        Assert.Equal(5, answer["notMeasured"]!.AsArray().Count);
        Assert.Contains("governing body", answer["cautions"]![0]!.GetValue<string>(), StringComparison.Ordinal);

        var forgiven = await anybody.SendAsync(HttpMethod.Post, Strip, new { length = 13.995, tolerance = 0.005 }, HttpStatusCode.OK);
        Assert.True(forgiven["fits"]!.GetValue<bool>());
    }

    /// <summary>A place is 18 by 3.8 m; 20 by 9.6 m less a clearance of 1 m hold two.</summary>
    [Fact]
    public async Task A_hall_is_planned_with_what_its_strips_need()
    {
        var answer = await anybody.SendAsync(HttpMethod.Post, Plan, new { length = 20, width = 9.6 }, HttpStatusCode.OK);
        Assert.Equal((2, 2), (answer.Number("count"), answer.Number("alike")));
        Assert.Equal(["1 across 3 3 14 1.8", "2 across 3 6.8 14 1.8"], answer.Items("strips").Select(s => $"{s.Number("number")} {s.Text("direction")} {Area(s["strip"])}"));
        Assert.Equal("1 3 2 1.8", Area(answer.Items("strips")[0]["firstRunOff"]));
        Assert.Equal("9.4 1.7 1.2 0.6", Area(answer.Items("strips")[0]["table"]));
        var need = answer["materials"];
        Assert.Equal((4, 2, 2, 2), (need.Number("reels"), need.Number("scoringSets"), need.Number("tables"), need.Number("outlets")));
        // 29 and 11.6 m a strip: two rolls of 33 m, and one.
        Assert.Equal(["line 58 2", "warning 23.2 1"], need.Items("tapes").Select(t => $"{t.Text("tape")} {t["length"]} {t["rolls"]}"));
        Assert.Equal("side line 10 2 4", need.Items("pieces").Select(p => $"{p.Text("line")} {p.Text("tape")} {p["length"]} {p["oneStrip"]} {p["allStrips"]}").First());
        Assert.Contains(answer["cautions"]!.AsArray(), c => c!.GetValue<string>().Contains("Emergency exits", StringComparison.Ordinal));
    }

    [Fact]
    public async Task What_a_program_reckons_in_fractions_of_two_is_rounded_to_the_millimetre()
    {
        var answer = await anybody.SendAsync(HttpMethod.Post, Plan, new { length = 20, width = 3 * 3.2 }, HttpStatusCode.OK);
        Assert.NotEqual(9.6, 3 * 3.2);
        Assert.Equal(2, answer.Number("count"));
    }

    [Fact]
    public async Task Doors_blocks_and_figures_are_heeded_and_a_blocked_door_is_named()
    {
        var answer = await anybody.SendAsync(
            HttpMethod.Post,
            Plan,
            new
            {
                length = 20,
                width = 9.6,
                stripLength = 12,
                doors = new[] { new { wall = "left", offset = 4.5, width = 1, freeDepth = 3 } },
                blocks = new[] { new { x = 2.5, y = 5.4, width = 1, height = 1, name = "stage" } },
            },
            HttpStatusCode.OK);
        Assert.Equal("stage stands in front of door 1. Move it, or that door is no way out.", answer["cautions"]![0]!.GetValue<string>());
        Assert.Equal("-2", answer.Items("findings")[0]["offBy"]!.ToString());
        Assert.All(answer.Items("strips"), s => Assert.True(s["firstRunOff"]!["x"]!.GetValue<decimal>() >= 3 || s["lane"]!["y"]!.GetValue<decimal>() >= 5.5m));
    }

    [Fact]
    public async Task The_plan_is_drawn_when_a_drawing_is_asked_for()
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, Plan)
        {
            Content = JsonContent.Create(new { length = 20, width = 9.6, blocks = new[] { new { x = 19.5, y = 0, width = 0.5, height = 5, name = "a <b> & \"c\"" } } }),
        };
        request.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue("image/svg+xml"));
        using var answer = await anybody.SendAsync(request);
        Assert.Equal("image/svg+xml", answer.Content.Headers.ContentType?.MediaType);
        var text = await answer.Content.ReadAsStringAsync();
        Assert.DoesNotContain("style=", text, StringComparison.Ordinal);
        // It is whole as XML, whatever a block is called.
        var drawing = XDocument.Parse(text).Root!;
        Assert.Equal(Svg + "svg", drawing.Name);
        Assert.Contains(drawing.Elements(Svg + "text"), t => t.Value == "a <b> & \"c\"");
    }

    [Fact]
    public async Task The_drawing_has_every_strip_to_scale()
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, Plan) { Content = JsonContent.Create(new { length = 20, width = 9.6 }) };
        request.Headers.Accept.ParseAdd("image/svg+xml, application/json;q=0.5");
        using var answer = await anybody.SendAsync(request);
        var drawing = XDocument.Parse(await answer.Content.ReadAsStringAsync()).Root!;
        var strips = Rectangles(drawing, r => (string?)r.Attribute("stroke-width") == "2");
        var runOffs = Rectangles(drawing, r => (string?)r.Attribute("fill") == "url(#run-off)" && (double)r.Attribute("width")! > 30);
        Assert.Equal((2, 4), (strips.Length, runOffs.Length));
        Assert.All(strips, s => Assert.Equal(14 / 1.8, s.Width / s.Height, 2));
        Assert.All(runOffs, r => Assert.Equal(strips[0].Width / 7, r.Width, 1));
        Assert.Equal(["1", "2"], drawing.Elements(Svg + "text").Select(t => t.Value).Where(t => t is "1" or "2"));
    }

    [Theory]
    [InlineData("application/json", 200)]
    [InlineData("*/*", 200)]
    [InlineData("image/png", 406)]
    public async Task Another_format_is_not_offered(string accept, int status)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, Plan) { Content = JsonContent.Create(new { length = 20, width = 9.6 }) };
        request.Headers.Accept.ParseAdd(accept);
        using var answer = await anybody.SendAsync(request);
        Assert.Equal(status, (int)answer.StatusCode);
        Assert.Equal(status == 200 ? "application/json" : "application/problem+json", answer.Content.Headers.ContentType?.MediaType);
    }

    [Theory]
    [InlineData("{}", "$")]
    [InlineData("""{"length":-1}""", "length")]
    [InlineData("""{"rightWarningZone":50.1}""", "rightWarningZone")]
    [InlineData("""{"width":1.8,"tolerance":0.2}""", "tolerance")]
    [InlineData("""{"length":79228162514264337593543950335}""", "length")]
    public Task A_strip_is_not_checked_by_what_cannot_be(string body, string field) => RefusesAsync(Strip, body, field);

    [Theory]
    [InlineData("""{"length":4.999,"width":20}""", "length")]
    [InlineData("""{"length":20,"width":200.001}""", "width")]
    [InlineData("""{"length":20,"width":20,"stripLength":7}""", "stripLength")]
    [InlineData("""{"length":20,"width":20,"stripWidth":0}""", "stripWidth")]
    [InlineData("""{"length":20,"width":20,"runOff":-0.1}""", "runOff")]
    [InlineData("""{"length":20,"width":20,"gap":0.4}""", "gap")]
    [InlineData("""{"length":20,"width":20,"endGap":11}""", "endGap")]
    [InlineData("""{"length":20,"width":20,"clearance":11}""", "clearance")]
    [InlineData("""{"length":20,"width":20,"tableDepth":2}""", "tableDepth")]
    [InlineData("""{"length":20,"width":20,"rollLength":1}""", "rollLength")]
    [InlineData("""{"length":20,"width":20,"cutLoss":1}""", "cutLoss")]
    [InlineData("""{"length":20,"width":20,"doors":[{"wall":"top","offset":19,"width":2}]}""", "doors[0].width")]
    [InlineData("""{"length":20,"width":10,"doors":[{"wall":"left","offset":11,"width":1}]}""", "doors[0].offset")]
    [InlineData("""{"length":20,"width":10,"doors":[{"wall":"top","offset":1,"width":1,"freeDepth":0}]}""", "doors[0].freeDepth")]
    [InlineData("""{"length":20,"width":10,"doors":[{"wall":"up","offset":1,"width":1}]}""", "doors[0].wall")]
    [InlineData("""{"length":20,"width":10,"blocks":[{"x":19,"y":1,"width":2,"height":1}]}""", "blocks[0].width")]
    [InlineData("""{"length":20,"width":10,"blocks":[{"x":0,"y":0,"width":1,"height":1},{"x":1,"y":9.5,"width":2,"height":1}]}""", "blocks[1].height")]
    public Task A_hall_is_not_planned_from_what_cannot_be(string body, string field) => RefusesAsync(Plan, body, field);

    [Fact]
    public async Task Forty_doors_and_blocks_are_the_most_and_the_largest_hall_is_answered()
    {
        var door = new { wall = "top", offset = 1, width = 1 };
        await RefusesAsync(Plan, JsonNode.Parse(System.Text.Json.JsonSerializer.Serialize(new { length = 20, width = 20, doors = Enumerable.Repeat(door, 41) }))!.ToJsonString(), "doors");
        var blocks = Enumerable.Range(0, 40).Select(i => new { x = 4.9 * i, y = (37 * i % 190) + 0.5, width = 1.3, height = 2.1 });
        await RefusesAsync(Plan, JsonNode.Parse(System.Text.Json.JsonSerializer.Serialize(new { length = 200, width = 200, blocks = blocks.Append(blocks.First()) }))!.ToJsonString(), "blocks");
        var largest = await anybody.SendAsync(
            HttpMethod.Post,
            Plan,
            new { length = 200, width = 200, stripLength = 8, stripWidth = 1, runOff = 0, gap = 0.5, endGap = 0, clearance = 0, tableDepth = 0.4, doors = Enumerable.Repeat(door, 40), blocks },
            HttpStatusCode.OK);
        Assert.InRange(largest.Number("count"), 2_500, 3_333);
        Assert.True(largest.Number("alike") <= largest.Number("count"));
    }

    [Fact]
    public async Task Findings_cautions_and_errors_are_said_in_French_when_asked_for()
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, Strip) { Content = JsonContent.Create(new { length = 14 }) };
        request.Headers.AcceptLanguage.ParseAdd("fr");
        using var answer = await anybody.SendAsync(request);
        var body = (await answer.Content.ReadFromJsonAsync<JsonNode>())!;
        Assert.Equal("Une piste mesure 14 m de long.", body.Items("findings")[0].Text("rule"));
    }

    [Fact]
    public async Task The_page_takes_what_its_form_sends_and_says_what_it_cannot_use()
    {
        using var planned = await anybody.GetAsync("/hall?length=22&width=9,6&block1Name=%3Cscript%3E&block1X=0&block1Y=0&block1Width=0.5&block1Height=0,5");
        var page = await planned.Content.ReadAsStringAsync();
        Assert.Equal(HttpStatusCode.OK, planned.StatusCode);
        Assert.Contains("2 strips fit into 22 by 9.6 m", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<script>", page, StringComparison.Ordinal);
        using var wrong = await anybody.GetAsync("/hall?length=abc&width=9");
        Assert.Equal(HttpStatusCode.BadRequest, wrong.StatusCode);
        Assert.Contains("Write a number of metres", await wrong.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    private async Task RefusesAsync(string path, string body, string field)
    {
        var problem = await anybody.RefusedAsync(HttpMethod.Post, path, JsonNode.Parse(body), 400, "invalid-input");
        Assert.True(problem["errors"]?[field] is not null, $"{field} is not named: {problem.ToJsonString()}");
    }

    private static string Area(JsonNode? area) => $"{area!["x"]} {area["y"]} {area["width"]} {area["height"]}";

    private static (double Width, double Height)[] Rectangles(XElement drawing, Func<XElement, bool> which) =>
    [
        .. drawing.Elements(Svg + "rect").Where(which).Select(r => (Number(r, "width"), Number(r, "height"))),
    ];

    private static double Number(XElement element, string name) => double.Parse(element.Attribute(name)!.Value, CultureInfo.InvariantCulture);
}
