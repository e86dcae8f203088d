using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using Xunit;

namespace BoutDesk.Domain.Tests.Elimination;

public class CallingOrderTests
{
    private static readonly DateTimeOffset Noon = new(2026, 11, 28, 12, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Before_anything_is_fenced_the_first_table_is_called_from_the_top()
    {
        var calls = Calls(Tableau(8), strips: 2);
        Assert.Equal(["t8b1", "t8b2", "t8b3", "t8b4", "t4b1", "t4b2", "t2b1"], calls.Select(c => c.BoutId));
        Assert.Equal([true, true, true, true, false, false, false], calls.Select(c => c.CanBeCalled));
        // Bouts of 20 minutes on two strips. The second semi-final has its fencers at 40 and rested at 50, the final at 80.
        Assert.Equal([0, 0, 20, 20, 40, 50, 80], Minutes(calls));
        Assert.All(calls, c => Assert.Null(c.RestedAt));
    }

    [Fact]
    public void Nobody_is_called_before_his_ten_minutes_are_over_and_the_answer_says_when_they_are()
    {
        var bouts = Ended(Tableau(4, (1, 4, 1), (2, 3, 2)), ("t4b1", -3), ("t4b2", -8));
        var final = Assert.Single(Calls(bouts));
        Assert.Equal(("t2b1", false, Noon.AddMinutes(7), Noon.AddMinutes(7)), (final.BoutId, final.CanBeCalled, final.RestedAt, final.PlannedAt));
        Assert.True(Assert.Single(Calls(bouts, now: 7)).CanBeCalled);
        Assert.True(Assert.Single(Calls(bouts, rest: 3)).CanBeCalled);
    }

    [Fact]
    public void Earlier_tables_come_first_however_long_the_fencers_of_a_later_one_have_rested()
    {
        var bouts = Ended(Tableau(8, (1, 8, 1), (4, 5, 4)), ("t8b1", -60), ("t8b2", -60));
        Assert.Equal(["t8b3", "t8b4", "t4b1"], Calls(bouts, strips: 1).Where(c => c.CanBeCalled).Select(c => c.BoutId));
    }

    [Fact]
    public void A_bout_whose_winner_is_waited_for_comes_first_in_its_table()
    {
        var bouts = Ended(Tableau(8, (3, 6, 3)), ("t8b3", -1));
        Assert.Equal(["t8b4", "t8b1", "t8b2"], Calls(bouts, strips: 1).Where(c => c.CanBeCalled).Select(c => c.BoutId));
    }

    [Fact]
    public void In_one_table_those_who_have_rested_longest_come_first()
    {
        var bouts = Ended(
            Tableau(8, (1, 8, 1), (4, 5, 4), (3, 6, 3), (2, 7, 2)), ("t8b1", -20), ("t8b2", -30), ("t8b3", -25), ("t8b4", -24));
        var calls = Calls(bouts, strips: 1);
        Assert.Equal(["t4b2", "t4b1", "t2b1"], calls.Select(c => c.BoutId));
        Assert.Equal(Noon.AddMinutes(-14), calls[0].RestedAt);
    }

    [Fact]
    public void The_bout_for_third_is_called_after_the_bouts_that_others_wait_for()
    {
        var bouts = Tableau(8, new EliminationFormula { ThirdPlace = ThirdPlace.Bout, FencedPlaces = 8 }, (1, 8, 1), (4, 5, 4), (3, 6, 3), (2, 7, 2));
        // The four losers and the four winners are free. Their next bouts have one bout behind them each.
        Assert.Equal(
            [("t4b1", true), ("t4b2", true), ("f5t4b1", true), ("f5t4b2", true)],
            Calls(bouts).Take(4).Select(c => (c.BoutId, c.CanBeCalled)).OrderBy(c => c.BoutId[0] == 'f').ThenBy(c => c.BoutId));
        Assert.Equal(new[] { "f3t2b1", "f5t2b1", "f7t2b1", "t2b1" }, Calls(bouts).Skip(4).Select(c => c.BoutId).Order());
    }

    [Fact]
    public void A_bout_under_way_is_not_called_and_holds_its_strip()
    {
        ImmutableArray<SeededBout> bouts = [.. Tableau(4).Select(b => b.Id == "t4b1" ? b with { Status = BoutStatus.Fencing } : b)];
        var calls = Calls(bouts, strips: 1);
        Assert.Equal(["t4b2", "t2b1"], calls.Select(c => c.BoutId));
        Assert.Equal([true, false], calls.Select(c => c.CanBeCalled));
        Assert.Equal([20, 50], Minutes(calls));
    }

    [Fact]
    public void Whose_last_end_is_not_known_is_not_kept_waiting() =>
        Assert.True(Assert.Single(Calls(Tableau(4, (1, 4, 1), (2, 3, 2)))).CanBeCalled);

    [Fact]
    public void A_bye_is_no_bout_and_costs_no_rest()
    {
        // Five fencers: 1, 2 and 3 have byes, and 2 can fence 3 at once.
        var calls = Calls(Tableau(5));
        Assert.Equal(["t8b2", "t4b2", "t4b1", "t2b1"], calls.Select(c => c.BoutId));
        Assert.Equal([0, 0, 30, 60], Minutes(calls));
    }

    [Fact]
    public void Who_is_out_lets_the_opponent_through_without_a_bout_and_with_the_rest_he_has()
    {
        ImmutableArray<SeededBout> bouts =
        [
            .. Tableau(5).Select(b => b.Id == "t4b1" ? b with { Left = b.Left with { Out = true } } : b),
        ];
        var calls = Calls(bouts);
        Assert.Equal(["t8b2", "t4b2", "t2b1"], calls.Select(c => c.BoutId));
        Assert.Equal([0, 0, 30], Minutes(calls));
    }

    [Fact]
    public void Nothing_is_left_to_be_called_at_the_end() => Assert.Empty(Calls(Tableau(2, (1, 2, 2))));

    [Fact]
    public void Earlier_tables_come_first_also_when_an_opponent_waits_in_a_later_one()
    {
        // Of the upper half of a table of 16 one bout of the table of 8 is open, and the winner of the other waits for it.
        var upper = Tableau(16).Take(4).Select(b => (Left: b.Left.Seed!.Value, Right: b.Right.Seed!.Value)).ToArray();
        var bouts = Tableau(16, [.. upper.Select(b => (b.Left, b.Right, b.Left)), (upper[2].Left, upper[3].Left, upper[2].Left)]);
        Assert.Equal(["t16b5", "t16b6", "t16b7", "t16b8", "t8b1"], Calls(bouts, strips: 1).Where(c => c.CanBeCalled).Select(c => c.BoutId));
    }

    [Fact]
    public void Losers_who_fence_on_have_their_rest_too() => Assert.Equal(
        [("f3t2b1", 30), ("t2b1", 30), ("t4b1", 0), ("t4b2", 0)],
        Calls(Tableau(4, new EliminationFormula { ThirdPlace = ThirdPlace.Bout })).Select(c => (c.BoutId, Minutes([c])[0])).Order());

    [Fact]
    public void A_bout_to_which_only_one_comes_is_not_called_nor_one_to_which_nobody_comes()
    {
        // Of seven the first has a bye: nobody meets the loser of 4 and 5, and nobody comes from there to fence for seventh place.
        var calls = Calls(Tableau(7, new EliminationFormula { FencedPlaces = 8 }));
        Assert.Equal(["f5t2b1", "f5t4b2", "t2b1", "t4b1", "t4b2", "t8b2", "t8b3", "t8b4"], calls.Select(c => c.BoutId).Order());
    }

    [Fact]
    public void The_end_of_a_bout_is_that_of_its_fencing()
    {
        var bout = new Bout
        {
            Id = "b",
            CompetitionId = "c",
            Rules = new BoutRules(Weapon.Foil, 1, 1, 3),
            Left = new Seat("e1"),
            Right = new Seat("e2"),
        };
        Bout Then(IBoutEvent happened, int minute) => bout = BoutTimes.Note(bout, Bout.Evolve(bout, "b", happened), Noon.AddMinutes(minute));

        Assert.Null(Then(new StripAssigned("s"), 1).EndedAt);
        Assert.Equal(Noon.AddMinutes(2), Then(new TouchScored(TouchSide.Left, new Score(1, 0), null), 2).EndedAt);
        Assert.Null(Then(new TouchTakenBack(new Score(0, 0)), 3).EndedAt);
        Assert.Equal(Noon.AddMinutes(4), Then(new TouchScored(TouchSide.Right, new Score(0, 1), null), 4).EndedAt);
        Assert.Equal(Noon.AddMinutes(4), Then(new ResultRecorded(new Score(0, 1), Side.Right), 5).EndedAt);
        Assert.Equal(Noon.AddMinutes(4), Then(new ResultCorrected(new Score(1, 0), Side.Left, "misread"), 9).EndedAt);
        Assert.Null(Then(new BoutCleared("others"), 10).EndedAt);
        Assert.Null(Then(new FencerOut(Side.Left, "hurt"), 11).EndedAt);
    }

    [Fact]
    public void No_other_order_of_calling_ends_a_table_of_8_earlier()
    {
        var orders = Permutations([.. Enumerable.Range(0, 7)]).ToArray();
        Assert.Equal(5040, orders.Length);
        foreach (var strips in new[] { 1, 2, 3, 4 })
        {
            foreach (var (rest, length) in new[] { (0, 10), (10, 20), (10, 10), (10, 15), (20, 10), (25, 10) })
            {
                var planned = CallingOrder.Of(Tableau(8), Noon, new CallingRules(TimeSpan.FromMinutes(rest), TimeSpan.FromMinutes(length), strips));
                var best = orders.Min(order => LastBegin(order, strips, rest, length));
                Assert.Equal(best, Minutes(planned).Max());
            }
        }
    }

    internal static ImmutableArray<SeededBout> Tableau(int fencers, params (int, int, int)[] results) => Tableau(fencers, new EliminationFormula(), results);

    internal static ImmutableArray<SeededBout> Tableau(int fencers, EliminationFormula formula, params (int Left, int Right, int Winner)[] results)
    {
        var (bouts, refusal) = SeededTableau.Of(fencers, formula, [.. results.Select(r => new SeedResult(r.Left, r.Right, r.Winner))]);
        Assert.Null(refusal);
        return bouts;
    }

    private static ImmutableArray<SeededBout> Ended(IEnumerable<SeededBout> bouts, params (string Id, int Minute)[] ends) =>
    [
        .. bouts.Select(b => ends.Any(e => e.Id == b.Id) ? b with { EndedAt = Noon.AddMinutes(ends.Single(e => e.Id == b.Id).Minute) } : b),
    ];

    private static ImmutableArray<BoutCall> Calls(IReadOnlyList<SeededBout> bouts, int? strips = null, int now = 0, int rest = 10) =>
        CallingOrder.Of(bouts, Noon.AddMinutes(now), new CallingRules(TimeSpan.FromMinutes(rest), TimeSpan.FromMinutes(20), strips));

    private static int[] Minutes(IEnumerable<BoutCall> calls) => [.. calls.Select(c => (int)(c.PlannedAt - Noon).TotalMinutes)];

    /// <summary>When the final of a table of 8 begins if, whenever a strip is free, the first in this order that can be fenced is.</summary>
    private static int LastBegin(int[] order, int strips, int rest, int length)
    {
        // Bouts 0 to 3 are the table of 8, 4 and 5 the semi-finals, 6 the final.
        var begins = new int?[7];
        for (var minute = 0; ; minute += 5)
        {
            foreach (var bout in order)
            {
                var under = begins.Count(b => b is { } begin && begin + length > minute);
                if (begins[bout] is null && under < strips && Before(bout).All(b => begins[b] + length + rest <= minute))
                {
                    begins[bout] = minute;
                }
            }

            if (begins[6] is { } final)
            {
                return final;
            }
        }

        static int[] Before(int bout) => bout switch { 4 => [0, 1], 5 => [2, 3], 6 => [4, 5], _ => [] };
    }

    private static IEnumerable<int[]> Permutations(int[] items) => items.Length == 0
        ? [[]]
        : items.SelectMany(first => Permutations([.. items.Where(i => i != first)]).Select(rest => (int[])[first, .. rest]));
}
