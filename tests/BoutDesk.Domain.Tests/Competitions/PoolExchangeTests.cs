using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Two fencers of a draw are exchanged by hand.</summary>
public class PoolExchangeTests
{
    // In two pools the serpentine is 1 4 5 8 9 12 and 2 3 6 7 10 11.
    private static CompetitionDay Twelve() => WithoutClubs(12).DrawPools(count: 2);

    [Fact]
    public void Two_fencers_change_places_and_the_pools_stay_in_the_order_of_the_seeding()
    {
        var day = Exchange(Twelve(), 5, 6);
        Assert.Equal([1, 4, 6, 8, 9, 12], Pool(day, 1));
        Assert.Equal([2, 3, 5, 7, 10, 11], Pool(day, 2));
        day = Exchange(day, 12, 2);
        Assert.Equal([1, 2, 4, 6, 8, 9], Pool(day, 1));
        Assert.Equal([3, 5, 7, 10, 11, 12], Pool(day, 2));
    }

    [Theory]
    [InlineData(5, 6)]
    [InlineData(1, 11)]
    public void The_bouts_are_those_that_a_draw_of_these_pools_would_have_given_under_their_old_identifiers(int first, int second)
    {
        var before = Twelve();
        var day = Exchange(Twelve(), first, second);
        Assert.Equal(before.InPlay.Keys.Order(), day.InPlay.Keys.Order());
        Assert.All(day.InPlay.Values, b => Assert.True(b.Untouched));
        foreach (var pool in day.Competition.Rounds[0].Drawn.Pools)
        {
            // Nobody shares a club, so the order is one of positions alone, and equal to that before.
            var was = before.Competition.Pool(pool.Id)!.Value.Pool.Fencers;
            Assert.All(day.InPlay.Values.Where(b => b.PoolId == pool.Id), b => Assert.Equal(
                (was.IndexOf(before.Bouts[b.Id].Left.EntrantId!), was.IndexOf(before.Bouts[b.Id].Right.EntrantId!)),
                (pool.Fencers.IndexOf(b.Left.EntrantId!), pool.Fencers.IndexOf(b.Right.EntrantId!))));
        }
    }

    [Fact]
    public void Exchanging_the_same_two_again_brings_everything_back()
    {
        var before = Twelve();
        var day = Exchange(Exchange(Twelve(), 1, 11), 11, 1);
        Assert.Equal(before.Competition.Rounds[0].Drawn.Pools.Select(p => string.Join(' ', p.Fencers)), day.Competition.Rounds[0].Drawn.Pools.Select(p => string.Join(' ', p.Fencers)));
        Assert.All(before.InPlay.Values, b => Assert.Equal((b.Left, b.Right), (day.Bouts[b.Id].Left, day.Bouts[b.Id].Right)));
    }

    [Fact]
    public void Club_mates_who_come_together_are_counted_named_and_meet_first()
    {
        // 1 and 4 are of one club, and so drawn apart.
        var day = WithClubs(8, n => n is 1 or 4 ? "Harbour" : null).DrawPools(count: 2);
        var (one, other) = (PoolOf(day, 1), PoolOf(day, 4));
        Assert.NotEqual(one, other);
        var comes = Pool(day, other).First(n => n != 4);
        var exchange = Look(day, 1, comes);
        Assert.Equal([0], exchange.Before.Select(s => s.Conflicts));
        Assert.Equal([1], exchange.After.Select(s => s.Conflicts));
        Assert.Equal(new PoolMate(E(4), AffiliationKind.Club), Assert.Single(exchange.First.Meets));
        Assert.Empty(exchange.Second.Meets);
        Assert.Equal((one, other), (exchange.First.From, exchange.First.To));

        day = Exchange(day, 1, comes);
        Assert.Equal(1, Assert.Single(day.Competition.Rounds[0].Drawn.Separation).Conflicts);
        Assert.Equal(1, day.Between(1, 4).Order);
    }

    [Fact]
    public void Clubs_are_told_apart_as_in_the_draw()
    {
        var day = WithClubs(8, n => n switch { 1 => "SC Nord", 4 => " sc nord", _ => "" }).DrawPools(count: 2);
        Assert.Equal([1], Look(day, 1, Pool(day, PoolOf(day, 4)).First(n => n != 4)).After.Select(s => s.Conflicts));
    }

    [Fact]
    public void Countries_count_where_the_formula_spreads_them()
    {
        var formula = new Formula { Pools = new PoolFormula { SeparateBy = [AffiliationKind.Club, AffiliationKind.Country] } };
        var day = Of(0, formula);
        day.Keep(EntryDecider.Enter(day.Competition, [.. Enumerable.Range(1, 8).Select(n => new EntrantDetails($"Fencer {n}", "", null, n is 2 or 3 ? "NOR" : null, n, null, null))]));
        day.DrawPools(count: 2);
        var exchange = Look(day, 2, Pool(day, PoolOf(day, 3)).First(n => n != 3));
        Assert.Equal([(AffiliationKind.Club, 0), (AffiliationKind.Country, 1)], exchange.After.Select(s => (s.Kind, s.Conflicts)));
        Assert.Equal(AffiliationKind.Country, Assert.Single(exchange.First.Meets).Kind);
    }

    [Fact]
    public void A_club_corrected_since_the_draw_counts_as_it_is_now()
    {
        var day = WithoutClubs(8).DrawPools(count: 2);
        foreach (var number in new[] { 1, 4, 5 })
        {
            day.Keep(EntryDecider.Correct(day.Competition, day.Entrant(number), day.Entrant(number).Details with { Club = "Harbour" }));
        }

        // 1, 4 and 5 share a pool: three pairs, of which a draw could have left one.
        var exchange = Look(day, 5, 6);
        Assert.Equal((3, 1), (Assert.Single(exchange.Before).Conflicts, Assert.Single(exchange.Before).LowerBound));
        Assert.Equal((1, 1), (Assert.Single(exchange.After).Conflicts, Assert.Single(exchange.After).LowerBound));
    }

    [Theory]
    [InlineData(5, 6, true)]
    [InlineData(1, 2, true)]
    [InlineData(1, 3, false)]
    [InlineData(12, 2, false)]
    public void Whether_the_pools_stay_equally_strong_is_said(int first, int second, bool sameTier)
    {
        var exchange = Look(Twelve(), first, second);
        Assert.Equal(sameTier, exchange.SameTier);
        Assert.Equal((first, second), (exchange.First.Seed, exchange.Second.Seed));
    }

    [Fact]
    public void Only_the_two_pools_must_not_have_begun()
    {
        var day = WithoutClubs(18).DrawPools(count: 3);
        day.Wins(Pool(day, 3)[0], Pool(day, 3)[1], 5, 2);
        Exchange(day, Pool(day, 1)[2], Pool(day, 2)[2]);
        var begun = Expect.Refused(RefusalReason.BoutsBegun, day.Exchanging(Pool(day, 1)[2], Pool(day, 3)[2]));
        Assert.Equal(day.Between(Pool(day, 3)[0], Pool(day, 3)[1]).Id, Assert.Single(begun.Concerns));
    }

    [Fact]
    public void Only_two_fencers_of_different_pools_of_an_open_round_are_exchanged()
    {
        var day = Twelve();
        Expect.Invalid("second", day.Exchanging(1, 4));
        Expect.Invalid("second", day.Exchanging(1, 1));
        Expect.Invalid("first", day.Exchanging(77, 1));
        Expect.Invalid("second", day.Exchanging(1, 77));
        Expect.Refused(RefusalReason.RoundClosed, day.FenceAll().ClosePools().Exchanging(5, 6));
    }

    [Fact]
    public void Who_has_left_annuls_the_bouts_of_the_pool_that_he_is_put_into()
    {
        var day = Exchange(Twelve().Leaves(5), 5, 6);
        Assert.All(day.InPlay.Values, b => Assert.Equal(
            b.SideOf(E(5)) is not null ? BoutStatus.Annulled : BoutStatus.Open, b.Status));
        Assert.All(day.Returns(5).InPlay.Values, b => Assert.Equal(BoutStatus.Open, b.Status));
    }

    private static CompetitionDay WithoutClubs(int entrants) => WithClubs(entrants, _ => null);

    private static CompetitionDay WithClubs(int entrants, Func<int, string?> club)
    {
        var day = Of(0);
        return day.Keep(EntryDecider.Enter(
            day.Competition, [.. Enumerable.Range(1, entrants).Select(n => new EntrantDetails($"Fencer {n}", "", club(n), null, n, null, null))]));
    }

    private static int[] Pool(CompetitionDay day, int number) => Numbers(day.Competition.Rounds[0].Drawn.Pools[number - 1].Fencers);

    private static int PoolOf(CompetitionDay day, int entrant) => day.Competition.Rounds[0].Drawn.Pools.Single(p => p.Fencers.Contains(E(entrant))).Number;

    private static PoolExchange Look(CompetitionDay day, int first, int second)
    {
        var (exchange, refusal) = PoolExchange.Of(day.Competition, day.Competition.Rounds[0], E(first), E(second));
        Assert.Null(refusal);
        return exchange!;
    }

    private static CompetitionDay Exchange(CompetitionDay day, int first, int second) => day.Keep(day.Exchanging(first, second));
}
