using System.Collections.Immutable;
using BenchmarkDotNet.Attributes;
using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Tests.Standings;

namespace BoutDesk.Benchmarks;

/// <summary>Standings over all pools of a round from its bouts; pools of seven, all bouts fenced.</summary>
[MemoryDiagnoser]
public class StandingsBenchmarks
{
    private PoolSoFar[] round = [];

    [Params(5, 50, 150)]
    public int Pools { get; set; }

    [GlobalSetup]
    public void MakeRound() => round = GeneratedRound.Of(Pools, 7, Field.Mixed, openPercent: 0);

    [Benchmark]
    public ImmutableArray<Standing<int>> OfRound() =>
        StandingsTable.Rank(round.SelectMany((pool, p) => pool.Tallies().Select((tally, f) => ((p * 7) + f, tally))));
}
