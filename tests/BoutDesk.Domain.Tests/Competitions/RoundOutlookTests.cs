using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Standings;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>What can still be reached in the open round of a competition, as its bouts are fenced and fencers leave.</summary>
public class RoundOutlookTests
{
    private static readonly Formula HalfGoesOn = new() { Pools = new PoolFormula { Promote = new Promotion { Percent = 50 } } };

    [Fact]
    public void Who_has_left_has_no_range_and_the_others_have_as_if_he_had_never_been()
    {
        // 1 has beaten both others who remain; 2 and 3 meet for second place.
        var day = Of(4).DrawPools().Wins(1, 2, 5, 0).Wins(1, 3, 5, 0).Wins(4, 1, 5, 0).Leaves(4);
        var places = InRound(day);
        Assert.Equal([E(1), E(2), E(3)], places.Keys.Order());
        Assert.Equal(PlaceRange.Only(1), places[E(1)]);
        Assert.Equal(new PlaceRange(2, 3, Exact: true), places[E(2)]);
        Assert.Equal(new PlaceRange(2, 3, Exact: true), places[E(3)]);
    }

    [Fact]
    public void Who_returns_has_his_bouts_again()
    {
        var day = Of(4).DrawPools().Wins(1, 2, 5, 0).Wins(4, 1, 5, 0);
        var before = InRound(day);
        Assert.Equal(before, InRound(day.Leaves(4).Returns(4)));
    }

    [Fact]
    public void Places_in_the_pool_are_those_of_the_pool_alone()
    {
        var day = Of(8, new Formula { Pools = new PoolFormula { SeparateBy = [] } }).DrawPools(count: 2);
        var pool = day.Competition.Rounds[0].Drawn.Pools[0];
        var bouts = day.RoundBouts(1).Values.Where(b => b.PoolId == pool.Id).ToArray();
        Assert.All(RoundOutlook.InPool(day.Competition, pool, bouts), p => Assert.Equal(new PlaceRange(1, 4, Exact: true), p.Value));
        Assert.All(InRound(day), p => Assert.Equal(new PlaceRange(1, 8, Exact: true), p.Value));
    }

    [Fact]
    public void Fates_are_known_before_the_last_bout()
    {
        // Two of four go on; 1 and 2 have won two bouts each and meet last, as do 3 and 4, who have won none.
        var day = Of(4, HalfGoesOn).DrawPools().Wins(1, 3, 5, 0).Wins(1, 4, 5, 0).Wins(2, 3, 5, 0).Wins(2, 4, 5, 0);
        Assert.Equal([Fate.Promoted, Fate.Promoted, Fate.Out, Fate.Out], Fates(day, 2));
    }

    [Fact]
    public void A_share_of_fewer_fencers_can_take_away_what_was_certain()
    {
        // Places are by number. Of six, three go on; of four, two.
        var day = Of(6, HalfGoesOn).DrawPools().FenceAll();
        Assert.Equal(Fate.Promoted, Fates(day, 3)[2]);
        Assert.Equal(Fate.Out, Fates(day.Leaves(5).Leaves(6), 2)[2]);
    }

    [Property(MaxTest = 40)]
    public Property Whatever_is_still_fenced_the_round_closes_as_foreseen() => Prop.ForAll(CompetitionPlan.Any, plan =>
    {
        var foreseen = new List<(IReadOnlyDictionary<string, PlaceRange> Places, int Promoted)>();
        var factsSeen = 0;
        RandomCompetition.Hold(plan, day =>
        {
            var news = day.Facts.Skip(factsSeen).Select(f => f.Event).ToArray();
            factsSeen = day.Facts.Count;
            if (news.OfType<PoolRoundClosed>().SingleOrDefault() is { } closed)
            {
                Assert.All(foreseen, f => AssertAsForeseen(closed, f.Places, f.Promoted, day.Competition.Formula.Pools.TiesAtCut));
            }

            if (!news.All(e => e is TouchScored or CardShown or TimeRanOut or PriorityDrawn or ResultRecorded))
            {
                // Somebody left or returned, or what was recorded was taken back.
                foreseen.Clear();
            }

            // Now and then will do.
            if (factsSeen % 8 == 0 && day.Competition.OpenRound is { } open)
            {
                var places = InRound(day);
                Assert.Equal(PoolRoundDecider.Tallies(day.Competition, open, day.InPlay.Values).Select(t => t.EntrantId).Order(), places.Keys.Order());
                foreseen.Add((places, day.Competition.Formula.Pools.Promote.Of(places.Count)));
            }
        });
    });

    private static void AssertAsForeseen(PoolRoundClosed closed, IReadOnlyDictionary<string, PlaceRange> places, int promoted, TiesAtCut tiesAtCut)
    {
        // Where all tied at the cut go on, they are more than were foreseen, but never fewer.
        Assert.InRange(closed.Promoted, promoted, tiesAtCut == TiesAtCut.Lot ? promoted : closed.Ranking.Length);
        Assert.Equal(closed.Ranking.Length, places.Count);
        for (var i = 0; i < closed.Ranking.Length; i++)
        {
            var range = places[closed.Ranking[i].EntrantId];
            Assert.InRange(i + 1, range.Best, range.Worst);
            Assert.NotEqual(i < closed.Promoted ? Fate.Out : Fate.Promoted, range.FateFor(promoted));
        }
    }

    private static IReadOnlyDictionary<string, PlaceRange> InRound(CompetitionDay day) =>
        RoundOutlook.InRound(day.Competition, day.Competition.OpenRound!, day.InPlay.Values);

    private static Fate[] Fates(CompetitionDay day, int promoted)
    {
        var places = InRound(day);
        return [.. Enumerable.Range(1, places.Count).Select(n => places[E(n)].FateFor(promoted))];
    }
}
