using System.Collections.Immutable;

namespace BoutDesk.Domain.Pools;

/// <summary>How evenly one group can be spread over the pools, by counting alone.</summary>
internal sealed class GroupSpread
{
    private readonly int size;
    private readonly int[] fewest;
    private readonly int[] most;

    private GroupSpread(int size, int[] placed)
    {
        this.size = size;
        (fewest, most, LeastPairs) = Pour(size, placed);
    }

    /// <summary>The least possible number of pairs of the group within one pool, added up over the pools.</summary>
    internal int LeastPairs { get; }

    /// <summary>The spreads of one level of affiliation, by group.</summary>
    internal static ImmutableArray<GroupSpread> OfLevel(PoolField field, ReadOnlySpan<int> groups)
    {
        var sizes = new List<int>();
        var placed = new List<int[]>();
        for (var f = 0; f < field.Fencers; f++)
        {
            var group = groups[f];
            if (group == PoolField.None)
            {
                continue;
            }
            while (sizes.Count <= group)
            {
                sizes.Add(0);
                placed.Add(new int[field.PoolCount]);
            }
            sizes[group]++;
            if (field.IsPlaced(f))
            {
                placed[group][field.PlacedPool(f)]++;
            }
        }
        return [.. sizes.Zip(placed, (size, byHand) => new GroupSpread(size, byHand))];
    }

    /// <summary>The fewest members a pool holds when the group is spread as evenly as can be.</summary>
    internal int Fewest(int pool) => fewest[pool];

    /// <summary>The most members a pool holds when the group is spread as evenly as can be.</summary>
    internal int Most(int pool) => most[pool];

    /// <summary>A number of pairs that no composition with pools of at most this size exceeds.</summary>
    internal int MostPairs(int poolSize) => (size / poolSize * PairsOf(poolSize)) + PairsOf(size % poolSize);

    private static int PairsOf(int fencers) => fencers * (fencers - 1) / 2;

    /// <summary>
    /// Pours the members who are free over those placed by hand, like water over stones. One more member of the group
    /// in a pool makes as many new pairs as it held before. So the pairs are fewest exactly when every free member is
    /// in a pool that no other pool is short of by two: each pool is at the water level or one above it, but for
    /// those where more have been placed by hand.
    /// </summary>
    private static (int[] Fewest, int[] Most, int LeastPairs) Pour(int size, int[] placed)
    {
        var free = size - placed.Sum();
        var level = 0;
        for (var raised = placed.Count(n => n == 0); raised <= free; raised = placed.Count(n => n <= level))
        {
            free -= raised;
            level++;
        }
        int[] fewest = [.. placed.Select(n => Math.Max(n, level))];
        int[] most = [.. placed.Select(n => n <= level && free > 0 ? level + 1 : Math.Max(n, level))];
        return (fewest, most, fewest.Sum(PairsOf) + (free * level));
    }
}
