using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Standings;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>
/// Who leaves a pool before its end: his bouts are annulled for his opponents too, as if he had not been there
/// (Organisation book, from memory).
/// </summary>
public class LeavingPoolsTests
{
    [Theory]
    [InlineData(Leaving.Withdrawn, EntrantStatus.Withdrawn)]
    [InlineData(Leaving.Absent, EntrantStatus.Absent)]
    [InlineData(Leaving.Excluded, EntrantStatus.Excluded)]
    public void All_bouts_of_the_leaver_are_annulled_for_the_opponents_too(Leaving leaving, EntrantStatus status)
    {
        var day = Of(4).DrawPools().Wins(4, 1, 5, 0).Wins(4, 2, 5, 0).Wins(1, 2, 5, 3).Wins(2, 3, 5, 3).Leaves(4, leaving);
        Assert.Equal(status, day.Entrant(4).Status);
        Assert.All(day.InPlay.Values.Where(b => b.SideOf(E(4)) is not null), b => Assert.Equal(BoutStatus.Annulled, b.Status));
        Assert.Equal(
            [(E(1), new Tally(1, 1, 5, 3)), (E(2), new Tally(1, 2, 8, 8)), (E(3), new Tally(0, 1, 3, 5))],
            Standings(day));
    }

    [Fact]
    public void The_standings_are_those_of_a_pool_without_the_leaver()
    {
        var with = Of(5).DrawPools().FenceAll().Leaves(3).ClosePools();
        var without = Of(5).Leaves(3).DrawPools().FenceAll().ClosePools();
        Assert.Equal(without.Competition.Rounds[0].Closed!.Ranking.AsEnumerable(), with.Competition.Rounds[0].Closed!.Ranking);
    }

    [Fact]
    public void Annulled_bouts_do_not_keep_the_round_open()
    {
        var day = Of(4).DrawPools().Wins(1, 2, 5, 0).Wins(1, 3, 5, 0).Wins(2, 3, 5, 0);
        Expect.Refused(RefusalReason.BoutsOpen, day.Closing());
        day.Leaves(4).ClosePools();
        Assert.Equal([1, 2, 3], Numbers(day.Competition.Rounds[0].Closed!.Ranking.Select(r => r.EntrantId)));
    }

    [Fact]
    public void Who_left_a_pool_has_no_place_and_is_not_in_the_tableau()
    {
        var day = Of(5).DrawPools().FenceAll().Leaves(2).ClosePools().DrawTableau().FenceAll();
        Assert.Equal([1, 3, 4, 5], Numbers(day.Competition.Tableau!.Seeds));
        Assert.Equal([1, 3, 4, 5], Numbers(day.Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void Of_two_leavers_one_comes_back_and_the_bout_between_them_stays_annulled()
    {
        var day = Of(4).DrawPools().FenceAll().Leaves(3).Leaves(4).Returns(3);
        Assert.Equal(BoutStatus.Decided, day.Between(1, 3).Status);
        Assert.Equal(BoutStatus.Annulled, day.Between(3, 4).Status);
        Assert.Equal(BoutStatus.Annulled, day.Between(1, 4).Status);
        Assert.Equal([2, 1, 0], Standings(day).Select(s => s.Tally.Victories));
        day.Returns(4);
        Assert.All(day.InPlay.Values, b => Assert.Equal(BoutStatus.Decided, b.Status));
        Assert.Equal([3, 2, 1, 0], Standings(day).Select(s => s.Tally.Victories));
    }

    [Fact]
    public void Who_comes_back_goes_on_from_the_touches_there_were()
    {
        var day = Of(4).DrawPools();
        day.Keep(BoutDecider.ScoreTouch(day.Between(1, 2), TouchSide.Left, null)).Leaves(2).Returns(2);
        Assert.Equal(BoutStatus.Fencing, day.Between(1, 2).Status);
        Assert.Equal(new Score(1, 0), day.Between(1, 2).Score);
    }

    [Fact]
    public void A_black_card_excludes_and_annuls()
    {
        var day = Of(4).DrawPools().Wins(1, 2, 5, 0);
        var decision = day.BlackCard(2, opponent: 3);
        var card = Assert.IsType<CardShown>(decision.Facts[0].Event);
        Assert.Equal((Card.Black, "brutality"), (card.Card, card.Reason));
        Assert.Equal(new EntrantExcluded(E(2), "brutality"), decision.Facts[1].Event);
        Assert.Equal(3, decision.Facts.Count(f => f.Event is BoutAnnulled));
        Assert.Equal(5, decision.Facts.Length);

        day.Keep(decision);
        Assert.Equal(EntrantStatus.Excluded, day.Entrant(2).Status);
        Assert.Equal([(E(1), default(Tally)), (E(3), default), (E(4), default)], Standings(day));
        Assert.Equal([1, 3, 4], Numbers(day.FenceAll().ClosePools().Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void Lifting_a_black_card_restores_the_bouts_and_the_bout_goes_on()
    {
        var day = Of(4).DrawPools();
        day.Keep(day.BlackCard(2, opponent: 3)).Returns(2);
        Assert.Equal(EntrantStatus.Entered, day.Entrant(2).Status);
        Assert.Equal(BoutStatus.Open, day.Between(2, 3).Status);
        Assert.All(day.InPlay.Values, b => Assert.Empty(b.AnnulledBy));
    }

    [Fact]
    public void No_black_card_is_shown_in_a_bout_that_is_over()
    {
        var day = Of(4).DrawPools().Wins(1, 2, 5, 0);
        Expect.Refused(RefusalReason.BoutDecided, day.BlackCard(2, opponent: 1));
    }

    [Fact]
    public void Leaving_twice_changes_nothing_and_only_exclusion_goes_further()
    {
        var day = Of(4).DrawPools().Leaves(4);
        Expect.Nothing(day.Leaving(4, Leaving.Withdrawn));
        Expect.Refused(RefusalReason.EntrantState, day.Leaving(4, Leaving.Absent));
        Expect.Events(day.Leaving(4, Leaving.Excluded), new EntrantExcluded(E(4), "as announced"));
        day.Leaves(4, Leaving.Excluded);
        Expect.Refused(RefusalReason.EntrantState, day.Leaving(4, Leaving.Withdrawn));
        day.Returns(4);
        Assert.Equal(BoutStatus.Open, day.Between(1, 4).Status);
    }

    [Fact]
    public void Who_has_not_left_cannot_come_back() => Expect.Nothing(Of(4).DrawPools().Reinstating(1));

    [Fact]
    public void Who_comes_back_after_the_round_was_closed_stays_out_of_its_ranking()
    {
        var day = Of(5).DrawPools().FenceAll().Leaves(2).ClosePools().Returns(2);
        Assert.Equal([1, 3, 4, 5], Numbers(day.Competition.Rounds[0].GoOn));
        Assert.Equal([1, 3, 4, 5], Numbers(day.DrawTableau().Competition.Tableau!.Seeds));
    }

    [Fact]
    public void Who_leaves_after_the_pools_keeps_his_rank_and_is_not_drawn()
    {
        var day = Of(5).DrawPools().FenceAll().ClosePools().Leaves(2);
        Assert.All(day.RoundBouts(1).Values, b => Assert.Equal(BoutStatus.Decided, b.Status));
        Assert.Equal([1, 2, 3, 4, 5], Numbers(day.Classification.Select(c => c.EntrantId)));
        day.DrawTableau().FenceAll();
        Assert.Equal([1, 3, 4, 5], Numbers(day.Competition.Tableau!.Seeds));
        // Those in the tableau come first; he follows as one who was not.
        Assert.Equal([1, 3, 4, 5, 2], Numbers(day.Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void Who_leaves_after_the_pools_and_comes_back_before_the_tableau_is_drawn()
    {
        var day = Of(4).DrawPools().FenceAll().ClosePools().Leaves(2).Returns(2);
        Assert.Equal([1, 2, 3, 4], Numbers(day.DrawTableau().Competition.Tableau!.Seeds));
    }

    [Fact]
    public void Who_is_excluded_after_the_pools_has_no_place_and_the_others_move_up()
    {
        var day = Of(5).DrawPools().FenceAll().ClosePools().Leaves(2, Leaving.Excluded);
        Assert.Equal([(1, 1), (2, 3), (3, 4), (4, 5)], day.Classification.Select(c => (c.Place, N(c.EntrantId))));
    }

    private static IEnumerable<(string EntrantId, Tally Tally)> Standings(CompetitionDay day) =>
        PoolRoundDecider.Tallies(day.Competition, day.Competition.Rounds[^1], day.InPlay.Values).OrderBy(t => N(t.EntrantId));
}
