using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>Possible places against all outcomes tried out, one by one: no range may differ.</summary>
public class PossiblePlacesEnumerationTests
{
    private readonly ITestOutputHelper output;

    public PossiblePlacesEnumerationTests(ITestOutputHelper output) => this.output = output;

    [Fact]
    public void A_bout_to_five_not_begun_has_forty_endings() =>
        Assert.Equal(40, PossiblePlacesEnumeration.Endings(5, new OpenBout(1, 2)).Length);

    [Fact]
    public void A_bout_past_its_time_has_four_endings_and_three_once_priority_is_drawn()
    {
        var due = new OpenBout(1, 2, new Score(3, 3), TimeIsUp: true);
        Assert.Equal(4, PossiblePlacesEnumeration.Endings(5, due).Length);
        Assert.Equal(
            new HashSet<(Score, Side)> { (new(3, 3), Side.Left), (new(4, 3), Side.Left), (new(3, 4), Side.Right) },
            PossiblePlacesEnumeration.Endings(5, due with { Priority = Side.Left }).ToHashSet());
    }

    [Theory]
    [InlineData(1, 250)]
    [InlineData(2, 250)]
    [InlineData(3, 200)]
    [InlineData(5, 400)]
    public void In_a_pool(int target, int cases) => Check(10_000 * target, cases, lots =>
        [PossiblePlacesPools.WithFewOutcomes(lots, 3 + lots.Below(5), target, 30_000)]);

    [Fact]
    public void In_a_pool_with_four_bouts_open_whose_scores_are_all_possible() => Check(100_000, 4, lots =>
        [PossiblePlacesPools.WithOpenBouts(lots, 4 + lots.Below(4), 5, 4)]);

    [Theory]
    [InlineData(1, 6, 150)]
    [InlineData(3, 3, 150)]
    [InlineData(5, 3, 20)]
    public void In_a_pool_of_equals(int target, int open, int cases) => Check(250_000 + (1000 * target), cases, lots =>
    {
        var fencers = 5 + lots.Below(3);
        return [PossiblePlacesPools.OfEquals(lots, fencers, target, open, begun: lots.Below(3))];
    });

    [Fact]
    public void Over_two_or_three_pools() => Check(200_000, 600, lots =>
    {
        var pools = 2 + lots.Below(2);
        var target = new[] { 1, 2, 3, 5, 5 }[lots.Below(5)];
        var outcomes = (long)Math.Pow(20_000, 1.0 / pools);
        return [.. Enumerable.Range(0, pools).Select(_ => PossiblePlacesPools.WithFewOutcomes(lots, 2 + lots.Below(4), target, outcomes))];
    });

    private void Check(int firstSeed, int cases, Func<LotSequence, PoolSoFar[]> generate)
    {
        var ranges = 0;
        for (var seed = firstSeed; seed < firstSeed + cases; seed++)
        {
            var pools = generate(new DrawSeed(seed).Lots());
            var expected = PossiblePlacesEnumeration.Places(pools);
            var actual = PossiblePlaces.InRound(pools);
            for (var p = 0; p < pools.Length; p++)
            {
                for (var f = 0; f < pools[p].Fencers; f++)
                {
                    PlaceRange? range = expected[p][f] is { } places ? new PlaceRange(places.Best, places.Worst, Exact: true) : null;
                    Assert.True(
                        range == actual[p][f],
                        $"Seed {seed}, pool {p + 1}, fencer {f + 1}: expected {range}, but {actual[p][f]}.\n"
                        + string.Join("\n", pools.Select(pool => pool.Describe())));
                    ranges++;
                }
            }
        }

        output.WriteLine($"Seeds {firstSeed} to {firstSeed + cases - 1}: {ranges} ranges.");
    }
}
