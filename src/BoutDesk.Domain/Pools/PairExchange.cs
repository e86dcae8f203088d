using System.Numerics;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// Finds the best exchange between two pools: of all sets of tiers, the set whose exchange lowers the cost most.
/// </summary>
/// <remarks>
/// <para>
/// Give tier <c>t</c> the sign +1 or -1, by which of its two fencers is in which pool. A group that both pools
/// together hold <c>n</c> times makes <c>(n² - 2n + d²) / 4</c> pairs, where <c>d</c> is the difference between the
/// pools; so only <c>d²</c> depends on the signs, and written out it is a sum over pairs of tiers. With the present
/// signs taken in, each pair of tiers has a <em>pull</em>: positive if they now make pairs that exchanging one of the
/// two would undo. Exchanging a set of tiers lowers the pairs by the pulls between the set and the rest.
/// </para>
/// <para>
/// Tiers without pull between them can be decided apart. Each connected part of <c>k</c> tiers takes all its
/// 2^k sets, each from a smaller one in a few additions.
/// </para>
/// </remarks>
internal sealed class PairExchange
{
    private readonly PoolField field;
    private readonly int tiers;
    private readonly int[] groupInP;
    private readonly int[] groupInQ;

    // By tier: what exchanging it alone adds to the displacement.
    private readonly long[] drift;

    // By pair of tiers: the pull, and as a bit set by tier, with whom there is any.
    private readonly long[] pull;
    private readonly uint[] neighbours;

    // Scratch for one connected part. By set of its tiers: added pairs, added displacement, pulls towards one more tier.
    private readonly int[] members;
    private readonly long[] pairsOf;
    private readonly long[] driftOf;
    private readonly long[] pullTowards;

    internal PairExchange(PoolField field)
    {
        this.field = field;
        tiers = field.TierCount;
        groupInP = new int[tiers];
        groupInQ = new int[tiers];
        drift = new long[tiers];
        pull = new long[tiers * tiers];
        neighbours = new uint[tiers];
        members = new int[tiers];
        pairsOf = new long[1 << tiers];
        driftOf = new long[1 << tiers];
        pullTowards = new long[1 << tiers];
    }

    /// <summary>The set of tiers to exchange, as bits, and the change of the cost; no tier and 0 if nothing is better.</summary>
    /// <param name="inP">Who is in pool p, by tier.</param>
    /// <param name="inQ">Who is in pool q, by tier.</param>
    /// <param name="p">The number of the one pool.</param>
    /// <param name="q">The number of the other.</param>
    internal (uint Tiers, long Change) Best(ReadOnlySpan<int> inP, ReadOnlySpan<int> inQ, int p, int q)
    {
        var movable = 0u;
        var hope = false;
        for (var t = 0; t < tiers; t++)
        {
            var (a, b) = (inP[t], inQ[t]);
            if (!field.IsPlaced(a) && !field.IsPlaced(b))
            {
                movable |= 1u << t;
            }
            drift[t] = field.Displacement(a, q) + field.Displacement(b, p)
                - field.Displacement(a, p) - field.Displacement(b, q);
            hope |= drift[t] < 0;
        }
        hope |= FindPulls(inP, inQ);
        return hope ? BestOverParts(movable) : (0, 0);
    }

    /// <summary>Fills in the pulls; true if any is positive.</summary>
    private bool FindPulls(ReadOnlySpan<int> inP, ReadOnlySpan<int> inQ)
    {
        Array.Clear(pull);
        Array.Clear(neighbours);
        var positive = false;
        for (var level = 0; level < field.LevelCount; level++)
        {
            var weight = field.PairWeights[level];
            LoadGroups(field.Groups(level), inP, inQ);
            for (var t = 1; t < tiers; t++)
            {
                var (g, h) = (groupInP[t], groupInQ[t]);
                for (var s = 0; s < t; s++)
                {
                    var (x, y) = (groupInP[s], groupInQ[s]);
                    var together = (g == x ? 1 : 0) + (h == y ? 1 : 0) - (g == y ? 1 : 0) - (h == x ? 1 : 0);
                    if (together == 0)
                    {
                        continue;
                    }
                    positive |= together > 0;
                    neighbours[t] |= 1u << s;
                    neighbours[s] |= 1u << t;
                    pull[(t * tiers) + s] += together * weight;
                    pull[(s * tiers) + t] += together * weight;
                }
            }
        }
        return positive;
    }

    /// <summary>Loads the groups of one level; whoever has none gets a number of his own that nobody else has.</summary>
    private void LoadGroups(ReadOnlySpan<int> groups, ReadOnlySpan<int> inP, ReadOnlySpan<int> inQ)
    {
        for (var t = 0; t < tiers; t++)
        {
            var (g, h) = (groups[inP[t]], groups[inQ[t]]);
            groupInP[t] = g == PoolField.None ? -2 - (2 * t) : g;
            groupInQ[t] = h == PoolField.None ? -3 - (2 * t) : h;
        }
    }

    private (uint Tiers, long Change) BestOverParts(uint movable)
    {
        var best = 0u;
        var change = 0L;
        for (var left = movable; left != 0;)
        {
            var part = PartAround(left & (~left + 1));
            left &= ~part;
            var (exchange, partChange) = BestInPart(part & movable, part & ~movable);
            best |= exchange;
            change += partChange;
        }
        return (best, change);
    }

    private uint PartAround(uint part)
    {
        var frontier = part;
        while (frontier != 0)
        {
            var reached = neighbours[BitOperations.TrailingZeroCount(frontier)] & ~part;
            part |= reached;
            frontier = (frontier & (frontier - 1)) | reached;
        }
        return part;
    }

    private (uint Tiers, long Change) BestInPart(uint movable, uint fixedTiers)
    {
        if (fixedTiers == 0 && BitOperations.IsPow2(movable))
        {
            var alone = drift[BitOperations.TrailingZeroCount(movable)];
            return alone < 0 ? (movable, alone) : (0, 0);
        }
        var count = ListMembers(movable, 0);
        // Exchanging all tiers of a part leaves its pairs as they are, so when none is fixed the last one can stand
        // still, and each set is looked at together with its complement.
        var withComplement = fixedTiers == 0;
        var free = withComplement ? count - 1 : count;
        count = ListMembers(fixedTiers, count);
        FillSets(free, count);
        return BestSet(free, count, withComplement);
    }

    private int ListMembers(uint set, int count)
    {
        for (; set != 0; set &= set - 1)
        {
            members[count++] = BitOperations.TrailingZeroCount(set);
        }
        return count;
    }

    /// <summary>Works out pairs and drift of every set of the first <paramref name="free"/> members.</summary>
    private void FillSets(int free, int count)
    {
        for (var top = 0; top < free; top++)
        {
            var pulls = pull.AsSpan(members[top] * tiers, tiers);
            var all = 0L;
            for (var other = 0; other < count; other++)
            {
                all += pulls[members[other]];
            }
            for (var below = 0; below < top; below++)
            {
                var one = pulls[members[below]];
                var half = 1 << below;
                for (var set = 0; set < half; set++)
                {
                    pullTowards[half + set] = pullTowards[set] + one;
                }
            }
            var size = 1 << top;
            var own = drift[members[top]];
            for (var set = 0; set < size; set++)
            {
                // The pulls between top and the set no longer count, those between top and the rest now do.
                pairsOf[size + set] = pairsOf[set] - all + (2 * pullTowards[set]);
                driftOf[size + set] = driftOf[set] + own;
            }
        }
    }

    private (uint Tiers, long Change) BestSet(int free, int count, bool withComplement)
    {
        var whole = 0L;
        for (var member = 0; member < count; member++)
        {
            whole += drift[members[member]];
        }
        var best = 0L;
        var bestSet = 0;
        var all = (1 << count) - 1;
        for (var set = 0; set < 1 << free; set++)
        {
            var change = pairsOf[set] + driftOf[set];
            if (change < best)
            {
                (best, bestSet) = (change, set);
            }
            change = pairsOf[set] + whole - driftOf[set];
            if (withComplement && change < best)
            {
                (best, bestSet) = (change, all - set);
            }
        }
        var exchange = 0u;
        for (var member = 0; member < count; member++)
        {
            if (((bestSet >> member) & 1) != 0)
            {
                exchange |= 1u << members[member];
            }
        }
        return (exchange, best);
    }
}
