using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;
using static BoutDesk.Domain.Tests.Competitions.TableauTests;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>
/// Who does not appear or cannot go on in the elimination loses the bout and keeps his place; who is excluded loses
/// it and is struck from the classification (Organisation book, from memory).
/// </summary>
public class LeavingTableauTests
{
    [Theory]
    [InlineData(Leaving.Withdrawn)]
    [InlineData(Leaving.Absent)]
    public void The_opponent_goes_on_and_the_leaver_keeps_his_place(Leaving leaving)
    {
        var day = Of(4, NoPools).DrawTableau().Leaves(1, leaving);
        Assert.Equal(BoutStatus.Decided, day.Between(1, 4).Status);
        Assert.Equal(E(4), day.Between(1, 4).SeatOf(day.Between(1, 4).Winner!.Value).EntrantId);
        day.FenceAll();
        Assert.Equal([(1, 2), (2, 4), (3, 1), (3, 3)], day.Classification.Select(c => (c.Place, N(c.EntrantId))));
        Assert.True(Classification.IsFinal(day.Competition, [.. day.Tableau.Values]));
    }

    [Fact]
    public void Who_leaves_in_the_middle_of_a_bout_loses_it_whatever_the_score()
    {
        var day = Of(2, NoPools).DrawTableau();
        for (var i = 0; i < 3; i++)
        {
            day.Keep(day.After(BoutDecider.ScoreTouch(day.Between(1, 2), TouchSide.Left, null)));
        }

        day.Leaves(1);
        Assert.Equal(Side.Right, day.Between(1, 2).Winner);
        Assert.Equal(new Score(3, 0), day.Between(1, 2).Score);
        Expect.Refused(RefusalReason.BoutDecided, day.Result(1, 2, 15, 3));
        Expect.Refused(RefusalReason.BoutDecided, BoutDecider.TakeBackTouch(day.Between(1, 2)));
    }

    [Fact]
    public void Who_leaves_before_the_opponent_is_known_lets_him_through_when_he_is()
    {
        var day = Of(5, NoPools).DrawTableau().Leaves(1);
        Assert.Equal(BoutStatus.Waiting, day.Tableau.Values.Single(b => b is { TableOf: 4, Order: 1 }).Status);
        day.Wins(5, 4, 15, 10);
        Assert.Equal(BoutStatus.Decided, day.Between(1, 5).Status);
        Assert.Contains(day.Tableau.Values, b => b.TableOf == 2 && b.SideOf(E(5)) is not null);
        // He lost in the semi-final, ahead of the one who lost in the table of 8.
        Assert.Equal([2, 5, 1, 3, 4], Numbers(day.FenceAll().Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void The_second_to_leave_a_bout_has_gone_on_already_and_lets_the_next_opponent_through()
    {
        var day = Of(4, NoPools).DrawTableau().Leaves(1).Leaves(4).Wins(2, 3, 15, 0);
        Assert.Equal(BoutStatus.Decided, day.Between(4, 2).Status);
        Assert.Equal([2, 4, 1, 3], Numbers(day.Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void When_both_fencers_of_a_bout_are_out_nobody_comes_from_it()
    {
        // 4 has lost and left; then it turns out that 4 had won the bout against 5. The other one, 1, has left too.
        var day = Of(5, NoPools).DrawTableau().Wins(5, 4, 15, 10).Leaves(4).Leaves(1);
        Assert.Contains(day.Tableau.Values, b => b.TableOf == 2 && b.SideOf(E(5)) is not null);
        day.Keep(day.Result(4, 5, 15, 10));
        var semi = day.Between(1, 4);
        Assert.Equal((BoutStatus.Decided, null), (semi.Status, semi.Winner));
        Assert.Contains(day.Tableau.Values, b => b.TableOf == 2 && b.Left == Seat.Nobody);
        day.Wins(2, 3, 15, 2);
        var final = day.Tableau.Values.Single(b => b.TableOf == 2);
        Assert.Equal((BoutStatus.Decided, Side.Right), (final.Status, final.Winner));
        Assert.True(Classification.IsFinal(day.Competition, [.. day.Tableau.Values]));
        Assert.Equal(E(2), day.Classification[0].EntrantId);
    }

    [Fact]
    public void The_loser_of_a_semi_final_who_left_does_not_fence_for_third()
    {
        var day = Of(4, BoutForThird).DrawTableau().Leaves(1).Wins(2, 3, 15, 8);
        var third = day.Between(1, 3);
        Assert.Equal(BoutStatus.Decided, third.Status);
        Assert.Equal(E(3), third.SeatOf(third.Winner!.Value).EntrantId);
        Assert.Equal([(1, 2), (2, 4), (3, 3), (4, 1)], day.FenceAll().Classification.Select(c => (c.Place, N(c.EntrantId))));
    }

    [Fact]
    public void Who_leaves_before_the_bout_for_third_loses_that_one_only()
    {
        var day = Of(4, BoutForThird).DrawTableau().Wins(1, 4, 15, 8).Wins(2, 3, 15, 8).Leaves(3);
        Assert.Equal(BoutStatus.Decided, day.Between(4, 3).Status);
        Assert.Equal(BoutStatus.Open, day.Between(1, 2).Status);
        Assert.Equal([1, 2, 4, 3], Numbers(day.FenceAll().Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void A_black_card_ends_the_bout_excludes_and_seats_the_opponent()
    {
        var day = Of(4, NoPools).DrawTableau();
        var decision = day.BlackCard(1, opponent: 4);
        Assert.Equal(
            [typeof(CardShown), typeof(EntrantExcluded), typeof(SeatTaken)],
            decision.Facts.Select(f => f.Event.GetType()));
        day.Keep(decision).FenceAll();
        Assert.Equal(EntrantStatus.Excluded, day.Entrant(1).Status);
        Assert.Equal([(1, 2), (2, 4), (3, 3)], day.Classification.Select(c => (c.Place, N(c.EntrantId))));
    }

    [Fact]
    public void A_black_card_in_a_semi_final_leaves_no_bout_for_third()
    {
        var day = Of(4, BoutForThird).DrawTableau();
        day.Keep(day.BlackCard(1, opponent: 4)).Wins(2, 3, 15, 8);
        Assert.Equal(BoutStatus.Decided, day.Between(1, 3).Status);
        Assert.Equal([(1, 2), (2, 4), (3, 3)], day.FenceAll().Classification.Select(c => (c.Place, N(c.EntrantId))));
    }

    [Fact]
    public void Who_is_excluded_after_losing_is_struck_and_the_others_move_up()
    {
        var day = Of(8, NoPools).DrawTableau().FenceAll().Leaves(2, Leaving.Excluded);
        Assert.Equal(
            [(1, 1), (2, 3), (2, 4), (4, 5), (5, 6), (6, 7), (7, 8)],
            day.Classification.Select(c => (c.Place, N(c.EntrantId))));
        Assert.Equal(BoutStatus.Decided, day.Between(1, 2).Status);
    }

    [Fact]
    public void Exclusion_after_winning_a_bout_lets_the_next_opponent_through()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 4).Leaves(1, Leaving.Excluded);
        Assert.Equal(E(2), day.Between(1, 2).SeatOf(day.Between(1, 2).Winner!.Value).EntrantId);
        Assert.Equal([(1, 2), (2, 3), (2, 4)], day.Classification.Select(c => (c.Place, N(c.EntrantId))));
    }

    [Fact]
    public void Leaving_after_being_beaten_changes_no_bout()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3);
        Expect.Events(day.Leaving(4), new EntrantWithdrew(E(4), "as announced"));
    }

    [Fact]
    public void Who_comes_back_fences_the_bout_from_the_score_there_was()
    {
        var day = Of(2, NoPools).DrawTableau();
        day.Keep(day.After(BoutDecider.ScoreTouch(day.Between(1, 2), TouchSide.Left, null))).Leaves(1).Returns(1);
        Assert.Equal(BoutStatus.Fencing, day.Between(1, 2).Status);
        Assert.Equal(new Score(1, 0), day.Between(1, 2).Score);
    }

    [Fact]
    public void Who_comes_back_takes_the_seat_of_the_opponent_who_went_on()
    {
        var day = Of(4, NoPools).DrawTableau().Leaves(1).Returns(1);
        Assert.Equal(BoutStatus.Open, day.Between(1, 4).Status);
        Assert.All(day.Tableau.Values.Where(b => b.TableOf == 2), b => Assert.Equal(Seat.Awaited, b.Left));
        Assert.Equal([1, 2, 3, 4], Numbers(day.FenceAll().Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void Who_comes_back_after_the_opponent_has_begun_the_next_bout_has_that_cleared_only_when_the_desk_says_so()
    {
        var day = Of(4, NoPools).DrawTableau().Leaves(1).Wins(2, 3, 15, 3).Wins(2, 4, 15, 5);
        var final = day.Between(2, 4).Id;
        Assert.Equal(final, Assert.Single(Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Reinstating(1)).Concerns));
        Assert.StartsWith(
            "Bouts of the tableau cannot be kept when other fencers meet in them.",
            Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Reinstating(1, LaterDraws.Keep)).Message,
            StringComparison.Ordinal);
        day.Keep(day.Reinstating(1, LaterDraws.Scrap));
        Assert.Equal(BoutStatus.Open, day.Between(1, 4).Status);
        Assert.Equal(BoutStatus.Waiting, day.Bouts[final].Status);
        Assert.True(day.Bouts[final].Untouched);
    }

    [Fact]
    public void Lifting_a_black_card_lets_the_bout_go_on()
    {
        var day = Of(4, NoPools).DrawTableau();
        day.Keep(day.BlackCard(1, opponent: 4)).Returns(1);
        Assert.Equal(BoutStatus.Open, day.Between(1, 4).Status);
        Assert.False(day.Entrant(1).Gone);
        Assert.Equal([1, 2, 3, 4], Numbers(day.FenceAll().Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void Who_comes_back_before_the_opponent_is_known_waits_for_him_again()
    {
        var day = Of(5, NoPools).DrawTableau().Leaves(1).Returns(1).Wins(4, 5, 15, 2);
        Assert.Equal(BoutStatus.Open, day.Between(1, 4).Status);
    }

    [Fact]
    public void A_correction_seats_a_winner_who_has_left_as_out()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 14).Wins(2, 3, 15, 3).Leaves(4);
        day.Keep(day.Result(4, 1, 15, 14));
        Assert.Equal(BoutStatus.Decided, day.Between(4, 2).Status);
        Assert.Equal([2, 4, 1, 3], Numbers(day.Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void A_bout_cleared_by_a_correction_does_not_wait_for_a_fencer_who_has_left_since()
    {
        // 2 fenced the final, lost and left. Then another fencer comes into the final against 2.
        var day = Of(4, NoPools).DrawTableau().FenceAll().Leaves(2);
        day.Keep(day.Result(4, 1, 15, 14, LaterDraws.Scrap));
        var final = day.Between(4, 2);
        Assert.Equal(BoutStatus.Decided, final.Status);
        Assert.Equal(E(4), final.SeatOf(final.Winner!.Value).EntrantId);
    }

    [Fact]
    public void A_bout_reopened_by_a_touch_taken_back_does_not_wait_for_a_winner_who_has_left_since()
    {
        var day = Of(4, NoPools with { Elimination = new EliminationFormula { Touches = 1 } }).DrawTableau();
        day.Keep(day.After(BoutDecider.ScoreTouch(day.Between(1, 4), TouchSide.Left, null))).Leaves(1);
        day.Keep(day.After(BoutDecider.TakeBackTouch(day.Between(1, 4))));
        var semi = day.Between(1, 4);
        Assert.Equal(BoutStatus.Decided, semi.Status);
        Assert.Equal(E(4), semi.SeatOf(semi.Winner!.Value).EntrantId);
        Assert.Contains(day.Tableau.Values, b => b.TableOf == 2 && b.SideOf(E(4)) is not null);
    }
}
