using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;
using Xunit;

namespace BoutDesk.Domain.Tests.Forecasting;

/// <summary>Days whose bouts all take what was planned: the forecast is the schedule that can be worked out by hand.</summary>
public class ForecasterTests
{
    private static readonly DateTimeOffset Nine = new(2026, 3, 7, 9, 0, 0, TimeSpan.Zero);
    private static readonly BoutLengths Four = new(4, 0, []);
    private static readonly BoutLengths Fifteen = new(15, 0, []);

    [Fact]
    public void A_pool_then_a_tableau_that_is_not_drawn()
    {
        // Pool 9:00 to 9:12, the draw to 9:32; seed 1 has a bye, the semi-final lasts to 9:47, its winner rests to 9:57.
        var forecast = Of(Day(["s1"], Competition("a", 3, [Pools(Pool("p", "a", 0, 1, 2)), Tableau("a", 3, drawn: false)])));
        Assert.Equal([0, 4, 8], forecast.Bouts.Select(b => Minute(b.Begin)));
        Assert.Equal([12, 72], forecast.Stages.Select(s => Minute(s.End)));
        Assert.Equal(32, Minute(forecast.Stages[1].Begin!.Value));
        Assert.Equal(72, Minute(forecast.End!.Value));
        Assert.Empty(forecast.Warnings);
    }

    [Fact]
    public void Pools_without_a_strip_wait_for_one()
    {
        var forecast = Of(Day(["s1"], Competition("a", 6, [Pools(Pool("p", "a", 0, 1, 2), Pool("q", "a", 3, 4, 5))])));
        Assert.Equal([0, 4, 8, 12, 16, 20], forecast.Bouts.Select(b => Minute(b.Begin)));
        Assert.Equal(12, Minute(forecast.Entrants.Single(e => e.EntrantId == "a3").Begin));
    }

    [Fact]
    public void A_pool_that_was_put_on_a_strip_waits_for_that_one()
    {
        var (first, second) = (Pool("p", "a", 0, 1, 2) with { StripId = "s1" }, Pool("q", "a", 3, 4, 5) with { StripId = "s1" });
        Assert.Equal(24, Minute(Of(Day(["s1", "s2"], Competition("a", 6, [Pools(first, second)]))).End!.Value));
        Assert.Equal(12, Minute(Of(Day(["s1", "s2"], Competition("a", 6, [Pools(first, second with { StripId = "s2" })]))).End!.Value));
    }

    [Fact]
    public void A_pool_waits_for_a_strip_that_serves_its_weapon()
    {
        // Two competitions of one pool each on two strips of which one serves only the second: side by side, not one after the other.
        var (one, other) = (Competition("a", 3, [Pools(Pool("p", "a", 0, 1, 2))]), Competition("b", 3, [Pools(Pool("q", "b", 0, 1, 2))]));
        Assert.Equal(12, Minute(Of(Day(["s1", "s2"], other, one with { Strips = ["s1"] })).End!.Value));
        // With the same one for both the other stays empty.
        Assert.Equal(24, Minute(Of(Day(["s1", "s2"], other with { Strips = ["s1"] }, one with { Strips = ["s1"] })).End!.Value));
        // What the desk has put on a strip is fenced there, whatever it serves.
        var put = one with { Strips = ["s1"], Stages = [Pools(Pool("p", "a", 0, 1, 2) with { StripId = "s2" })] };
        Assert.Equal(12, Minute(Of(Day(["s1", "s2"], put, other with { Strips = ["s1"] })).End!.Value));
    }

    [Fact]
    public void What_is_under_way_at_the_break_goes_on_after_it()
    {
        var day = Day(["s1"], Competition("a", 3, [Pools(Pool("p", "a", 0, 1, 2))]));
        // The second bout, from 9:04 on, has two of its minutes before the break of 9:06 to 9:36.
        var forecast = Of(day with { Closures = [new ClosedTime(Nine.AddMinutes(6), Nine.AddMinutes(36))] });
        Assert.Equal([0, 4, 38], forecast.Bouts.Select(b => Minute(b.Begin)));
        Assert.Equal(42, Minute(forecast.End!.Value));
    }

    [Fact]
    public void A_bout_under_way_takes_what_is_left_of_it()
    {
        var pool = Pool("p", "a", 0, 1, 2);
        var begun = pool with { UnderWay = true, Bouts = pool.Bouts.SetItem(0, pool.Bouts[0] with { Since = Nine.AddMinutes(-3) }) };
        var forecast = Of(Day(["s1"], Competition("a", 3, [Pools(begun)])));
        Assert.Equal([1, 5], forecast.Bouts.Select(b => Minute(b.Begin)));
        Assert.Equal(9, Minute(forecast.End!.Value));
    }

    [Fact]
    public void A_stage_does_not_begin_before_it_was_planned_to()
    {
        var pools = Pools(Pool("p", "a", 0, 1, 2)) with { PlannedFrom = Nine.AddMinutes(30), PlannedTo = Nine.AddMinutes(45) };
        var forecast = Of(Day(["s1"], Competition("a", 3, [pools])));
        Assert.Equal([30, 34, 38], forecast.Bouts.Select(b => Minute(b.Begin)));
        Assert.Empty(forecast.Warnings);
    }

    [Fact]
    public void Between_two_elimination_bouts_lie_ten_minutes()
    {
        // Two semi-finals side by side, 9:00 to 9:15, and the final from 9:25; one after the other, the final is at 9:40.
        Assert.Equal(40, Minute(Of(Day(["s1", "s2"], Competition("a", 4, [Tableau("a", 4, drawn: true)]))).End!.Value));
        Assert.Equal(55, Minute(Of(Day(["s1"], Competition("a", 4, [Tableau("a", 4, drawn: true)]))).End!.Value));
    }

    [Fact]
    public void Who_fenced_before_rests_first()
    {
        var competition = Competition("a", 2, [Tableau("a", 2, drawn: true)]);
        var day = Day(["s1"], competition with { Contenders = competition.Contenders.SetItem(1, new Contender("a1", "a1", Nine.AddMinutes(7))) });
        Assert.Equal(7, Minute(Assert.Single(Of(day).Bouts).Begin));
    }

    [Fact]
    public void The_other_competition_waits_for_who_is_entered_twice()
    {
        var one = Competition("a", 3, [Pools(Pool("p", "a", 0, 1, 2))]);
        var two = Competition("b", 3, [Pools(Pool("q", "b", 0, 1, 2))]);
        Assert.Equal(12, Minute(Of(Day(["s1", "s2"], one, two)).End!.Value));

        // All three are the same people: bout by bout somebody is missing.
        two = two with { Contenders = [.. two.Contenders.Select((c, i) => c with { Person = $"a{i}" })] };
        var late = Of(Day(["s1", "s2"], one, two with { Stages = [two.Stages[0] with { PlannedFrom = Nine, PlannedTo = Nine.AddMinutes(12) }] }));
        Assert.Equal(24, Minute(late.End!.Value));
        var warning = Assert.Single(late.Warnings);
        Assert.Equal((LateReason.SharedFencers, "b", "a", 12), (warning.Reason, warning.CompetitionId, warning.BecauseOf, warning.Minutes));
    }

    [Fact]
    public void Too_few_strips_are_the_reason_when_one_more_would_do()
    {
        var pools = Pools(Pool("p", "a", 0, 1, 2), Pool("q", "a", 3, 4, 5)) with { PlannedFrom = Nine, PlannedTo = Nine.AddMinutes(12) };
        var warning = Assert.Single(Of(Day(["s1"], Competition("a", 6, [pools]))).Warnings);
        Assert.Equal((LateReason.FewStrips, 12), (warning.Reason, warning.Minutes));
    }

    [Fact]
    public void A_late_start_is_the_reason_when_nothing_else_is()
    {
        var pools = Pools(Pool("p", "a", 0, 1, 2)) with { PlannedFrom = Nine.AddMinutes(-40), PlannedTo = Nine.AddMinutes(-28) };
        var warning = Assert.Single(Of(Day(["s1"], Competition("a", 3, [pools]))).Warnings);
        Assert.Equal((LateReason.LateStart, 40), (warning.Reason, warning.Minutes));
    }

    [Fact]
    public void Long_bouts_are_the_reason_and_the_closing_of_the_hall_is_told()
    {
        var slow = new BoutLengths(4, 0.3m, [.. Enumerable.Repeat(8m, 60)]);
        var pools = Pools(Pool("p", "a", 0, 1, 2)) with { PlannedFrom = Nine, PlannedTo = Nine.AddMinutes(12) };
        var day = Day(["s1"], Competition("a", 3, [pools]) with { PoolBouts = slow }) with { ClosesAt = Nine.AddMinutes(15) };
        var warnings = Of(day).Warnings;
        Assert.Equal([null, "a"], warnings.Select(w => w.CompetitionId));
        Assert.All(warnings, w => Assert.Equal((LateReason.LongBouts, 4m), (w.Reason, w.PlannedBoutMinutes)));
        Assert.All(warnings, w => Assert.InRange(w.BoutMinutes, 7.5m, 8.2m));
    }

    [Fact]
    public void What_is_measured_takes_the_place_of_what_was_planned()
    {
        decimal Mean(params decimal[] measured) => Of(Day(["s1"], Competition("a", 3, [Pools(Pool("p", "a", 0, 1, 2))]) with { PoolBouts = new BoutLengths(4, 0.4m, [.. measured]) }))
            .Competitions[0].PoolBoutMinutes;

        Assert.Equal(4, Mean());
        Assert.InRange(Mean(6, 6, 6), 4.5m, 5.5m);
        Assert.InRange(Mean([.. Enumerable.Repeat(6m, 500)]), 5.95m, 6.1m);
    }

    [Fact]
    public void Bouts_that_go_on_tell_that_bouts_are_long()
    {
        // Four are over in a minute or two; the other sixteen, begun with them, still go on after six.
        var turns = Enumerable.Range(0, 16).Select(i => new TurnToForecast(null, true, [new BoutToForecast($"b{i}", new ForecastSeat($"a{2 * i}"), new ForecastSeat($"a{(2 * i) + 1}"), Nine.AddMinutes(-6))]));
        var competition = Competition("a", 32, [new StageToForecast(StageKind.Pools, 1, true, [.. turns])]);
        decimal[] measured = [2, 2.5m, 3, 3.5m];
        var with = Of(Day([], competition with { PoolBouts = new BoutLengths(4, 0.4m, [.. measured]) })).Competitions[0].PoolBoutMinutes;
        Assert.InRange(with, 5.5m, 12);
    }

    [Fact]
    public void What_should_be_over_long_ago_is_over_soon()
    {
        var pool = Pool("p", "a", 0, 1, 2);
        var forgotten = pool with { UnderWay = true, Bouts = [pool.Bouts[0] with { Since = Nine.AddHours(-3) }] };
        var day = Day(["s1"], Competition("a", 3, [Pools(forgotten)]) with { PoolBouts = new BoutLengths(4, 0.4m, [.. Enumerable.Repeat(4m, 30)]) });
        Assert.InRange(Minute(Of(day).End!.Value), 0, 30);
    }

    [Fact]
    public void A_seat_must_name_a_contender()
    {
        var day = Day(["s1"], Competition("a", 2, [Pools(Pool("p", "a", 0, 1, 2))]));
        Assert.Throws<ArgumentException>(() => Of(day));
        Assert.Throws<ArgumentOutOfRangeException>(() => Forecaster.Of(day, new DrawSeed(1), 8));
    }

    [Fact]
    public void Nothing_left_is_nothing_to_forecast()
    {
        var forecast = Of(Day(["s1"]));
        Assert.Null(forecast.End);
        Assert.Empty(forecast.Bouts);
    }

    [Fact]
    public void A_day_of_twice_three_thousand_bouts_is_forecast_from_a_quarter_of_the_courses()
    {
        Assert.Equal(Ends(2000, courses: 9), Ends(2000, courses: 36));
        Assert.NotEqual(Ends(1000, courses: 9), Ends(1000, courses: 36));

        static IEnumerable<(DateTimeOffset, DateTimeOffset)> Ends(int pools, int courses)
        {
            var pooled = Competition("a", 3 * pools, [Pools([.. Enumerable.Range(0, pools).Select(i => Pool($"p{i}", "a", 3 * i, (3 * i) + 1, (3 * i) + 2))])]);
            var day = Day([.. Enumerable.Range(1, 40).Select(i => $"s{i}")], pooled with { PoolBouts = Four with { Spread = BoutLengths.UsualPoolSpread } });
            return Forecaster.Of(day, new DrawSeed(1), courses).Bouts.Select(b => (b.Begin.From, b.Begin.To));
        }
    }

    private static DayForecast Of(DayToForecast day) => Forecaster.Of(day, new DrawSeed(1), 40);

    private static double Minute(ForecastTime time) => (time.Expected - Nine).TotalMinutes;

    private static DayToForecast Day(ImmutableArray<string> strips, params ImmutableArray<CompetitionToForecast> competitions) =>
        new(Nine, strips, competitions, [], null);

    private static CompetitionToForecast Competition(string id, int fencers, ImmutableArray<StageToForecast> stages) => new(
        id, Four, Fifteen, [.. Enumerable.Range(0, fencers).Select(i => new Contender($"{id}{i}", $"{id}{i}"))], stages, null);

    private static StageToForecast Pools(params ImmutableArray<TurnToForecast> pools) => new(StageKind.Pools, 1, true, pools);

    /// <summary>A pool of three: 1-2, 1-3, 2-3, whoever comes first.</summary>
    private static TurnToForecast Pool(string name, string competition, int one, int two, int three)
    {
        return new TurnToForecast(null, false, [Bout(1, one, two), Bout(2, one, three), Bout(3, two, three)]);

        BoutToForecast Bout(int number, int left, int right) => new($"{name}{number}", new ForecastSeat($"{competition}{left}"), new ForecastSeat($"{competition}{right}"));
    }

    private static StageToForecast Tableau(string competition, int fencers, bool drawn)
    {
        ForecastSeat Seat(int place) => drawn ? new ForecastSeat($"{competition}{place}") : new ForecastSeat(null, place);
        TurnToForecast Turn(string id, ForecastSeat left, ForecastSeat right, SeatLink? to = null) => new(null, false, [new BoutToForecast(id, left, right, null, to)]);
        return new StageToForecast(StageKind.LastEight, 0, drawn, fencers switch
        {
            2 => [Turn("t2b1", Seat(0), Seat(1))],
            3 => [Turn("t4b1", Seat(0), ForecastSeat.Nobody, new SeatLink("t2b1", Side.Left)), Turn("t4b2", Seat(1), Seat(2), new SeatLink("t2b1", Side.Right)), Turn("t2b1", default, default)],
            _ => [Turn("t4b1", Seat(0), Seat(3), new SeatLink("t2b1", Side.Left)), Turn("t4b2", Seat(1), Seat(2), new SeatLink("t2b1", Side.Right)), Turn("t2b1", default, default)],
        });
    }
}
