using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

/// <summary>Pauses between periods, the break of sabre, and medical breaks: Books 1 and 2, from memory.</summary>
public class BreakTests
{
    [Theory]
    [InlineData("T", BoutPhase.Pause, 2)]
    [InlineData("T T", BoutPhase.Pause, 3)]
    [InlineData("T YL RL", BoutPhase.Pause, 2)]
    [InlineData("T L", BoutPhase.Halted, 2)]
    [InlineData("T G5", BoutPhase.Fencing, 2)]
    [InlineData("T G5 H9", BoutPhase.Halted, 2)]
    [InlineData("T T T", BoutPhase.Halted, 3)]
    [InlineData("L T T T", BoutPhase.Over, 3)]
    public void A_minute_lies_between_two_periods(string calls, BoutPhase phase, int period)
    {
        var bout = InTableau().After(calls);
        Assert.Equal((phase, period), (bout.Phase, bout.Course.Period));
        Assert.Equal(phase == BoutPhase.Pause, bout.Interval is not null);
        Assert.Equal(phase == BoutPhase.Pause ? BoutStep.EndBreak : bout.Next, bout.Next);
    }

    [Fact]
    public void A_pause_lasts_a_minute_from_the_halt_that_ended_the_period()
    {
        var pause = InTableau().After("G0 H179 T").Interval!.Value;
        Assert.Equal((60_000, Watch.AddSeconds(179)), (pause.LengthMs, pause.Since!.Value));
        Assert.Null(InTableau().After("T").Interval!.Value.Since);
    }

    [Fact]
    public void At_eight_touches_the_first_period_of_sabre_is_over()
    {
        var seven = InTableau(Weapon.Sabre).After("L L L L L L L R R R R R R R");
        Assert.Equal((1, BoutPhase.Halted), (seven.Course.Period, seven.Phase));
        var eight = seven.After("R");
        Assert.Equal((2, BoutPhase.SabreBreak, BoutStep.EndBreak), (eight.Course.Period, eight.Phase, eight.Next));
        Assert.Equal(60_000, eight.Interval!.Value.LengthMs);
        Assert.Equal(BoutPhase.Halted, eight.After("L").Phase);
        Assert.Equal(2, eight.After("L L").Course.Period);
        Assert.Equal((1, BoutPhase.Halted), (eight.After("-").Course.Period, eight.After("-").Phase));
    }

    [Theory]
    [InlineData("L L L L L L L RR")]
    [InlineData("1R L L L L L L L 1R")]
    public void The_eighth_touch_can_come_from_a_red_card(string calls) =>
        Assert.Equal(BoutPhase.SabreBreak, InTableau(Weapon.Sabre).After(calls).Phase);

    [Fact]
    public void When_time_ended_the_first_period_sabre_has_no_further_break_at_eight()
    {
        var bout = InTableau(Weapon.Sabre).After("L T L L L L L L L");
        Assert.Equal((8, 2, BoutPhase.Halted), (bout.Score.Left, bout.Course.Period, bout.Phase));
    }

    [Theory]
    [InlineData(Weapon.Foil)]
    [InlineData(Weapon.Epee)]
    public void Foil_and_epee_fence_on_at_eight(Weapon weapon)
    {
        var bout = InTableau(weapon).After("L L L L L L L L");
        Assert.Equal((1, BoutPhase.Halted), (bout.Course.Period, bout.Phase));
    }

    [Theory]
    [InlineData(15, 3, 8, true)]
    [InlineData(15, 3, 7, false)]
    [InlineData(10, 2, 5, true)]
    [InlineData(10, 2, 4, false)]
    [InlineData(5, 1, 3, false)]
    public void Half_of_the_target_is_rounded_up_and_one_period_has_no_half(int target, int periods, int touches, bool half)
    {
        Assert.Equal(half, new BoutRules(Weapon.Sabre, target, periods, 3).IsSabreHalf(touches));
        Assert.False(new BoutRules(Weapon.Foil, target, periods, 3).IsSabreHalf(touches));
    }

    [Fact]
    public void A_medical_break_is_noted_with_its_side_and_begin()
    {
        Expect.Events(
            BoutDecider.TakeBreak(InPool(), Side.Right, BreakKind.Medical, Watch),
            new BreakTaken(Side.Right, BreakKind.Medical, Watch));
        var bout = InPool().After("L MR");
        Assert.Equal(BoutPhase.MedicalBreak, bout.Phase);
        Assert.Equal(new BoutInterval(BoutPhase.MedicalBreak, 1, Side.Right, Watch), bout.Interval);
        Assert.Equal(300_000, bout.Interval!.Value.LengthMs);
        Assert.Equal(new Score(1, 0), bout.Score);
    }

    [Theory]
    [InlineData("MR L")]
    [InlineData("MR G5")]
    [InlineData("MR G5 H9")]
    [InlineData("MR L -B")]
    public void A_medical_break_ends_when_fencing_goes_on(string calls) => Assert.Null(InPool().After(calls).Interval);

    [Fact]
    public void A_second_break_is_noted_too_since_the_referee_decides() =>
        Assert.Equal(2, InPool().After("ML G5 H9 ML").Actions.Count(a => a.Kind == BoutActionKind.Break));

    [Fact]
    public void A_break_is_taken_back_and_a_bout_that_is_over_has_none()
    {
        Expect.Events(InPool().After("MR L").Decide("-B"), new BreakTakenBack());
        Expect.Refused(RefusalReason.NothingToTakeBack, InPool().After("L").Decide("-B"));
        Expect.Refused(RefusalReason.BoutDecided, InPool().After("L T").Decide("ML"));
        Assert.Equal(BoutPhase.Pause, InTableau().After("T ML -").Phase);
    }

    [Fact]
    public void A_clock_that_is_only_set_or_halted_does_not_end_a_break()
    {
        var bout = InPool().After("L ML");
        Assert.Equal(BoutPhase.MedicalBreak, bout.Kept(BoutDecider.SetClock(bout, 60_000, Watch)).Phase);
        Assert.Equal(BoutPhase.MedicalBreak, bout.Kept(BoutDecider.HaltClock(bout, 61_000, Watch)).Phase);
    }

    [Fact]
    public void A_break_counts_from_the_actions_that_are_left_when_something_was_taken_back_before_it() =>
        Assert.Equal(BoutPhase.MedicalBreak, InPool().After("L L G5 H9 -T ML").Phase);

    [Fact]
    public void A_red_card_that_ends_the_bout_during_a_break_ends_the_break() =>
        Assert.Null(InPool().After("L L L L MR RR").Course.Interval);
}
