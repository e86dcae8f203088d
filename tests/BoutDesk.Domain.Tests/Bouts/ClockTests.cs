using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

public class ClockTests
{
    private const int ThreeMinutes = 180_000;

    [Fact]
    public void Before_anybody_touches_it_the_clock_stands_at_the_full_time()
    {
        var bout = InPool();
        Assert.Equal(new ClockReading(1, ThreeMinutes, null, Running: false, 0), bout.Clock);
        Assert.Equal(BoutPhase.Ready, bout.Phase);
        Assert.Equal(BoutPhase.Halted, bout.After("L").Phase);
        Assert.Equal(ThreeMinutes, bout.After("L").Clock.RemainingMs);
    }

    [Fact]
    public void A_start_is_kept_with_the_time_it_was_told_at()
    {
        Expect.Events(InPool().Decide("G10"), new ClockStarted(ThreeMinutes, Watch.AddSeconds(10)));
        Expect.Events(BoutDecider.StartClock(InPool(), 171_500, Watch), new ClockStarted(171_500, Watch));
        Assert.Equal(BoutPhase.Fencing, InPool().After("G10").Phase);
    }

    [Fact]
    public void A_halt_reckons_what_is_left_unless_the_phone_tells()
    {
        var running = InPool().After("G10");
        Expect.Events(running.Decide("H42"), new ClockHalted(148_000, Watch.AddSeconds(42)));
        Expect.Events(BoutDecider.HaltClock(running, 147_730, Watch.AddSeconds(42)), new ClockHalted(147_730, Watch.AddSeconds(42)));
        Assert.Equal(148_000, running.After("H42 G60").Clock.RemainingMs);
        Assert.Equal(138_000, running.After("H42 G60 H70").Clock.RemainingMs);
    }

    [Theory]
    [InlineData("G10 H9", ThreeMinutes)]
    [InlineData("G10 H9999", 0)]
    public void Clocks_that_differ_never_give_more_than_there_was_nor_less_than_nothing(string calls, int remaining) =>
        Assert.Equal(remaining, InPool().After(calls).Clock.RemainingMs);

    [Theory]
    [InlineData("", "H5")]
    [InlineData("G10 H42", "H50")]
    [InlineData("G10", "G12")]
    [InlineData("L L L L L", "H5")]
    public void What_is_told_twice_changes_nothing(string calls, string call) => Expect.Nothing(InPool().After(calls).Decide(call));

    [Fact]
    public void The_clock_is_set_and_stands()
    {
        var bout = InPool().After("G10").Kept(BoutDecider.SetClock(InPool().After("G10"), 65_000, Watch));
        Assert.Equal(65_000, bout.Clock.RemainingMs);
        Assert.False(bout.Clock.Running);
        Expect.Nothing(BoutDecider.SetClock(bout, 65_000, Watch));
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(3_600_001)]
    public void A_clock_shows_nothing_up_to_an_hour(int remaining)
    {
        Expect.Invalid("remainingMs", BoutDecider.StartClock(InPool(), remaining, Watch));
        Expect.Invalid("remainingMs", BoutDecider.HaltClock(InPool(), remaining, Watch));
        Expect.Invalid("remainingMs", BoutDecider.SetClock(InPool(), remaining, Watch));
        Expect.Invalid("remainingMs", BoutDecider.AtHalt(InPool(), remaining, Watch, bout => bout.Decide("L")));
        Expect.Accepted(BoutDecider.SetClock(InPool(), Math.Clamp(remaining, 0, ClockReading.MostMs), Watch));
    }

    [Theory]
    [InlineData(Weapon.Foil)]
    [InlineData(Weapon.Epee)]
    [InlineData(Weapon.Sabre)]
    public void A_touch_halts_the_clock(Weapon weapon)
    {
        var running = InPool(weapon).After("G10");
        Expect.Events(
            running.Decide("L@42"),
            new ClockHalted(148_000, Watch.AddSeconds(42)),
            new TouchScored(TouchSide.Left, new Score(1, 0), null));
        Assert.Equal(BoutPhase.Halted, running.After("L@42").Phase);
        // The library itself, when nobody says when.
        Assert.False(running.After("L").Clock.Running);
    }

    [Fact]
    public void A_touch_halts_the_clock_at_the_time_that_the_phone_shows() => Expect.Events(
        BoutDecider.AtHalt(InPool().After("G10"), 169_400, Watch.AddSeconds(20), bout => bout.Decide("R")),
        new ClockHalted(169_400, Watch.AddSeconds(20)),
        new TouchScored(TouchSide.Right, new Score(0, 1), null));

    [Theory]
    [InlineData("", 169_400)]
    [InlineData("G10 H20", 169_400)]
    [InlineData("G10 H20", null)]
    public void While_the_clock_stands_a_touch_leaves_it(string calls, int? told) => Expect.Events(
        BoutDecider.AtHalt(InPool().After(calls), told, Watch, bout => bout.Decide("R")),
        new TouchScored(TouchSide.Right, new Score(0, 1), null));

    [Fact]
    public void What_is_refused_leaves_the_clock_running()
    {
        var decision = BoutDecider.AtHalt(InPool().After("G10"), null, Watch, bout => bout.Decide("PL"));
        Expect.Refused(RefusalReason.PriorityNotDue, decision);
        Expect.Nothing(BoutDecider.AtHalt(InPool().After("G10"), null, Watch, _ => Decision.Nothing));
    }

    [Fact]
    public void A_touch_taken_back_leaves_the_clock_halted()
    {
        var bout = InPool().After("G10 L@42 -");
        Assert.Equal(148_000, bout.Clock.RemainingMs);
        Assert.Equal(BoutPhase.Halted, bout.Phase);
    }

    [Fact]
    public void Each_period_has_its_time_and_so_has_the_extra_minute()
    {
        var bout = InTableau().After("G0 T@180");
        Assert.Equal(new ClockReading(2, ThreeMinutes, null, Running: false, 0), bout.Clock);
        bout = bout.After("G240 H250 T T PL");
        Assert.Equal((4, 60_000), (bout.Clock.Period, bout.Clock.RemainingMs));
        Assert.Equal(BoutPhase.ExtraMinute, bout.Phase);
        Assert.Equal(BoutPhase.ExtraMinute, bout.After("G500").Phase);
    }

    [Fact]
    public void When_time_is_taken_back_the_clock_shows_what_was_left_in_that_period()
    {
        var bout = InTableau().After("G0 T@100 G200 H210");
        Assert.Equal(170_000, bout.Clock.RemainingMs);
        bout = bout.After("-t");
        Assert.Equal((1, 80_000), (bout.Clock.Period, bout.Clock.RemainingMs));
        // The clock of the period that was none is forgotten.
        Assert.Equal((2, ThreeMinutes), (bout.After("T").Clock.Period, bout.After("T").Clock.RemainingMs));
    }

    [Fact]
    public void While_priority_is_due_and_after_the_end_the_clock_is_not_started()
    {
        Expect.Refused(RefusalReason.PriorityMissing, InPool().After("T").Decide("G5"));
        Expect.Refused(RefusalReason.BoutDecided, InPool().After("L T").Decide("G5"));
        Expect.Refused(RefusalReason.BoutDecided, BoutDecider.SetClock(InPool().After("L T"), 5, Watch));
        Expect.Refused(RefusalReason.BoutNotReady, InTableau(right: Seat.Awaited).Decide("G5"));
    }

    [Fact]
    public void A_result_typed_in_stops_the_clock()
    {
        var bout = InPool().After("G10").Given(new ResultRecorded(new Score(5, 3), Side.Left));
        Assert.False(bout.Clock.Running);
        Assert.Equal(BoutPhase.Over, bout.Phase);
    }

    [Fact]
    public void A_bout_whose_time_is_fenced_has_begun_until_the_clock_is_back_at_the_full_time()
    {
        var bout = InPool().After("G10");
        Assert.Equal(BoutStatus.Fencing, bout.Status);
        Assert.False(bout.After("H12").Untouched);
        Assert.True(bout.After("H10").Untouched);
        bout = bout.Kept(BoutDecider.SetClock(bout, ThreeMinutes, Watch));
        Assert.Equal((BoutStatus.Open, BoutPhase.Ready, true), (bout.Status, bout.Phase, bout.Untouched));
    }

    [Fact]
    public void Other_fencers_begin_with_the_full_time()
    {
        var bout = InTableau().After("G0 H30");
        Assert.Equal(ThreeMinutes, bout.Given(new SeatTaken(Side.Left, new Seat("t-1-e9"))).Clock.RemainingMs);
        Assert.Equal(ThreeMinutes, bout.Given(new BoutCleared("others meet")).Clock.RemainingMs);
    }

    [Fact]
    public void A_time_that_cannot_be_is_told_as_such_also_when_the_bout_is_over()
    {
        var over = InPool().After("L T");
        Expect.Invalid("remainingMs", BoutDecider.StartClock(over, -1, Watch));
        Expect.Invalid("remainingMs", BoutDecider.HaltClock(over, -1, Watch));
        Expect.Invalid("remainingMs", BoutDecider.SetClock(over, -1, Watch));
    }
}
