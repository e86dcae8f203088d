using System.Diagnostics;
using System.Globalization;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Tests.Forecasting;

namespace BoutDesk.Benchmarks.Forecasts;

/// <summary>
/// Holds forecasts, made each hour of simulated days, against how the days went, and measures how long a forecast of a big
/// day takes.
/// </summary>
internal static class ForecastMeasurement
{
    private const long Seed = 1000;
    private const int Days = 100;

    public static int Run()
    {
        var told = new List<Told>();
        for (var i = 0; i < Days; i++)
        {
            told.AddRange(Calibration.Of(new ActualDay(Seed + i, 5, 8 + (i % 4), 12, 40), Forecaster.UsualCourses));
        }

        Console.WriteLine($"{Days} days of 5 competitions with 12 to 40 entrants on 8 to 11 strips, from seed {Seed} on; a forecast each hour.");
        Console.WriteLine();
        Console.WriteLine("| hour of the day | times | mean error, minutes | of it late | width of the span | within the span |");
        Console.WriteLine("| --- | ---: | ---: | ---: | ---: | ---: |");
        foreach (var hour in told.GroupBy(t => t.Hour).OrderBy(g => g.Key))
        {
            Console.WriteLine(Calibration.Line(string.Create(CultureInfo.InvariantCulture, $"{hour.Key + 8}:00"), [.. hour]));
        }

        foreach (var what in told.GroupBy(t => t.What).OrderBy(g => g.Key))
        {
            Console.WriteLine(Calibration.Line(what.Key, [.. what]));
        }

        Console.WriteLine(Calibration.Line("all", told));
        Console.WriteLine();
        var day = new ActualDay(Seed, 8, 16, 50, 50);
        foreach (var minute in new[] { 0, 120, 240 })
        {
            var known = day.At(minute);
            Forecaster.Of(known, new DrawSeed(1));
            double[] times =
            [
                .. Enumerable.Range(0, 7).Select(i =>
                {
                    var watch = Stopwatch.StartNew();
                    Forecaster.Of(known, new DrawSeed(i));
                    return watch.Elapsed.TotalMilliseconds;
                }).Order(),
            ];
            var bouts = known.Competitions.SelectMany(c => c.Stages).SelectMany(s => s.Turns).Sum(t => t.Bouts.Length);
            Console.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                $"8 competitions, 400 entrants, 16 strips at {8 + (minute / 60)}:00, {bouts} bouts left, {Forecaster.UsualCourses} courses: {times[times.Length / 2]:0} ms (median of {times.Length})."));
        }

        return 0;
    }
}
