using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;
using Xunit;
using static BoutDesk.Domain.Tests.Pools.PoolGroups;

namespace BoutDesk.Domain.Tests.Pools;

/// <summary>What every order must fulfil, whoever belongs to whom.</summary>
public class BoutOrderLaws
{
    // Any value will do; it is part of every failure message, and it is fixed so that a failure can be repeated.
    private const long Seed = 20_260;

    public static TheoryData<int> AllSizes => [.. Enumerable.Range(2, 11)];

    public static TheoryData<int> SmallSizes => [.. Enumerable.Range(2, 7)];

    [Theory]
    [MemberData(nameof(AllSizes))]
    public void Everybody_meets_everybody_once(int fencers)
    {
        Assert.True(IsComplete(fencers, AsSlots(BoutOrder.For(fencers))));
        Assert.True(IsComplete(fencers, BoutOrder.OnTwoStrips(fencers)));
    }

    [Theory]
    [MemberData(nameof(SmallSizes))]
    public void Every_division_into_clubs_up_to_eight_fencers_keeps_club_mates_first(int fencers)
    {
        foreach (var clubs in Divisions(fencers))
        {
            CheckLaws(fencers, clubs);
        }
    }

    [Theory]
    [MemberData(nameof(AllSizes))]
    public void Clubs_of_all_sizes_on_positions_drawn_by_lot_keep_club_mates_first(int fencers)
    {
        var lots = new DrawSeed(Seed + fencers).Lots();
        foreach (var shape in Shapes(fencers))
        {
            for (var draw = 0; draw < 5; draw++)
            {
                CheckLaws(fencers, Scattered(fencers, shape, lots));
            }
        }
    }

    [Theory]
    [MemberData(nameof(AllSizes))]
    public void The_order_in_which_clubs_and_members_are_listed_does_not_matter(int fencers)
    {
        var lots = new DrawSeed(Seed + fencers).Lots();
        foreach (var shape in Shapes(fencers))
        {
            var clubs = Scattered(fencers, shape, lots);
            int[][] relisted = [.. clubs.Select(club => club.Order().ToArray())];
            lots.Shuffle<int[]>(relisted);
            Assert.Equal<BoutPairing>(BoutOrder.For(fencers, clubs), BoutOrder.For(fencers, relisted));
            Assert.Equal<BoutSlot>(BoutOrder.OnTwoStrips(fencers, clubs), BoutOrder.OnTwoStrips(fencers, relisted));
        }
    }

    [Theory]
    [MemberData(nameof(AllSizes))]
    public void On_two_strips_a_pool_without_clubs_takes_as_few_slots_as_can_be(int fencers)
    {
        var bouts = fencers * (fencers - 1) / 2;
        // Two bouts at a time need four fencers; and nobody can fence more than once in a slot.
        Assert.Equal(fencers < 4 ? bouts : Math.Max((bouts + 1) / 2, fencers - 1), BoutOrder.OnTwoStrips(fencers).Length);
    }

    [Theory]
    [MemberData(nameof(AllSizes))]
    public void On_two_strips_everybody_is_called_first_in_half_of_his_bouts_up_to_one(int fencers)
    {
        foreach (var shape in Shapes(fencers))
        {
            var bouts = BoutOrder.OnTwoStrips(fencers, InARow(shape)).SelectMany(BoutsOf).ToArray();
            Assert.All(
                Enumerable.Range(1, fencers),
                fencer => Assert.InRange(2 * bouts.Count(bout => bout.Left == fencer), fencers - 2, fencers));
        }
    }

    private static void CheckLaws(int fencers, List<int[]> clubs)
    {
        var told = $"{fencers} fencers, clubs {string.Join(" and ", clubs.Select(club => string.Join(',', club)))} (seed {Seed + fencers})";
        var oneStrip = AsSlots(BoutOrder.For(fencers, clubs));
        var twoStrips = BoutOrder.OnTwoStrips(fencers, clubs);
        Assert.True(IsComplete(fencers, oneStrip), $"one strip, {told}");
        Assert.True(IsComplete(fencers, twoStrips), $"two strips, {told}");
        Assert.True(KeepsClubsFirst(oneStrip, clubs), $"one strip, {told}");
        Assert.True(KeepsClubsFirst(twoStrips, clubs), $"two strips, {told}");
    }
}
