using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Who is drawn into pools, in what order, and what is put on the programme.</summary>
public class PoolDrawTests
{
    [Fact]
    public void Seeding_is_by_ranking_and_the_unranked_come_last() =>
        Assert.Equal([5, 3, 1, 4, 2], Seeding(Ranked([3, null, 2, 11, 1])));

    [Fact]
    public void Equal_rankings_are_ordered_by_lot_among_the_equals_only()
    {
        var orders = Enumerable.Range(0, 60).Select(seed => Seeding(Ranked([2, 1, 2, 5, 2], null), seed)).ToArray();
        Assert.All(orders, order => Assert.Equal((2, 4), (order[0], order[4])));
        // Six orders of three equals, each about ten times in sixty draws.
        Assert.Equal(6, orders.Select(o => string.Join(' ', o)).Distinct().Count());
    }

    [Fact]
    public void The_unranked_are_ordered_by_lot() =>
        Assert.Equal(6, Enumerable.Range(0, 60).Select(seed => string.Join(' ', Seeding(Ranked([null, null, null]), seed))).Distinct().Count());

    [Fact]
    public void A_draw_keeps_its_seed_and_comes_out_the_same_from_it()
    {
        var first = Drawn(Ranked(new int?[17]).DrawPools(seed: 42));
        var second = Drawn(Ranked(new int?[17]).DrawPools(seed: 42));
        Assert.Equal(42, first.DrawSeed);
        Assert.Equal(first.Seeding.AsEnumerable(), second.Seeding);
        Assert.Equal(first.Pools.SelectMany(p => p.Fencers), second.Pools.SelectMany(p => p.Fencers));
    }

    [Theory]
    [InlineData(7, null, 1)]
    [InlineData(10, 2, 2)]
    [InlineData(21, 3, 3)]
    [InlineData(31, 5, 5)]
    public void Everybody_is_in_one_pool_and_meets_everybody_there_once(int entrants, int? count, int pools)
    {
        var day = Of(entrants).DrawPools(count: count);
        var drawn = Drawn(day);
        Assert.Equal(pools, drawn.Pools.Length);
        Assert.Equal(Enumerable.Range(1, pools), drawn.Pools.Select(p => p.Number));
        Assert.Equal(Enumerable.Range(1, entrants), Numbers(drawn.Pools.SelectMany(p => p.Fencers)).Order());
        foreach (var pool in drawn.Pools)
        {
            var bouts = day.Bouts.Values.Where(b => b.PoolId == pool.Id).ToArray();
            var expected =
                from a in pool.Fencers
                from b in pool.Fencers
                where string.CompareOrdinal(a, b) < 0
                select (a, b);
            Assert.Equal(expected.Order(), bouts.Select(Pair).Order());
            Assert.Equal(Enumerable.Range(1, bouts.Length), bouts.Select(b => b.Order).Order());
        }

        static (string, string) Pair(Bout bout) => string.CompareOrdinal(bout.Left.EntrantId, bout.Right.EntrantId) < 0
            ? (bout.Left.EntrantId!, bout.Right.EntrantId!)
            : (bout.Right.EntrantId!, bout.Left.EntrantId!);
    }

    [Fact]
    public void Sizes_of_pools_differ_by_at_most_one_and_follow_the_size_asked_for()
    {
        Assert.Equal([5, 5], Sizes(Of(10).DrawPools(size: 5)));
        Assert.Equal([5, 6, 6], Sizes(Of(17).DrawPools(count: 3)));
        Assert.Equal([6, 6], Sizes(Of(12, new Formula { Pools = new PoolFormula { Size = 6 } }).DrawPools()));

        static IEnumerable<int> Sizes(CompetitionDay day) => Drawn(day).Pools.Select(p => p.Fencers.Length).Order();
    }

    [Fact]
    public void Pool_bouts_are_fenced_by_the_pool_part_of_the_formula()
    {
        var formula = new Formula { Pools = new PoolFormula { Touches = 4, Minutes = 2 } };
        var day = Of(4, formula, Weapon.Epee).DrawPools();
        Assert.All(day.Bouts.Values, b => Assert.Equal(new BoutRules(Weapon.Epee, 4, 1, 2), b.Rules));
        Assert.All(day.Bouts.Values, b => Assert.Equal((1, BoutStatus.Open), (b.Round, b.Status)));
    }

    [Fact]
    public void What_was_spread_is_kept_with_the_draw()
    {
        var formula = new Formula { Pools = new PoolFormula { SeparateBy = [AffiliationKind.Country, AffiliationKind.Club] } };
        Assert.Equal(
            [AffiliationKind.Country, AffiliationKind.Club],
            Drawn(Of(9, formula).DrawPools(count: 2)).Separation.Select(s => s.Kind));
        Assert.Empty(Drawn(Of(9, new Formula { Pools = new PoolFormula { SeparateBy = [] } }).DrawPools(count: 2)).Separation);
    }

    [Fact]
    public void Without_check_in_all_who_were_entered_are_drawn()
    {
        Assert.Equal([1, 2, 3, 4], Seeding(Of(4)));
        Assert.Equal([1, 3, 4, 5], Seeding(Of(5).Leaves(2)));
    }

    [Fact]
    public void With_check_in_everybody_must_be_checked_in_or_marked_absent_first()
    {
        var day = Of(6).ChecksIn(1, 2, 4, 5);
        Assert.Equal([3, 6], Numbers(Expect.Refused(RefusalReason.CheckInOpen, day.PoolDraw()).Concerns));
        day.ChecksIn(3);
        Expect.Refused(RefusalReason.CheckInOpen, day.PoolDraw());
        day.Leaves(6, Leaving.Absent);
        Assert.Equal([1, 2, 3, 4, 5], Seeding(day));
    }

    [Fact]
    public void Who_is_marked_absent_and_comes_after_all_is_checked_in_and_drawn()
    {
        var day = Of(4).ChecksIn(1, 2, 3).Leaves(4, Leaving.Absent).ChecksIn(4);
        Assert.Equal([1, 2, 3, 4], Seeding(day));
    }

    [Theory]
    [InlineData(Leaving.Withdrawn)]
    [InlineData(Leaving.Excluded)]
    [InlineData(Leaving.Absent)]
    public void Taking_a_leaving_back_is_no_check_in(Leaving leaving)
    {
        // Nobody was checked in, so the competition does without, and a mistake taken back does not change that.
        var day = Of(4).Leaves(2, leaving).Returns(2);
        Assert.Equal([1, 2, 3, 4], Seeding(day));
    }

    [Fact]
    public void With_check_in_who_comes_back_counts_as_checked_in()
    {
        var day = Of(4).ChecksIn(1, 2, 3, 4).Leaves(2).Returns(2);
        Assert.Equal(EntrantStatus.CheckedIn, day.Entrant(2).Status);
        Assert.Equal([1, 2, 3, 4], Seeding(day));
    }

    [Fact]
    public void The_best_seeds_can_be_exempt()
    {
        var drawn = Drawn(Of(8, new Formula { Pools = new PoolFormula { Exempt = 2 } }).DrawPools());
        Assert.Equal([1, 2], Numbers(drawn.Exempt));
        Assert.Equal([3, 4, 5, 6, 7, 8], Numbers(drawn.Seeding));
        Assert.Equal([3, 4, 5, 6, 7, 8], Numbers(drawn.Pools.SelectMany(p => p.Fencers)).Order());
    }

    [Fact]
    public void A_round_is_not_drawn_twice()
    {
        var day = Of(4).DrawPools();
        Expect.Refused(RefusalReason.AlreadyDone, day.PoolDraw());
        day.FenceAll().ClosePools();
        Expect.Refused(RefusalReason.AlreadyDone, day.PoolDraw());
        day.DrawTableau();
        Expect.Refused(RefusalReason.AlreadyDone, day.PoolDraw());
    }

    [Fact]
    public void A_competition_without_pool_rounds_draws_none() =>
        Expect.Refused(RefusalReason.AlreadyDone, Of(4, new Formula { Pools = new PoolFormula { Rounds = 0 } }).PoolDraw());

    [Fact]
    public void A_pool_needs_three_fencers()
    {
        Expect.Refused(RefusalReason.TooFewFencers, Of(0).PoolDraw());
        Expect.Refused(RefusalReason.TooFewFencers, Of(2).PoolDraw());
        Expect.Refused(RefusalReason.TooFewFencers, Of(3).Leaves(1).PoolDraw());
        Expect.Refused(RefusalReason.TooFewFencers, Of(4, new Formula { Pools = new PoolFormula { Exempt = 2 } }).PoolDraw());
        Expect.Refused(RefusalReason.TooFewFencers, Of(4, new Formula { Pools = new PoolFormula { Exempt = 9 } }).PoolDraw());
        Assert.Equal([1, 2, 3], Seeding(Of(3)));
    }

    [Fact]
    public void A_draw_can_be_scrapped_until_a_bout_has_begun()
    {
        var day = Of(6).DrawPools();
        var bout = day.Between(1, 2);
        day.Keep(BoutDecider.ScoreTouch(bout, TouchSide.Left, null));
        Assert.Equal(bout.Id, Assert.Single(Expect.Refused(RefusalReason.BoutsBegun, Scrap(day)).Concerns));
        day.Keep(BoutDecider.TakeBackTouch(day.Between(1, 2))).Keep(Scrap(day));
        Assert.Equal(Stage.Entries, day.Competition.Stage);
        Assert.Empty(day.Competition.Rounds);
        Expect.Refused(RefusalReason.BoutAnnulled, BoutDecider.ScoreTouch(day.Bouts[bout.Id], TouchSide.Left, null));
    }

    [Fact]
    public void A_new_draw_takes_no_identifier_of_a_scrapped_one()
    {
        var day = Of(6).DrawPools();
        string[] pools = [.. Drawn(day).Pools.Select(p => p.Id)];
        string[] bouts = [.. day.InPlay.Keys];
        day.Keep(Scrap(day)).DrawPools();
        Assert.Empty(pools.Intersect(Drawn(day).Pools.Select(p => p.Id)));
        Assert.Empty(bouts.Intersect(day.InPlay.Keys));
        Assert.Equal(2, Drawn(day).Draw);
        Assert.Equal(1, Drawn(day).Round);
    }

    [Fact]
    public void After_a_scrapped_draw_late_comers_are_entered_and_drawn()
    {
        var day = Of(4).DrawPools();
        var late = new EntrantDetails("Late", "Lena", null, null, null, null, null);
        Expect.Refused(RefusalReason.EntriesClosed, EntryDecider.Enter(day.Competition, [late]));
        day.Keep(Scrap(day));
        day.Keep(EntryDecider.Enter(day.Competition, [late]));
        Assert.Equal([1, 2, 3, 4, 5], Seeding(day));
    }

    [Fact]
    public void Only_the_last_open_round_is_scrapped()
    {
        Expect.Refused(RefusalReason.StepMissing, Scrap(Of(4)));
        Expect.Refused(RefusalReason.StepMissing, Scrap(Of(4).DrawPools(), round: 2));
        Expect.Refused(RefusalReason.StepMissing, Scrap(Of(4).DrawPools().FenceAll().ClosePools()));
    }

    private static Decision Scrap(CompetitionDay day, int round = 1) =>
        PoolRoundDecider.Scrap(day.Competition, round, "forgot somebody", [.. day.RoundBouts(round).Values]);

    private static PoolRoundDrawn Drawn(CompetitionDay day) => day.Competition.Rounds[^1].Drawn;

    private static int[] Seeding(CompetitionDay day, long seed = 1) => Numbers(Drawn(day.DrawPools(seed)).Seeding);

    [Fact]
    public void A_size_or_number_of_pools_that_cannot_be_is_refused_by_its_field_in_a_sentence_for_people()
    {
        var day = Of(10);
        Expect.Invalid("poolSize", day.PoolDraw(size: 2));
        Expect.Invalid("poolCount", day.PoolDraw(count: 6));
        Assert.DoesNotContain("Parameter", day.PoolDraw(size: 2).Refusal!.Message, StringComparison.Ordinal);
        Assert.Equal("No pools.", Refusal.Invalid("poolSize", new ArgumentException("No pools.")).Message);
    }

    [Fact]
    public void A_size_asked_for_goes_before_that_of_the_formula() =>
        Assert.Equal([4, 4, 4], Drawn(Of(12).DrawPools(size: 4)).Pools.Select(p => p.Fencers.Length));

    [Fact]
    public void Pools_are_found_by_identifiers_made_of_draw_and_number()
    {
        var day = Of(12).DrawPools(count: 3);
        Assert.Equal(Enumerable.Range(1, 3).Select(n => Identifiers.Pool(Id, 1, n)), Drawn(day).Pools.Select(p => p.Id));
        Assert.Equal((1, 2), (day.Competition.Pool(Identifiers.Pool(Id, 1, 2))!.Value.Round.Number, day.Competition.Pool(Identifiers.Pool(Id, 1, 2))!.Value.Pool.Number));
        Assert.Null(day.Competition.Pool(Identifiers.Pool(Id, 1, 4)));
        Assert.Null(day.Competition.Entrant("nobody"));
    }

    [Theory]
    [InlineData(AffiliationKind.Club)]
    [InlineData(AffiliationKind.Country)]
    public void What_the_formula_names_is_spread_over_the_pools(AffiliationKind kind)
    {
        // By seed alone 1 and 4 would fence in one pool; they share what is spread, and nothing else is shared.
        var day = Of(0, new Formula { Pools = new PoolFormula { SeparateBy = [kind] } });
        day.Keep(EntryDecider.Enter(
            day.Competition,
            [
                .. Enumerable.Range(1, 8).Select(n => (Ranking: n, Shared: n is 1 or 4 ? "same" : null)).Select(f => new EntrantDetails(
                    $"Fencer {f.Ranking}", "", kind == AffiliationKind.Club ? f.Shared : null, kind == AffiliationKind.Country && f.Shared is not null ? "FRA" : null, f.Ranking, null, null)),
            ]));
        Assert.DoesNotContain(Drawn(day.DrawPools(count: 2)).Pools, p => p.Fencers.Contains(E(1)) && p.Fencers.Contains(E(4)));
    }

    [Fact]
    public void Who_is_of_one_club_meets_first_in_the_pool()
    {
        // The clubs of five fencers are 1 and 4, 2 and 5, and 3 alone.
        var first = Of(5).DrawPools().Bouts.Values.Where(b => b.Order <= 2);
        Assert.Equal(
            [(1, 4), (2, 5)],
            first.Select(b => (N(b.Left.EntrantId!), N(b.Right.EntrantId!))).Select(p => (Math.Min(p.Item1, p.Item2), Math.Max(p.Item1, p.Item2))).Order());
    }
}
