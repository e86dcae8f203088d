using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;
using static BoutDesk.Domain.Tests.Competitions.TableauTests;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>A result of the elimination is corrected, before and after the bouts that follow from it have begun.</summary>
public class TableauCorrectionTests
{
    [Fact]
    public void The_same_winner_with_another_score_changes_nothing_later()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3).Wins(1, 2, 15, 3);
        Expect.Events(day.Result(1, 4, 15, 13), new ResultCorrected(new Score(15, 13), Side.Left, "misread"));
    }

    [Fact]
    public void The_same_result_again_changes_nothing() =>
        Expect.Nothing(Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Result(1, 4, 15, 3));

    [Fact]
    public void The_other_winner_takes_the_seat_in_a_next_bout_that_has_not_begun()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3).Wins(4, 1, 15, 14);
        Assert.Equal(BoutStatus.Open, day.Between(4, 2).Status);
        Assert.DoesNotContain(day.Tableau.Values, b => b.TableOf == 2 && b.SideOf(E(1)) is not null);
    }

    [Fact]
    public void Both_the_final_and_the_bout_for_third_change()
    {
        var day = Of(4, BoutForThird).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3).Wins(4, 1, 15, 14);
        Assert.Equal(1, day.Between(4, 2).Stage!.FromPlace);
        Assert.Equal(3, day.Between(1, 3).Stage!.FromPlace);
    }

    [Fact]
    public void Once_the_next_bout_has_begun_the_desk_is_asked_with_every_later_bout_concerned()
    {
        var day = Of(8, BoutForThird).DrawTableau().FenceAll();
        var (semi, final, third) = (day.Between(1, 4), day.Between(1, 2), day.Between(4, 3));
        var before = day.Facts.Count;
        var refusal = Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Result(8, 1, 15, 14));
        Assert.Equal(new[] { semi.Id, final.Id, third.Id }.Order(StringComparer.Ordinal), refusal.Concerns);
        var kept = Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Result(8, 1, 15, 14, LaterDraws.Keep));
        Assert.StartsWith("Bouts of the tableau cannot be kept", kept.Message, StringComparison.Ordinal);
        Assert.StartsWith("Other fencers would meet", refusal.Message, StringComparison.Ordinal);
        Assert.Equal(before, day.Facts.Count);
    }

    [Fact]
    public void A_next_bout_that_has_begun_is_cleared_when_the_desk_says_so()
    {
        var day = Of(8, BoutForThird).DrawTableau().FenceAll();
        day.Keep(day.Result(8, 1, 15, 14, LaterDraws.Scrap));
        Assert.Equal(BoutStatus.Open, day.Between(8, 4).Status);
        Assert.True(day.Between(8, 4).Untouched);
        // The other half stands; its winner and loser wait again.
        Assert.Equal(BoutStatus.Decided, day.Between(2, 3).Status);
        Assert.Equal(2, day.Tableau.Values.Count(b => b.TableOf == 2 && b.Status == BoutStatus.Waiting && b.Untouched));
        Assert.Equal([2, 4, 3, 8], Numbers(day.FenceAll().Classification.Take(4).Select(c => c.EntrantId)));
    }

    [Fact]
    public void A_bout_with_only_cards_has_begun_too()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3);
        day.Keep(day.After(BoutDecider.ShowCard(day.Between(1, 2), Side.Left, Card.Yellow, "covers the target")));
        Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Result(4, 1, 15, 14));
    }

    [Fact]
    public void A_winning_touch_taken_back_empties_the_seat_in_the_next_bout()
    {
        var day = Decided(out var bout);
        Assert.Equal(BoutStatus.Open, day.Between(1, 2).Status);
        day.Keep(day.After(BoutDecider.TakeBackTouch(day.Bouts[bout])));
        Assert.Equal(BoutStatus.Fencing, day.Bouts[bout].Status);
        Assert.Equal(BoutStatus.Waiting, day.Tableau.Values.Single(b => b.TableOf == 2).Status);
    }

    [Fact]
    public void A_winning_touch_is_not_taken_back_unasked_once_the_next_bout_has_begun()
    {
        var day = Decided(out var bout);
        day.Keep(day.After(BoutDecider.ScoreTouch(day.Between(1, 2), TouchSide.Left, null)));
        var final = day.Between(1, 2).Id;
        var refusal = Expect.Refused(RefusalReason.CorrectionHasConsequences, day.After(BoutDecider.TakeBackTouch(day.Bouts[bout])));
        Assert.Equal(final, Assert.Single(refusal.Concerns));
    }

    [Fact]
    public void Repeating_the_result_of_a_bout_that_is_corrected_twice_comes_back_to_where_it_was()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3).Wins(4, 1, 15, 14).Wins(1, 4, 15, 3);
        Assert.Equal(BoutStatus.Open, day.Between(1, 2).Status);
        Assert.Equal([1, 2, 3, 4], Numbers(day.FenceAll().Classification.Select(c => c.EntrantId)));
    }

    /// <summary>A semi-final to two touches, decided by touches alone; 2 waits in the final.</summary>
    private static CompetitionDay Decided(out string bout)
    {
        var day = Of(4, NoPools with { Elimination = new EliminationFormula { Touches = 2 } }).DrawTableau().Wins(2, 3, 2, 0);
        bout = day.Between(1, 4).Id;
        for (var i = 0; i < 2; i++)
        {
            day.Keep(day.After(BoutDecider.ScoreTouch(day.Bouts[bout], TouchSide.Left, null)));
        }

        return day;
    }
}
