using System.Collections.Immutable;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;
using Xunit;

namespace BoutDesk.Domain.Tests.Pools;

public class PoolDrawTests
{
    private static readonly DrawSeed Seed = new(2026);

    [Fact]
    public void Without_collisions_it_is_the_plain_serpentine()
    {
        var composition = PoolDraw.Compose(Field("a b c d e f g h i j k l m"), 3, Seed);
        Assert.Equal(["1 6 7 12 13", "2 5 8 11", "3 4 9 10"], Written(composition));
        Assert.Equal(0, composition.Displacement);
        Assert.True(composition.DisplacementProvenLeast);
    }

    [Fact]
    public void Without_affiliations_there_is_nothing_to_count()
    {
        var composition = PoolDraw.Compose(
            [.. Enumerable.Range(1, 6).Select(i => new PoolFencer($"{i}", []))], 2, Seed);
        Assert.Equal(["1 4 5", "2 3 6"], Written(composition));
        Assert.Empty(composition.Conflicts);
        Assert.Empty(composition.LowerBound);
        Assert.True(composition.DisplacementProvenLeast);
    }

    [Fact]
    public void Two_of_a_club_in_one_pool_are_parted_by_one_exchange_in_a_tier()
    {
        // The serpentine has 1, 4, 5 and 2, 3, 6. Seeds 1 and 4 are of one club; parting them takes one exchange in one
        // of their tiers, two shifts by one pool. Any exchange does, so the least displacement is 2.
        var composition = PoolDraw.Compose(Field("A b c A e f"), 2, Seed);
        Assert.Equal(0, composition.Conflicts[0]);
        Assert.Equal(2, composition.Displacement);
        Assert.Equal(2, composition.DisplacementLowerBound);
        Assert.True(composition.DisplacementProvenLeast);
    }

    [Fact]
    public void A_club_with_more_fencers_than_pools_is_spread_evenly()
    {
        // Five of a club in two pools: three and two, 3 + 1 = 4 pairs.
        var composition = PoolDraw.Compose(Field("A A b A c A d A"), 2, Seed);
        AssertPairs([4], composition.Conflicts);
        AssertPairs([4], composition.LowerBound);
    }

    [Fact]
    public void What_is_named_first_is_separated_first()
    {
        // Seed 4 is in the pool that seed 3 is not in. So seed 1 can be parted from 4, of his club, or from 3, of his
        // country, but not from both. Counting each by itself cannot see that.
        (string?, string?)[] clubAndCountry = [("A", "X"), ("b", null), ("c", "X"), ("A", "Y"), ("d", null), ("e", null)];
        var clubFirst = PoolDraw.Compose(Fencers(clubAndCountry), 2, Seed);
        var countryFirst = PoolDraw.Compose(Fencers([.. clubAndCountry.Select(a => (a.Item2, a.Item1))]), 2, Seed);
        Assert.Equal((false, true), (Together(clubFirst, "1", "4"), Together(clubFirst, "1", "3")));
        Assert.Equal((true, false), (Together(countryFirst, "1", "4"), Together(countryFirst, "1", "3")));
        AssertPairs([0, 1], clubFirst.Conflicts);
        AssertPairs([0, 1], countryFirst.Conflicts);
        AssertPairs([0, 0], clubFirst.LowerBound);
        Assert.False(clubFirst.DisplacementProvenLeast);
    }

    [Fact]
    public void The_fencers_of_a_short_last_tier_may_go_to_any_pools()
    {
        // The serpentine has 1, 4, 5 and 2, 3, 6; the seventh would come second in pool 2. There he is only if his
        // club-mate is not.
        Assert.Equal(["1 4 5", "2 3 6 7"], Written(PoolDraw.Compose(Field("B a c d e f B"), 2, Seed)));
        Assert.Equal(["1 4 5 7", "2 3 6"], Written(PoolDraw.Compose(Field("a B c d e f B"), 2, Seed)));
    }

    [Theory]
    [InlineData("SC Nord", "sc nord")]
    [InlineData("SC Nord", "  SC Nord ")]
    public void Case_and_surrounding_blanks_do_not_make_another_club(string one, string other) =>
        Assert.Equal(2, PoolDraw.Compose(Fencers((one, null), ("b", null), ("c", null), (other, null), ("d", null), ("e", null)), 2, Seed).Displacement);

    [Theory]
    [InlineData(null)]
    [InlineData("")]
    [InlineData("  ")]
    public void Fencers_without_a_club_are_not_kept_apart(string? none) =>
        Assert.Equal(0, PoolDraw.Compose(Fencers((none, null), ("b", null), ("c", null), (none, null), ("d", null), ("e", null)), 2, Seed).Displacement);

    [Fact]
    public void A_shorter_list_of_affiliations_ends_in_none()
    {
        ImmutableArray<PoolFencer> ragged = [new("1", ["A", "X"]), new("2", ["b"]), new("3", []), new("4", ["A"]), new("5", default), new("6", ["c", "X"])];
        var full = Fencers(("A", "X"), ("b", null), (null, null), ("A", null), (null, null), ("c", "X"));
        Assert.Equal(Written(PoolDraw.Compose(full, 2, Seed)), Written(PoolDraw.Compose(ragged, 2, Seed)));
        AssertPairs([0, 0], PoolDraw.Compose(ragged, 2, Seed).Conflicts);
    }

    [Fact]
    public void Who_is_placed_by_hand_stays_and_the_others_make_room()
    {
        // Seed 1 is put into pool 2, so seed 2 must take pool 1: two shifts by one.
        var composition = PoolDraw.Compose(Field("a b c d e f"), 2, Seed, new Dictionary<string, int> { ["1"] = 2 });
        Assert.Equal(["2 4 5", "1 3 6"], Written(composition));
        Assert.Equal(2, composition.Displacement);
        Assert.True(composition.DisplacementProvenLeast);
    }

    [Fact]
    public void Placements_that_put_a_club_together_are_counted_in_the_bound()
    {
        // 1 and 4 are of one club and both placed in pool 1: one pair that nothing can undo.
        var composition = PoolDraw.Compose(
            Field("A b c A e f"), 2, Seed, new Dictionary<string, int> { ["1"] = 1, ["4"] = 1 });
        AssertPairs([1], composition.Conflicts);
        AssertPairs([1], composition.LowerBound);
        Assert.Equal(0, composition.Displacement);
        Assert.True(composition.DisplacementProvenLeast);
    }

    [Fact]
    public void A_bound_by_counting_that_placements_make_unreachable_is_not_claimed()
    {
        // 1, 2 and 3, 4 fill the first two tiers by hand with A and B in pool 1. The last tier is A and B again: one of
        // them must be the second of his club in pool 1. Counting club by club cannot see that: the bound is 0.
        var placed = new Dictionary<string, int> { ["1"] = 1, ["2"] = 2, ["3"] = 1, ["4"] = 2 };
        var composition = PoolDraw.Compose(Field("A c B d A B"), 2, Seed, placed);
        AssertPairs([1], composition.Conflicts);
        AssertPairs([0], composition.LowerBound);
        Assert.False(composition.DisplacementProvenLeast);
    }

    [Fact]
    public void One_pool_takes_everybody()
    {
        var composition = PoolDraw.Compose(Field("A A b A"), 1, Seed);
        Assert.Equal(["1 2 3 4"], Written(composition));
        AssertPairs([3], composition.Conflicts);
        Assert.True(composition.DisplacementProvenLeast);
    }

    [Fact]
    public void Separation_alone_reaches_the_same_pairs_and_claims_no_more_than_it_knows()
    {
        var field = new GeneratedField(FieldShape.NestedCountries, 60, 6, 11);
        var quick = PoolDraw.Compose(field.Fencers(), field.PoolCount, Seed, effort: PoolSearchEffort.SeparationOnly);
        var standard = PoolDraw.Compose(field.Fencers(), field.PoolCount, Seed);
        AssertPairs([.. standard.Conflicts], quick.Conflicts);
        Assert.InRange(quick.Displacement, standard.Displacement + 1, int.MaxValue);
        Assert.False(quick.DisplacementProvenLeast);
    }

    [Fact]
    public void What_is_out_of_range_is_refused_in_words()
    {
        Refuses("20 fencers cannot be drawn into 1 pools of 3 to 12. Number of pools to choose: 2 to 6.", count: 20, pools: 1);
        Refuses("Pools can be drawn up for at most 3000 fencers; there are 3001.", count: 3001, pools: 400);
        Refuses("9 is placed in pool 1 but is not among the fencers.", placed: ("9", 1));
        Refuses("1 is placed in pool 3; the pools are numbered 1 to 2.", placed: ("1", 3));
        Refuses("1 is placed in pool 0; the pools are numbered 1 to 2.", placed: ("1", 0));
    }

    [Fact]
    public void Two_of_a_tier_cannot_be_placed_in_one_pool()
    {
        var refusal = Assert.Throws<ArgumentException>(() => PoolDraw.Compose(
            Field("a b c d e f"), 2, Seed, new Dictionary<string, int> { ["4"] = 2, ["3"] = 2 }));
        Assert.Equal("3 and 4 are both of seeds 3 to 4, of whom each pool has one; they cannot both be placed in pool 2.", refusal.Message);
    }

    [Fact]
    public void Ids_must_tell_fencers_apart()
    {
        var twice = Assert.Throws<ArgumentException>(() => PoolDraw.Compose(
            [new("x", []), new("y", []), new("x", [])], 1, Seed));
        Assert.Equal("x is in the list twice, as seeds 1 and 3.", twice.Message);
        var blank = Assert.Throws<ArgumentException>(() => PoolDraw.Compose(
            [new("x", []), new(" ", []), new("y", [])], 1, Seed));
        Assert.Equal("Seed 2 has no id.", blank.Message);
    }

    [Fact]
    public void Four_levels_of_affiliation_are_too_many()
    {
        var refusal = Assert.Throws<ArgumentException>(() => PoolDraw.Compose(
            [new("x", ["a", "b", "c", "d"]), new("y", []), new("z", [])], 1, Seed));
        Assert.Equal("Fencers can be kept apart by at most 3 affiliations; there are 4.", refusal.Message);
    }

    [Theory]
    [InlineData(3000, 250)]
    [InlineData(3000, 1000)]
    public void The_largest_field_with_the_most_levels_stays_within_the_numbers(int count, int pools)
    {
        // Two clubs only, in three levels: as many pairs as there can be, which is what the weights must hold.
        ImmutableArray<PoolFencer> fencers =
            [.. Enumerable.Range(0, count).Select(i => new PoolFencer($"{i}", [$"{i % 2}", $"{i % 2}", $"{i % 2}"]))];
        var composition = PoolDraw.Compose(fencers, pools, Seed, effort: PoolSearchEffort.SeparationOnly);
        AssertPairs([.. composition.LowerBound], composition.Conflicts);
    }

    private static void Refuses(string text, int count = 6, int pools = 2, (string Id, int Pool)? placed = null)
    {
        ImmutableArray<PoolFencer> fencers = [.. Enumerable.Range(1, count).Select(i => new PoolFencer($"{i}", []))];
        var placements = placed is { } one ? new Dictionary<string, int> { [one.Id] = one.Pool } : null;
        Assert.Equal(text, Assert.Throws<ArgumentException>(() => PoolDraw.Compose(fencers, pools, Seed, placements)).Message);
    }

    /// <summary>Fencers 1, 2, 3 … in seed order, by their clubs.</summary>
    private static ImmutableArray<PoolFencer> Field(string clubs) =>
        [.. clubs.Split(' ').Select((club, i) => new PoolFencer($"{i + 1}", [club]))];

    private static ImmutableArray<PoolFencer> Fencers(params (string? Club, string? Country)[] affiliations) =>
        [.. affiliations.Select((a, i) => new PoolFencer($"{i + 1}", [a.Club, a.Country]))];

    private static void AssertPairs(int[] expected, ImmutableArray<int> actual) => Assert.Equal(expected, actual.AsEnumerable());

    private static bool Together(PoolComposition composition, string one, string other) =>
        composition.Pools.Any(pool => pool.Contains(one) && pool.Contains(other));

    private static IEnumerable<string> Written(PoolComposition composition) =>
        composition.Pools.Select(pool => string.Join(' ', pool));
}
