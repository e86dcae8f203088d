using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using Xunit;

namespace BoutDesk.Domain.Tests.Elimination;

/// <summary>The bouts of a tableau and how they follow from one another.</summary>
public class TableauPlanTests
{
    private static readonly EliminationFormula Plain = new();
    private static readonly EliminationFormula EveryPlace = new() { ThirdPlace = ThirdPlace.Bout, FencedPlaces = 1024 };

    public static TheoryData<int, int, int> Repechages => new()
    {
        { 8, 8, 4 }, { 8, 8, 2 }, { 16, 16, 8 }, { 16, 8, 4 }, { 32, 16, 8 }, { 64, 32, 8 }, { 64, 64, 2 }, { 128, 16, 4 },
    };

    [Theory]
    [InlineData(2)]
    [InlineData(8)]
    [InlineData(64)]
    [InlineData(1024)]
    public void A_plain_elimination_has_one_bout_less_than_places(int fencers) =>
        Assert.Equal(fencers - 1, TableauPlan.For(fencers, Plain).Length);

    [Theory]
    [InlineData(4, 4)]
    [InlineData(8, 12)]
    [InlineData(16, 32)]
    [InlineData(64, 192)]
    public void For_every_place_half_the_fencers_fence_in_each_round(int fencers, int bouts) =>
        // n/2 bouts in each of log2(n) rounds.
        Assert.Equal(bouts, TableauPlan.For(fencers, EveryPlace).Length);

    [Fact]
    public void Fenced_places_end_with_one_bout_for_each_pair_of_places()
    {
        var last = TableauPlan.For(8, EveryPlace).Where(b => b.WinnerTo is null).Select(b => (b.Stage.FromPlace, b.Stage.LoserBest)).Order();
        Assert.Equal([(1, 2), (3, 4), (5, 6), (7, 8)], last);
    }

    [Fact]
    public void Places_five_to_eight_can_be_fenced_with_third_place_shared()
    {
        var parts = TableauPlan.For(16, new EliminationFormula { FencedPlaces = 8 }).Where(b => b.Stage.Part == TableauPart.Places);
        Assert.Equal([5, 5, 5, 7], parts.Select(b => b.Stage.FromPlace).Order());
    }

    [Theory]
    [MemberData(nameof(Repechages))]
    public void In_a_repechage_everybody_is_out_after_the_second_defeat_or_in_the_last_table(int fencers, int from, int into)
    {
        var plan = TableauPlan.For(fencers, new EliminationFormula { RepechageFrom = from, RepechageInto = into });
        var main = plan.Where(b => b.Stage.Part == TableauPart.Main).ToArray();
        Assert.All(main, b => Assert.Equal(b.TableOf <= from, b.LoserTo is not null));
        Assert.All(plan.Where(b => b.Stage.Part is TableauPart.Repechage or TableauPart.Last), b => Assert.Null(b.LoserTo));
        // Half of the last table never lost, the other half comes from the repechage.
        var firstOfLast = plan.Where(b => b.Stage.Part == TableauPart.Last && b.TableOf == into).Select(b => b.Key).ToHashSet();
        Assert.Equal(into / 2, main.Count(b => b.WinnerTo is { Side: Side.Left } to && firstOfLast.Contains(to.BoutId)));
        Assert.Equal(into / 2, plan.Count(b => b.Stage.Part == TableauPart.Repechage && b.WinnerTo is { Side: Side.Right } to && firstOfLast.Contains(to.BoutId)));
    }

    [Theory]
    [MemberData(nameof(Repechages))]
    public void Every_seat_is_filled_once_and_every_place_is_given_once(int fencers, int from, int into)
    {
        foreach (var formula in new[] { new EliminationFormula { RepechageFrom = from, RepechageInto = into }, EveryPlace, Plain })
        {
            var plan = TableauPlan.For(fencers, formula);
            Assert.Equal(plan.Length, plan.Select(b => b.Key).Distinct().Count());
            var seats = plan.SelectMany(b => new[] { b.WinnerTo, b.LoserTo }).OfType<SeatLink>().ToArray();
            Assert.Equal(seats.Length, seats.Distinct().Count());
            Assert.Equal(2 * plan.Count(b => b.First is null), seats.Length);
            // The places that end with each bout cover 1 to n, a shared range counted as often as fencers end there.
            var places = plan.Where(b => b.WinnerTo is null).Select(b => b.Stage.FromPlace)
                .Concat(plan.Where(b => b.LoserTo is null).GroupBy(b => (b.Stage.LoserBest, b.Stage.LoserWorst))
                    .SelectMany(g =>
                    {
                        Assert.Equal(g.Key.LoserWorst - g.Key.LoserBest + 1, g.Count());
                        return Enumerable.Range(g.Key.LoserBest, g.Count());
                    }));
            Assert.Equal(Enumerable.Range(1, fencers), places.Order());
        }
    }

    [Fact]
    public void A_bout_stands_before_those_that_follow_from_it()
    {
        var plan = TableauPlan.For(64, new EliminationFormula { RepechageFrom = 32, ThirdPlace = ThirdPlace.Bout, FencedPlaces = 8 });
        var index = plan.Select((b, i) => (b.Key, i)).ToDictionary(b => b.Key, b => b.i);
        Assert.All(plan, b => Assert.All(new[] { b.WinnerTo, b.LoserTo }.OfType<SeatLink>(), to => Assert.True(index[to.BoutId] > index[b.Key])));
    }

    [Fact]
    public void Who_met_in_the_first_table_does_not_meet_again_at_once_in_the_repechage()
    {
        // In a table of 16 with a repechage, the losers of the first table meet losers of the other half of the next one.
        var plan = TableauPlan.For(16, new EliminationFormula { RepechageFrom = 16, RepechageInto = 4 }).ToDictionary(b => b.Key);
        Assert.Equal(("r2b1", Side.Right), (plan["t8b4"].LoserTo!.BoutId, plan["t8b4"].LoserTo!.Side));
        Assert.Equal(("r1b1", Side.Left), (plan["t16b1"].LoserTo!.BoutId, plan["t16b1"].LoserTo!.Side));
        Assert.Equal("r2b1", plan["r1b1"].WinnerTo!.BoutId);
    }

    [Fact]
    public void With_fewer_fencers_than_the_table_named_the_repechage_begins_with_the_first_table()
    {
        var formula = new EliminationFormula { RepechageFrom = 64 };
        Assert.Equal(16, TableauPlan.For(16, formula).Where(b => b.LoserTo is not null).Max(b => b.TableOf));
        Assert.Single(TableauPlan.For(2, formula));
    }

    [Fact]
    public void Losers_who_fence_for_places_keep_the_order_of_their_table()
    {
        var plan = TableauPlan.For(16, EveryPlace).ToDictionary(b => b.Key);
        Assert.Equal([("f9t8b1", Side.Left), ("f9t8b1", Side.Right), ("f9t8b4", Side.Right)], new[] { "t16b1", "t16b2", "t16b8" }.Select(Loser));
        Assert.Equal([("f5t4b2", Side.Left), ("f13t4b1", Side.Right)], new[] { "t8b3", "f9t8b2" }.Select(Loser));

        (string, Side) Loser(string key) => (plan[key].LoserTo!.BoutId, plan[key].LoserTo!.Side);
    }

    [Fact]
    public void The_losers_of_a_later_table_come_into_the_repechage_by_halves_and_its_survivors_into_the_last_table_from_below()
    {
        var plan = TableauPlan.For(32, new EliminationFormula { RepechageFrom = 32, RepechageInto = 8 }).ToDictionary(b => b.Key);
        Assert.Equal(["r4b3", "r4b4", "r4b1", "r4b2"], Enumerable.Range(1, 4).Select(n => plan[$"t8b{n}"].LoserTo!.BoutId));
        Assert.Equal(["l8b4", "l8b3", "l8b2", "l8b1"], Enumerable.Range(1, 4).Select(n => plan[$"r4b{n}"].WinnerTo!.BoutId));
        Assert.Equal(("r3b1", Side.Right), (plan["r2b2"].WinnerTo!.BoutId, plan["r2b2"].WinnerTo!.Side));
        // As many fencers as two for each bout of the round.
        Assert.Equal([16, 16, 8, 8], Enumerable.Range(1, 4).Select(round => plan[$"r{round}b1"].TableOf));
    }

    [Fact]
    public void The_smallest_repechage_begins_in_a_table_of_four_and_the_last_table_is_at_most_half_of_the_first()
    {
        Assert.Contains(TableauPlan.For(4, new EliminationFormula { RepechageFrom = 4, RepechageInto = 2 }), b => b.Stage.Part == TableauPart.Repechage);
        Assert.Equal(4, TableauPlan.For(8, new EliminationFormula { RepechageFrom = 8 }).Where(b => b.Stage.Part == TableauPart.Last).Max(b => b.TableOf));
    }
}
