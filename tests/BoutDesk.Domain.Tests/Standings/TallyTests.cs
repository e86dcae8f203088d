using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Tests.Bouts;
using Xunit;

namespace BoutDesk.Domain.Tests.Standings;

public class TallyTests
{
    [Fact]
    public void A_bout_is_seen_from_both_sides()
    {
        var bout = BoutScript.InPool().After("L L R T");
        Assert.Equal(new Tally(1, 1, 2, 1), default(Tally).With(bout, Side.Left));
        Assert.Equal(new Tally(0, 1, 1, 2), default(Tally).With(bout, Side.Right));
    }

    [Fact]
    public void A_victory_by_priority_counts_with_the_level_score()
    {
        var bout = BoutScript.InPool().After("L R T PR T");
        Assert.Equal(new Tally(0, 1, 1, 1), default(Tally).With(bout, Side.Left));
        Assert.Equal(new Tally(1, 1, 1, 1), default(Tally).With(bout, Side.Right));
    }

    [Theory]
    [InlineData("")]
    [InlineData("L L L L")]
    [InlineData("L R T PR")]
    public void A_bout_without_a_winner_does_not_count(string calls) =>
        Assert.Equal(default, default(Tally).With(BoutScript.InPool().After(calls), Side.Left));

    [Fact]
    public void An_annulled_bout_does_not_count()
    {
        var annulled = BoutScript.InPool().After("L L L L L").Given(new BoutAnnulled("t-1-e2", "injured"));
        Assert.Equal(default, default(Tally).With(annulled, Side.Left));
        Assert.Equal(default, default(Tally).With(annulled, Side.Right));
    }

    [Fact]
    public void The_ratio_decides_before_the_number_of_victories()
    {
        // Five of six are better than four of five, and two of three are as good as four of six.
        Better(new Tally(5, 6, 0, 30), new Tally(4, 5, 25, 0));
        Better(new Tally(2, 3, 15, 10), new Tally(4, 6, 30, 26));
        Better(new Tally(4, 6, 30, 24), new Tally(2, 3, 15, 10));
        // Ratios that agree in their first four digits.
        Better(new Tally(33334, 100000, 0, 0), new Tally(1, 3, 0, 0));
        Assert.Equal(0.3333m, new Tally(33334, 100000, 0, 0).VictoryRatio);
    }

    [Fact]
    public void The_indicator_decides_before_touches_scored()
    {
        Better(new Tally(2, 3, 9, 3), new Tally(2, 3, 15, 10));
        Better(new Tally(2, 3, 15, 10), new Tally(2, 3, 14, 9));
        Assert.Equal(0, new Tally(2, 3, 15, 10).CompareTo(new Tally(4, 6, 15, 10)));
    }

    [Fact]
    public void Without_a_bout_the_ratio_is_nought()
    {
        Assert.Equal(0m, default(Tally).VictoryRatio);
        Better(new Tally(1, 6, 10, 30), default);
        Better(default, new Tally(0, 6, 10, 30));
    }

    [Theory]
    [InlineData(0, 6, "0")]
    [InlineData(1, 3, "0.3333")]
    [InlineData(2, 3, "0.6667")]
    [InlineData(5, 5, "1")]
    public void The_ratio_is_shown_to_four_digits(int victories, int bouts, string shown) =>
        Assert.Equal(decimal.Parse(shown, System.Globalization.CultureInfo.InvariantCulture), new Tally(victories, bouts, 0, 0).VictoryRatio);

    [Fact]
    public void Tallies_of_two_rounds_add_up() =>
        Assert.Equal(new Tally(5, 9, 30, 32), new Tally(3, 5, 20, 15) + new Tally(2, 4, 10, 17));

    private static void Better(Tally better, Tally worse)
    {
        Assert.True(better.CompareTo(worse) < 0);
        Assert.True(worse.CompareTo(better) > 0);
        Assert.True(better < worse && better <= worse && !(better > worse) && !(better >= worse));
    }
}
