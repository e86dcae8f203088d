using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using Xunit;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>Possible places, worked out by hand.</summary>
public class PossiblePlacesTests
{
    [Fact]
    public void Before_the_first_bout_everybody_can_take_every_place() =>
        Places(Pool(4, "", "1-2 3-4 1-3 2-4 1-4 2-3"), "1-4 1-4 1-4 1-4");

    [Fact]
    public void After_the_last_bout_everybody_has_the_place_of_the_standings() =>
        Places(Pool(3, "1-2 5:1, 1-3 5:2, 2-3 5:4", ""), "1 2 3");

    [Fact]
    public void Who_is_tied_at_the_end_may_draw_any_of_the_places_shared() =>
        Places(Pool(3, "1-2 5:3, 2-3 5:3, 3-1 5:3", ""), "1-3 1-3 1-3");

    [Fact]
    public void Whoever_has_won_all_against_those_with_a_defeat_is_first() =>
        Places(Pool(4, "1-2 5:4, 1-3 5:4, 1-4 5:4", "2-3 2-4 3-4"), "1 2-4 2-4 2-4");

    [Fact]
    public void A_fencer_whose_bouts_are_over_moves_with_the_bouts_of_others() =>
        // Fencer 3 has one victory and 0. If 2 wins, 3 is second; if 1 wins 5:0, all three are tied; lower, 2 keeps first.
        Places(Pool(3, "3-1 5:0, 2-3 5:0", "1-2"), "1-3 1-3 1-3");

    [Fact]
    public void One_touch_can_settle_everything() =>
        // As above, but 1 cannot win higher than 5:1 any more, and so stays behind 3, and 2 ahead of him.
        Places(Pool(3, "3-1 5:0, 2-3 5:0", "1-2 0:1"), "3 1 2");

    [Theory]
    // Fencers 1, 2 and 3 have 1, 0 and 1 victories, and +1, -1 and 0. If 1 wins he is first, and 3 second. If 2 wins, each
    // has one victory: by nothing, 1 is first and 2 last; by one touch all three have 0 and the touches decide, for 3, or
    // for nobody at 5:4; by more, 2 is first and 1 last.
    [InlineData("1-2", "1-3 1-3 1-3")]
    [InlineData("1-2 2:2", "1-3 1-3 1-3")]
    [InlineData("1-2 2:2 time", "1-3 2-3 1-2")]
    [InlineData("1-2 2:2 left", "1-3 2-3 1-2")]
    [InlineData("1-2 4:4 time", "1-3 1-3 1-3")]
    [InlineData("1-2 4:3", "1-3 1-3 1-3")]
    [InlineData("1-2 3:4", "1-3 1-3 1-3")]
    public void An_open_bout_ends_as_its_score_and_time_allow(string open, string expected) =>
        Places(Pool(3, "1-3 5:4, 3-2 5:4", open), expected);

    [Fact]
    public void The_bouts_of_who_left_do_not_count() =>
        // Without fencer 3 there is one bout; his victories and defeats are as if they had not been.
        Places(Pool(3, "3-1 5:0, 2-3 5:0", "1-2", gone: [3]), "1-2 1-2 -");

    [Fact]
    public void A_fencer_who_is_left_alone_is_first() => Places(Pool(2, "1-2 5:0", "", gone: [1]), "- 1");

    [Fact]
    public void Over_pools_of_different_sizes_shares_of_victories_are_compared()
    {
        // Of the first pool 2 has won 2 of 2 with +4, of the second 1 has won 3 of 3 with +6: they are second and first. In the
        // second 2 and 3 meet for 2 of 3 and 1 of 3. Between these is whoever wins between 1 and 3 of the first, with 1 of 2.
        // Whoever loses it has no victory, as has 4 of the second: -2 or less, down to -7, against -6.
        var ranges = PossiblePlaces.InRound(
        [
            Pool(3, "2-1 5:3, 2-3 5:3", "1-3"),
            Pool(4, "1-2 5:3, 1-3 5:3, 1-4 5:3, 2-4 5:3, 3-4 5:3", "2-3"),
        ]);
        Assert.Equal("4-7 2 4-7", Text(ranges[0]));
        Assert.Equal("1 3-5 3-5 6-7", Text(ranges[1]));
    }

    [Fact]
    public void Ties_at_the_cut_are_for_the_lot()
    {
        // All three are tied, and two go on.
        var ranges = PossiblePlaces.InPool(Pool(3, "1-2 5:3, 2-3 5:3, 3-1 5:3", ""));
        Assert.All(ranges, r => Assert.Equal(Fate.Open, r!.Value.FateFor(new Promotion { Count = 2 }.Of(3))));
        Assert.All(ranges, r => Assert.Equal(Fate.Promoted, r!.Value.FateFor(new Promotion().Of(3))));
    }

    [Theory]
    [InlineData(2, 4, 4, Fate.Promoted)]
    [InlineData(2, 4, 3, Fate.Open)]
    [InlineData(2, 4, 2, Fate.Open)]
    [InlineData(2, 4, 1, Fate.Out)]
    [InlineData(1, 1, 0, Fate.Out)]
    public void The_worst_place_makes_certain_of_going_on_and_the_best_of_being_out(int best, int worst, int promoted, Fate expected) =>
        Assert.Equal(expected, new PlaceRange(best, worst, Exact: true).FateFor(promoted));

    [Fact]
    public void A_negative_number_cannot_go_on() =>
        Assert.Throws<ArgumentOutOfRangeException>("promoted", () => new PlaceRange(1, 1, Exact: true).FateFor(-1));

    [Fact]
    public void A_round_without_pools_has_no_places() => Assert.Empty(PossiblePlaces.InRound([]));

    [Fact]
    public void A_round_that_everybody_left_has_no_places() =>
        Assert.Equal(["- -", "- -"], PossiblePlaces.InRound([Pool(2, "", "1-2", [1, 2]), Pool(2, "", "1-2", [1, 2])]).Select(Text));

    [Fact]
    public void Too_many_fencers_in_question_make_a_range_that_is_marked_and_too_wide_rather_than_too_narrow()
    {
        // In a pool of 16 there are 120 victories for 15 bouts each. So 1 to 15 of them win more than half of their bouts,
        // and are ahead of three others who are tied with 1 victory in 2 bouts.
        var large = PossiblePlacesPools.WithOpenBouts(new DrawSeed(0).Lots(), fencers: 16, target: 5, open: 120);
        var small = Pool(3, "1-2 5:4, 2-3 5:4, 3-1 5:4", "");
        var range = PossiblePlaces.InRound([large, small])[1][0]!.Value;
        Assert.True(range.Best <= 2 && range.Worst >= 18, $"{range} is too narrow.");
        Assert.Equal(range is { Best: 2, Worst: 18 }, range.Exact);
    }

    private static void Places(PoolSoFar pool, string expected)
    {
        var ranges = PossiblePlaces.InPool(pool);
        Assert.All(ranges, r => Assert.True(r?.Exact ?? true));
        Assert.Equal(expected, Text(ranges));
    }

    /// <summary>The ranges of the positions in turn: a place, two places, or a dash for nobody.</summary>
    private static string Text(ImmutableArray<PlaceRange?> ranges) => string.Join(' ', ranges.Select(r => r switch
    {
        null => "-",
        { } range when range.Best == range.Worst => $"{range.Best}",
        { } range => $"{range.Best}-{range.Worst}",
    }));

    /// <summary>
    /// A pool to five: decided bouts with their scores, where the first named wins; open bouts, with a score if they have begun, and
    /// with <c>time</c>, <c>left</c> or <c>right</c> if time is up and priority not drawn or drawn.
    /// </summary>
    private static PoolSoFar Pool(int fencers, string decided, string open, int[]? gone = null) => new(
        fencers,
        5,
        [.. decided.Split(", ", StringSplitOptions.RemoveEmptyEntries).Select(text => text.Split(' ', '-', ':')).Select(b =>
            new DecidedBout(int.Parse(b[0]), int.Parse(b[1]), new Score(int.Parse(b[2]), int.Parse(b[3])), Side.Left))],
        OpenBouts(open),
        gone);

    private static List<OpenBout> OpenBouts(string text)
    {
        var bouts = new List<OpenBout>();
        foreach (var word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            if (word.Split('-') is [var left, var right])
            {
                bouts.Add(new OpenBout(int.Parse(left), int.Parse(right)));
                continue;
            }

            bouts[^1] = word.Split(':') is [var leftTouches, var rightTouches]
                ? bouts[^1] with { Score = new Score(int.Parse(leftTouches), int.Parse(rightTouches)) }
                : bouts[^1] with { TimeIsUp = true, Priority = word == "time" ? null : word == "left" ? Side.Left : Side.Right };
        }

        return bouts;
    }
}
