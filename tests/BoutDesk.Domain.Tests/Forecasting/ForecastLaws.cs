using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;
using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Domain.Tests.Forecasting;

/// <summary>What holds for every forecast, on days drawn by lot. Each failure names its day.</summary>
public class ForecastLaws(ITestOutputHelper output)
{
    private static readonly (long Seed, double Minute)[] Moments =
        [.. Enumerable.Range(1, 12).SelectMany(seed => new[] { 0.0, 70, 150, 260, 330 }.Select(minute => ((long)seed, minute)))];

    [Fact]
    public void Nobody_is_in_two_places_and_no_strip_holds_two_bouts() => Assert.All(Moments, moment =>
    {
        var day = Day(moment.Seed).At(moment.Minute);
        var persons = day.Competitions.SelectMany(c => c.Contenders).ToDictionary(c => c.EntrantId, c => c.Person);
        var pools = day.Competitions.SelectMany(c => c.Stages).Where(s => s.Kind == StageKind.Pools).SelectMany(s => s.Turns).SelectMany(t => t.Bouts).Select(b => b.Id).ToHashSet();
        var course = Forecaster.Course(day, new DrawSeed(moment.Seed), 17);
        foreach (var person in course.SelectMany(b => new[] { (Who: persons[b.Left], b), (Who: persons[b.Right], b) }).GroupBy(b => b.Who, b => b.b))
        {
            var bouts = person.OrderBy(b => b.From).ToArray();
            foreach (var (before, after) in bouts.Zip(bouts.Skip(1)))
            {
                var rest = pools.Contains(before.BoutId) || pools.Contains(after.BoutId) ? 0 : StageToPlan.Rest;
                Assert.True(after.From >= before.To.AddMinutes(rest).AddSeconds(-1), $"Day {moment}: {person.Key} in {before} and {after}");
            }
        }

        foreach (var strip in course.Where(b => b.Strip >= 0).GroupBy(b => b.Strip))
        {
            var bouts = strip.OrderBy(b => b.From).ThenBy(b => b.To).ToArray();
            Assert.All(bouts.Zip(bouts.Skip(1)), pair => Assert.True(pair.Second.From >= pair.First.To.AddSeconds(-1), $"Day {moment}: {pair}"));
        }
    });

    [Fact]
    public void A_pool_is_fenced_in_its_order_and_everything_is_fenced_once() => Assert.All(Moments, moment =>
    {
        var day = Day(moment.Seed).At(moment.Minute);
        var course = Forecaster.Course(day, new DrawSeed(moment.Seed), 3).ToDictionary(b => b.BoutId);
        foreach (var turn in day.Competitions.SelectMany(c => c.Stages).SelectMany(s => s.Turns))
        {
            Assert.All(turn.Bouts.Zip(turn.Bouts.Skip(1)), pair => Assert.True(course[pair.Second.Id].From >= course[pair.First.Id].To));
        }

        // A bout of somebody and nobody is not fenced; all else is.
        Assert.Equal(
            day.Competitions.SelectMany(c => c.Stages).SelectMany(s => s.Turns).SelectMany(t => t.Bouts).Where(b => !b.Left.Empty && !b.Right.Empty).Select(b => b.Id).Order(),
            course.Keys.Order());
        Assert.All(course.Values, b => Assert.True(b.To >= day.Now));
    });

    [Fact]
    public void Spans_hold_what_is_expected_and_nothing_lies_before_now() => Assert.All(Moments, moment =>
    {
        var day = Day(moment.Seed).At(moment.Minute);
        var forecast = Forecaster.Of(day, new DrawSeed(5), 60);
        var times = forecast.Bouts.Select(b => b.Begin).Concat(forecast.Entrants.Select(e => e.Begin))
            .Concat(forecast.Stages.Select(s => s.End)).Concat(forecast.Competitions.Select(c => c.End)).ToArray();
        Assert.All(times, t => Assert.True(day.Now <= t.From && t.From <= t.Expected && t.Expected <= t.To, $"Day {moment}: {t}"));
        Assert.Equal(forecast.End?.To, forecast.Competitions.IsEmpty ? null : forecast.Competitions.Select(c => c.End.To).Append(forecast.End!.Value.To).Max());
    });

    [Fact]
    public void The_same_day_and_seed_give_the_same_forecast() => Assert.All(Moments.Where(m => m.Minute < 100).Take(8), moment =>
    {
        var day = Day(moment.Seed).At(moment.Minute);
        var (one, other) = (Forecaster.Of(day, new DrawSeed(5), 60), Forecaster.Of(day, new DrawSeed(5), 60));
        Assert.Equal(one.Bouts.AsEnumerable(), other.Bouts);
        Assert.Equal(one.Entrants.AsEnumerable(), other.Entrants);
        Assert.Equal(one.Stages.AsEnumerable(), other.Stages);
        Assert.Equal(one.Competitions.AsEnumerable(), other.Competitions);
        Assert.NotEqual(one.Competitions.AsEnumerable(), Forecaster.Of(day, new DrawSeed(6), 60).Competitions);
    });

    [Fact]
    public void Spans_shrink_toward_the_end()
    {
        // On average over days: a single day can turn out otherwise.
        double[] minutes = [0, 120, 240];
        var widths = minutes.Select(_ => new List<double>()).ToArray();
        for (var seed = 101; seed <= 112; seed++)
        {
            var day = Day(seed);
            foreach (var (i, minute) in minutes.Index())
            {
                if (day.End > minutes[^1] && Forecaster.Of(day.At(minute), new DrawSeed(1), 60).End is { } end)
                {
                    widths[i].Add((end.To - end.From).TotalMinutes);
                }
            }
        }

        output.WriteLine(string.Join(", ", widths.Select(w => $"{w.Average():0.0} min over {w.Count} days")));
        Assert.True(widths[0].Average() > widths[1].Average() && widths[1].Average() > widths[2].Average());
    }

    private static ActualDay Day(long seed) => new(seed, 3, 5, 8, 20);
}
