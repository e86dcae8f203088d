using System.Collections.Immutable;
using BenchmarkDotNet.Attributes;
using BoutDesk.Domain;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;

namespace BoutDesk.Benchmarks;

/// <summary>A tableau with all places fenced for: its bouts, and the places when the better seed wins each.</summary>
[MemoryDiagnoser]
public class TableauBenchmarks
{
    private static readonly EliminationFormula AllPlaces = new() { ThirdPlace = ThirdPlace.Bout, FencedPlaces = 1024 };

    private SeedResult[] results = [];

    [Params(32, 128, 512)]
    public int Fencers { get; set; }

    /// <summary>The bouts of the knock-out, from the first table to the final.</summary>
    [GlobalSetup]
    public void MakeResults() => results =
    [
        .. from size in Halves(Fencers)
           from seed in Enumerable.Range(1, size / 2)
           select new SeedResult(seed, size + 1 - seed, seed),
    ];

    [Benchmark]
    public ImmutableArray<PlannedBout> Bouts() => TableauPlan.For(Fencers, AllPlaces);

    [Benchmark]
    public (ImmutableArray<(int Place, TableauRun Run)> Places, Refusal? Refusal) Places() =>
        TableauPlaces.FromResults(Fencers, results, new EliminationFormula());

    private static IEnumerable<int> Halves(int size)
    {
        for (; size > 1; size /= 2)
        {
            yield return size;
        }
    }
}
