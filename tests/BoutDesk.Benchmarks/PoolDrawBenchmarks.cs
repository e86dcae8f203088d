using System.Collections.Immutable;
using BenchmarkDotNet.Attributes;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Tests.Pools;

namespace BoutDesk.Benchmarks;

/// <summary>
/// Drawing up the pools of generated fields, pools of seven. Bars on two cores of a server: the separation takes at most
/// 10 ms for 200 fencers and 150 ms for 1,000; the standard effort at most 250 ms for 200.
/// </summary>
[MemoryDiagnoser]
public class PoolDrawBenchmarks
{
    private static readonly DrawSeed Seed = new(1);

    private ImmutableArray<PoolFencer> fencers;
    private int pools;

    [Params(20, 200, 1000)]
    public int Fencers { get; set; }

    [Params(FieldShape.LargeClubs, FieldShape.NestedCountries, FieldShape.MixedCountries)]
    public FieldShape Shape { get; set; }

    [GlobalSetup]
    public void MakeField()
    {
        var field = new GeneratedField(Shape, Fencers, 7, 42);
        fencers = field.Fencers();
        pools = field.PoolCount;
    }

    [Benchmark]
    public PoolComposition Compose_SeparationOnly() =>
        PoolDraw.Compose(fencers, pools, Seed, effort: PoolSearchEffort.SeparationOnly);

    [Benchmark]
    public PoolComposition Compose_Standard() => PoolDraw.Compose(fencers, pools, Seed);
}
