using System.Collections.Immutable;
using BoutDesk.Domain.Pools;
using Xunit;
using static BoutDesk.Domain.Tests.Pools.PoolGroups;

namespace BoutDesk.Domain.Tests.Pools;

public class BoutOrderTests
{
    [Fact]
    public void The_order_of_a_pool_of_four_is_the_printed_one()
    {
        // Book 2, from memory.
        Assert.Equal("1-4 2-3 1-3 2-4 3-4 1-2", Text(BoutOrder.For(4)));
    }

    [Fact]
    public void The_smallest_pools_need_no_table()
    {
        Assert.Equal("1-2", Text(BoutOrder.For(2)));
        Assert.Equal("1-2 2-3 3-1", Text(BoutOrder.For(3)));
    }

    /// <summary>
    /// The least rest can be at most (n - 3) / 2 bouts, rounded down: a known bound for round robins on one strip. The
    /// tables up to 10 reach it.
    /// </summary>
    [Theory]
    [InlineData(4, 2, 0, 2)]
    [InlineData(5, 0, 1, 2)]
    [InlineData(6, 0, 1, 3)]
    [InlineData(7, 0, 2, 3)]
    [InlineData(8, 0, 2, 4)]
    [InlineData(9, 0, 3, 4)]
    [InlineData(10, 0, 3, 5)]
    [InlineData(11, 0, 1, 9)]
    [InlineData(12, 0, 2, 10)]
    public void The_rests_in_a_printed_table(int fencers, int twiceRunning, int leastRest, int longestRest)
    {
        var rests = Rests(BoutOrder.For(fencers));
        Assert.Equal((twiceRunning, leastRest, longestRest), (rests.Count(rest => rest == 0), rests.Min(), rests.Max()));
        Assert.Equal(fencers <= 10, leastRest == (fencers - 3) / 2);
    }

    /// <summary>
    /// How many exchanges of two bouts would leave the least rest and the bouts twice running as they are, so that a slip
    /// of memory or of the pen in the table would go unnoticed by <see cref="The_rests_in_a_printed_table"/>.
    /// </summary>
    [Theory]
    [InlineData(4, 3)]
    [InlineData(5, 0)]
    [InlineData(6, 7)]
    [InlineData(7, 0)]
    [InlineData(8, 2)]
    [InlineData(9, 0)]
    [InlineData(10, 1)]
    public void Hardly_any_two_bouts_of_a_printed_table_could_change_places(int fencers, int exchanges)
    {
        var table = BoutOrder.For(fencers);
        var unnoticed = 0;
        for (var i = 0; i < table.Length; i++)
        {
            for (var j = i + 1; j < table.Length; j++)
            {
                var exchanged = Rests(table.SetItem(i, table[j]).SetItem(j, table[i]));
                unnoticed += Least(exchanged) == Least(Rests(table)) ? 1 : 0;
            }
        }
        Assert.Equal(exchanges, unnoticed);

        static (int, int) Least(List<int> rests) => (rests.Min(), rests.Count(rest => rest == 0));
    }

    [Theory]
    [InlineData(3)]
    [InlineData(5)]
    [InlineData(7)]
    [InlineData(9)]
    public void An_odd_printed_table_calls_everybody_first_equally_often(int fencers)
    {
        var first = BoutOrder.For(fencers).CountBy(bout => bout.Left).ToDictionary();
        Assert.All(Enumerable.Range(1, fencers), fencer => Assert.Equal((fencers - 1) / 2, first[fencer]));
    }

    [Theory]
    [InlineData(10, 20)]
    [InlineData(12, 30)]
    public void The_tables_of_10_and_12_are_two_half_pools_by_turns_and_then_rounds_for_everybody(int fencers, int boutsOfHalves)
    {
        var table = BoutOrder.For(fencers);
        var half = fencers / 2;
        var firstHalf = table.Take(boutsOfHalves).Where((_, bout) => bout % 2 == 0).ToArray();
        var secondHalf = table.Take(boutsOfHalves).Where((_, bout) => bout % 2 == 1);
        Assert.All(firstHalf, bout => Assert.InRange(Math.Max(bout.Left, bout.Right), 2, half));
        Assert.Equal(firstHalf.Select(bout => new BoutPairing(bout.Left + half, bout.Right + half)), secondHalf);
        Assert.All(
            table.Skip(boutsOfHalves).Chunk(half),
            round => Assert.Equal(fencers, round.SelectMany(bout => (int[])[bout.Left, bout.Right]).Distinct().Count()));
    }

    [Fact]
    public void The_halves_of_the_table_of_12_are_the_table_of_6()
    {
        Assert.Equal<BoutPairing>(BoutOrder.For(6), BoutOrder.For(12).Take(30).Where((_, bout) => bout % 2 == 0));
    }

    [Fact]
    public void The_table_of_11_is_that_of_12_without_its_last_fencer()
    {
        Assert.Equal<BoutPairing>(BoutOrder.For(12).Where(bout => bout.Left != 12 && bout.Right != 12), BoutOrder.For(11));
    }

    [Fact]
    public void Club_mates_who_meet_first_anyway_change_nothing()
    {
        Assert.Equal<BoutPairing>(BoutOrder.For(7), BoutOrder.For(7, [[4, 1], [3, 6]]));
        Assert.Equal<BoutPairing>(BoutOrder.For(6), BoutOrder.For(6, [[1, 2, 3], [4, 6, 5]]));
    }

    [Fact]
    public void Two_club_mates_take_two_numbers_that_meet_first_and_nobody_else_moves()
    {
        // 1 and 4 would meet first: 2 takes number 4, and 4 takes number 2.
        Assert.Equal(
            "1-2 4-5 3-6 7-1 5-2 4-3 6-7 5-1 2-3 6-4 5-7 3-1 2-6 7-4 3-5 1-6 4-2 7-3 6-5 1-4 2-7",
            Text(BoutOrder.For(7, [[1, 2]])));
    }

    [Fact]
    public void Three_club_mates_in_a_pool_of_seven_fence_each_other_first_and_nobody_fences_twice_running()
    {
        List<int[]> club = [[2, 5, 7]];
        var order = BoutOrder.For(7, club);
        Assert.True(KeepsClubsFirst(AsSlots(order), club));
        Assert.False(KeepsClubsFirst(AsSlots(BoutOrder.For(7)), club));
        Assert.Equal(1, Rests(order).Min());
    }

    [Fact]
    public void A_pool_of_a_single_club_is_fenced_as_printed()
    {
        Assert.Equal<BoutPairing>(BoutOrder.For(7), BoutOrder.For(7, [[1, 2, 3, 4, 5, 6, 7]]));
        Assert.Equal<BoutSlot>(BoutOrder.OnTwoStrips(7), BoutOrder.OnTwoStrips(7, [[7, 6, 5, 4, 3, 2, 1]]));
    }

    [Fact]
    public void A_fencer_without_club_mate_makes_no_group()
    {
        Assert.Equal<BoutPairing>(BoutOrder.For(8), BoutOrder.For(8, [[3], [], [5]]));
    }

    [Fact]
    public void On_two_strips_a_pool_of_eight_takes_half_the_time()
    {
        var slots = BoutOrder.OnTwoStrips(8);
        Assert.Equal(14, slots.Length);
        Assert.DoesNotContain(slots, slot => slot.StripTwo is null);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(13)]
    public void Other_sizes_are_refused(int fencers)
    {
        Assert.Throws<ArgumentOutOfRangeException>(nameof(fencers), () => BoutOrder.For(fencers));
        Assert.Throws<ArgumentOutOfRangeException>(nameof(fencers), () => BoutOrder.For(fencers, []));
        Assert.Throws<ArgumentOutOfRangeException>(nameof(fencers), () => BoutOrder.OnTwoStrips(fencers));
        Assert.Throws<ArgumentOutOfRangeException>(nameof(fencers), () => BoutOrder.OnTwoStrips(fencers, []));
    }

    [Fact]
    public void Positions_that_the_pool_does_not_have_are_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>("groups", () => BoutOrder.For(6, [[1, 7]]));
        Assert.Throws<ArgumentOutOfRangeException>("groups", () => BoutOrder.OnTwoStrips(6, [[0, 1]]));
    }

    [Fact]
    public void A_position_in_two_clubs_is_refused()
    {
        Assert.Throws<ArgumentException>("groups", () => BoutOrder.For(6, [[1, 2], [2, 3]]));
        Assert.Throws<ArgumentException>("groups", () => BoutOrder.OnTwoStrips(6, [[1, 1]]));
    }

    private static string Text(IEnumerable<BoutPairing> bouts) => string.Join(' ', bouts.Select(bout => $"{bout.Left}-{bout.Right}"));

    /// <summary>How many bouts lie between any bout of a fencer and his next one.</summary>
    private static List<int> Rests(ImmutableArray<BoutPairing> order)
    {
        var rests = new List<int>();
        var last = new Dictionary<int, int>();
        for (var bout = 0; bout < order.Length; bout++)
        {
            foreach (var fencer in (int[])[order[bout].Left, order[bout].Right])
            {
                if (last.TryGetValue(fencer, out var before))
                {
                    rests.Add(bout - before - 1);
                }
                last[fencer] = bout;
            }
        }
        return rests;
    }
}
