using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Seeding;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

/// <summary>Organisation book, o.17: the end of a bout by time, and priority.</summary>
public class TimeAndPriorityTests
{
    [Theory]
    [InlineData("L L L R R T", 3, 2, Side.Left)]
    [InlineData("R T", 0, 1, Side.Right)]
    public void At_time_the_leader_wins_with_the_touches_there_are(string calls, int left, int right, Side winner)
    {
        var bout = InPool().After(calls);
        Assert.Equal(new Score(left, right), bout.Score);
        Assert.Equal(winner, bout.Winner);
        Assert.False(bout.Course.PriorityDue);
    }

    [Theory]
    [InlineData("T")]
    [InlineData("L R T")]
    public void At_time_with_the_score_level_priority_must_be_drawn_first(string calls)
    {
        var bout = InPool().After(calls);
        Assert.True(bout.Course.PriorityDue);
        Assert.Equal(BoutStatus.Fencing, bout.Status);
        Expect.Refused(RefusalReason.PriorityMissing, bout.Decide("L"));
        Expect.Refused(RefusalReason.PriorityMissing, bout.Decide("T"));
    }

    [Theory]
    [InlineData("L R T PL R", 1, 2, Side.Right)]
    [InlineData("L R T PL L", 2, 1, Side.Left)]
    [InlineData("T PR L", 1, 0, Side.Left)]
    public void In_the_minute_after_priority_the_first_touch_wins(string calls, int left, int right, Side winner)
    {
        var bout = InPool().After(calls);
        Assert.Equal(new Score(left, right), bout.Score);
        Assert.Equal(winner, bout.Winner);
    }

    [Theory]
    [InlineData("L L R R T PR T", 2, Side.Right)]
    [InlineData("T PL T", 0, Side.Left)]
    public void Without_a_touch_the_fencer_with_priority_wins_and_the_score_stays_level(string calls, int each, Side winner)
    {
        var bout = InPool().After(calls);
        Assert.Equal(new Score(each, each), bout.Score);
        Assert.Equal(winner, bout.Winner);
        Assert.Equal(BoutStatus.Decided, bout.Status);
    }

    [Theory]
    [InlineData("")]
    [InlineData("L R")]
    [InlineData("T PL")]
    public void Priority_is_not_drawn_before_it_is_due_nor_twice(string calls) =>
        Expect.Refused(RefusalReason.PriorityNotDue, InPool().After(calls).Decide("PR"));

    [Fact]
    public void Priority_drawn_by_hand_has_no_seed() => Expect.Events(
        BoutDecider.DrawPriority(InPool().After("T"), Side.Right, new DrawSeed(9)),
        new PriorityDrawn(Side.Right, null));

    [Fact]
    public void Priority_drawn_by_lot_is_kept_with_its_seed_and_can_be_repeated()
    {
        var due = InPool().After("T");
        PriorityDrawn[] drawn = [.. Enumerable.Range(0, 64).Select(seed => Lot(due, seed))];
        Assert.Equal(Enumerable.Range(0, 64).Select(seed => (long?)seed), drawn.Select(d => d.DrawSeed));
        Assert.Equal(drawn, Enumerable.Range(0, 64).Select(seed => Lot(due, seed)));
        // With a fair lot, one side in all 64 draws has a probability of 2 in 2^64.
        Assert.Contains(drawn, d => d.Side == Side.Left);
        Assert.Contains(drawn, d => d.Side == Side.Right);

        static PriorityDrawn Lot(Bout bout, long seed) =>
            Assert.IsType<PriorityDrawn>(Assert.Single(BoutDecider.DrawPriority(bout, null, new DrawSeed(seed)).Facts).Event);
    }

    [Fact]
    public void An_elimination_bout_goes_on_until_the_third_period_is_over()
    {
        var bout = InTableau().After("L");
        Assert.Equal(1, bout.Course.Period);
        bout = bout.After("T");
        Assert.Equal(2, bout.Course.Period);
        Assert.Null(bout.Winner);
        bout = bout.After("L T R");
        Assert.Equal(3, bout.Course.Period);
        Assert.Null(bout.Winner);
        bout = bout.After("T");
        Assert.Equal(Side.Left, bout.Winner);
        Assert.Equal(new Score(2, 1), bout.Score);
    }

    [Fact]
    public void Level_after_the_third_period_an_elimination_bout_needs_priority_too()
    {
        var bout = InTableau().After("L T R T");
        Assert.False(bout.Course.PriorityDue);
        bout = bout.After("T");
        Assert.True(bout.Course.PriorityDue);
        Assert.Equal(Side.Left, bout.After("PL T").Winner);
        Assert.Equal(new Score(1, 2), bout.After("PL R").Score);
        Assert.Equal(Side.Right, bout.After("PL R").Winner);
    }

    [Fact]
    public void A_red_card_shown_before_priority_is_drawn_decides_the_bout_because_the_score_is_no_longer_level()
    {
        var bout = InPool().After("L R T RL");
        Assert.Equal(new Score(1, 2), bout.Score);
        Assert.Equal(Side.Right, bout.Winner);
        Assert.False(bout.Course.PriorityDue);
    }

    [Fact]
    public void A_black_card_shown_before_priority_is_drawn_decides_the_bout()
    {
        var bout = InPool().After("L R T BR");
        Assert.Equal(Side.Left, bout.Winner);
        Assert.False(bout.Course.PriorityDue);
    }
}
