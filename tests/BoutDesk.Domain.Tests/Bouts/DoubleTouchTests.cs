using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

/// <summary>Organisation book, o.17.1: épée double touches.</summary>
public class DoubleTouchTests
{
    [Theory]
    [InlineData(Weapon.Foil)]
    [InlineData(Weapon.Sabre)]
    public void Foil_and_sabre_know_no_double_touch(Weapon weapon) =>
        Assert.Equal("side", Expect.Refused(RefusalReason.NoDoubleTouch, InPool(weapon).Decide("D")).Field);

    [Fact]
    public void A_double_touch_counts_for_both()
    {
        var bout = InPool(Weapon.Epee).After("L D D");
        Assert.Equal(new Score(3, 2), bout.Score);
        Assert.Null(bout.Winner);
    }

    [Fact]
    public void At_four_all_a_double_touch_is_not_counted()
    {
        var bout = InPool(Weapon.Epee).After("D D D D D");
        Assert.Equal(new Score(4, 4), bout.Score);
        Assert.Null(bout.Winner);
        Assert.Equal(Side.Right, bout.After("D R").Winner);
        Assert.Equal(new Score(4, 5), bout.After("D R").Score);
    }

    [Fact]
    public void At_four_to_three_a_double_touch_ends_the_bout_five_to_four()
    {
        var bout = InPool(Weapon.Epee).After("L D D D D");
        Assert.Equal(new Score(5, 4), bout.Score);
        Assert.Equal(Side.Left, bout.Winner);
    }

    [Theory]
    [InlineData("L L L L R R R D", 5, 4, Side.Left)]
    [InlineData("R R R R D", 1, 5, Side.Right)]
    public void Who_reaches_the_target_with_a_double_touch_wins(string calls, int left, int right, Side winner)
    {
        var bout = InPool(Weapon.Epee).After(calls);
        Assert.Equal(new Score(left, right), bout.Score);
        Assert.Equal(winner, bout.Winner);
    }

    [Fact]
    public void In_a_bout_to_fifteen_the_level_score_that_stops_doubles_is_fourteen_all()
    {
        var bout = InTableau(Weapon.Epee).After(string.Join(' ', Enumerable.Repeat("D", 20)));
        Assert.Equal(new Score(14, 14), bout.Score);
        Assert.Equal(Side.Left, bout.After("L").Winner);
    }

    [Fact]
    public void A_double_touch_in_the_minute_after_priority_decides_nothing()
    {
        var bout = InPool(Weapon.Epee).After("D T PL D");
        Assert.Equal(new Score(1, 1), bout.Score);
        Assert.Null(bout.Winner);
        Assert.Equal(Side.Left, bout.After("T").Winner);
    }

    [Fact]
    public void Taking_a_double_touch_back_takes_both_touches_back() =>
        Assert.Equal(new Score(1, 0), InPool(Weapon.Epee).After("L D -T").Score);
}
