using System.Collections.Immutable;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// How many pools a round has and how large they are. Sizes differ by at most one.
/// </summary>
/// <remarks>
/// <para>Equal plans have the same number of fencers and of pools.</para>
/// <para>
/// The limits are common practice: below three fencers there is no pool to speak of, and twelve is the largest
/// pool for which an order of bouts is printed. The texts of the exceptions are written for a bout committee.
/// </para>
/// </remarks>
public sealed record PoolPlan
{
    /// <summary>The smallest pool: 3 fencers.</summary>
    public const int SmallestPool = 3;

    /// <summary>The largest pool: 12 fencers.</summary>
    public const int LargestPool = 12;

    private PoolPlan(int fencers, int poolCount)
    {
        Fencers = fencers;
        PoolCount = poolCount;
    }

    /// <summary>Fencers in the round, at least 3.</summary>
    public int Fencers { get; }

    /// <summary>Pools in the round, at least 1.</summary>
    public int PoolCount { get; }

    /// <summary>
    /// The sizes of the pools, larger ones first, each from 3 to 12. Only the numbers are planned here:
    /// which pool is one of the larger ones is decided when the pools are drawn up.
    /// </summary>
    public ImmutableArray<int> Sizes =>
        [.. Enumerable.Range(0, PoolCount).Select(pool => (Fencers / PoolCount) + (pool < Fencers % PoolCount ? 1 : 0))];

    /// <summary>Plans the fewest pools of which none is larger than asked for.</summary>
    /// <param name="fencers">Fencers in the round, at least 3.</param>
    /// <param name="poolSize">The most fencers in a pool, from 3 to 12.</param>
    /// <exception cref="ArgumentException">
    /// There are fewer than 3 fencers, <paramref name="poolSize"/> is not from 3 to 12,
    /// or a pool would be left with fewer than 3; the text then names the next size that fits.
    /// </exception>
    public static PoolPlan ForSize(int fencers, int poolSize)
    {
        RequireAPool(fencers);
        if (poolSize is < SmallestPool or > LargestPool)
        {
            throw new ArgumentException(
                $"A pool has {SmallestPool} to {LargestPool} fencers; a size of {poolSize} is not possible.");
        }
        return FewestPools(fencers, poolSize) ?? throw TooFewInAPool(fencers, poolSize);
    }

    /// <summary>Plans a given number of pools.</summary>
    /// <param name="fencers">Fencers in the round, at least 3.</param>
    /// <param name="poolCount">How many pools, such that each has from 3 to 12 fencers.</param>
    /// <exception cref="ArgumentException">
    /// There are fewer than 3 fencers, or pools would be smaller than 3 or larger than 12;
    /// the text then names the numbers of pools that fit.
    /// </exception>
    public static PoolPlan ForCount(int fencers, int poolCount)
    {
        RequireAPool(fencers);
        var fewest = PoolsOfAtMost(LargestPool, fencers);
        var most = fencers / SmallestPool;
        if (poolCount < fewest || poolCount > most)
        {
            var choice = fewest == most ? $"{fewest}" : $"{fewest} to {most}";
            throw new ArgumentException(
                $"{fencers} fencers cannot be drawn into {poolCount} pools of {SmallestPool} to {LargestPool}. Number of pools to choose: {choice}.");
        }
        return new PoolPlan(fencers, poolCount);
    }

    private static PoolPlan? FewestPools(int fencers, int poolSize)
    {
        var pools = PoolsOfAtMost(poolSize, fencers);
        return fencers / pools < SmallestPool ? null : new PoolPlan(fencers, pools);
    }

    private static int PoolsOfAtMost(int poolSize, int fencers) => (fencers + poolSize - 1) / poolSize;

    private static void RequireAPool(int fencers)
    {
        if (fencers < SmallestPool)
        {
            throw new ArgumentException(
                $"Pools need at least {SmallestPool} fencers; there {(fencers == 1 ? "is" : "are")} only {Math.Max(fencers, 0)}.");
        }
    }

    private static ArgumentException TooFewInAPool(int fencers, int poolSize)
    {
        // A larger size that fits always exists: a field too small for two pools is one pool of at most five.
        var size = poolSize + 1;
        while (FewestPools(fencers, size) is null)
        {
            size++;
        }
        var sizes = string.Join(" + ", FewestPools(fencers, size)!.Sizes);
        return new ArgumentException(
            $"{fencers} fencers in pools of at most {poolSize} would leave a pool of fewer than {SmallestPool}. Choose pools of at most {size} ({sizes}).");
    }
}
