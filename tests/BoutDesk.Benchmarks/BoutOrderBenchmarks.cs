using System.Collections.Immutable;
using BenchmarkDotNet.Attributes;
using BoutDesk.Domain.Pools;

namespace BoutDesk.Benchmarks;

/// <summary>The order of the bouts of a pool, without club-mates and with three of one club and two of another.</summary>
[MemoryDiagnoser]
public class BoutOrderBenchmarks
{
    private static readonly int[][] NoClubs = [];
    private static readonly int[][] TwoClubs = [[1, 4, 6], [2, 5]];

    [Params(6, 7, 12)]
    public int Fencers { get; set; }

    [Benchmark]
    public ImmutableArray<BoutPairing> OneStrip() => BoutOrder.For(Fencers, NoClubs);

    [Benchmark]
    public ImmutableArray<BoutPairing> OneStrip_WithClubs() => BoutOrder.For(Fencers, TwoClubs);

    [Benchmark]
    public ImmutableArray<BoutSlot> TwoStrips_WithClubs() => BoutOrder.OnTwoStrips(Fencers, TwoClubs);
}
