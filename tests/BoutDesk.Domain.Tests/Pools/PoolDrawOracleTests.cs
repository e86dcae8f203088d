using System.Collections.Concurrent;
using System.Collections.Immutable;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;
using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Domain.Tests.Pools;

/// <summary>The draw against an exact solver, field by field.</summary>
/// <remarks>
/// The bulk run has about 200 fields. Set BOUTDESK_ORACLE_FIELDS to another number for a longer one, and
/// BOUTDESK_ORACLE_SEED for other fields.
/// </remarks>
[Trait("Run", "Bulk")]
public class PoolDrawOracleTests
{
    private static readonly DrawSeed Seed = new(5);

    // Many small fields and few large ones: the solver needs milliseconds for 20 fencers and seconds for 200.
    private static readonly (int Size, int Share)[] Sizes = [(20, 16), (33, 17), (47, 18), (64, 17), (90, 14), (120, 9), (150, 5), (200, 4)];

    private readonly ITestOutputHelper output;

    public PoolDrawOracleTests(ITestOutputHelper output) => this.output = output;

    private sealed record Comparison(
        GeneratedField Field, bool HasPlacedTier, PoolComposition Drawn, PoolOracle.Optimum? Optimum)
    {
        public bool HasLeastPairs(int levels) => Drawn.Conflicts.Take(levels).SequenceEqual(Optimum!.Pairs.Take(levels));

        public bool IsOptimal => HasLeastPairs(Drawn.Conflicts.Length) && Drawn.Displacement == Optimum!.Displacement;

        public override string ToString() =>
            $"{Field}{(HasPlacedTier ? ", first tier placed" : "")}: drawn {string.Join(", ", Drawn.Conflicts)} pairs and {Drawn.Displacement}, "
            + $"optimum {string.Join(", ", Optimum!.Pairs)} and {Optimum.Displacement}";
    }

    [Fact]
    public void The_draw_is_as_good_as_an_exact_solver_says_it_can_be()
    {
        var fields = Fields();
        var comparisons = new ConcurrentBag<Comparison>();
        Parallel.ForEach(
            Partitioner.Create(fields, EnumerablePartitionerOptions.NoBuffering),
            new ParallelOptions { MaxDegreeOfParallelism = 2 },
            field => comparisons.Add(Compare(field.Field, field.PlacesATier)));
        var optimal = comparisons.Count(c => c.Optimum is not null && c.IsOptimal);
        foreach (var bySize in comparisons.GroupBy(c => c.Field.Size).OrderBy(g => g.Key))
        {
            output.WriteLine(
                $"{bySize.Key} fencers: {bySize.Count()} fields, {bySize.Count(c => c.Optimum is not null && c.IsOptimal)} optimal, "
                + $"{bySize.Count(c => c.Drawn.DisplacementProvenLeast)} proven so by the draw itself");
        }
        output.WriteLine($"Displacement optimal in {optimal} of {fields.Count} fields, {100.0 * optimal / fields.Count:F1} %.");
        Assert.All(comparisons, c => Assert.True(c.Optimum is not null, $"The solver gave up: {c.Field}"));
        Assert.All(comparisons, c => Assert.True(c.HasLeastPairs(c.Field.IsNested ? c.Drawn.Conflicts.Length : 1), $"{c}"));
        Assert.All(comparisons.Where(c => c.Drawn.DisplacementProvenLeast), c => Assert.True(c.IsOptimal, $"{c}"));
        Assert.All(
            comparisons.Where(c => c.HasLeastPairs(c.Drawn.Conflicts.Length)),
            c => Assert.True(c.Drawn.DisplacementLowerBound <= c.Optimum!.Displacement, $"{c}"));
        Assert.True(optimal >= 0.95 * fields.Count, string.Join('\n', comparisons.Where(c => !c.IsOptimal)));
    }

    [Fact]
    public void Placements_in_several_tiers_claim_no_more_than_is_true()
    {
        var lots = new DrawSeed(77).Lots();
        var reached = 0;
        const int count = 40;
        for (var i = 0; i < count; i++)
        {
            var field = new GeneratedField((FieldShape)(i % 6), 14 + lots.Below(20), 5 + lots.Below(3), lots.Below(1_000_000));
            var fencers = field.Fencers();
            var placements = fencers
                .Chunk(field.PoolCount)
                .Select(tier => (tier[lots.Below(tier.Length)].Id, Pool: 1 + lots.Below(field.PoolCount)))
                .ToDictionary(placement => placement.Id, placement => placement.Pool);
            var drawn = PoolDraw.Compose(fencers, field.PoolCount, Seed, placements);
            var comparison = new Comparison(field, false, drawn, PoolOracle.Solve(fencers, field.PoolCount, placements));
            Assert.True(comparison.Optimum is not null, $"The solver gave up: {field}");
            Assert.True(drawn.LowerBound.Zip(comparison.Optimum!.Pairs).All(b => b.First <= b.Second), $"{comparison}");
            Assert.True(comparison.IsOptimal || !drawn.DisplacementProvenLeast, $"{comparison}");
            reached += comparison.IsOptimal ? 1 : 0;
        }
        output.WriteLine($"With a placement in every tier: optimal in {reached} of {count} fields.");
        Assert.InRange(reached, count * 9 / 10, count);
    }

    private static Comparison Compare(GeneratedField field, bool placesATier)
    {
        var fencers = field.Fencers();
        var placements = placesATier ? PlaceFirstTier(field, fencers) : ImmutableDictionary<string, int>.Empty;
        return new Comparison(
            field,
            placesATier,
            PoolDraw.Compose(fencers, field.PoolCount, Seed, placements),
            PoolOracle.Solve(fencers, field.PoolCount, placements));
    }

    private static ImmutableDictionary<string, int> PlaceFirstTier(GeneratedField field, ImmutableArray<PoolFencer> fencers)
    {
        int[] pools = [.. Enumerable.Range(1, field.PoolCount)];
        new DrawSeed(field.Seed).Lots().Shuffle<int>(pools);
        return pools.Select((pool, i) => (fencers[i].Id, pool)).ToImmutableDictionary(p => p.Id, p => p.pool);
    }

    private List<(GeneratedField Field, bool PlacesATier)> Fields()
    {
        var count = FromEnvironment("BOUTDESK_ORACLE_FIELDS", 204);
        var seed = FromEnvironment("BOUTDESK_ORACLE_SEED", 2026);
        output.WriteLine($"{count} fields from seed {seed}.");
        var lots = new DrawSeed(seed).Lots();
        var fields = new List<(GeneratedField, bool)>();
        for (var i = 0; i < count; i++)
        {
            var size = Sizes[0].Size;
            var along = i * 100 / count;
            foreach (var (next, share) in Sizes)
            {
                size = next;
                along -= share;
                if (along < 0)
                {
                    break;
                }
            }
            var placesATier = i % 7 == 6;
            fields.Add((new GeneratedField((FieldShape)(i % 6), size, 6 + lots.Below(2), lots.Below(1_000_000)), placesATier));
        }
        // The largest first, so that the two cores end together.
        fields.Reverse();
        return fields;
    }

    private static int FromEnvironment(string name, int otherwise) =>
        int.TryParse(Environment.GetEnvironmentVariable(name), out var number) ? number : otherwise;
}
