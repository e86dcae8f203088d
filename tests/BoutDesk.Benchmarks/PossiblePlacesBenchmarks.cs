using System.Collections.Immutable;
using BenchmarkDotNet.Attributes;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Tests.Standings;

namespace BoutDesk.Benchmarks;

/// <summary>
/// Possible places by the share of bouts that are open, in bouts to five, one bout of each pool being fenced. Bars on two
/// cores of a server: a pool of seven about 1 ms on average; a round of 50 pools and 340 fencers at most 250 ms.
/// </summary>
[ShortRunJob]
[MemoryDiagnoser]
public class PossiblePlacesBenchmarks
{
    private const int PoolsOfSeven = 100;

    private PoolSoFar[] pools = [];
    private PoolSoFar[] round = [];

    [Params(0, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100)]
    public int OpenPercent { get; set; }

    [GlobalSetup]
    public void MakePools()
    {
        pools = [.. Enumerable.Range(0, PoolsOfSeven).Select(i => Pool(new DrawSeed(i).Lots(), 7))];
        var lots = new DrawSeed(42).Lots();
        round = [.. Enumerable.Range(0, 50).Select(i => Pool(lots, i < 40 ? 7 : 6))];
    }

    /// <summary>The mean over a hundred pools.</summary>
    [Benchmark(OperationsPerInvoke = PoolsOfSeven)]
    public int InPool_OfSeven() => pools.Sum(pool => PossiblePlaces.InPool(pool).Length);

    [Benchmark]
    public ImmutableArray<ImmutableArray<PlaceRange?>> InRound_OfFiftyPools() => PossiblePlaces.InRound(round);

    private PoolSoFar Pool(LotSequence lots, int fencers)
    {
        var open = (int)Math.Round(fencers * (fencers - 1) / 2 * OpenPercent / 100.0);
        return PossiblePlacesPools.WithOpenBouts(lots, fencers, target: 5, open, begun: 1);
    }
}
