using System.Collections.Immutable;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// A field of fencers as the search sees it: whole numbers only.
/// </summary>
/// <remarks>
/// Fencers are numbered from 0 in seed order, pools from 0. Fencer <c>f</c> belongs to tier <c>f / PoolCount</c>.
/// A short last tier is filled up with vacancies, numbered after the fencers, which belong to no group and are at home
/// in every pool. So every tier is a permutation of the pools, and pool sizes cannot differ by more than one.
/// </remarks>
internal sealed class PoolField
{
    /// <summary>Stands for "no pool" and for "no group".</summary>
    internal const int None = -1;

    private readonly int[][] groups;
    private readonly int[] home;
    private readonly int[] placed;

    /// <param name="fencers">How many fencers there are.</param>
    /// <param name="poolCount">How many pools.</param>
    /// <param name="groups">By level and place, the group, numbered from 0 within the level, or <see cref="None"/>.</param>
    /// <param name="placed">By place, the pool chosen by hand, or <see cref="None"/>.</param>
    internal PoolField(int fencers, int poolCount, int[][] groups, int[] placed)
    {
        Fencers = fencers;
        PoolCount = poolCount;
        TierCount = Tiers(fencers, poolCount);
        this.groups = groups;
        this.placed = placed;
        home = [.. Enumerable.Range(0, Places).Select(f => f < fencers ? SerpentinePool(f) : None)];
        Spreads = [.. groups.Select(level => GroupSpread.OfLevel(this, level))];
        PairWeights = WeighPairs();
    }

    internal int Fencers { get; }

    internal int PoolCount { get; }

    internal int TierCount { get; }

    /// <summary>Fencers and vacancies together.</summary>
    internal int Places => TierCount * PoolCount;

    internal int LevelCount => groups.Length;

    /// <summary>True if no tier is short: then every pool has the same size.</summary>
    internal bool HasFullTiersOnly => Fencers == Places;

    /// <summary>By level and group, how evenly the group can be spread.</summary>
    internal ImmutableArray<ImmutableArray<GroupSpread>> Spreads { get; }

    /// <summary>
    /// What one pair of a level costs, in units of displacement: more than everything the less important levels and
    /// the displacement can cost together. So one whole number carries the whole order of aims.
    /// </summary>
    internal ImmutableArray<long> PairWeights { get; }

    /// <summary>No composition has a larger displacement than this.</summary>
    internal int MostDisplacement => Fencers * (PoolCount - 1);

    internal static int Tiers(int fencers, int poolCount) => (fencers + poolCount - 1) / poolCount;

    /// <summary>The groups of one level, by place.</summary>
    internal ReadOnlySpan<int> Groups(int level) => groups[level];

    internal int TierOf(int fencer) => fencer / PoolCount;

    internal int PlacedPool(int fencer) => placed[fencer];

    internal bool IsPlaced(int fencer) => placed[fencer] != None;

    /// <summary>How far a pool is from the one where the plain serpentine puts the fencer; 0 for a vacancy.</summary>
    internal int Displacement(int fencer, int pool) => home[fencer] == None ? 0 : Math.Abs(home[fencer] - pool);

    /// <summary>The pool where the plain serpentine (1 to P, then P to 1, and so on) puts the place.</summary>
    internal int SerpentinePool(int place)
    {
        var step = place % PoolCount;
        return TierOf(place) % 2 == 0 ? step : PoolCount - 1 - step;
    }

    /// <summary>A number of pairs that no composition can be below, by counting each group of the level by itself.</summary>
    internal int LeastPairs(int level) => Spreads[level].Sum(spread => spread.LeastPairs);

    /// <summary>The cost of a composition with the least pairs of every level and no displacement.</summary>
    internal long CostOfLeastPairs() =>
        Enumerable.Range(0, LevelCount).Sum(level => LeastPairs(level) * PairWeights[level]);

    /// <summary>The pairs, by level, that a cost is made of.</summary>
    internal ImmutableArray<int> PairsIn(long cost)
    {
        var pairs = ImmutableArray.CreateBuilder<int>(LevelCount);
        foreach (var weight in PairWeights)
        {
            pairs.Add((int)(cost / weight));
            cost %= weight;
        }
        return pairs.MoveToImmutable();
    }

    /// <summary>The displacement that a cost is made of.</summary>
    internal int DisplacementIn(long cost) => (int)PairWeights.Aggregate(cost, (rest, weight) => rest % weight);

    private ImmutableArray<long> WeighPairs()
    {
        var weights = new long[LevelCount];
        var weight = MostDisplacement + 1L;
        for (var level = LevelCount - 1; level >= 0; level--)
        {
            weights[level] = weight;
            weight *= Spreads[level].Sum(spread => spread.MostPairs(TierCount)) + 1;
        }
        return [.. weights];
    }
}
