using BoutDesk.Domain.Bouts;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

public class ResultTests
{
    private static readonly Bout Confirmed = InPool().Given(new ResultRecorded(new Score(5, 3), Side.Left));

    [Theory]
    [InlineData(5, 0, Side.Left)]
    [InlineData(4, 5, Side.Right)]
    [InlineData(3, 2, Side.Left)]
    [InlineData(2, 2, Side.Right)]
    [InlineData(0, 0, Side.Left)]
    [InlineData(0, 1, Side.Right)]
    public void A_result_can_be_entered_without_touches(int left, int right, Side winner)
    {
        var decision = BoutDecider.RecordResult(InPool(), new Score(left, right), winner, Authority.Referee, null);
        Expect.Events(decision, new ResultRecorded(new Score(left, right), winner));
        var bout = InPool().Kept(decision);
        Assert.Equal(BoutStatus.Decided, bout.Status);
        Assert.Equal(winner, bout.Winner);
        Assert.Equal(new Score(left, right), bout.Score);
    }

    [Fact]
    public void The_result_of_the_touches_is_confirmed()
    {
        var bout = InPool().After("L L T");
        Expect.Events(
            BoutDecider.RecordResult(bout, bout.Score, Side.Left, Authority.Referee, null),
            new ResultRecorded(new Score(2, 0), Side.Left));
    }

    [Fact]
    public void Until_it_is_confirmed_the_referee_can_give_another_result_than_the_touches()
    {
        var bout = InPool().After("L L L L L");
        var decision = BoutDecider.RecordResult(bout, new Score(4, 5), Side.Right, Authority.Referee, null);
        Expect.Events(decision, new ResultRecorded(new Score(4, 5), Side.Right));
        Assert.Equal(Side.Right, bout.Kept(decision).Winner);
    }

    [Theory]
    [InlineData(Authority.Referee)]
    [InlineData(Authority.Desk)]
    public void The_same_result_again_changes_nothing(Authority authority) =>
        Expect.Nothing(BoutDecider.RecordResult(Confirmed, new Score(5, 3), Side.Left, authority, "again"));

    [Fact]
    public void The_same_result_again_changes_nothing_after_the_round_was_closed() => Expect.Nothing(
        BoutDecider.RecordResult(Confirmed.Given(new BoutSealed()), new Score(5, 3), Side.Left, Authority.Referee, null));

    [Fact]
    public void A_referee_does_not_correct_a_confirmed_result() => Expect.Refused(
        RefusalReason.DeskOnly,
        BoutDecider.RecordResult(Confirmed, new Score(5, 4), Side.Left, Authority.Referee, "miscounted"));

    [Fact]
    public void The_same_score_with_the_other_winner_is_a_correction()
    {
        var byPriority = InPool().Given(new ResultRecorded(new Score(2, 2), Side.Left));
        Expect.Refused(
            RefusalReason.DeskOnly,
            BoutDecider.RecordResult(byPriority, new Score(2, 2), Side.Right, Authority.Referee, null));
    }

    [Fact]
    public void The_desk_corrects_a_confirmed_result_and_says_why()
    {
        var decision = BoutDecider.RecordResult(Confirmed, new Score(3, 5), Side.Right, Authority.Desk, "sides exchanged");
        Expect.Events(decision, new ResultCorrected(new Score(3, 5), Side.Right, "sides exchanged"));
        Assert.Equal(Side.Right, Confirmed.Kept(decision).Winner);
    }

    [Fact]
    public void A_result_typed_in_for_the_wrong_bout_is_taken_back_and_the_bout_is_open()
    {
        var decision = BoutDecider.TakeBackResult(Confirmed, "wrong row");
        Expect.Events(decision, new ResultTakenBack("wrong row"));
        Assert.Equal(BoutStatus.Open, Confirmed.Kept(decision).Status);
    }

    [Fact]
    public void Taking_a_result_back_leaves_what_was_scored_at_the_strip()
    {
        var scored = InPool().After("L L R").Given(new ResultRecorded(new Score(5, 1), Side.Left));
        var again = scored.Kept(BoutDecider.TakeBackResult(scored, "misread"));
        Assert.Equal((BoutStatus.Fencing, new Score(2, 1)), (again.Status, again.Score));
    }

    [Fact]
    public void There_is_no_result_to_take_back_before_one_is_confirmed() =>
        Expect.Refused(RefusalReason.NothingToTakeBack, BoutDecider.TakeBackResult(InPool().After("L L L L L"), "misread"));

    [Fact]
    public void A_result_of_a_closed_round_is_not_taken_back() =>
        Expect.Refused(RefusalReason.RoundClosed, BoutDecider.TakeBackResult(Confirmed.Given(new BoutSealed()), "misread"));

    [Theory]
    [InlineData(5, 5, Side.Left, "left")]
    [InlineData(6, 3, Side.Left, "left")]
    [InlineData(-1, 5, Side.Right, "left")]
    [InlineData(3, 6, Side.Right, "right")]
    [InlineData(5, -1, Side.Left, "right")]
    [InlineData(5, int.MaxValue, Side.Left, "right")]
    [InlineData(3, 5, Side.Left, "winner")]
    [InlineData(1, 0, Side.Right, "winner")]
    public void A_result_that_cannot_be_is_refused_with_the_field_at_fault(int left, int right, Side winner, string field)
    {
        Expect.Invalid(field, BoutDecider.RecordResult(InPool(), new Score(left, right), winner, Authority.Desk, null));
        Assert.Equal(field, BoutDecider.WhyInvalid(InPool().Rules, new Score(left, right), winner)!.Field);
    }

    [Fact]
    public void Every_other_result_of_a_pool_bout_can_be()
    {
        // V5-D0 to V5-D4, V4-D3, …, V1-D0 by time, V4-D4 to V0-D0 by priority: 5 + 10 + 5 for each side.
        var possible =
            from left in Enumerable.Range(-1, 8)
            from right in Enumerable.Range(-1, 8)
            from winner in new[] { Side.Left, Side.Right }
            where BoutDecider.WhyInvalid(InPool().Rules, new Score(left, right), winner) is null
            select (left, right, winner);
        Assert.Equal(40, possible.Count());
    }
}
