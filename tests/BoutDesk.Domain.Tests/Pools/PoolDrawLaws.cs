using System.Collections.Immutable;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;
using Xunit;

namespace BoutDesk.Domain.Tests.Pools;

/// <summary>
/// Laws that every composition obeys, checked on generated fields. The name of a test case holds the seed that
/// makes its field again.
/// </summary>
public class PoolDrawLaws
{
    private static readonly DrawSeed Seed = new(1);

    private static readonly ImmutableDictionary<string, int> NoPlacements = ImmutableDictionary<string, int>.Empty;

    public static TheoryData<GeneratedField> Fields()
    {
        var lots = new DrawSeed(20_260_712).Lots();
        var fields = new TheoryData<GeneratedField>();
        foreach (var shape in Enum.GetValues<FieldShape>())
        {
            for (var i = 0; i < 8; i++)
            {
                fields.Add(new GeneratedField(shape, 9 + lots.Below(70), 5 + lots.Below(5), lots.Below(1_000_000)));
            }
        }
        return fields;
    }

    [Theory]
    [MemberData(nameof(Fields))]
    public void The_pools_are_well_formed_and_well_described(GeneratedField field)
    {
        var fencers = field.Fencers();
        var composition = PoolDraw.Compose(fencers, field.PoolCount, Seed);
        AssertSoundness(fencers, composition);
        Assert.True(ReachesBound(composition, levels: field.IsNested ? composition.Conflicts.Length : 1), "reaches the bound");
        Assert.True(BoundIsPigeonhole(fencers, composition), "the bound is the pigeonhole's");
        Assert.True(NoExchangeInATierHelps(fencers, composition, NoPlacements), "no exchange of two fencers helps");
    }

    [Theory]
    [MemberData(nameof(Fields))]
    public void The_same_draw_comes_out_the_same(GeneratedField field)
    {
        var fencers = field.Fencers();
        var composition = PoolDraw.Compose(fencers, field.PoolCount, Seed);
        Assert.True(SamePools(composition, PoolDraw.Compose([.. fencers], field.PoolCount, Seed)), "twice the same");
        Assert.True(SamePools(composition, PoolDraw.Compose(Renamed(fencers), field.PoolCount, Seed)), "names do not matter");
        var otherSeed = PoolDraw.Compose(fencers, field.PoolCount, new DrawSeed(99));
        Assert.Equal(composition.Conflicts[0], otherSeed.Conflicts[0]);
        Assert.Equal(composition.LowerBound.AsEnumerable(), otherSeed.LowerBound);
    }

    [Theory]
    [MemberData(nameof(Fields))]
    public void Placements_are_kept(GeneratedField field)
    {
        var fencers = field.Fencers();
        var placements = RandomPlacements(field, fencers);
        var composition = PoolDraw.Compose(fencers, field.PoolCount, Seed, placements);
        AssertSoundness(fencers, composition);
        Assert.True(Keeps(composition, placements), "placed fencers stay");
        Assert.True(NoExchangeInATierHelps(fencers, composition, placements), "no exchange of two others helps");
    }

    [Theory]
    [MemberData(nameof(Fields))]
    public void Placements_within_one_tier_cost_no_pair(GeneratedField field)
    {
        var fencers = field.Fencers();
        var tier = (int)(field.Seed % (fencers.Length / field.PoolCount));
        int[] pools = [.. Enumerable.Range(1, field.PoolCount)];
        new DrawSeed(field.Seed).Lots().Shuffle<int>(pools);
        var placements = pools
            .Select((pool, i) => (fencers[(tier * field.PoolCount) + i].Id, pool))
            .ToDictionary(placement => placement.Id, placement => placement.pool);
        var composition = PoolDraw.Compose(fencers, field.PoolCount, Seed, placements);
        AssertSoundness(fencers, composition);
        Assert.True(Keeps(composition, placements), "placed fencers stay");
        Assert.True(ReachesBound(composition, levels: field.IsNested ? composition.Conflicts.Length : 1), "reaches the bound");
    }

    [Theory]
    [MemberData(nameof(Fields))]
    public void Placing_everybody_where_he_is_gives_the_same_pools(GeneratedField field)
    {
        var fencers = field.Fencers();
        var composition = PoolDraw.Compose(fencers, field.PoolCount, Seed);
        var all = composition.Pools
            .SelectMany((pool, p) => pool.Select(id => (id, p)))
            .ToDictionary(placement => placement.id, placement => placement.p + 1);
        var again = PoolDraw.Compose(fencers, field.PoolCount, Seed, all);
        Assert.True(SamePools(composition, again), "the same pools");
        AssertSoundness(fencers, again);
        // With everybody placed there is one composition, and counting knows it.
        Assert.True(again.DisplacementProvenLeast, "proven, as there is no other");
    }

    private static void AssertSoundness(ImmutableArray<PoolFencer> fencers, PoolComposition composition)
    {
        Assert.True(EveryFencerOnce(fencers, composition), "every fencer once");
        Assert.True(SizesAsPlanned(fencers, composition), "sizes differ by at most one");
        Assert.True(OneOfEveryTierInEachPool(fencers, composition), "one of every full tier, at most one of the last");
        Assert.True(InSeedOrder(fencers, composition), "in seed order");
        Assert.True(ConflictsAsCounted(fencers, composition), "conflicts as counted");
        Assert.True(DisplacementAsCounted(fencers, composition), "displacement as counted");
        Assert.True(BoundsAreBelow(composition), "bounds are below what is reached");
        Assert.True(ClaimsOnlyWhatMeetsTheBounds(composition), "claims a proof if and only if the bounds are met");
    }

    private static bool EveryFencerOnce(ImmutableArray<PoolFencer> fencers, PoolComposition composition) =>
        composition.Pools.SelectMany(pool => pool).Order(StringComparer.Ordinal)
            .SequenceEqual(fencers.Select(f => f.Id).Order(StringComparer.Ordinal));

    private static bool SizesAsPlanned(ImmutableArray<PoolFencer> fencers, PoolComposition composition) =>
        composition.Pools.Select(pool => pool.Length).OrderDescending()
            .SequenceEqual(PoolPlan.ForCount(fencers.Length, composition.Pools.Length).Sizes);

    private static bool OneOfEveryTierInEachPool(ImmutableArray<PoolFencer> fencers, PoolComposition composition)
    {
        var fullTiers = fencers.Length / composition.Pools.Length;
        return composition.Pools.All(pool => pool
            .Select(id => SeedOf(fencers, id) / composition.Pools.Length)
            .Order()
            .SequenceEqual(Enumerable.Range(0, pool.Length)) && pool.Length >= fullTiers);
    }

    private static bool InSeedOrder(ImmutableArray<PoolFencer> fencers, PoolComposition composition) =>
        composition.Pools.All(pool => pool.SequenceEqual(pool.OrderBy(id => SeedOf(fencers, id))));

    private static bool ConflictsAsCounted(ImmutableArray<PoolFencer> fencers, PoolComposition composition) =>
        composition.Conflicts.SequenceEqual(PairsByLevel(fencers, composition.Pools, composition.Conflicts.Length));

    private static bool DisplacementAsCounted(ImmutableArray<PoolFencer> fencers, PoolComposition composition) =>
        composition.Displacement == DisplacementOf(fencers, composition.Pools);

    private static bool BoundsAreBelow(PoolComposition composition) =>
        composition.Conflicts.Zip(composition.LowerBound).All(level => level.First >= level.Second)
        && composition.Displacement >= composition.DisplacementLowerBound;

    private static bool ClaimsOnlyWhatMeetsTheBounds(PoolComposition composition) =>
        composition.DisplacementProvenLeast ==
        (ReachesBound(composition, composition.Conflicts.Length) && composition.Displacement == composition.DisplacementLowerBound);

    private static bool ReachesBound(PoolComposition composition, int levels) =>
        composition.Conflicts.Take(levels).SequenceEqual(composition.LowerBound.Take(levels));

    private static bool BoundIsPigeonhole(ImmutableArray<PoolFencer> fencers, PoolComposition composition)
    {
        var pools = composition.Pools.Length;
        return composition.LowerBound
            .Select((bound, level) => bound == fencers
                .GroupBy(f => f.Affiliations[level])
                .Sum(club => Enumerable.Range(0, pools).Sum(pool => Pairs((club.Count() + pool) / pools))))
            .All(isSame => isSame);
    }

    private static bool NoExchangeInATierHelps(
        ImmutableArray<PoolFencer> fencers, PoolComposition composition, IReadOnlyDictionary<string, int> placements)
    {
        var pools = composition.Pools.Length;
        var levels = composition.Conflicts.Length;
        var best = Aims(fencers, composition.Pools, levels);
        foreach (var tier in fencers.Select(f => f.Id).Where(id => !placements.ContainsKey(id)).GroupBy(id => SeedOf(fencers, id) / pools))
        {
            foreach (var (a, b) in tier.SelectMany(a => tier.Where(b => SeedOf(fencers, a) < SeedOf(fencers, b)), (a, b) => (a, b)))
            {
                var exchanged = composition.Pools.Select(pool => pool.Select(id => id == a ? b : id == b ? a : id).ToImmutableArray());
                if (Compare(Aims(fencers, [.. exchanged], levels), best) < 0)
                {
                    return false;
                }
            }
        }
        return true;
    }

    private static bool SamePools(PoolComposition one, PoolComposition other) =>
        one.Pools.Zip(other.Pools).All(pools => pools.First.SequenceEqual(pools.Second))
        && one.Pools.Length == other.Pools.Length;

    private static bool Keeps(PoolComposition composition, IReadOnlyDictionary<string, int> placements) =>
        placements.All(placement => composition.Pools[placement.Value - 1].Contains(placement.Key));

    /// <summary>About a fifth of the field, no two of a tier in one pool.</summary>
    private static Dictionary<string, int> RandomPlacements(GeneratedField field, ImmutableArray<PoolFencer> fencers)
    {
        var lots = new DrawSeed(field.Seed).Lots();
        var placements = new Dictionary<string, int>();
        foreach (var tier in fencers.Chunk(field.PoolCount))
        {
            int[] pools = [.. Enumerable.Range(1, field.PoolCount)];
            lots.Shuffle<int>(pools);
            foreach (var (fencer, pool) in tier.Zip(pools).Where(_ => lots.Below(5) == 0))
            {
                placements[fencer.Id] = pool;
            }
        }
        return placements;
    }

    /// <summary>The same field with every affiliation under another name, whose order is another one too.</summary>
    private static ImmutableArray<PoolFencer> Renamed(ImmutableArray<PoolFencer> fencers) =>
        [.. fencers.Select(f => f with { Affiliations = [.. f.Affiliations.Select(a => new string([.. a!.Reverse()]))] })];

    private static int[] Aims(ImmutableArray<PoolFencer> fencers, ImmutableArray<ImmutableArray<string>> pools, int levels) =>
        [.. PairsByLevel(fencers, pools, levels), DisplacementOf(fencers, pools)];

    private static int Compare(int[] one, int[] other) =>
        one.Zip(other, (a, b) => a.CompareTo(b)).FirstOrDefault(sign => sign != 0);

    private static IEnumerable<int> PairsByLevel(
        ImmutableArray<PoolFencer> fencers, ImmutableArray<ImmutableArray<string>> pools, int levels) =>
        Enumerable.Range(0, levels).Select(level => pools.Sum(pool => pool
            .GroupBy(id => fencers[SeedOf(fencers, id)].Affiliations[level])
            .Sum(club => Pairs(club.Count()))));

    private static int DisplacementOf(ImmutableArray<PoolFencer> fencers, ImmutableArray<ImmutableArray<string>> pools)
    {
        var displacement = 0;
        for (var p = 0; p < pools.Length; p++)
        {
            foreach (var seed in pools[p].Select(id => SeedOf(fencers, id)))
            {
                var along = seed % pools.Length;
                var home = seed / pools.Length % 2 == 0 ? along : pools.Length - 1 - along;
                displacement += Math.Abs(p - home);
            }
        }
        return displacement;
    }

    private static int Pairs(int members) => members * (members - 1) / 2;

    /// <summary>From 0; generated ids are F1, F2, and so on in seed order.</summary>
    private static int SeedOf(ImmutableArray<PoolFencer> fencers, string id)
    {
        var seed = int.Parse(id.AsSpan(1)) - 1;
        Assert.Equal(id, fencers[seed].Id);
        return seed;
    }
}
