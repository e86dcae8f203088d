using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.LoanKit;

/// <summary>Which size to try on first.</summary>
[Collection(OneService.Name)]
public class KitSizeTests
{
    private readonly HttpClient reader;

    public KitSizeTests(SharedDesk shared) => reader = shared.Host.Public;

    [Theory]
    [InlineData("{\"heightCm\":128,\"chestCm\":66,\"ageGroup\":\"U10\"}", 128, "bodyHeight", 125, 130)]
    [InlineData("{\"heightCm\":171,\"chestCm\":84,\"ageGroup\":\"under 14\"}", 170, "bodyHeight", 167, 172)]
    [InlineData("{\"heightCm\":183,\"chestCm\":100,\"ageGroup\":\"senior\"}", 50, "halfChest", 98, 101)]
    [InlineData("{\"heightCm\":150,\"chestCm\":80,\"ageGroup\":\"veterans\"}", 40, "halfChest", 78, 81)]
    [InlineData("{\"heightCm\":140}", 140, "bodyHeight", 137, 142)]
    [InlineData("{\"heightCm\":180,\"chestCm\":96}", 48, "halfChest", 94, 97)]
    public async Task Children_are_fitted_by_height_and_adults_by_half_the_chest(string body, int size, string scale, int from, int to)
    {
        var hints = await AskAsync(body);
        foreach (var piece in new[] { "jacket", "breeches" })
        {
            Assert.Equal((size, scale, from, to), (hints[piece].Number("size"), hints[piece].Text("scale"), hints[piece]!["bodyCm"].Number("from"), hints[piece]!["bodyCm"].Number("to")));
        }
    }

    // EN 420:2003: a hand of 203 mm wears an 8.
    [Fact]
    public async Task A_glove_is_fitted_by_the_hand() => Assert.Equal(8m, (await AskAsync("{\"handMm\":203}"))["glove"]!.GetValue<decimal>());

    [Theory]
    [InlineData("U10", 0, 2, "XS S")]
    [InlineData("under 12", 2, 5, "XS S")]
    [InlineData("U14", 5, 5, "S M")]
    [InlineData("senior", 5, 5, "M L")]
    public async Task Blade_and_mask_go_by_the_age_group(string ageGroup, int from, int to, string masks)
    {
        var hints = await AskAsync($"{{\"ageGroup\":\"{ageGroup}\"}}");
        Assert.Equal((from, to), (hints["blade"].Number("from"), hints["blade"].Number("to")));
        Assert.Equal(masks.Split(' '), hints["mask"]!.AsArray().Select(m => m!.GetValue<string>()));
        Assert.Null(hints["jacket"]);
        Assert.Null(hints["glove"]);
    }

    [Fact]
    public async Task Every_answer_says_that_it_is_a_hint_and_that_trying_on_decides()
    {
        foreach (var body in new[] { "{\"heightCm\":128}", "{\"chestCm\":96}", "{\"handMm\":190}", "{\"ageGroup\":\"U10\"}" })
        {
            var notes = (await AskAsync(body))["notes"]!.AsArray().Select(n => n!.GetValue<string>()).ToArray();
            Assert.Contains("These are hints only: sizes differ between makers, and trying on decides.", notes);
            Assert.Contains(notes, n => n.Contains("qualified armourer", StringComparison.Ordinal));
        }
    }

    [Theory]
    [InlineData("{}", "$")]
    [InlineData("{\"heightCm\":89}", "heightCm")]
    [InlineData("{\"heightCm\":221}", "heightCm")]
    [InlineData("{\"chestCm\":161}", "chestCm")]
    [InlineData("{\"handMm\":99}", "handMm")]
    [InlineData("{\"handMm\":\"wide\"}", "handMm")]
    public async Task A_measure_that_nobody_has_is_refused(string body, string field)
    {
        var problem = await reader.RefusedAsync(HttpMethod.Post, "/api/calculators/kit-size", JsonNode.Parse(body), 400, "invalid-input");
        Assert.NotNull(problem["errors"]![field]);
    }

    private Task<JsonNode> AskAsync(string body) => reader.SendAsync(HttpMethod.Post, "/api/calculators/kit-size", JsonNode.Parse(body), HttpStatusCode.OK);
}
