using System.Collections.Immutable;

namespace BoutDesk.Domain.Standings;

/// <summary>The places that fencers can still take in a pool round while bouts are open.</summary>
/// <remarks>
/// <para>
/// An open bout can end with any result that its rules allow and that the touches scored so far lead to: by reaching the
/// target, by the lead at time, or by priority at a level score. Touches once scored are taken to stand. Not foreseen are
/// corrections, nor further withdrawals and exclusions: they annul bouts, so that anybody can move out of his range, and
/// where a share of those ranked goes on they change how many that is.
/// </para>
/// <para>
/// Ties are counted for the fencer in his best place and against him in his worst, as the lot may fall either way.
/// </para>
/// <para>
/// A range is exact, but for rare cases that are marked: pools with more than 12 fencers in question, and searches that were
/// cut short. There the range may be too wide, and it is never too narrow.
/// </para>
/// </remarks>
public static class PossiblePlaces
{
    /// <summary>The places in the pool.</summary>
    /// <param name="pool">The pool.</param>
    /// <returns>The range of each position, the first first; null for who left.</returns>
    public static ImmutableArray<PlaceRange?> InPool(PoolSoFar pool) => InRound([pool])[0];

    /// <summary>The places over all pools of a round.</summary>
    /// <param name="pools">The pools of the round.</param>
    /// <returns>For each pool the range of each position, the first first; null for who left.</returns>
    public static ImmutableArray<ImmutableArray<PlaceRange?>> InRound(IReadOnlyList<PoolSoFar> pools)
    {
        var effort = new SearchEffort();
        OpenPool[] open = [.. pools.Select(p => new OpenPool(p, effort))];
        var best = Places(open, (pool, fencer) => pool.BestOf(fencer), (pool, tally, whose) => pool.FewestAhead(tally, whose));
        var worst = Places(open, (pool, fencer) => pool.WorstOf(fencer), (pool, tally, whose) => pool.MostNotBehind(tally, whose));
        return [.. pools.Select((pool, i) => ByPosition(pool, open[i], best[i], worst[i]))];
    }

    /// <summary>
    /// The place of each fencer, pool by pool: one more than those before him. With the results of his own bouts his tally
    /// is settled, so that the pools do not depend on each other any more, and each adds what it can.
    /// </summary>
    private static Bound[][] Places(
        OpenPool[] pools,
        Func<OpenPool, int, Tally> tallyOf,
        Func<OpenPool, Tally, int?, Bound> countBefore)
    {
        Tally[][] tallies = [.. pools.Select(pool => Enumerable.Range(0, pool.Count).Select(f => tallyOf(pool, f)).ToArray())];
        Tally[] ordered = [.. tallies.SelectMany(t => t).Order()];
        Bound[][] before = pools.Length > 1
            ? [.. pools.Select(pool => CountAll(ordered, tally => countBefore(pool, tally, null)))]
            : [];
        return [.. pools.Select((pool, own) => Enumerable.Range(0, pool.Count).Select(f => PlaceOf(own, f)).ToArray())];

        Bound PlaceOf(int own, int fencer)
        {
            var tally = tallies[own][fencer];
            var (count, exact) = countBefore(pools[own], tally, fencer);
            var at = Array.BinarySearch(ordered, tally);
            for (var p = 0; p < before.Length; p++)
            {
                if (p != own)
                {
                    count += before[p][at].Count;
                    exact &= before[p][at].Exact;
                }
            }

            return new Bound(count + 1, exact);
        }
    }

    /// <summary>
    /// Counts for tallies that are ordered from the best. The worse the tally, the more fencers can be before it; so what
    /// is the same at both ends of a stretch is the same all over it, and need not be counted.
    /// </summary>
    private static Bound[] CountAll(Tally[] ordered, Func<Tally, Bound> count)
    {
        var counts = new Bound[ordered.Length];
        if (counts.Length > 0)
        {
            counts[0] = count(ordered[0]);
            counts[^1] = count(ordered[^1]);
            Fill(0, counts.Length - 1);
        }

        return counts;

        void Fill(int first, int last)
        {
            if (last - first > 1 && counts[first].Count == counts[last].Count)
            {
                counts.AsSpan((first + 1)..last).Fill(counts[first] with { Exact = counts[first].Exact && counts[last].Exact });
            }
            else if (last - first > 1)
            {
                var middle = (first + last) / 2;
                counts[middle] = count(ordered[middle]);
                Fill(first, middle);
                Fill(middle, last);
            }
        }
    }

    private static ImmutableArray<PlaceRange?> ByPosition(PoolSoFar pool, OpenPool open, Bound[] best, Bound[] worst)
    {
        var ranges = new PlaceRange?[pool.Fencers];
        for (var i = 0; i < open.Count; i++)
        {
            ranges[open.Positions[i] - 1] = new PlaceRange(best[i].Count, worst[i].Count, best[i].Exact && worst[i].Exact);
        }

        return [.. ranges];
    }
}
