using System.Collections.Immutable;
using System.Text.Json;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Seeding;
using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>The pad follows a bout by the same rules as the service: both are given the same actions, and every state is compared.</summary>
[Collection(PadBrowser.Name)]
public sealed class SameRulesTests
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web) { Converters = { new System.Text.Json.Serialization.JsonStringEnumConverter(JsonNamingPolicy.CamelCase) } };

    private readonly Browser browser;
    private readonly ITestOutputHelper output;

    public SameRulesTests(Browser browser, ITestOutputHelper output)
    {
        this.browser = browser;
        this.output = output;
    }

    [Fact]
    public async Task Every_prefix_of_generated_bouts_comes_to_the_same()
    {
        var seed = Environment.TickCount;
        output.WriteLine($"Seed {seed}");
        var random = new Random(seed);
        var bouts = Enumerable.Range(0, 400).Select(_ => (Rules: Rules(random), Actions: Actions(random))).ToArray();
        var expected = bouts.Select(b => Enumerable.Range(0, b.Actions.Length + 1).Select(n => Told(Bout.Follow(b.Rules, b.Actions[..n]))).ToArray()).ToArray();
        var told = await AskPadAsync<string[][]>(
            """
            (bout, cases) => cases.map(({ rules, actions }) => [...actions, null].map((_, n) => {
              const c = bout.follow(rules, actions.slice(0, n));
              return [c.score.left, c.score.right, c.winner, c.period, c.priority, c.priorityDue, c.interval].join(' ');
            }))
            """,
            bouts.Select(b => new { rules = Wire(b.Rules), actions = b.Actions.Select(Wire) }));
        for (var i = 0; i < bouts.Length; i++)
        {
            Assert.True(expected[i].SequenceEqual(told[i]), $"Seed {seed}, {bouts[i].Rules}, {string.Join(", ", bouts[i].Actions)}:\n{string.Join('\n', expected[i])}\nthe pad:\n{string.Join('\n', told[i])}");
        }
    }

    [Fact]
    public async Task What_is_not_sent_yet_comes_to_the_same_as_if_it_were_wherever_the_service_was_left()
    {
        var seed = Environment.TickCount;
        output.WriteLine($"Seed {seed}");
        var random = new Random(seed);
        var cases = Enumerable.Range(0, 300).Select(_ =>
        {
            var rules = Rules(random);
            var steps = Actions(random).Select(action => random.Next(5) == 0 ? (BoutAction?)null : action).ToArray();
            var sent = random.Next(steps.Length + 1);
            return (Rules: rules, Steps: steps, Sent: sent);
        }).ToArray();
        var told = await AskPadAsync<string[]>(
            """
            (bout, cases) => cases.map(({ rules, before, steps }) => {
              const entries = steps.map(action => (action ? { action, at: 0 } : { takesBack: true, at: 0 }));
              const { course: c, actions } = bout.standing({ ...rules, actions: before, confirmed: false, interval: null, status: 'fencing' }, entries);
              return [actions.length, c.score.left, c.score.right, c.winner, c.period, c.priority, c.priorityDue, c.interval].join(' ');
            })
            """,
            cases.Select(c => new { rules = Wire(c.Rules), before = Taken(c.Steps[..c.Sent]).Select(Wire), steps = c.Steps[c.Sent..].Select(a => a is { } action ? Wire(action) : null) }));
        var expected = cases.Select(c => (Actions: Taken(c.Steps), c.Rules)).Select(c => $"{c.Actions.Length} {Told(Bout.Follow(c.Rules, c.Actions))}");
        Assert.Equal(expected, told);
    }

    [Fact]
    public async Task Cards_and_lots_are_the_same()
    {
        var seed = Environment.TickCount;
        output.WriteLine($"Seed {seed}");
        var random = new Random(seed);
        var bouts = Enumerable.Range(0, 200).Select(_ => Actions(random)).ToArray();
        var cards = await AskPadAsync<string[]>(
            "(bout, cases) => cases.map(actions => ['left', 'right'].flatMap(side => [1, 2, 3, 4].map(group => bout.cardFor(actions, side, group))).join(' '))",
            bouts.Select(b => b.Select(Wire)));
        Assert.Equal(
            bouts.Select(b => string.Join(' ', new[] { Side.Left, Side.Right }.SelectMany(side => Enumerable.Range(1, 4).Select(group => Lower(Penalties.CardFor(b, side, group)))))),
            cards);

        long[] seeds = [0, 1, DrawSeed.MaxValue, .. Enumerable.Range(0, 500).Select(_ => random.NextInt64(DrawSeed.MaxValue + 1))];
        Assert.Equal(
            seeds.Select(s => new DrawSeed(s).Lots().Below(2) == 0 ? "left" : "right"),
            await AskPadAsync<string[]>("(bout, seeds) => seeds.map(bout.lot)", seeds));
    }

    private async Task<T> AskPadAsync<T>(string script, object cases)
    {
        await using var device = await browser.DeviceAsync();
        var page = await device.NewPageAsync();
        await page.GotoAsync("/strip");
        return await page.EvaluateAsync<T>($"async json => ({script})(await import('/pad/bout.js'), JSON.parse(json))", JsonSerializer.Serialize(cases, Json));
    }

    private static BoutRules Rules(Random random) => new((Weapon)random.Next(3), random.Next(1, 16), random.Next(1, 4), 3);

    /// <summary>Actions that touches prevail among, so that bouts come to an end in every way.</summary>
    private static ImmutableArray<BoutAction> Actions(Random random) =>
    [
        .. Enumerable.Range(0, random.Next(1, 30)).Select(_ => new BoutAction(
            (BoutActionKind)Math.Max(0, random.Next(-6, 6)),
            (Side)random.Next(2),
            (Card)(random.Next(12) == 0 ? 2 : random.Next(2)),
            random.Next(3) == 0 ? null : random.Next(1, 5))),
    ];

    /// <summary>What is left when a step without an action takes the last one back.</summary>
    private static ImmutableArray<BoutAction> Taken(IEnumerable<BoutAction?> steps) => steps.Aggregate(
        ImmutableArray<BoutAction>.Empty, (actions, step) => step is { } action ? actions.Add(action) : actions.IsEmpty ? actions : actions.RemoveAt(actions.Length - 1));

    private static object Wire(BoutRules rules) => new { weapon = rules.Weapon, touches = rules.Target, rules.Periods, rules.Minutes };

    private static object Wire(BoutAction action) => new { action.Kind, action.Side, action.Card, action.Group };

    private static string Told(BoutCourse course) =>
        $"{course.Score.Left} {course.Score.Right} {Lower(course.Winner)} {course.Period} {Lower(course.Priority)} {Lower(course.PriorityDue)} {Lower(course.Interval?.Phase)}";

    private static string Lower(object? value) => value is null ? string.Empty : JsonNamingPolicy.CamelCase.ConvertName(value.ToString()!);
}
