using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>What holds for the possible places of every round, in any state.</summary>
public class PossiblePlacesLaws
{
    private readonly ITestOutputHelper output;

    public PossiblePlacesLaws(ITestOutputHelper output) => this.output = output;

    [Fact]
    public void However_the_open_bouts_end_everybody_comes_out_in_his_range() => ForRounds(400_000, 150, (lots, pools) =>
    {
        var ranges = Ranges(pools);
        return Enumerable.Range(0, 30).All(_ => AreWithin(Spans([.. pools.Select(p => p.Ended(lots))]), ranges));
    });

    [Fact]
    public void A_touch_more_or_a_bout_more_never_widens_a_range_and_at_the_end_it_is_the_places_shared() => ForRounds(500_000, 40, (lots, pools) =>
    {
        var ranges = Ranges(pools);
        while (pools.Any(p => p.Open.Length > 0))
        {
            var p = lots.Below(pools.Length);
            if (pools[p].Open.IsEmpty)
            {
                continue;
            }

            pools[p] = OneStepOn(lots, pools[p]);
            var next = Ranges(pools);
            if (!AreWithin(next, ranges))
            {
                return false;
            }

            ranges = next;
        }

        return ranges.SequenceEqual(Spans(pools));
    });

    [Fact]
    public void A_round_that_takes_too_long_has_ranges_that_are_marked_and_too_wide_rather_than_too_narrow()
    {
        // Twenty pools in which all bouts have begun: nothing can be counted, and all endings would have to be tried.
        var lots = new DrawSeed(800_000).Lots();
        PoolSoFar[] pools = [.. Enumerable.Range(0, 20).Select(_ => PossiblePlacesPools.WithOpenBouts(lots, 10, 15, open: 20, begun: 20))];
        var ranges = Ranges(pools);
        Assert.Contains(ranges, r => r is { Exact: false });
        Assert.All(Enumerable.Range(0, 30), _ => Assert.True(AreWithin(Spans([.. pools.Select(p => p.Ended(lots))]), ranges)));
    }

    [Fact]
    public void It_makes_no_difference_in_which_order_pools_and_bouts_are_given() => ForRounds(600_000, 60, (lots, pools) =>
    {
        int[] order = [.. Enumerable.Range(0, pools.Length)];
        lots.Shuffle<int>(order);
        var ranges = PossiblePlaces.InRound(pools);
        var turned = PossiblePlaces.InRound([.. order.Select(p => new PoolSoFar(
            pools[p].Fencers, pools[p].Target, [.. pools[p].Decided.Reverse()], [.. pools[p].Open.Reverse()], pools[p].Gone))]);
        return Enumerable.Range(0, pools.Length).All(i => turned[i].SequenceEqual(ranges[order[i]]));
    });

    [Fact]
    public void Nobody_who_goes_on_for_certain_is_missed_out_and_nobody_who_is_out_goes_on() => ForRounds(700_000, 150, (lots, pools) =>
    {
        var promoted = new Promotion { Percent = 1 + lots.Below(100) }.Of(pools.Sum(p => p.Ranked));
        var ranges = Ranges(pools).OfType<PlaceRange>().ToArray();
        var final = Spans([.. pools.Select(p => p.Ended(lots))]).OfType<PlaceRange>().ToArray();
        return ranges.Count(r => r.FateFor(promoted) == Fate.Promoted) <= promoted
            && ranges.Count(r => r.FateFor(promoted) == Fate.Out) <= ranges.Length - promoted
            && ranges.Zip(final).All(pair => pair.First.FateFor(promoted) is Fate.Open
                || pair.First.FateFor(promoted) == pair.Second.FateFor(promoted));
    });

    private static PoolSoFar OneStepOn(LotSequence lots, PoolSoFar pool)
    {
        var bout = pool.Open[lots.Below(pool.Open.Length)];
        if (lots.Below(3) == 0 || bout.TimeIsUp)
        {
            return pool.With(bout, ends: PossiblePlacesPools.AnyEnding(lots, pool.Target, bout));
        }

        var touched = bout with { Score = bout.Score.Plus(lots.Below(2) == 0 ? Domain.Bouts.Side.Left : Domain.Bouts.Side.Right) };
        return touched.Score.Leader is { } leader && touched.Score.Of(leader) == pool.Target
            ? pool.With(bout, ends: (touched.Score, leader))
            : pool.With(bout, goesOn: touched);
    }

    /// <summary>The places of decided pools, from the table of standings: those tied share the places from theirs on.</summary>
    private static PlaceRange?[] Spans(PoolSoFar[] pools)
    {
        var table = StandingsTable.Rank(pools.SelectMany((pool, p) =>
            pool.Tallies().Select((tally, f) => (Fencer: (p, f), tally)).Where(t => !pool.Gone.Contains(t.Fencer.f + 1))));
        var ranges = pools.Select(p => new PlaceRange?[p.Fencers]).ToArray();
        foreach (var standing in table)
        {
            var (p, f) = standing.Fencer;
            var shared = table.Count(s => s.Place == standing.Place);
            ranges[p][f] = new PlaceRange(standing.Place, standing.Place + shared - 1, Exact: true);
        }

        return [.. ranges.SelectMany(r => r)];
    }

    /// <summary>The ranges of all positions, pool after pool.</summary>
    private static PlaceRange?[] Ranges(PoolSoFar[] pools) => [.. PossiblePlaces.InRound(pools).SelectMany(r => r)];

    private static bool AreWithin(PlaceRange?[] after, PlaceRange?[] before) => after.Zip(before).All(pair => pair switch
    {
        (null, null) => true,
        ({ } inner, { } outer) => outer.Best <= inner.Best && inner.Best <= inner.Worst && inner.Worst <= outer.Worst,
        _ => false,
    });

    private void ForRounds(int firstSeed, int cases, Func<LotSequence, PoolSoFar[], bool> law)
    {
        for (var seed = firstSeed; seed < firstSeed + cases; seed++)
        {
            var lots = new DrawSeed(seed).Lots();
            var target = new[] { 1, 3, 5, 5, 10 }[lots.Below(5)];
            PoolSoFar[] pools =
            [
                .. Enumerable.Range(0, 1 + lots.Below(3)).Select(_ =>
                {
                    var fencers = 3 + lots.Below(5);
                    var open = lots.Below((fencers * (fencers - 1) / 2) + 1);
                    int[] gone = lots.Below(5) == 0 ? [1 + lots.Below(fencers)] : [];
                    return PossiblePlacesPools.WithOpenBouts(lots, fencers, target, open, lots.Below(3), gone);
                }),
            ];
            var asGiven = pools.Select(p => p.Describe()).ToArray();
            Assert.True(law(lots, pools), $"Seed {seed}:\n{string.Join("\n", asGiven)}");
        }

        output.WriteLine($"Seeds {firstSeed} to {firstSeed + cases - 1}.");
    }
}
