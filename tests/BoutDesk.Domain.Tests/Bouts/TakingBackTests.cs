using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

public class TakingBackTests
{
    [Fact]
    public void The_last_touch_is_taken_back()
    {
        var bout = InPool().After("L R R");
        Expect.Events(bout.Decide("-T"), new TouchTakenBack(new Score(1, 1)));
        Assert.Equal(new Score(1, 0), bout.After("-T -T").Score);
    }

    [Fact]
    public void A_touch_too_many_is_refused_and_the_winning_touch_can_be_taken_back()
    {
        var over = InPool().After("L L L L L");
        Expect.Refused(RefusalReason.BoutDecided, over.Decide("L"));
        var again = over.After("-T");
        Assert.Equal(BoutStatus.Fencing, again.Status);
        Assert.Equal(new Score(4, 0), again.Score);
        Assert.Equal(Side.Left, again.After("R L").Winner);
    }

    [Theory]
    [InlineData("")]
    [InlineData("YL")]
    [InlineData("RL T")]
    public void Without_a_touch_there_is_none_to_take_back(string calls) =>
        Expect.Refused(RefusalReason.NothingToTakeBack, InPool().After(calls).Decide("-T"));

    [Fact]
    public void Taking_every_touch_back_leaves_the_bout_open_again()
    {
        var bout = InPool().After("L R -T -T");
        Assert.Equal(BoutStatus.Open, bout.Status);
        Expect.Refused(RefusalReason.NothingToTakeBack, bout.Decide("-T"));
    }

    [Fact]
    public void Cards_and_time_recorded_after_the_touch_stay()
    {
        var bout = InPool().After("L RR L T -T");
        // The red card to the right gave the left one more; 2:0 at time.
        Assert.Equal(new Score(2, 0), bout.Score);
        Assert.Equal(Side.Left, bout.Winner);
    }

    [Fact]
    public void A_touch_taken_back_can_make_the_score_at_time_level_and_priority_due()
    {
        var bout = InPool().After("L R L T");
        Assert.Equal(Side.Left, bout.Winner);
        bout = bout.After("-T");
        Assert.Null(bout.Winner);
        Assert.True(bout.Course.PriorityDue);
    }

    [Fact]
    public void The_touch_that_won_by_priority_can_be_taken_back_and_priority_stays()
    {
        var bout = InPool().After("L R T PR L -T");
        Assert.Equal(new Score(1, 1), bout.Score);
        Assert.Equal(Side.Right, bout.Course.Priority);
        Assert.Equal(Side.Right, bout.After("T").Winner);
    }

    [Fact]
    public void After_the_result_is_confirmed_only_the_desk_takes_anything_back()
    {
        var confirmed = InPool().After("L YL").Given(new ResultRecorded(new Score(1, 0), Side.Left));
        Expect.Refused(RefusalReason.DeskOnly, confirmed.Decide("-T"));
        Expect.Refused(RefusalReason.DeskOnly, confirmed.Decide("-C"));
    }

    [Fact]
    public void What_stands_after_the_end_does_not_count_when_something_before_it_is_taken_back()
    {
        // Four all by a red card; the double touch was not counted, and a single touch decided. Without the card it
        // was 4:3 when the double touch came: that ended the bout, and the touch after it came too late.
        var bout = InPool(Weapon.Epee).After("L L L L R R R RL D R");
        Assert.Equal(new Score(4, 5), bout.Score);
        bout = bout.After("-C");
        Assert.Equal(new Score(5, 4), bout.Score);
        Assert.Equal(Side.Left, bout.Winner);
    }

    [Fact]
    public void Priority_falls_away_when_the_score_at_time_was_not_level_after_all()
    {
        var bout = InPool().After("L R R L T PL RL");
        Assert.Equal(new Score(2, 3), bout.Score);
        // The last touch is the one that made it level; without it the right led at time.
        bout = bout.After("-T");
        Assert.Equal(new Score(1, 2), bout.Score);
        Assert.Equal(Side.Right, bout.Winner);
        Assert.Null(bout.Course.Priority);
    }

    [Fact]
    public void Time_that_had_not_run_out_is_taken_back()
    {
        Expect.Events(InTableau().After("L T").Decide("-t"), new TimeTakenBack());
        Assert.Equal(1, InTableau().After("L T -t").Course.Period);
        Assert.Null(InPool().After("L T -t").Winner);
        Expect.Refused(RefusalReason.NothingToTakeBack, InPool().After("L").Decide("-t"));
    }

    [Fact]
    public void Priority_falls_away_with_the_time_before_it_but_not_with_the_time_after_it()
    {
        var bout = InPool().After("L R T PL -t");
        Assert.Equal((BoutStatus.Fencing, false, (Side?)null), (bout.Status, bout.Course.PriorityDue, bout.Course.Priority));
        Assert.Equal(2, bout.Actions.Length);
        Assert.Equal(Side.Left, InPool().After("T PL T -t").Course.Priority);
    }

    [Fact]
    public void Priority_is_taken_back_and_drawn_again()
    {
        Expect.Events(InPool().After("T PL").Decide("-P"), new PriorityTakenBack());
        var bout = InPool().After("T PL -P");
        Assert.True(bout.Course.PriorityDue);
        Assert.Equal(Side.Right, bout.After("PR T").Winner);
        Expect.Refused(RefusalReason.NothingToTakeBack, bout.Decide("-P"));
    }

    [Theory]
    [InlineData("YL L", typeof(TouchTakenBack))]
    [InlineData("D", typeof(TouchTakenBack))]
    [InlineData("L RL", typeof(CardTakenBack))]
    [InlineData("L 2R", typeof(CardTakenBack))]
    [InlineData("YL T", typeof(TimeTakenBack))]
    [InlineData("T PL", typeof(PriorityTakenBack))]
    [InlineData("L ML", typeof(BreakTakenBack))]
    [InlineData("L G5 H9", typeof(TouchTakenBack))]
    public void The_last_of_whatever_kind_is_taken_back(string calls, Type takenBack) =>
        Assert.IsType(takenBack, Assert.Single(Expect.Accepted(InPool(Weapon.Epee).After(calls).Decide("-")).Facts).Event);

    [Fact]
    public void The_last_is_not_taken_back_where_it_is_not_there_or_not_for_the_referee()
    {
        Expect.Refused(RefusalReason.NothingToTakeBack, InPool().Decide("-"));
        Expect.Refused(RefusalReason.NothingToTakeBack, InPool().After("G5").Decide("-"));
        Expect.Refused(RefusalReason.DeskOnly, InPool().After("L BL").Decide("-"));
        Expect.Refused(RefusalReason.DeskOnly, InPool().After("L").Given(new ResultRecorded(new Score(1, 0), Side.Left)).Decide("-"));
        Expect.Refused(RefusalReason.BoutNotReady, InTableau(right: Seat.Awaited).Decide("-"));
    }
}
