using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

public class TouchTests
{
    [Theory]
    [InlineData("L L L L L", 5, 0, Side.Left)]
    [InlineData("R R R R L R", 1, 5, Side.Right)]
    [InlineData("L R L R L R L R L", 5, 4, Side.Left)]
    public void The_fifth_touch_wins_a_pool_bout(string calls, int left, int right, Side winner)
    {
        var bout = InPool().After(calls);
        Assert.Equal(new Score(left, right), bout.Score);
        Assert.Equal(BoutStatus.Decided, bout.Status);
        Assert.Equal(winner, bout.Winner);
    }

    [Fact]
    public void The_fifteenth_touch_wins_an_elimination_bout()
    {
        var bout = InTableau().After("L L L L L L L L L L L L L L");
        Assert.Equal(BoutStatus.Fencing, bout.Status);
        Assert.Null(bout.Winner);
        Assert.Equal(Side.Left, bout.After("L").Winner);
    }

    [Fact]
    public void A_bout_is_open_until_the_first_touch_and_then_being_fenced()
    {
        Assert.Equal(BoutStatus.Open, InPool().Status);
        Assert.True(InPool().Untouched);
        var begun = InPool().After("L");
        Assert.Equal(BoutStatus.Fencing, begun.Status);
        Assert.False(begun.Untouched);
    }

    [Fact]
    public void A_touch_is_kept_with_the_score_after_it_and_the_time_of_the_device()
    {
        var at = new DateTimeOffset(2026, 5, 9, 10, 15, 0, TimeSpan.FromHours(2));
        Expect.Events(
            BoutDecider.ScoreTouch(InPool().After("L R"), TouchSide.Right, at),
            new TouchScored(TouchSide.Right, new Score(1, 2), at));
    }

    [Theory]
    [InlineData("L")]
    [InlineData("R")]
    [InlineData("T")]
    [InlineData("RL")]
    [InlineData("YR")]
    [InlineData("PL")]
    public void Nothing_is_scored_after_the_last_touch(string call) =>
        Expect.Refused(RefusalReason.BoutDecided, InPool().After("L L L L L").Decide(call));

    [Theory]
    [InlineData("L")]
    [InlineData("T")]
    [InlineData("BL")]
    public void Nothing_is_scored_after_a_confirmed_result(string call)
    {
        var confirmed = InPool().After("L").Given(new ResultRecorded(new Score(3, 2), Side.Left));
        Expect.Refused(RefusalReason.BoutDecided, confirmed.Decide(call));
    }

    [Fact]
    public void Nothing_is_scored_while_an_opponent_is_not_known()
    {
        var waiting = InTableau(right: Seat.Awaited);
        Assert.Equal(BoutStatus.Waiting, waiting.Status);
        Expect.Refused(RefusalReason.BoutNotReady, waiting.Decide("L"));
        Expect.Refused(RefusalReason.BoutNotReady, waiting.Decide("-T"));
        Expect.Refused(
            RefusalReason.BoutNotReady,
            BoutDecider.RecordResult(waiting, new Score(15, 2), Side.Left, Authority.Desk, null));
    }

    [Fact]
    public void Nothing_is_scored_in_a_bye()
    {
        var bye = InTableau(right: Seat.Nobody);
        Assert.Equal(BoutStatus.Decided, bye.Status);
        Assert.Equal(Side.Left, bye.Winner);
        Assert.Equal(new Score(0, 0), bye.Score);
        Expect.Refused(RefusalReason.BoutDecided, bye.Decide("L"));
        Expect.Refused(RefusalReason.BoutDecided, bye.Decide("-T"));
        Expect.Refused(
            RefusalReason.BoutDecided,
            BoutDecider.RecordResult(bye, new Score(15, 0), Side.Left, Authority.Desk, null));
    }

    [Fact]
    public void Nothing_is_scored_in_an_annulled_or_struck_bout()
    {
        var annulled = InPool().After("L").Given(new BoutAnnulled("t-1-e2", "injured"));
        Expect.Refused(RefusalReason.BoutAnnulled, annulled.Decide("L"));
        Expect.Refused(RefusalReason.BoutAnnulled, annulled.Decide("-T"));
        Expect.Refused(
            RefusalReason.BoutAnnulled,
            BoutDecider.RecordResult(annulled, new Score(5, 2), Side.Left, Authority.Desk, null));
        Expect.Refused(RefusalReason.BoutAnnulled, InPool().Given(new BoutStruck("drawn anew")).Decide("R"));
    }

    [Fact]
    public void Nothing_is_scored_after_the_round_was_closed()
    {
        var closed = InPool().After("L L T").Given(new BoutSealed());
        Expect.Refused(RefusalReason.RoundClosed, closed.Decide("L"));
        Expect.Refused(RefusalReason.RoundClosed, closed.Decide("-T"));
        Expect.Refused(
            RefusalReason.RoundClosed,
            BoutDecider.RecordResult(closed, new Score(5, 2), Side.Left, Authority.Desk, "mistake"));
    }

    [Fact]
    public void An_annulled_bout_has_no_winner_and_counts_again_when_restored()
    {
        var bout = InPool().After("L L L L L").Given(new BoutAnnulled("t-1-e1", "injured"), new BoutAnnulled("t-1-e2", "ill"));
        Assert.Null(bout.Winner);
        bout = bout.Given(new BoutRestored("t-1-e1"));
        Assert.Equal(BoutStatus.Annulled, bout.Status);
        bout = bout.Given(new BoutRestored("t-1-e2"));
        Assert.Equal(Side.Left, bout.Winner);
        Assert.Equal(new Score(5, 0), bout.Score);
    }

    [Fact]
    public void Deciding_leaves_the_bout_as_it_was()
    {
        var bout = InPool(Weapon.Epee).After("L D");
        var first = bout.Decide("D");
        var second = bout.Decide("D");
        Assert.Equal(first.Facts.AsEnumerable(), second.Facts.AsEnumerable());
        Assert.Equal(new Score(2, 1), bout.Score);
    }
}
