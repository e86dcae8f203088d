using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;
using Xunit;

namespace BoutDesk.Domain.Tests.Planning;

public class StageToPlanTests
{
    private static readonly BoutDurations Four = new(4, 15);

    [Fact]
    public void Fewer_strips_than_pools_make_flights()
    {
        // 24 fencers in pools of 6: four pools of 15 bouts, an hour each.
        var pools = StageToPlan.Of(24, new Formula { Pools = new PoolFormula { Size = 6 } }, Four, 12)[0];
        Assert.Equal((StageKind.Pools, 1, 60), (pools.Kind, pools.Round, pools.Bouts));
        Assert.Equal([new StageWidth(1, 240, 4), new StageWidth(2, 120, 2), new StageWidth(4, 60, 1)], pools.Widths.AsEnumerable());
    }

    [Fact]
    public void The_tables_down_to_the_last_eight_and_the_last_eight_are_two_stages()
    {
        var stages = StageToPlan.Of(32, new Formula { Pools = new PoolFormula { Rounds = 0 } }, Four, 16);
        Assert.Equal([(StageKind.Tables, 24, 0), (StageKind.LastEight, 7, StageToPlan.Rest)], stages.Select(s => (s.Kind, s.Bouts, s.PauseBefore)));
        // 16 bouts and 8: on 8 strips two turns and one, with a rest before a table that all fence at once.
        Assert.Equal((2 * 15) + StageToPlan.Rest + 15, stages[0].Widths.Single(w => w.Strips == 8).Minutes);
        Assert.Equal(24 * 15, stages[0].Widths[0].Minutes);
        // 4, 2 and 1 bouts on four strips.
        Assert.Equal((3 * 15) + (2 * StageToPlan.Rest), stages[1].Widths[^1].Minutes);
    }

    [Fact]
    public void A_bout_for_third_and_byes_are_counted()
    {
        var formula = new Formula { Pools = new PoolFormula { Rounds = 0 }, Elimination = new EliminationFormula { ThirdPlace = ThirdPlace.Bout } };
        // 11 fencers: three bouts of the table of 16, then eight of the last eight.
        Assert.Equal([3, 8], StageToPlan.Of(11, formula, Four, 8).Select(s => s.Bouts));
        Assert.Equal([0, StageToPlan.Rest], StageToPlan.Of(11, formula, Four, 8).Select(s => s.PauseBefore));
    }

    [Fact]
    public void The_cut_and_exempt_fencers_shape_what_follows()
    {
        var formula = new Formula { Pools = new PoolFormula { Size = 7, Rounds = 2, Exempt = 4, Promote = new Promotion { Percent = 50 } } };
        var stages = StageToPlan.Of(32, formula, Four, 10);
        // 28 in pools of 7, 14 of them in pools of 7, 7 and the 4 exempt in a tableau of 16.
        Assert.Equal([84, 42, 3, 7], stages.Select(s => s.Bouts));
        Assert.Equal([0, StageToPlan.DrawingPause, StageToPlan.DrawingPause, StageToPlan.Rest], stages.Select(s => s.PauseBefore));
    }

    [Fact]
    public void Times_are_rounded_up_to_the_grid() => Assert.All(
        StageToPlan.Of(19, new Formula(), new BoutDurations(2.3m, 9.1m), 7).SelectMany(s => s.Widths),
        w => Assert.Equal(0, w.Minutes % StageToPlan.Grid));

    [Theory]
    [InlineData(Weapon.Foil, 5, 15, 4, 15)]
    [InlineData(Weapon.Epee, 5, 10, 5, 13.33)]
    [InlineData(Weapon.Sabre, 4, 15, 2, 9)]
    public void The_usual_times_are_those_of_practice_in_proportion_to_the_touches(Weapon weapon, int pool, int elimination, double poolMinutes, double eliminationMinutes)
    {
        // From memory of practice.
        var durations = BoutDurations.Usual(weapon, new Formula { Pools = new PoolFormula { Touches = pool }, Elimination = new EliminationFormula { Touches = elimination } });
        Assert.Equal((decimal)poolMinutes, durations.PoolBout);
        Assert.Equal((decimal)eliminationMinutes, Math.Round(durations.EliminationBout, 2));
    }
}
