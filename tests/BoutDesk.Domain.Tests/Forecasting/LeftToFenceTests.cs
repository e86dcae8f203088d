using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Tests.Competitions;
using Xunit;

namespace BoutDesk.Domain.Tests.Forecasting;

/// <summary>What is left is read from a competition as it is fenced.</summary>
public class LeftToFenceTests
{
    private static readonly DateTimeOffset Nine = new(2026, 3, 7, 9, 0, 0, TimeSpan.Zero);

    [Theory]
    [InlineData(5, 1, 0)]
    [InlineData(9, 1, 0)]
    [InlineData(30, 1, 0)]
    [InlineData(41, 2, 4)]
    [InlineData(64, 0, 0)]
    public void Before_the_draw_as_many_bouts_are_left_as_are_planned(int fencers, int rounds, int exempt)
    {
        var formula = new Formula { Pools = new PoolFormula { Rounds = rounds, Exempt = exempt, Promote = new Promotion { Percent = 80 } } };
        var left = Left(CompetitionDay.Of(fencers, formula))!;
        var planned = StageToPlan.Of(fencers, formula, BoutDurations.Usual(Weapon.Foil, formula), 10);
        Assert.Equal(planned.Select(s => (s.Kind, s.Round, s.Bouts)), left.Stages.Select(s => (s.Kind, s.Round, s.Turns.Sum(t => t.Bouts.Count(b => !b.Left.Empty && !b.Right.Empty)))));
        Assert.All(left.Stages, s => Assert.False(s.Drawn));
        Assert.Equal(Nine, left.FreeFrom);
        Assert.Equal(fencers, left.Contenders.Length);
        Assert.Equal((4m, 15m), (left.PoolBouts.UsualMinutes, left.EliminationBouts.UsualMinutes));
    }

    [Fact]
    public void A_pool_under_way_tells_its_lengths_and_since_when_the_next_bout_holds_the_strip()
    {
        var day = CompetitionDay.Of(7).DrawPools();
        var bouts = Fenced(day, 3, i => (Nine.AddMinutes(4 * i), Nine.AddMinutes((4 * i) + 3)));
        var left = Left(day, bouts)!;
        var turn = left.Stages[0].Turns.Single();
        Assert.Equal((true, 18), (turn.UnderWay, turn.Bouts.Length));
        Assert.Equal(Nine.AddMinutes(11), turn.Bouts[0].Since);
        Assert.All(turn.Bouts.Skip(1), b => Assert.Null(b.Since));
        // The first from half a minute before it was begun, the others from the end of the one before.
        Assert.Equal([3.5m, 4m, 4m], left.PoolBouts.Measured.AsEnumerable());
        Assert.Equal(Nine, left.Stages[0].BegunAt);
        Assert.Null(left.FreeFrom);
    }

    [Fact]
    public void A_sheet_that_is_typed_in_at_once_tells_nothing_of_lengths()
    {
        var day = CompetitionDay.Of(7).DrawPools();
        var left = Left(day, Fenced(day, 6, i => (null, Nine.AddMinutes(80).AddSeconds(5 * i))))!;
        Assert.Empty(left.PoolBouts.Measured);
        Assert.Equal(15, left.Stages[0].Turns.Single().Bouts.Length);
    }

    [Fact]
    public void A_pool_on_two_strips_has_a_turn_on_each()
    {
        var day = CompetitionDay.Of(7).DrawPools();
        var left = Left(day, [.. day.Bouts.Values.Select(b => b with { StripId = b.Order % 2 == 0 ? "s1" : "s2" })])!;
        Assert.Equal(["s2", "s1"], left.Stages[0].Turns.Select(t => t.StripId));
    }

    [Fact]
    public void When_the_pools_are_over_the_draw_takes_twenty_minutes_from_their_end()
    {
        var day = CompetitionDay.Of(7).DrawPools().FenceAll();
        Bout[] bouts = [.. day.Bouts.Values.Select(b => b with { EndedAt = Nine.AddMinutes(b.Order) })];
        var left = Left(day, bouts)!;
        Assert.Equal(Nine.AddMinutes(21 + StageToPlan.DrawingPause), left.FreeFrom);
        Assert.Equal([StageKind.LastEight], left.Stages.Select(s => s.Kind));
        day.ClosePools();
        Assert.Equal(left.FreeFrom, Left(day, bouts)!.FreeFrom);
    }

    [Fact]
    public void A_tableau_has_its_seats_its_rests_and_its_links()
    {
        var day = CompetitionDay.Of(12).DrawPools().FenceAll().ClosePools().DrawTableau();
        var first = day.Tableau.Values.First(b => b.Status == BoutStatus.Open);
        var (one, other) = (CompetitionDay.N(first.Left.EntrantId!), CompetitionDay.N(first.Right.EntrantId!));
        day.Wins(one, other, 15, 3);
        Bout[] bouts = [.. day.Bouts.Values.Select(b => b.Id == first.Id ? b with { BegunAt = Nine, EndedAt = Nine.AddMinutes(12) } : b)];
        var left = Left(day, bouts)!;
        Assert.Equal([(StageKind.Tables, 3), (StageKind.LastEight, 7)], left.Stages.Select(s => (s.Kind, s.Turns.Length)));
        Assert.All(left.Stages, s => Assert.True(s.Drawn));
        Assert.Equal([14m], left.EliminationBouts.Measured.AsEnumerable());
        Assert.Equal(Nine.AddMinutes(22), left.Contenders.Single(c => c.EntrantId == CompetitionDay.E(one)).RestedAt);
        var next = left.Stages[1].Turns.SelectMany(t => t.Bouts).Single(b => b.Id == first.WinnerTo!.BoutId);
        Assert.Contains(CompetitionDay.E(one), new[] { next.Left.EntrantId, next.Right.EntrantId });
    }

    [Fact]
    public void Nothing_is_left_of_a_finished_competition_and_of_one_with_too_few()
    {
        Assert.Null(Left(CompetitionDay.Of(5).DrawPools().FenceAll().ClosePools().DrawTableau().FenceAll()));
        Assert.Null(Left(CompetitionDay.Of(2)));
        Assert.Null(Left(CompetitionDay.Of(1, new Formula { Pools = new PoolFormula { Rounds = 0 } })));
    }

    [Fact]
    public void A_stage_has_the_times_it_was_planned_for()
    {
        StagePlan[] plans =
        [
            new(CompetitionDay.Id, StageKind.Pools, 1, Nine.AddHours(1), Nine.AddHours(2)),
            new("t-2", StageKind.LastEight, 0, Nine, Nine),
            new(CompetitionDay.Id, StageKind.LastEight, 0, Nine.AddHours(3), Nine.AddHours(4)),
        ];
        var left = LeftToFence.Of(CompetitionDay.Of(7).Competition, [], e => e.Id, plans, Nine)!;
        Assert.Equal([(Nine.AddHours(1), Nine.AddHours(2)), (Nine.AddHours(3), Nine.AddHours(4))], left.Stages.Select(s => (s.PlannedFrom!.Value, s.PlannedTo!.Value)));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Whatever_happened_a_forecast_can_be_made_until_all_is_over(int seed)
    {
        var chance = new DrawSeed(seed).Lots();
        var formula = new Formula
        {
            Pools = new PoolFormula { Size = 5, Rounds = 2, Promote = new Promotion { Percent = 80 } },
            Elimination = new EliminationFormula { ThirdPlace = ThirdPlace.Bout, RepechageFrom = seed == 2 ? 8 : null, FencedPlaces = seed == 3 ? 8 : null },
        };
        var day = CompetitionDay.Of(14, formula);
        Check(day);
        day.DrawPools();
        Check(day);
        day.Leaves(3);
        Some(day);
        day.FenceAll();
        Check(day);
        day.ClosePools();
        Check(day);
        day.DrawPools();
        Check(day);
        Some(day);
        day.FenceAll().ClosePools();
        Check(day);
        day.DrawTableau();
        Check(day);
        day.Leaves(CompetitionDay.N(day.Competition.Tableau!.Seeds[2]));
        Some(day);
        day.FenceAll();
        Assert.Null(Left(day));

        void Some(CompetitionDay of)
        {
            for (var i = 0; i < 4 && of.InPlay.Values.Where(b => b.Status == BoutStatus.Open).ToArray() is [_, ..] open; i++)
            {
                var bout = open[chance.Below(open.Length)];
                of.Wins(CompetitionDay.N(bout.Left.EntrantId!), CompetitionDay.N(bout.Right.EntrantId!), bout.Rules.Target, 1);
                Check(of);
            }
        }

        static void Check(CompetitionDay of)
        {
            var left = Left(of)!;
            var forecast = Forecaster.Of(new DayToForecast(Nine, ["s1", "s2"], [left], [], null), new DrawSeed(1), 20);
            Assert.NotNull(forecast.End);
            // Everything that can be fenced has its time. What waits can turn out to have nobody.
            var told = forecast.Bouts.Select(b => b.BoutId).ToHashSet();
            Assert.Superset(of.InPlay.Values.Where(b => b.Status == BoutStatus.Open).Select(b => b.Id).ToHashSet(), told);
            Assert.Subset(of.InPlay.Values.Where(b => b.Status is BoutStatus.Open or BoutStatus.Waiting).Select(b => b.Id).ToHashSet(), told);
        }
    }

    private static CompetitionToForecast? Left(CompetitionDay day, IReadOnlyCollection<Bout>? bouts = null) =>
        LeftToFence.Of(day.Competition, bouts ?? [.. day.Bouts.Values.Where(b => !b.Struck)], e => e.Id, [], Nine);

    /// <summary>So many bouts of the pool have a result, with these times; the bouts after it.</summary>
    private static Bout[] Fenced(CompetitionDay day, int count, Func<int, (DateTimeOffset? Begun, DateTimeOffset Ended)> times)
    {
        foreach (var bout in day.InPlay.Values.OrderBy(b => b.Order).Take(count).ToArray())
        {
            day.Wins(CompetitionDay.N(bout.Left.EntrantId!), CompetitionDay.N(bout.Right.EntrantId!), 5, 2);
        }

        return [.. day.Bouts.Values.Select(b => b.Order > count ? b : b with { BegunAt = times(b.Order - 1).Begun, EndedAt = times(b.Order - 1).Ended })];
    }
}
