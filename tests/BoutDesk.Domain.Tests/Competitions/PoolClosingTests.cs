using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Standings;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Closing a pool round: the ranking, lots among the tied, and who goes on.</summary>
public class PoolClosingTests
{
    [Fact]
    public void Victories_by_bouts_come_first_then_the_indicator_then_touches_scored()
    {
        // Worked out by hand: 1 and 2 won two bouts each, 3 and 4 one each.
        var ranking = Ranking(Of(4).DrawPools()
            .Wins(1, 2, 5, 3).Wins(1, 3, 5, 1).Wins(4, 1, 5, 4).Wins(2, 3, 5, 2).Wins(2, 4, 5, 4).Wins(3, 4, 5, 0)
            .ClosePools());
        Assert.Equal(
            [
                new RankedFencer(E(1), 1, new Tally(2, 3, 14, 9), false),
                new RankedFencer(E(2), 2, new Tally(2, 3, 13, 11), false),
                new RankedFencer(E(3), 3, new Tally(1, 3, 8, 10), false),
                new RankedFencer(E(4), 4, new Tally(1, 3, 9, 14), false),
            ],
            ranking);
    }

    [Fact]
    public void With_victories_and_indicator_equal_more_touches_scored_are_better()
    {
        var ranking = Ranking(Of(3).DrawPools().Wins(1, 2, 3, 2).Wins(2, 3, 5, 4).Wins(3, 1, 5, 4).ClosePools());
        // One victory and indicator 0 each: 7, 7 and 9 touches.
        Assert.Equal(E(3), ranking[0].EntrantId);
        Assert.Equal((1, false), (ranking[0].Place, ranking[0].Tied));
        Assert.All(ranking[1..], r => Assert.Equal((2, true), (r.Place, r.Tied)));
    }

    [Fact]
    public void The_ranking_goes_over_all_pools_of_the_round()
    {
        var day = Of(6, new Formula { Pools = new PoolFormula { SeparateBy = [] } }).DrawPools(count: 2);
        var (first, second) = (Pool(day, 0), Pool(day, 1));
        day.Wins(first[0], first[1], 5, 0).Wins(first[0], first[2], 5, 4).Wins(first[1], first[2], 5, 4);
        day.Wins(second[0], second[1], 5, 1).Wins(second[0], second[2], 5, 1).Wins(second[1], second[2], 5, 0);
        // Victories and indicators: 2 +6, 1 -4, 0 -2 in the first pool; 2 +8, 1 +1, 0 -9 in the second.
        Assert.Equal(
            [second[0], first[0], second[1], first[1], first[2], second[2]],
            Numbers(Ranking(day.ClosePools()).Select(r => r.EntrantId)));

        static int[] Pool(CompetitionDay day, int i) => Numbers(day.Competition.Rounds[0].Drawn.Pools[i].Fencers);
    }

    [Fact]
    public void Those_tied_share_the_place_and_their_order_is_drawn_by_a_lot_that_can_be_repeated()
    {
        var day = Cycle();
        string[] orders = [.. Enumerable.Range(0, 60).Select(seed => Order(day, seed))];
        Assert.Equal(6, orders.Distinct().Count());
        Assert.Equal(orders, Enumerable.Range(0, 60).Select(seed => Order(day, seed)));
        day.ClosePools(seed: 17);
        Assert.Equal(17, day.Competition.Rounds[0].Closed!.DrawSeed);
        Assert.All(Ranking(day), r => Assert.Equal((1, true), (r.Place, r.Tied)));

        static string Order(CompetitionDay day, long seed) =>
            string.Join(' ', Closed(day.Closing(seed)).Ranking.Select(r => r.EntrantId));
    }

    [Fact]
    public void A_round_is_not_closed_over_open_bouts()
    {
        var day = Of(4).DrawPools().Wins(1, 2, 5, 3);
        var open = Expect.Refused(RefusalReason.BoutsOpen, day.Closing()).Concerns;
        Assert.Equal(5, open.Length);
        Assert.DoesNotContain(day.Between(1, 2).Id, open);
        day.Keep(BoutDecider.ScoreTouch(day.Between(1, 3), TouchSide.Left, null));
        Assert.Contains(day.Between(1, 3).Id, Expect.Refused(RefusalReason.BoutsOpen, day.Closing()).Concerns);
    }

    [Fact]
    public void A_round_is_closed_once_and_only_when_drawn()
    {
        var day = Of(4);
        Expect.Refused(RefusalReason.StepMissing, PoolRoundDecider.Close(day.Competition, 1, [], new(1)));
        day.DrawPools().FenceAll().ClosePools();
        Expect.Refused(RefusalReason.AlreadyDone, day.Closing());
    }

    [Fact]
    public void Closing_confirms_the_results_that_only_touches_tell()
    {
        var day = Of(3).DrawPools().Wins(1, 2, 5, 0).Wins(1, 3, 5, 0);
        var bout = day.Between(2, 3).Id;
        for (var i = 0; i < 5; i++)
        {
            day.Keep(BoutDecider.ScoreTouch(day.Bouts[bout], TouchSide.Left, null));
        }

        Assert.Equal(3, Ranking(day.ClosePools()).Length);
        Assert.All(day.Bouts.Values, b => Assert.NotNull(b.Declared));
        Assert.Equal(new DeclaredResult(new Score(5, 0), Side.Left), day.Bouts[bout].Declared);
        Assert.Equal(
            [typeof(ResultRecorded), typeof(BoutSealed)],
            day.Facts.Where(f => f.StreamId == bout).Select(f => f.Event.GetType()).TakeLast(2));
    }

    [Fact]
    public void A_result_that_comes_after_closing_is_refused()
    {
        var day = Of(4).DrawPools().FenceAll();
        var bout = day.Between(1, 2);
        day.ClosePools();
        Expect.Refused(
            RefusalReason.RoundClosed,
            BoutDecider.RecordResult(day.Bouts[bout.Id], new Score(1, 0), Side.Left, Authority.Desk, "late"));
        Assert.All(day.RoundBouts(1).Values, b => Assert.True(b.Sealed));
    }

    [Theory]
    [InlineData(null, null, 7, 7)]
    [InlineData(100, null, 7, 7)]
    [InlineData(70, null, 7, 5)]
    [InlineData(50, null, 7, 4)]
    [InlineData(60, null, 5, 3)]
    [InlineData(80, null, 5, 4)]
    [InlineData(1, null, 7, 2)]
    [InlineData(1, null, 1, 1)]
    [InlineData(50, null, 0, 0)]
    [InlineData(null, 4, 7, 4)]
    [InlineData(null, 8, 7, 7)]
    public void A_share_that_goes_on_is_rounded_up_and_at_least_two_go_on(int? percent, int? count, int ranked, int goOn) =>
        Assert.Equal(goOn, new Promotion { Percent = percent, Count = count }.Of(ranked));

    [Fact]
    public void Who_goes_on_is_taken_from_the_top_of_the_ranking_behind_the_exempt()
    {
        var formula = new Formula { Pools = new PoolFormula { Exempt = 1, Promote = new Promotion { Percent = 50 } } };
        var day = Of(6, formula).DrawPools().FenceAll().ClosePools();
        Assert.Equal(3, day.Competition.Rounds[0].Closed!.Promoted);
        Assert.Equal([1, 2, 3, 4], Numbers(day.Competition.Rounds[0].GoOn));
        Assert.Equal(5, Ranking(day).Length);
    }

    [Fact]
    public void While_a_round_is_open_nobody_goes_on_yet() =>
        Assert.Empty(Of(4).DrawPools().FenceAll().Competition.Rounds[0].GoOn);

    private static CompetitionDay Cycle() => Of(3).DrawPools().Wins(1, 2, 5, 3).Wins(2, 3, 5, 3).Wins(3, 1, 5, 3);

    private static RankedFencer[] Ranking(CompetitionDay day) => [.. day.Competition.Rounds[^1].Closed!.Ranking];

    private static PoolRoundClosed Closed(Decision decision) => Expect.Accepted(decision).Facts.Select(f => f.Event).OfType<PoolRoundClosed>().Single();
}
