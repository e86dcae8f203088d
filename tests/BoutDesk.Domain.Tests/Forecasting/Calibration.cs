using System.Globalization;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Tests.Forecasting;

/// <summary>A forecast time beside what came.</summary>
/// <param name="What">What was forecast.</param>
/// <param name="Hour">The hour of the day in which it was, from 0.</param>
/// <param name="Within">Whether it came within the span.</param>
/// <param name="Late">Minutes that it came later than expected.</param>
/// <param name="Width">The width of the span in minutes.</param>
internal readonly record struct Told(string What, int Hour, bool Within, double Late, double Width);

/// <summary>Compares forecasts of days with how they went.</summary>
internal static class Calibration
{
    /// <summary>Forecasts each hour of a day, and holds all times against what came.</summary>
    public static IEnumerable<Told> Of(ActualDay day, int courses)
    {
        for (var hour = 0; 60 * hour < day.End; hour++)
        {
            var minute = 60.0 * hour;
            var known = day.At(minute);
            var forecast = Forecaster.Of(known, new DrawSeed(hour), courses);
            foreach (var bout in forecast.Bouts)
            {
                yield return Compare("bout", hour, bout.Begin, day.BeginOf(bout.BoutId));
            }

            foreach (var entrant in forecast.Entrants)
            {
                if (day.NextOf(entrant.EntrantId, minute) is { } next)
                {
                    yield return Compare("next bout of a fencer", hour, entrant.Begin, next);
                }
            }

            foreach (var stage in forecast.Stages)
            {
                yield return Compare("end of a stage", hour, stage.End, day.EndOf(stage.CompetitionId, stage.Kind));
            }

            foreach (var competition in forecast.Competitions)
            {
                yield return Compare("end of a competition", hour, competition.End, day.EndOf(competition.CompetitionId));
            }

            yield return Compare("end of the day", hour, forecast.End!.Value, ActualDay.Moment(day.End));
        }
    }

    public static string Line(string name, IReadOnlyCollection<Told> told) => string.Create(
        CultureInfo.InvariantCulture,
        $"| {name} | {told.Count} | {told.Average(t => Math.Abs(t.Late)):0.0} | {told.Average(t => t.Late):0.0} | {told.Average(t => t.Width):0.0} | {100.0 * told.Count(t => t.Within) / told.Count:0.0} % |");

    private static Told Compare(string what, int hour, ForecastTime time, DateTimeOffset came)
    {
        // A span can be a single moment, such as the end of a rest; the day that goes by meets it within a step.
        var within = came >= time.From - ActualDay.StepLength && came <= time.To + ActualDay.StepLength;
        return new Told(what, hour, within, (came - time.Expected).TotalMinutes, (time.To - time.From).TotalMinutes);
    }
}
