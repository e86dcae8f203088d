using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Seeding;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

/// <summary>What is to be done next in a bout, and what a refusal tells to do.</summary>
public class NextStepTests
{
    private static readonly IBoutEvent Confirmed = new ResultRecorded(new Score(5, 2), Side.Left);
    private static readonly IBoutEvent Annulled = new BoutAnnulled("t-1-e1", "hurt");

    [Theory]
    [InlineData("", BoutStep.Fence)]
    [InlineData("L YR", BoutStep.Fence)]
    [InlineData("L ML", BoutStep.EndBreak)]
    [InlineData("L R T", BoutStep.DrawPriority)]
    [InlineData("L R T PL", BoutStep.Fence)]
    [InlineData("L T", BoutStep.ConfirmResult)]
    [InlineData("L L L L L", BoutStep.ConfirmResult)]
    public void While_it_is_fenced_the_bout_says_what_comes_next(string calls, BoutStep next) =>
        Assert.Equal(next, InPool().After(calls).Next);

    [Fact]
    public void Nothing_is_to_be_done_once_a_bout_is_confirmed_annulled_or_decided_without_fencing()
    {
        Assert.Equal(BoutStep.Nothing, InPool().Given(Confirmed).Next);
        Assert.Equal(BoutStep.Nothing, InPool().After("L").Given(Annulled).Next);
        Assert.Equal(BoutStep.Nothing, InTableau().Given(new FencerOut(Side.Left, "hurt")).Next);
    }

    [Fact]
    public void A_bout_that_waits_for_a_fencer_is_not_decided_without_fencing()
    {
        var waiting = InTableau(right: Seat.Awaited);
        Assert.Equal((BoutStatus.Waiting, BoutStep.Await, false), (waiting.Status, waiting.Next, waiting.Walkover));
        Assert.True(InTableau(right: Seat.Nobody).Walkover);
    }

    [Fact]
    public void A_bout_counts_its_events_from_one()
    {
        Assert.Equal(1, InPool().Version);
        Assert.Equal(4, InPool().After("L R -T").Version);
    }

    [Fact]
    public void A_refusal_tells_the_way_that_is_still_open()
    {
        Assert.Contains("Confirm the result", Told(InPool().After("L T")), StringComparison.Ordinal);
        Assert.Contains("Only the desk", Told(InPool().Given(Confirmed)), StringComparison.Ordinal);
        Assert.Contains("Only the desk", Told(InTableau().Given(new FencerOut(Side.Left, "hurt"))), StringComparison.Ordinal);
        Assert.Contains("Reinstate the fencer", Told(InPool().Given(Annulled)), StringComparison.Ordinal);
        Assert.Contains("even if the fencer comes back", Told(InPool().Given(Annulled, new BoutSealed())), StringComparison.Ordinal);
        Assert.Contains("Open the new draw", Told(InPool().Given(new BoutStruck("late entry"))), StringComparison.Ordinal);

        static string Told(Bout bout) => bout.Decide("L").Refusal!.Message;
    }

    [Fact]
    public void The_lot_for_priority_is_the_one_of_its_seed()
    {
        // The first value of the published generator from this start value is odd.
        var level = InPool().After("L R T");
        Expect.Events(BoutDecider.DrawPriority(level, null, new DrawSeed(1234567)), new PriorityDrawn(Side.Right, 1234567));
        Assert.Equal(Side.Right, level.Kept(BoutDecider.DrawPriority(level, null, new DrawSeed(1234567))).Course.Priority);
    }

    [Fact]
    public void The_end_is_noted_in_whole_milliseconds_so_that_it_reads_back_the_same()
    {
        var before = InPool();
        var moment = Watch.AddMilliseconds(1500);
        Assert.Equal(moment, BoutTimes.Note(before, before.Given(Confirmed), moment.AddTicks(4321)).EndedAt);
        Assert.Null(BoutTimes.Note(before, before.After("L"), moment).EndedAt);
    }

    [Fact]
    public void The_beginning_is_that_of_the_first_thing_recorded_and_a_result_alone_has_none()
    {
        var before = InPool();
        var begun = BoutTimes.Note(before, before.After("L"), Watch);
        Assert.Equal(Watch, begun.BegunAt);
        Assert.Equal(Watch, BoutTimes.Note(begun, begun.After("R"), Watch.AddMinutes(1)).BegunAt);
        Assert.Null(BoutTimes.Note(begun, before, Watch.AddMinutes(1)).BegunAt);
        Assert.Null(BoutTimes.Note(before, before.Given(Confirmed), Watch).BegunAt);
        Assert.Equal(Watch, BoutTimes.Note(begun, begun.Given(Confirmed), Watch.AddMinutes(5)).BegunAt);
    }
}
