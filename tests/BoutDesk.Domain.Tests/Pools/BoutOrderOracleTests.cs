using System.Collections.Immutable;
using BoutDesk.BoutOrders;
using BoutDesk.Domain.Pools;
using Xunit;
using static BoutDesk.Domain.Tests.Pools.PoolGroups;

namespace BoutDesk.Domain.Tests.Pools;

/// <summary>That no better order exists, where this is claimed.</summary>
public class BoutOrderOracleTests
{
    /// <summary>
    /// How often somebody fences twice running, and how often he rests for a single bout, by size of the pool and of its
    /// clubs. Most were found first by a constraint solver, independently of the search that made the shipped orders, and
    /// for most the solver proved them too. In four cases the search went on to better orders: the solver had come to
    /// 2 and 11 for 7:6, to 0 and 10 for 8:6 and 8:6+2, and to 2 and 13 for 8:7. The tests below prove them all, but for
    /// the second number where the printed table for 6 is used; it has 9 rests of a single bout, and 7 or 8 are possible.
    /// </summary>
    public static TheoryData<int, string, int, int> OnOneStrip => new()
    {
        { 2, "", 0, 0 },
        { 3, "", 2, 1 }, { 3, "2", 2, 1 },
        { 4, "", 2, 4 }, { 4, "2", 2, 4 }, { 4, "2+2", 2, 4 }, { 4, "3", 4, 3 },
        { 5, "", 0, 8 }, { 5, "2", 0, 8 }, { 5, "2+2", 0, 8 }, { 5, "3", 1, 7 }, { 5, "3+2", 1, 7 }, { 5, "4", 4, 6 },
        { 6, "", 0, 9 }, { 6, "2", 0, 9 }, { 6, "2+2", 0, 9 }, { 6, "2+2+2", 0, 7 }, { 6, "3", 0, 9 }, { 6, "3+2", 0, 9 },
        { 6, "3+3", 0, 9 }, { 6, "4", 1, 10 }, { 6, "4+2", 1, 10 }, { 6, "5", 2, 11 },
        { 7, "", 0, 0 }, { 7, "2", 0, 0 }, { 7, "2+2", 0, 0 }, { 7, "2+2+2", 0, 0 }, { 7, "3", 0, 2 }, { 7, "3+2", 0, 2 },
        { 7, "3+2+2", 0, 2 }, { 7, "3+3", 0, 4 }, { 7, "4", 0, 3 }, { 7, "4+2", 0, 3 }, { 7, "4+3", 0, 3 }, { 7, "5", 0, 11 },
        { 7, "5+2", 0, 11 }, { 7, "6", 2, 10 },
        { 8, "", 0, 0 }, { 8, "2", 0, 0 }, { 8, "2+2", 0, 0 }, { 8, "2+2+2", 0, 0 }, { 8, "2+2+2+2", 0, 0 }, { 8, "3", 0, 0 },
        { 8, "3+2", 0, 0 }, { 8, "3+2+2", 0, 0 }, { 8, "3+3", 0, 1 }, { 8, "3+3+2", 0, 1 }, { 8, "4", 0, 0 }, { 8, "4+2", 0, 0 },
        { 8, "4+2+2", 0, 0 }, { 8, "4+3", 0, 1 }, { 8, "4+4", 0, 0 }, { 8, "5", 0, 1 }, { 8, "5+2", 0, 1 }, { 8, "5+3", 0, 1 },
        { 8, "6", 0, 9 }, { 8, "6+2", 0, 9 }, { 8, "7", 2, 7 },
    };

    /// <summary>The same for two strips: slots, and how often somebody fences in two slots running.</summary>
    public static TheoryData<int, string, int, int> OnTwoStrips => new()
    {
        { 4, "", 3, 8 }, { 5, "", 5, 12 }, { 6, "", 8, 10 }, { 7, "", 11, 8 }, { 8, "", 14, 4 },
        { 4, "3", 5, 6 }, { 5, "3", 6, 8 }, { 6, "3+3", 8, 10 }, { 7, "3", 11, 9 }, { 7, "4+3", 11, 9 }, { 8, "3+3", 14, 7 },
        { 8, "4+4", 14, 4 },
    };

    public static TheoryData<int, string> PoolsOfUpToFive => Pools(2, 5);

    public static TheoryData<int, string> PoolsOfUpToSix => Pools(2, 6);

    public static TheoryData<int, string> PoolsOfNineToTwelve => Pools(9, 12);

    [Fact]
    public void The_table_of_rests_has_every_pool_of_up_to_eight()
    {
        var listed = OnOneStrip.Select(row => ((int)row[0], (string)row[1])).Order();
        Assert.Equal(Pools(2, 8).Select(row => ((int)row[0], (string)row[1])).Where(pool => !IsOneClub(pool.Item1, pool.Item2)).Order(), listed);

        static bool IsOneClub(int fencers, string clubs) => clubs == fencers.ToString();
    }

    [Theory]
    [MemberData(nameof(OnOneStrip))]
    public void Rests_on_one_strip(int fencers, string clubs, int twiceRunning, int restsOfOne)
    {
        var rests = RestCounts.Of(OneStrip(fencers, clubs));
        Assert.Equal((twiceRunning, restsOfOne), (rests.Zero, rests.One));
    }

    [Theory]
    [MemberData(nameof(OnTwoStrips))]
    public void Slots_and_rests_on_two_strips(int fencers, string clubs, int slots, int twiceRunning)
    {
        var order = TwoStrips(fencers, clubs);
        Assert.Equal((slots, twiceRunning), (order.Length, RestCounts.Of(order).Zero));
    }

    [Theory]
    [MemberData(nameof(PoolsOfUpToFive))]
    public void No_order_of_up_to_five_fencers_has_longer_rests(int fencers, string clubs)
    {
        var rests = RestCounts.Of(OneStrip(fencers, clubs));
        Assert.Equal((fencers * (fencers - 1) / 2, rests.Zero, rests.One), LeastRests.Of(fencers, Sizes(clubs), strips: 1));
    }

    [Theory]
    [InlineData("2+2+2")]
    [InlineData("4")]
    [InlineData("4+2")]
    [InlineData("5")]
    public void No_order_of_six_fencers_has_longer_rests_where_the_printed_table_does_not_serve(string clubs)
    {
        var rests = RestCounts.Of(OneStrip(6, clubs));
        Assert.Equal((15, rests.Zero, rests.One), LeastRests.Of(6, Sizes(clubs), strips: 1));
    }

    [Theory]
    [MemberData(nameof(PoolsOfUpToFive))]
    [InlineData(6, "3+3")]
    [InlineData(6, "4")]
    [InlineData(6, "5")]
    public void No_order_on_two_strips_is_better(int fencers, string clubs)
    {
        var order = TwoStrips(fencers, clubs);
        var (slots, zero, _) = LeastRests.Of(fencers, Sizes(clubs), strips: 2);
        Assert.Equal((slots, zero), (order.Length, RestCounts.Of(order).Zero));
    }

    /// <summary>Too big for the dynamic programme; the search itself proves it by leaving nothing out.</summary>
    [Theory]
    [MemberData(nameof(OnOneStrip))]
    public void A_search_that_leaves_nothing_out_finds_no_longer_rests(int fencers, string clubs, int twiceRunning, int restsOfOne)
    {
        var depth = fencers == 6 ? 0 : 1;
        var search = new OrderSearch(fencers, Sizes(clubs), strips: 1);
        Assert.True(search.ProvesLeast(fencers * (fencers - 1) / 2, new RestCounts(twiceRunning, restsOfOne, 0, 0), depth, int.MaxValue));
    }

    [Theory]
    [MemberData(nameof(OnTwoStrips))]
    public void A_search_that_leaves_nothing_out_finds_no_better_order_on_two_strips(int fencers, string clubs, int slots, int twiceRunning)
    {
        var search = new OrderSearch(fencers, Sizes(clubs), strips: 2);
        Assert.True(search.ProvesLeast(slots, new RestCounts(twiceRunning, 0, 0, 0), depth: 0, int.MaxValue));
        Assert.True(search.ProvesLeast(slots - 1, new RestCounts(int.MaxValue / 2, 0, 0, 0), depth: 0, int.MaxValue));
    }

    [Fact]
    public void The_proof_does_not_claim_what_is_false()
    {
        // A pool of 7 can do without rests of a single bout, a pool of 6 with 7 of them, and not with 6.
        Assert.False(new OrderSearch(7, [], strips: 1).ProvesLeast(21, new RestCounts(0, 1, 0, 0), depth: 1, width: 1_000));
        Assert.False(new OrderSearch(6, [], strips: 1).ProvesLeast(15, new RestCounts(0, 8, 0, 0), depth: 1, int.MaxValue));
        Assert.True(new OrderSearch(6, [], strips: 1).ProvesLeast(15, new RestCounts(0, 7, 0, 0), depth: 1, int.MaxValue));
    }

    [Theory]
    [MemberData(nameof(PoolsOfUpToSix))]
    public void The_shipped_orders_are_what_the_search_finds(int fencers, string clubs)
    {
        List<int[]> groups = InARow(Sizes(clubs));
        if (!Numberings(fencers).Any(numbers => KeepsClubsFirst(Renumbered(BoutOrder.For(fencers), numbers), groups)))
        {
            Assert.Equal<BoutSlot>(new OrderSearch(fencers, Sizes(clubs), strips: 1).Best().Order, OneStrip(fencers, clubs));
        }
        if (clubs.Length == 0)
        {
            Assert.Equal<BoutSlot>(new OrderSearch(fencers, [], strips: 2).Best().Order, BoutOrder.OnTwoStrips(fencers));
        }
    }

    [Theory]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    public void The_printed_table_is_used_where_it_can_be_with_as_few_changed_numbers_as_can_be(int fencers)
    {
        var numberings = Numberings(fencers).ToArray();
        foreach (var clubs in Divisions(fencers))
        {
            var serving = numberings
                .Select(numbers => (Changed: numbers.Index().Count(item => item.Item != item.Index + 1), Order: Renumbered(BoutOrder.For(fencers), numbers)))
                .Where(renumbered => KeepsClubsFirst(renumbered.Order, clubs))
                .ToLookup(renumbered => renumbered.Changed, renumbered => renumbered.Order);
            var order = AsSlots(BoutOrder.For(fencers, clubs));
            if (serving.Count > 0)
            {
                Assert.Contains(serving[serving.Min(group => group.Key)], best => best.SequenceEqual(order));
            }
        }
    }

    /// <summary>
    /// The best that was found for big pools, so that a change for the worse shows. Nobody fences twice running but where
    /// all except one fencer belong to one club.
    /// </summary>
    [Theory]
    [MemberData(nameof(PoolsOfNineToTwelve))]
    public void Big_pools_on_one_strip(int fencers, string clubs)
    {
        var rests = RestCounts.Of(OneStrip(fencers, clubs));
        var largest = Sizes(clubs).FirstOrDefault();
        var allButOne = largest == fencers - 1;
        Assert.InRange(rests.Zero, 0, allButOne ? 2 : 0);
        Assert.InRange(rests.One, 0, allButOne || largest == fencers - 2 ? 6 : 1);
    }

    [Theory]
    [InlineData(9)]
    [InlineData(10)]
    [InlineData(11)]
    [InlineData(12)]
    public void Nobody_fences_twice_running_in_a_big_pool_on_two_strips(int fencers)
    {
        Assert.Equal(0, RestCounts.Of(BoutOrder.OnTwoStrips(fencers)).Zero);
    }

    private static TheoryData<int, string> Pools(int smallest, int largest)
    {
        var pools = new TheoryData<int, string>();
        foreach (var fencers in Enumerable.Range(smallest, largest - smallest + 1))
        {
            foreach (var shape in Shapes(fencers))
            {
                pools.Add(fencers, string.Join('+', shape));
            }
        }
        return pools;
    }

    private static ImmutableArray<BoutSlot> OneStrip(int fencers, string clubs) => AsSlots(BoutOrder.For(fencers, InARow(Sizes(clubs))));

    private static ImmutableArray<BoutSlot> TwoStrips(int fencers, string clubs) => BoutOrder.OnTwoStrips(fencers, InARow(Sizes(clubs)));

    /// <summary>Every way in which the fencers can take the numbers: item i is the position with number i + 1.</summary>
    private static IEnumerable<ImmutableArray<int>> Numberings(int fencers) => fencers == 0
        ? [[]]
        : Numberings(fencers - 1).SelectMany(others => Enumerable.Range(0, fencers).Select(place => others.Insert(place, fencers)));

    private static ImmutableArray<BoutSlot> Renumbered(ImmutableArray<BoutPairing> order, ImmutableArray<int> positions) =>
        AsSlots(order.Select(bout => new BoutPairing(positions[bout.Left - 1], positions[bout.Right - 1])));
}
