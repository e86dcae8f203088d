using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using Xunit;
using static BoutDesk.Domain.Tests.Elimination.CallingOrderTests;

namespace BoutDesk.Domain.Tests.Elimination;

/// <summary>Whom a fencer can meet on his way through the tableau.</summary>
public class FencerPathTests
{
    [Fact]
    public void In_a_table_of_8_the_first_seed_can_meet_4_or_5_then_anybody_of_the_other_half()
    {
        var path = FencerPath.Of(Tableau(8), 1);
        Assert.Equal(["t8b1", "t4b1", "t2b1"], path.Select(s => s.Bout.Id));
        Assert.Equal([[8], [4, 5], [2, 3, 6, 7]], path.Select(s => s.Opponents.ToArray()));
    }

    [Fact]
    public void A_bye_is_not_on_the_way() =>
        Assert.Equal(["t4b1", "t2b1"], FencerPath.Of(Tableau(5), 1).Select(s => s.Bout.Id));

    [Fact]
    public void What_is_fenced_narrows_the_rest()
    {
        var path = FencerPath.Of(Tableau(8, (1, 8, 8), (5, 4, 5), (7, 2, 7)), 8);
        Assert.Equal([[5], [3, 6, 7]], path.Select(s => s.Opponents.ToArray()));
    }

    [Fact]
    public void Who_has_lost_or_has_won_the_final_has_no_way_left()
    {
        Assert.Empty(FencerPath.Of(Tableau(4, (1, 4, 4)), 1));
        Assert.Empty(FencerPath.Of(Tableau(2, (1, 2, 2)), 2));
    }

    [Fact]
    public void Who_has_lost_fences_on_where_the_formula_says_so()
    {
        var formula = new EliminationFormula { ThirdPlace = ThirdPlace.Bout, FencedPlaces = 8 };
        Assert.Equal([[2, 3]], FencerPath.Of(Tableau(4, formula, (1, 4, 4)), 1).Select(s => s.Opponents.ToArray()));
        // 5 has lost to 4 and fences for the places 5 to 8, first against the loser of 1 and 8.
        Assert.Equal([[1, 8], [2, 3, 6, 7]], FencerPath.Of(Tableau(8, formula, (4, 5, 4)), 5).Select(s => s.Opponents.ToArray()));
    }

    [Fact]
    public void Who_is_out_has_no_way_and_is_met_by_nobody()
    {
        var bouts = Tableau(4).Select(b => b.Id == "t4b1" ? b with { Left = b.Left with { Out = true }, Status = BoutStatus.Decided, Winner = b.Right } : b)
            .Select(b => b.Id == "t2b1" ? b with { Left = SeedSeat.Of(4) } : b).ToArray();
        Assert.Empty(FencerPath.Of(bouts, 1));
        Assert.Equal([[3], [4]], FencerPath.Of(bouts, 2).Select(s => s.Opponents.ToArray()));
    }

    public static TheoryData<int, int?, int?, int?, ThirdPlace> Shapes => new()
    {
        { 8, null, null, null, ThirdPlace.Bout },
        { 7, null, null, 8, ThirdPlace.Shared },
        { 8, 8, 4, null, ThirdPlace.Shared },
        { 6, 8, 4, null, ThirdPlace.Bout },
        { 8, 8, 2, null, ThirdPlace.Shared },
        { 5, 8, 2, null, ThirdPlace.Shared },
    };

    [Theory]
    [MemberData(nameof(Shapes))]
    public void Those_are_the_opponents_who_come_in_some_outcome_in_which_the_fencer_wins(
        int fencers, int? repechageFrom, int? repechageInto, int? fencedPlaces, ThirdPlace third)
    {
        var formula = new EliminationFormula { ThirdPlace = third, FencedPlaces = fencedPlaces, RepechageFrom = repechageFrom, RepechageInto = repechageInto };
        for (var seed = 1; seed <= fencers; seed++)
        {
            var met = new Dictionary<string, SortedSet<int>>();
            Follow(fencers, formula, seed, met);
            var path = FencerPath.Of(Tableau(fencers, formula), seed);
            Assert.Equal(
                met.OrderBy(m => m.Key).Select(m => $"{m.Key}: {string.Join(' ', m.Value)}"),
                path.Select(s => $"{s.Bout.Id}: {string.Join(' ', s.Opponents)}").Order());
        }
    }

    /// <summary>Goes through every outcome, bout by bout in the order of the plan, in which the fencer wins all of his.</summary>
    private static void Follow(int fencers, EliminationFormula formula, int seed, Dictionary<string, SortedSet<int>> met)
    {
        var plan = TableauPlan.For(fencers, formula);
        var seats = new Dictionary<(string, Side), int>();
        Next(0);

        // A seat with nobody in it is 0.
        void Next(int index)
        {
            if (index == plan.Length)
            {
                return;
            }

            var bout = plan[index];
            var (left, right) = bout.First is { } first
                ? (first.Left, first.Right ?? 0)
                : (seats.GetValueOrDefault((bout.Key, Side.Left)), seats.GetValueOrDefault((bout.Key, Side.Right)));
            if (left == 0 || right == 0)
            {
                Decide(left + right, 0);
            }
            else if (left == seed || right == seed)
            {
                (met.TryGetValue(bout.Key, out var opponents) ? opponents : met[bout.Key] = []).Add(left + right - seed);
                Decide(seed, left + right - seed);
            }
            else
            {
                Decide(left, right);
                Decide(right, left);
            }

            void Decide(int winner, int loser)
            {
                Send(bout.WinnerTo, winner);
                Send(bout.LoserTo, loser);
                Next(index + 1);
            }
        }

        void Send(SeatLink? link, int who)
        {
            if (link is not null)
            {
                seats[(link.BoutId, link.Side)] = who;
            }
        }
    }

    [Fact]
    public void Where_one_has_no_opponent_no_loser_comes_from()
    {
        // Of seven the first seed has a bye, so the loser of 4 and 5 has no opponent in the table for the places 5 to 8.
        var formula = new EliminationFormula { FencedPlaces = 8 };
        var last = Assert.Single(FencerPath.Of(Tableau(7, formula, (2, 7, 2), (3, 6, 3), (6, 7, 6)), 7));
        Assert.Equal("f7t2b1", last.Bout.Id);
        Assert.Empty(last.Opponents);
    }
}
