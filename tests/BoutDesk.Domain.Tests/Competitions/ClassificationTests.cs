using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;
using static BoutDesk.Domain.Tests.Competitions.TableauTests;

namespace BoutDesk.Domain.Tests.Competitions;

public class ClassificationTests
{
    [Fact]
    public void Winner_loser_of_the_final_two_thirds_then_by_table_and_seed()
    {
        var day = Of(8, NoPools).DrawTableau()
            .Wins(8, 1, 15, 3).Wins(4, 5, 15, 3).Wins(3, 6, 15, 3).Wins(7, 2, 15, 3)
            .Wins(8, 4, 15, 3).Wins(7, 3, 15, 3).Wins(8, 7, 15, 3);
        Assert.Equal(
            [(1, 8, 1), (2, 7, 2), (3, 3, 4), (3, 4, 4), (5, 1, 8), (6, 2, 8), (7, 5, 8), (8, 6, 8)],
            day.Classification.Select(c => (c.Place, N(c.EntrantId), c.Table!.Value)));
        Assert.All(day.Classification, c => Assert.Null(c.Round));
    }

    [Fact]
    public void A_bout_for_third_makes_a_third_and_a_fourth()
    {
        var day = Of(4, BoutForThird).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3);
        Assert.Equal([(1, 1), (2, 2), (3, 3), (4, 4)], Places(day));
        Assert.False(IsFinal(day));
        day.Wins(4, 3, 15, 14);
        Assert.Equal([(1, 1), (2, 2), (3, 4), (4, 3)], Places(day));
        Assert.False(IsFinal(day));
        day.Wins(2, 1, 15, 14);
        Assert.Equal([(1, 2), (2, 1), (3, 4), (4, 3)], Places(day));
        Assert.True(IsFinal(day));
    }

    [Fact]
    public void While_bouts_are_open_those_still_in_stand_ahead_of_those_who_lost_in_the_same_table()
    {
        var day = Of(8, NoPools).DrawTableau();
        Assert.Equal([1, 2, 3, 4, 5, 6, 7, 8], Order(day));
        day.Wins(8, 1, 15, 3);
        // 8 is in the semi-finals; the seven others are in the table of 8, where 1 has lost.
        Assert.Equal([8, 2, 3, 4, 5, 6, 7, 1], Order(day));
        Assert.Equal([1, 2, 3, 4, 5, 6, 7, 8], day.Classification.Select(c => c.Place));
    }

    [Fact]
    public void Losers_of_the_semi_finals_share_third_only_once_both_have_lost()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3);
        Assert.Equal([(1, 1), (2, 2), (3, 3), (4, 4)], Places(day));
        day.Wins(2, 3, 15, 3);
        Assert.Equal([(1, 1), (2, 2), (3, 3), (3, 4)], Places(day));
    }

    [Fact]
    public void Those_cut_after_the_pools_follow_by_the_ranking_and_share_places_where_they_are_tied()
    {
        var formula = new Formula { Pools = new PoolFormula { Promote = new Promotion { Count = 2 } } };
        // 1 and 2 beat everybody; 3, 4 and 5 beat each other in turn by the same score.
        var day = Of(6, formula).DrawPools()
            .Wins(1, 2, 5, 0).Wins(1, 3, 5, 0).Wins(1, 4, 5, 0).Wins(1, 5, 5, 0).Wins(1, 6, 5, 0)
            .Wins(2, 3, 5, 0).Wins(2, 4, 5, 0).Wins(2, 5, 5, 0).Wins(2, 6, 5, 0)
            .Wins(3, 4, 5, 3).Wins(4, 5, 5, 3).Wins(5, 3, 5, 3)
            .Wins(3, 6, 5, 0).Wins(4, 6, 5, 0).Wins(5, 6, 5, 0)
            .ClosePools();
        int[] expected = [1, 2, 3, 3, 3, 6];
        Assert.Equal(expected, day.Classification.Select(c => c.Place));
        day.DrawTableau().FenceAll();
        Assert.Equal(expected, day.Classification.Select(c => c.Place));
        Assert.Equal([1, 2], Order(day)[..2]);
        Assert.Equal([3, 4, 5], Order(day)[2..5].Order());
        Assert.Equal([null, null, 1, 1, 1, 1], day.Classification.Select(c => c.Round));
    }

    [Fact]
    public void Who_is_cut_by_lot_does_not_share_the_place_of_who_went_on()
    {
        var formula = new Formula { Pools = new PoolFormula { Promote = new Promotion { Count = 2 } } };
        var day = Of(3, formula).DrawPools().Wins(1, 2, 5, 3).Wins(2, 3, 5, 3).Wins(3, 1, 5, 3).ClosePools().DrawTableau().FenceAll();
        Assert.Equal([1, 2, 3], day.Classification.Select(c => c.Place));
        Assert.Equal(N(day.Competition.Rounds[0].Closed!.Ranking[2].EntrantId), Order(day)[2]);
    }

    [Fact]
    public void Before_any_round_is_closed_nobody_is_classified()
    {
        Assert.Empty(Of(4).Classification);
        Assert.Empty(Of(4).DrawPools().FenceAll().Classification);
    }

    [Fact]
    public void Between_pools_and_tableau_the_ranking_is_the_classification()
    {
        var formula = new Formula { Pools = new PoolFormula { Exempt = 1 } };
        var day = Of(5, formula).DrawPools().FenceAll().ClosePools();
        Assert.Equal([(1, 1), (2, 2), (3, 3), (4, 4), (5, 5)], Places(day));
        Assert.False(IsFinal(day));
    }

    [Fact]
    public void An_exempt_fencer_who_leaves_before_the_tableau_follows_those_in_it()
    {
        var formula = new Formula { Pools = new PoolFormula { Exempt = 1, Promote = new Promotion { Count = 2 } } };
        var day = Of(5, formula).DrawPools().FenceAll().Leaves(1).ClosePools().DrawTableau().FenceAll();
        Assert.Equal([(1, 2), (2, 3), (3, 1), (4, 4), (5, 5)], Places(day));
    }

    [Fact]
    public void Two_exempt_fencers_who_leave_are_not_tied()
    {
        var formula = new Formula { Pools = new PoolFormula { Exempt = 2 } };
        var day = Of(5, formula).DrawPools().FenceAll().Leaves(1).Leaves(2).ClosePools().DrawTableau().FenceAll();
        Assert.Equal([(1, 3), (2, 4), (3, 5), (4, 1), (5, 2)], Places(day));
    }

    private static IEnumerable<(int, int)> Places(CompetitionDay day) => day.Classification.Select(c => (c.Place, N(c.EntrantId)));

    private static int[] Order(CompetitionDay day) => Numbers(day.Classification.Select(c => c.EntrantId));

    private static bool IsFinal(CompetitionDay day) => Classification.IsFinal(day.Competition, [.. day.Tableau.Values]);
}
