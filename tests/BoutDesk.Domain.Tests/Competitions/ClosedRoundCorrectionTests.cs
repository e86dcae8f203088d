using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>A mistake found after the round was closed.</summary>
public class ClosedRoundCorrectionTests
{
    [Fact]
    public void The_desk_is_asked_first_with_the_list_of_what_changes()
    {
        var day = Fenced(5);
        var refusal = Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Correction(2, 1, 5, 0, later: null));
        Assert.Equal(
            ["Rank 1: Fencer 2 instead of Fencer 1.", "Rank 2: Fencer 1 instead of Fencer 2."],
            Expect.Consequences(refusal));
    }

    [Fact]
    public void The_list_says_who_goes_on_instead_of_whom()
    {
        var day = Fenced(4, new Formula { Pools = new PoolFormula { Promote = new Promotion { Count = 2 } } });
        var refusal = Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Correction(3, 2, 5, 0, later: null));
        Assert.Equal(
            [
                "Rank 2: Fencer 3 instead of Fencer 2.", "Rank 3: Fencer 2 instead of Fencer 3.",
                "Fencer 3 goes on.", "Fencer 2 does not go on.",
            ],
            Expect.Consequences(refusal));
    }

    [Fact]
    public void The_list_says_so_when_no_rank_changes() => Assert.Equal(
        "Victories and touches change, but no rank does.",
        Assert.Single(Expect.Consequences(Expect.Refused(RefusalReason.CorrectionHasConsequences, Fenced(4).Correction(1, 2, 5, 4, later: null)))));

    [Fact]
    public void The_list_names_the_draws_made_from_the_ranking()
    {
        var day = Fenced(5, new Formula { Pools = new PoolFormula { Rounds = 2 } }).DrawPools();
        Assert.Equal("Pool round 2 was drawn from this ranking.", Expect.Consequences(Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Correction(2, 1, 5, 0, later: null)))[^1]);
        day.FenceAll().ClosePools().DrawTableau();
        Assert.Equal("The tableau was drawn from this ranking.", Expect.Consequences(Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Correction(2, 1, 5, 0, later: null, round: 2)))[^1]);
    }

    [Fact]
    public void Asking_changes_nothing()
    {
        var day = Fenced(5);
        var before = day.Facts.Count;
        day.Correction(2, 1, 5, 0, later: null);
        Assert.Equal(before, day.Facts.Count);
        Assert.Equal([1, 2, 3, 4, 5], Ranking(day));
    }

    [Fact]
    public void Kept_draws_stand_and_the_ranking_is_made_anew()
    {
        var day = Fenced(5).DrawTableau();
        var decision = day.Correction(2, 1, 5, 0, LaterDraws.Keep, seed: 99);
        Assert.Equal([typeof(ResultCorrected), typeof(RankingRevised)], decision.Facts.Select(f => f.Event.GetType()));
        var revised = (RankingRevised)decision.Facts[1].Event;
        Assert.Equal((1, 99, 5, "misread"), (revised.Round, revised.DrawSeed, revised.Promoted, revised.Reason));
        day.Keep(decision);
        Assert.Equal([2, 1, 3, 4, 5], Ranking(day));
        Assert.Equal([1, 2, 3, 4, 5], Numbers(day.Competition.Tableau!.Seeds));
        Assert.Equal(revised.BoutId, decision.Facts[0].StreamId);
        Assert.All(day.RoundBouts(1).Values, b => Assert.True(b.Sealed));
    }

    [Fact]
    public void A_kept_draw_counts_for_those_in_it_and_the_new_ranking_for_those_cut()
    {
        var day = Fenced(6, new Formula { Pools = new PoolFormula { Promote = new Promotion { Count = 2 } } }).DrawTableau().FenceAll();
        day.Keep(day.Correction(6, 4, 5, 0, LaterDraws.Keep)).Keep(day.Correction(6, 3, 5, 0, LaterDraws.Keep));
        Assert.Equal([1, 2], Numbers(day.Classification.Take(2).Select(c => c.EntrantId)));
        // Victories: 3 and 6 won two bouts each, 4 and 5 one each.
        Assert.Equal([3, 4, 5, 6], Numbers(day.Classification.Skip(2).Select(c => c.EntrantId)).Order());
        Assert.Equal([3, 6], Numbers(day.Classification.Skip(2).Take(2).Select(c => c.EntrantId)).Order());
    }

    [Fact]
    public void Scrapped_draws_are_drawn_anew_from_the_new_ranking()
    {
        var day = Fenced(5, new Formula { Pools = new PoolFormula { Rounds = 2 } }).DrawPools().FenceAll().ClosePools().DrawTableau();
        var tableau = day.Tableau.Keys.ToArray();
        // Round 2 was fenced, so only the tableau, where nobody has begun, can be scrapped.
        Expect.Refused(RefusalReason.BoutsBegun, day.Correction(2, 1, 5, 0, LaterDraws.Scrap, round: 1));
        day.Keep(day.Correction(2, 1, 5, 0, LaterDraws.Scrap, round: 2));
        Assert.Null(day.Competition.Tableau);
        Assert.Equal(2, day.Competition.Rounds.Length);
        Assert.All(tableau, id => Assert.True(day.Bouts[id].Struck));
        Assert.Equal([2, 1, 3, 4, 5], Numbers(day.DrawTableau().Competition.Tableau!.Seeds));
        Assert.Empty(tableau.Intersect(day.Tableau.Keys));
    }

    [Fact]
    public void A_later_round_that_has_not_begun_is_scrapped_with_the_correction()
    {
        var day = Fenced(5, new Formula { Pools = new PoolFormula { Rounds = 2 } }).DrawPools();
        day.Keep(day.Correction(2, 1, 5, 0, LaterDraws.Scrap));
        Assert.Single(day.Competition.Rounds);
        Assert.Equal([2, 1, 3, 4, 5], Numbers(day.DrawPools().Competition.Rounds[1].Drawn.Seeding));
    }

    [Fact]
    public void A_tableau_that_has_begun_is_not_scrapped_but_can_be_kept()
    {
        var day = Fenced(4).DrawTableau().Wins(1, 4, 15, 3);
        var refusal = Expect.Refused(RefusalReason.BoutsBegun, day.Correction(2, 1, 5, 0, LaterDraws.Scrap));
        Assert.Equal(day.Between(1, 4).Id, Assert.Single(refusal.Concerns));
        Assert.Contains("keep", refusal.Message, StringComparison.Ordinal);
        day.Keep(day.Correction(2, 1, 5, 0, LaterDraws.Keep));
        Assert.NotNull(day.Competition.Tableau);
    }

    [Theory]
    [InlineData(null)]
    [InlineData(LaterDraws.Keep)]
    [InlineData(LaterDraws.Scrap)]
    public void The_same_result_again_is_no_correction(LaterDraws? later) =>
        Expect.Nothing(Fenced(4).DrawTableau().Correction(1, 2, 5, 3, later));

    [Fact]
    public void A_correction_must_be_a_result_that_can_be() =>
        Expect.Refused(RefusalReason.InvalidValue, Fenced(4).Correction(1, 2, 6, 3, LaterDraws.Keep));

    [Fact]
    public void An_annulled_bout_of_a_closed_round_is_not_corrected()
    {
        var day = Of(5).DrawPools().FenceAll().Leaves(5).ClosePools();
        Expect.Refused(RefusalReason.BoutAnnulled, day.Correction(5, 1, 5, 0, LaterDraws.Keep));
    }

    [Fact]
    public void Who_left_after_closing_stays_in_the_new_ranking()
    {
        var day = Fenced(5).Leaves(3);
        day.Keep(day.Correction(2, 1, 5, 0, LaterDraws.Keep));
        Assert.Equal([2, 1, 3, 4, 5], Ranking(day));
    }

    [Fact]
    public void Lots_once_drawn_stand_when_the_correction_concerns_others()
    {
        foreach (var seed in Enumerable.Range(100, 30))
        {
            var day = Cycle(entrants: 5);
            foreach (var winner in new[] { 1, 2, 3 })
            {
                day.Wins(winner, 4, 5, 1).Wins(winner, 5, 5, 1);
            }

            int[] before = Ranking(day.Wins(4, 5, 5, 0).ClosePools(seed: 5));
            day.Keep(day.Correction(4, 5, 5, 4, LaterDraws.Keep, seed: seed));
            Assert.Equal([1, 1, 1, 4, 5], day.Competition.Rounds[0].Closed!.Ranking.Select(r => r.Place));
            Assert.Equal(before, Ranking(day));
        }
    }

    [Fact]
    public void Lots_once_drawn_stand_among_those_still_tied()
    {
        var day = Cycle().Wins(1, 4, 5, 1).Wins(2, 4, 5, 1).Wins(3, 4, 5, 1).ClosePools(seed: 5);
        var before = Ranking(day);
        // The second of the three wins higher; the other two are still tied, in the order of the first lot.
        day.Keep(day.Correction(before[1], 4, 5, 0, LaterDraws.Keep, seed: 31));
        Assert.Equal([before[1], before[0], before[2], 4], Ranking(day));
        Assert.Equal([1, 2, 2, 4], day.Competition.Rounds[0].Closed!.Ranking.Select(r => r.Place));
    }

    [Fact]
    public void Who_is_newly_tied_gets_his_place_by_lot_and_the_order_of_the_others_stands()
    {
        var positions = new HashSet<int>();
        foreach (var seed in Enumerable.Range(0, 60))
        {
            // 1 and 2 are tied, and 3 is behind them by touches until the correction.
            var day = Cycle().Wins(1, 4, 5, 1).Wins(2, 4, 5, 1).Wins(3, 4, 5, 2).ClosePools(seed: 8);
            var before = Ranking(day);
            Assert.Equal([1, 1, 3, 4], day.Competition.Rounds[0].Closed!.Ranking.Select(r => r.Place));

            day.Keep(day.Correction(3, 4, 5, 1, LaterDraws.Keep, seed: seed));
            Assert.Equal([1, 1, 1, 4], day.Competition.Rounds[0].Closed!.Ranking.Select(r => r.Place));
            var after = Ranking(day);
            Assert.Equal(before[..2], after.Where(n => n is 1 or 2));
            positions.Add(Array.IndexOf(after, 3));
        }

        Assert.Equal([0, 1, 2], positions.Order());
    }

    /// <summary>1 beats 2, 2 beats 3 and 3 beats 1, all by the same score.</summary>
    private static CompetitionDay Cycle(int entrants = 4) => Of(entrants).DrawPools().Wins(1, 2, 5, 3).Wins(2, 3, 5, 3).Wins(3, 1, 5, 3);

    private static CompetitionDay Fenced(int entrants, Formula? formula = null) => Of(entrants, formula).DrawPools().FenceAll().ClosePools();

    private static int[] Ranking(CompetitionDay day) => Numbers(day.Competition.Rounds[^1].Closed!.Ranking.Select(r => r.EntrantId));

    [Fact]
    public void The_desk_is_told_of_the_draws_there_were_and_of_no_others()
    {
        var day = Of(4, new Formula()).DrawPools().FenceAll().ClosePools().DrawTableau();
        var concerns = Expect.Consequences(Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Correction(4, 1, 5, 2, later: null)));
        Assert.Contains("The tableau was drawn from this ranking.", concerns);
        Assert.DoesNotContain(concerns, line => line.StartsWith("Pool round", StringComparison.Ordinal));
    }
}
