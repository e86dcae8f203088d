using System.Collections.Immutable;
using BenchmarkDotNet.Attributes;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Tests.Standings;

namespace BoutDesk.Benchmarks;

/// <summary>How the results so far lie.</summary>
public enum Field
{
    /// <summary>There are leaders and stragglers.</summary>
    Mixed,

    /// <summary>Hardly anybody is ahead, which is the hardest to search.</summary>
    Equals,
}

/// <summary>
/// Possible places in pools of seven to five touches, one bout being fenced. Bar on two cores of a server: 1 ms.
/// </summary>
[MemoryDiagnoser]
public class PossiblePlacesInPoolBenchmarks
{
    private const int Pools = 100;
    private const int Fencers = 7;

    private PoolSoFar[] pools = [];

    [Params(Field.Mixed, Field.Equals)]
    public Field Field { get; set; }

    [Params(10, 50, 90)]
    public int OpenPercent { get; set; }

    [GlobalSetup]
    public void MakePools() => pools = GeneratedRound.Of(Pools, Fencers, Field, OpenPercent);

    /// <summary>The mean over a hundred pools.</summary>
    [Benchmark(OperationsPerInvoke = Pools)]
    public int InPool() => pools.Sum(pool => PossiblePlaces.InPool(pool).Length);
}

/// <summary>
/// Possible places over rounds of pools of the usual size and of the largest, one bout of each pool being fenced, one pool in
/// three with somebody who left. Bar on two cores of a server: 250 ms for 50 pools in any state.
/// </summary>
[MemoryDiagnoser]
public class PossiblePlacesInRoundBenchmarks
{
    private PoolSoFar[] round = [];

    [Params(10, 50, 150)]
    public int Pools { get; set; }

    [Params(7, 12)]
    public int Fencers { get; set; }

    [Params(Field.Mixed, Field.Equals)]
    public Field Field { get; set; }

    [Params(10, 50, 90)]
    public int OpenPercent { get; set; }

    [GlobalSetup]
    public void MakeRound() => round = GeneratedRound.Of(Pools, Fencers, Field, OpenPercent);

    [Benchmark]
    public ImmutableArray<ImmutableArray<PlaceRange?>> InRound() => PossiblePlaces.InRound(round);
}

/// <summary>Rounds that are the same in every run.</summary>
internal static class GeneratedRound
{
    public static PoolSoFar[] Of(int pools, int fencers, Field field, int openPercent)
    {
        var lots = new DrawSeed(42).Lots();
        var open = fencers * (fencers - 1) / 2 * openPercent / 100;
        return
        [
            .. Enumerable.Range(0, pools).Select(i =>
            {
                int[] gone = i % 3 == 0 ? [1 + lots.Below(fencers)] : [];
                return field == Field.Mixed
                    ? PossiblePlacesPools.WithOpenBouts(lots, fencers, 5, open, begun: 1, gone)
                    : PossiblePlacesPools.OfEquals(lots, fencers, 5, open, begun: 1, gone);
            }),
        ];
    }
}
