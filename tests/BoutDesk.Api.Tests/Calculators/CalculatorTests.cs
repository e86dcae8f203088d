using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Calculators;

[Collection(OneService.Name)]
public class CalculatorTests
{
    private readonly HttpClient anybody;

    public CalculatorTests(SharedDesk shared) => anybody = shared.Host.Public;

    /// <summary>
    /// Pools as printed in the Official Reports of the Games of 1972 (vol. 3, p. 277; bouts to 4) and 1980 (vol. 3,
    /// p. 261; bouts to 5), women's foil, first round; read from the articles of the English Wikipedia on these events.
    /// A bout is left, right, touches of left, touches of right.
    /// </summary>
    public static TheoryData<string, string, string> PublishedPools => new()
    {
        {
            "1972, round 1, pool A",
            "1 2 4 1,1 3 2 4,1 4 4 2,1 5 4 1,1 6 4 2,2 3 4 2,2 4 2 4,2 5 4 1,2 6 4 1,3 4 3 4,3 5 3 4,3 6 4 0,4 5 3 4,4 6 2 4,5 6 3 4",
            "4 18 10,3 15 12,2 16 14,2 15 17,2 13 18,2 11 17"
        },
        {
            "1980, round 1, pool A",
            "1 2 5 3,1 3 5 4,1 4 5 0,1 5 5 2,2 3 4 5,2 4 5 4,2 5 5 1,3 4 0 5,3 5 5 1,4 5 3 5",
            "4 20 9,2 17 15,2 14 15,1 12 15,1 9 18"
        },
        {
            "1980, round 1, pool B",
            "1 2 5 3,1 3 5 2,1 4 5 2,1 5 5 3,2 3 4 5,2 4 5 4,2 5 5 2,3 4 5 3,3 5 4 5,4 5 5 3",
            "4 20 10,2 17 16,2 16 17,1 14 18,1 13 19"
        },
    };

    [Theory]
    [MemberData(nameof(PublishedPools))]
    public async Task Standings_of_a_published_pool_are_as_printed(string pool, string bouts, string printed)
    {
        var expected = printed.Split(',').Select((line, i) => $"{i + 1} {i + 1} {line}").ToArray();
        var results = bouts.Split(',').Select(b => b.Split(' ').Select(int.Parse).ToArray()).Select(b => new { left = b[0], right = b[1], leftTouches = b[2], rightTouches = b[3] });
        var answer = await CalculateAsync("pool-standings", new { fencers = expected.Length, bouts = results });
        var standings = answer["standings"]!.AsArray();
        Assert.True(
            expected.SequenceEqual(standings.Select(s => $"{s!["place"]} {s["position"]} {s["victories"]} {s["touchesScored"]} {s["touchesReceived"]}")),
            $"{pool}: {standings.ToJsonString()}");
        Assert.All(standings, s => Assert.False(s!["tied"]!.GetValue<bool>()));
        Assert.All(standings, s => Assert.Equal(Number(s, "touchesScored") - Number(s, "touchesReceived"), Number(s, "indicator")));
        Assert.All(standings, s => Assert.Equal(Math.Round((decimal)Number(s, "victories") / Number(s, "bouts"), 4), s!["victoryRatio"]!.GetValue<decimal>()));
    }

    [Fact]
    public async Task A_level_bout_is_won_by_who_is_named_and_those_who_left_do_not_count()
    {
        var answer = await CalculateAsync("pool-standings", new
        {
            fencers = 4,
            bouts = new object[]
            {
                new { left = 1, right = 2, leftTouches = 2, rightTouches = 2, winner = "right" },
                new { left = 1, right = 3, leftTouches = 5, rightTouches = 0 },
                new { left = 4, right = 1, leftTouches = 5, rightTouches = 0 },
            },
            withdrawn = new[] { 4 },
        });
        Assert.Equal(
            ["1 2 1/1", "2 1 1/2", "3 3 0/1"],
            answer["standings"]!.AsArray().Select(s => $"{s!["place"]} {s["position"]} {s["victories"]}/{s["bouts"]}"));
    }

    [Fact]
    public async Task Equals_share_the_place_and_nobody_is_divided_by_nought()
    {
        var answer = await CalculateAsync("pool-standings", new { fencers = 3, bouts = Array.Empty<object>() });
        Assert.All(answer["standings"]!.AsArray(), s => Assert.Equal((1, true, 0m), (Number(s, "place"), s!["tied"]!.GetValue<bool>(), s["victoryRatio"]!.GetValue<decimal>())));
    }

    [Theory]
    [InlineData("""{"fencers":1,"bouts":[]}""", "fencers")]
    [InlineData("""{"fencers":21,"bouts":[]}""", "fencers")]
    [InlineData("""{"fencers":3,"bouts":[{"left":0,"right":2,"leftTouches":5,"rightTouches":0}]}""", "bouts[0].left")]
    [InlineData("""{"fencers":3,"bouts":[{"left":1,"right":4,"leftTouches":5,"rightTouches":0}]}""", "bouts[0].right")]
    [InlineData("""{"fencers":3,"bouts":[{"left":2147483647,"right":1,"leftTouches":5,"rightTouches":0}]}""", "bouts[0].left")]
    [InlineData("""{"fencers":3,"bouts":[{"left":1,"right":1,"leftTouches":5,"rightTouches":0}]}""", "bouts[0].right")]
    [InlineData("""{"fencers":3,"bouts":[{"left":1,"right":2,"leftTouches":-1,"rightTouches":0}]}""", "bouts[0].leftTouches")]
    [InlineData("""{"fencers":3,"bouts":[{"left":1,"right":2,"leftTouches":5,"rightTouches":46}]}""", "bouts[0].rightTouches")]
    [InlineData("""{"fencers":3,"bouts":[{"left":1,"right":2,"leftTouches":2,"rightTouches":2}]}""", "bouts[0].winner")]
    [InlineData("""{"fencers":3,"bouts":[{"left":1,"right":2,"leftTouches":5,"rightTouches":2,"winner":"right"}]}""", "bouts[0].winner")]
    [InlineData("""{"fencers":3,"bouts":[{"left":1,"right":2,"leftTouches":5,"rightTouches":2},{"left":2,"right":1,"leftTouches":5,"rightTouches":2}]}""", "bouts[1]")]
    [InlineData("""{"fencers":2,"bouts":[{"left":1,"right":2,"leftTouches":5,"rightTouches":2},{"left":2,"right":1,"leftTouches":5,"rightTouches":2}]}""", "bouts")]
    [InlineData("""{"fencers":3,"bouts":[],"withdrawn":[0]}""", "withdrawn")]
    [InlineData("""{"fencers":3,"bouts":[],"withdrawn":[4]}""", "withdrawn")]
    public Task Standings_are_not_calculated_from_a_pool_that_cannot_be(string body, string field) => RefusesAsync("pool-standings", body, field);

    /// <summary>
    /// Fencers 1, 2 and 3 of the first pool have 2, 1 and 0 victories of two bouts with +7, 0 and -7. In the second, 1 and 2
    /// have beaten 3, who has -10, and meet last: the winner comes to two victories with +5 to +10, the loser to one with 0
    /// to +5, and who has 0 then has scored less than 2 of the first pool.
    /// </summary>
    [Fact]
    public async Task Possible_places_follow_from_the_results_so_far()
    {
        var answer = await CalculateAsync("possible-places", new
        {
            pools = new object[]
            {
                new { fencers = 3, bouts = new[] { Bout(1, 2, 5, 2), Bout(1, 3, 5, 1), Bout(2, 3, 5, 2) } },
                new { fencers = 4, bouts = new[] { Bout(1, 3, 5, 0), Bout(2, 3, 5, 0), Bout(4, 1, 5, 0) }, withdrawn = new[] { 4 } },
            },
            promote = 3,
        });
        Assert.Equal(3, Number(answer, "promoted"));
        Assert.Equal(
            ["1.1 1-2 promoted", "1.2 3-4 open", "1.3 5-5 out", "2.1 1-4 open", "2.2 1-4 open", "2.3 6-6 out"],
            answer["places"]!.AsArray().Select(Line));
        Assert.All(answer["places"]!.AsArray(), p => Assert.True(p!["placesExact"]!.GetValue<bool>()));

        static object Bout(int left, int right, int leftTouches, int rightTouches) => new { left, right, leftTouches, rightTouches };
        static string Line(JsonNode? p) => $"{p!["pool"]}.{p["position"]} {p["bestPlace"]}-{p["worstPlace"]} {p["fate"]}";
    }

    [Fact]
    public async Task Without_a_result_every_place_is_possible_and_without_a_number_all_go_on()
    {
        var answer = await CalculateAsync("possible-places", new { pools = new[] { new { fencers = 3, bouts = Array.Empty<object>() } }, touches = 10 });
        Assert.Equal(3, Number(answer, "promoted"));
        Assert.All(answer["places"]!.AsArray(), p => Assert.Equal((1, 3, "promoted"), (Number(p, "bestPlace"), Number(p, "worstPlace"), p!["fate"]!.GetValue<string>())));
    }

    /// <summary>The largest round that is accepted, half fenced and everybody alike: the hardest there is to search.</summary>
    [Fact]
    public async Task The_largest_round_is_answered()
    {
        var bouts = from left in Enumerable.Range(1, 12)
                    from right in Enumerable.Range(left + 1, 12 - left)
                    where (left + right) % 2 == 0
                    let leftWins = (right - left) % 4 == 0
                    select new { left, right, leftTouches = leftWins ? 5 : 4, rightTouches = leftWins ? 4 : 5 };
        var answer = await CalculateAsync("possible-places", new { pools = Enumerable.Repeat(new { fencers = 12, bouts }, 100), promote = 600 });
        Assert.Equal(1200, answer["places"]!.AsArray().Count);
    }

    [Theory]
    [InlineData("""{"pools":[]}""", "pools")]
    [InlineData("""{"pools":[null]}""", "pools")]
    [InlineData("""{"pools":[{"fencers":1,"bouts":[]}]}""", "pools[0].fencers")]
    [InlineData("""{"pools":[{"fencers":3,"bouts":[]},{"fencers":13,"bouts":[]}]}""", "pools[1].fencers")]
    [InlineData("""{"pools":[{"fencers":3,"bouts":[]}],"touches":0}""", "touches")]
    [InlineData("""{"pools":[{"fencers":3,"bouts":[]}],"touches":46}""", "touches")]
    [InlineData("""{"pools":[{"fencers":3,"bouts":[]}],"promote":0}""", "promote")]
    [InlineData("""{"pools":[{"fencers":3,"bouts":[]}],"promote":1201}""", "promote")]
    [InlineData("""{"pools":[{"fencers":3,"bouts":[],"withdrawn":[4]}]}""", "pools[0].withdrawn")]
    [InlineData("""{"pools":[{"fencers":3,"bouts":[{"left":1,"right":4,"leftTouches":5,"rightTouches":0}]}]}""", "pools[0].bouts[0].right")]
    [InlineData("""{"pools":[{"fencers":3,"bouts":[{"left":1,"right":2,"leftTouches":5,"rightTouches":0}]}],"touches":4}""", "pools[0].bouts[0].leftTouches")]
    public Task Places_are_not_calculated_for_a_round_that_cannot_be(string body, string field) => RefusesAsync("possible-places", body, field);

    [Fact]
    public Task A_round_has_at_most_a_hundred_pools() => RefusesAsync(
        "possible-places",
        new JsonObject { ["pools"] = new JsonArray([.. Enumerable.Range(0, 101).Select(_ => JsonNode.Parse("""{"fencers":3,"bouts":[]}"""))]) }.ToJsonString(),
        "pools");

    [Fact]
    public async Task Every_two_meet_once_in_the_order_of_a_pool_on_one_strip_and_on_two()
    {
        for (var fencers = 3; fencers <= 12; fencers++)
        {
            var one = await CalculateAsync("pool-order", new { fencers });
            Assert.Null(one["strips"]);
            Assert.Equal(Pairs(fencers), one["bouts"]!.AsArray().Select(Pair).Order());
            var two = await CalculateAsync("pool-order", new { fencers, strips = 2 });
            Assert.Null(two["bouts"]);
            Assert.Equal(2, two["strips"]!.AsArray().Count);
            Assert.Equal(Pairs(fencers), two["strips"]!.AsArray().SelectMany(s => s!.AsArray()).Select(Pair).Order());
        }
    }

    /// <summary>The printed order for a pool of four, as in the organisation rules (from memory).</summary>
    [Fact]
    public async Task A_pool_of_four_is_fenced_in_the_printed_order()
    {
        var answer = await CalculateAsync("pool-order", new { fencers = 4 });
        Assert.Equal("[[1,4],[2,3],[1,3],[2,4],[3,4],[1,2]]", answer["bouts"]!.ToJsonString());
    }

    [Fact]
    public async Task Members_of_one_club_meet_before_they_meet_others()
    {
        var bouts = (await CalculateAsync("pool-order", new { fencers = 6, groups = new[] { new[] { 1, 2 } } }))["bouts"]!.AsArray().Select(Pair).ToList();
        Assert.True(bouts.FindIndex(b => b.Contains('1', StringComparison.Ordinal)) == bouts.IndexOf("1-2"));
        Assert.True(bouts.FindIndex(b => b.Contains('2', StringComparison.Ordinal)) == bouts.IndexOf("1-2"));
    }

    [Theory]
    [InlineData("""{"fencers":2}""", "fencers")]
    [InlineData("""{"fencers":13}""", "fencers")]
    [InlineData("""{"fencers":4,"strips":0}""", "strips")]
    [InlineData("""{"fencers":4,"strips":3}""", "strips")]
    [InlineData("""{"fencers":4,"groups":[[1,5]]}""", "groups")]
    [InlineData("""{"fencers":4,"groups":[[0,1]]}""", "groups")]
    [InlineData("""{"fencers":4,"groups":[[1,2],[2,3]]}""", "groups")]
    [InlineData("""{"fencers":4,"groups":[[1,1]]}""", "groups")]
    public Task An_order_is_not_calculated_for_a_pool_that_cannot_be(string body, string field) => RefusesAsync("pool-order", body, field);

    [Fact]
    public async Task Fencers_are_dealt_in_a_serpentine_when_nothing_has_to_be_separated()
    {
        var fencers = Enumerable.Range(1, 7).Select(i => new { id = $"f{i}" });
        var answer = await CalculateAsync("pools", new { fencers, poolCount = 2, separateBy = Array.Empty<string>() });
        Assert.Equal("""[["f1","f4","f5"],["f2","f3","f6","f7"]]""", Sorted(answer["pools"]!));
        Assert.Equal((0, 0), (Number(answer, "conflicts"), Number(answer, "lowerBound")));
        Assert.NotNull(answer["displacement"]);
        var bySize = await CalculateAsync("pools", new { fencers, poolSize = 4, separateBy = Array.Empty<string>() });
        Assert.True(JsonNode.DeepEquals(answer, bySize));
    }

    [Fact]
    public async Task The_same_seed_deals_the_same_pools()
    {
        var body = new { fencers = Enumerable.Range(1, 24).Select(i => new { id = $"f{i}", club = $"c{i % 5}", country = $"n{i % 3}" }), poolSize = 6, separateBy = new[] { "club", "country" }, drawSeed = 99 };
        Assert.True(JsonNode.DeepEquals(await CalculateAsync("pools", body), await CalculateAsync("pools", body)));
    }

    [Theory]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"}],"poolCount":1}""", "fencers")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"a"}],"poolCount":1}""", "fencers")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"c"}]}""", "poolCount")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"c"}],"poolCount":1,"poolSize":3}""", "poolCount")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"c"}],"poolCount":0}""", "poolCount")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"c"}],"poolCount":2}""", "poolCount")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"c"}],"poolSize":2}""", "poolSize")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"c"}],"poolSize":13}""", "poolSize")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"c"}],"poolCount":1,"drawSeed":-1}""", "drawSeed")]
    [InlineData("""{"fencers":[{"id":"a"},{"id":"b"},{"id":"c"}],"poolCount":1,"separateBy":["club","club"]}""", "separateBy")]
    [InlineData("""{"fencers":[{"id":""},{"id":"b"},{"id":"c"}],"poolCount":1}""", "fencers[0].id")]
    public Task Pools_are_not_dealt_from_what_makes_none(string body, string field) => RefusesAsync("pools", body, field);

    /// <summary>The printed order of a table of 8, top to bottom: 1-8, 5-4, 3-6, 7-2 (organisation rules, from memory).</summary>
    [Theory]
    [InlineData(8, 8, "[[1,8],[5,4],[3,6],[7,2]]")]
    [InlineData(6, 8, "[[1,null],[5,4],[3,6],[2,null]]")]
    [InlineData(2, 2, "[[1,2]]")]
    [InlineData(3, 4, "[[1,null],[3,2]]")]
    public async Task A_tableau_reads_from_the_top_of_the_tree(int fencers, int size, string first)
    {
        var answer = await CalculateAsync("tableau", new { fencers });
        Assert.Equal(size, Number(answer, "size"));
        Assert.Equal(first, answer["first"]!.ToJsonString());
    }

    [Theory]
    [InlineData(1)]
    [InlineData(0)]
    [InlineData(-8)]
    [InlineData(1025)]
    public Task A_tableau_has_2_to_1024_fencers(int fencers) => RefusesAsync("tableau", $$"""{"fencers":{{fencers}}}""", "fencers");

    [Fact]
    public async Task Places_follow_from_the_results_with_two_thirds_or_a_bout_for_third()
    {
        var results = new[]
        {
            new { left = 1, right = 8, winner = 1 }, new { left = 5, right = 4, winner = 5 }, new { left = 3, right = 6, winner = 3 }, new { left = 7, right = 2, winner = 7 },
            new { left = 1, right = 5, winner = 5 }, new { left = 3, right = 7, winner = 7 }, new { left = 5, right = 7, winner = 7 },
        };
        var shared = await CalculateAsync("classification", new { fencers = 8, results });
        Assert.Equal("1:7 2:5 3:1 3:3 5:2 6:4 7:6 8:8", Places(shared));
        var fenced = await CalculateAsync("classification", new { fencers = 8, results = results.Append(new { left = 1, right = 3, winner = 3 }), thirdPlace = "bout" });
        Assert.Equal("1:7 2:5 3:3 4:1 5:2 6:4 7:6 8:8", Places(fenced));
    }

    [Theory]
    [InlineData("""{"fencers":1,"results":[]}""", "fencers")]
    [InlineData("""{"fencers":4,"results":[{"left":1,"right":5,"winner":1}]}""", "results[0].right")]
    [InlineData("""{"fencers":4,"results":[{"left":0,"right":4,"winner":4}]}""", "results[0].left")]
    [InlineData("""{"fencers":4,"results":[{"left":1,"right":4,"winner":3}]}""", "results[0].winner")]
    [InlineData("""{"fencers":4,"results":[{"left":1,"right":2,"winner":1}]}""", "results[0]")]
    [InlineData("""{"fencers":4,"results":[{"left":1,"right":4,"winner":1},{"left":4,"right":1,"winner":4}]}""", "results[1]")]
    public Task Places_are_not_calculated_from_bouts_that_cannot_be(string body, string field) => RefusesAsync("classification", body, field);

    [Fact]
    public async Task A_bout_is_followed_through_what_was_recorded_in_it()
    {
        object[] pool =
        [
            new { kind = "touch", side = "left" }, new { kind = "card", side = "left", group = 1 }, new { kind = "card", side = "left", group = 1 },
            new { kind = "doubleTouch" }, new { kind = "break", side = "right" }, new { kind = "time" },
        ];
        var due = await CalculateAsync("bout", new { weapon = "epee", actions = pool });
        Assert.Equal("""{"left":2,"right":2}""", due["score"]!.ToJsonString());
        Assert.Equal((true, "halted", "drawPriority"), (due["priorityDue"]!.GetValue<bool>(), due["phase"]!.GetValue<string>(), due["next"]!.GetValue<string>()));
        Assert.Equal(
            """[{"side":"left","card":"yellow","group":1,"touchTo":null,"excludes":false},{"side":"left","card":"red","group":1,"touchTo":"right","excludes":false}]""",
            due["cards"]!.ToJsonString());
        Assert.Equal("""[{"side":"right","kind":"medical","at":null}]""", due["breaks"]!.ToJsonString());
        var extra = await CalculateAsync("bout", new { weapon = "epee", actions = pool.Append(new { kind = "priority", side = "right" }) });
        Assert.Equal(("extraMinute", "right"), (extra["phase"]!.GetValue<string>(), extra["priority"]!.GetValue<string>()));
        var over = await CalculateAsync("bout", new { weapon = "epee", actions = pool.Append(new { kind = "priority", side = "right" }).Append(new { kind = "time" }) });
        Assert.Equal(("over", "right"), (over["phase"]!.GetValue<string>(), over["winner"]!.GetValue<string>()));

        var touches = Enumerable.Repeat(new { kind = "touch", side = "right" }, 8);
        var sabre = await CalculateAsync("bout", new { weapon = "sabre", touches = 15, periods = 3, actions = touches });
        Assert.Equal(("sabreBreak", 2), (sabre["phase"]!.GetValue<string>(), Number(sabre, "period")));
        var foil = await CalculateAsync("bout", new { weapon = "foil", touches = 15, periods = 3, actions = touches });
        Assert.Equal(("halted", 1), (foil["phase"]!.GetValue<string>(), Number(foil, "period")));
    }

    [Theory]
    [InlineData("""{"weapon":"foil","touches":0,"actions":[]}""", "touches")]
    [InlineData("""{"weapon":"foil","periods":10,"actions":[]}""", "periods")]
    [InlineData("""{"weapon":"foil","minutes":16,"actions":[]}""", "minutes")]
    [InlineData("""{"weapon":"foil","actions":[{"kind":"touch"}]}""", "actions[0].side")]
    [InlineData("""{"weapon":"foil","actions":[{"kind":"time","side":"left"}]}""", "actions[0].side")]
    [InlineData("""{"weapon":"foil","actions":[{"kind":"card","side":"left"}]}""", "actions[0].card")]
    [InlineData("""{"weapon":"foil","actions":[{"kind":"card","side":"left","card":"red","group":2}]}""", "actions[0].card")]
    [InlineData("""{"weapon":"foil","actions":[{"kind":"card","side":"left","group":5}]}""", "actions[0].group")]
    [InlineData("""{"weapon":"foil","actions":[{"kind":"touch","side":"left","card":"red"}]}""", "actions[0].card")]
    [InlineData("""{"weapon":"foil","actions":[{"kind":"doubleTouch"}]}""", "actions[0]")]
    [InlineData("""{"weapon":"foil","touches":1,"actions":[{"kind":"touch","side":"left"},{"kind":"touch","side":"left"}]}""", "actions[1]")]
    [InlineData("""{"weapon":"foil","actions":[{"kind":"priority","side":"left"}]}""", "actions[0]")]
    public Task A_bout_that_cannot_be_is_not_followed(string body, string field) => RefusesAsync("bout", body, field);

    private static IEnumerable<string> Pairs(int fencers) =>
        (from a in Enumerable.Range(1, fencers) from b in Enumerable.Range(a + 1, fencers - a) select $"{a}-{b}").Order();

    private static string Pair(JsonNode? bout)
    {
        var pair = bout!.AsArray().Select(p => p!.GetValue<int>()).Order().ToArray();
        return $"{pair[0]}-{pair[1]}";
    }

    private static string Sorted(JsonNode pools) =>
        new JsonArray([.. pools.AsArray().Select(pool => new JsonArray([.. pool!.AsArray().Select(id => id!.GetValue<string>()).Order().Select(id => (JsonNode)id)]))]).ToJsonString();

    private static string Places(JsonNode answer) =>
        string.Join(' ', answer["places"]!.AsArray().Select(p => $"{p!["place"]}:{p["seed"]}"));

    private static int Number(JsonNode? node, string field) => node![field]!.GetValue<int>();

    private Task<JsonNode> CalculateAsync(string what, object body) =>
        anybody.SendAsync(HttpMethod.Post, $"/api/calculators/{what}", body, HttpStatusCode.OK);

    private async Task RefusesAsync(string what, string body, string field)
    {
        var problem = await anybody.RefusedAsync(HttpMethod.Post, $"/api/calculators/{what}", JsonNode.Parse(body), 400, "invalid-input");
        Assert.True(problem["errors"]?[field] is not null, $"{field} is not named: {problem.ToJsonString()}");
    }

    [Fact]
    public async Task A_tableau_is_planned_with_the_rest_between_bouts()
    {
        var plan = await anybody.SendAsync(HttpMethod.Post, "/api/calculators/calling-order", new { fencers = 8, strips = 2 }, HttpStatusCode.OK);
        // Worked out by hand for bouts of 20 minutes and 10 minutes of rest.
        Assert.Equal([0, 0, 20, 20, 40, 50, 80], plan.Items("bouts").Select(b => b.Number("minute")));
        Assert.Equal(100, plan.Number("minutes"));
        await anybody.RefusedAsync(HttpMethod.Post, "/api/calculators/calling-order", new { fencers = 8, strips = 0 }, 400, "invalid-input");
        await anybody.RefusedAsync(HttpMethod.Post, "/api/calculators/calling-order", new { fencers = 8, results = new[] { new { left = 1, right = 2, winner = 1 } } }, 400, "invalid-input");
    }

    [Fact]
    public async Task The_way_of_a_seed_names_whom_he_can_meet()
    {
        var path = await anybody.SendAsync(
            HttpMethod.Post,
            "/api/calculators/path",
            new { fencers = 8, seed = 5, fencedPlaces = 8, results = new[] { new { left = 4, right = 5, winner = 4 } } },
            HttpStatusCode.OK);
        // He has lost to the fourth and fences for the places 5 to 8.
        Assert.Equal(["places", "places"], path.Items("bouts").Select(b => b.Text("part")));
        Assert.Equal(["1 8", "2 3 6 7"], path.Items("bouts").Select(b => string.Join(' ', b["opponents"]!.AsArray().Select(o => o!.GetValue<int>()))));
        await anybody.RefusedAsync(HttpMethod.Post, "/api/calculators/path", new { fencers = 8, seed = 9 }, 400, "invalid-input");
    }
}
