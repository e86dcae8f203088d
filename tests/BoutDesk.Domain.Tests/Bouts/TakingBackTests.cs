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
}
