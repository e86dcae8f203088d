using System.Collections.Immutable;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Forecasting;

/// <summary>
/// Forecasts the rest of a day: when each bout begins, when stages, competitions and the day end, and how sure that is.
/// </summary>
/// <remarks>
/// <para>
/// Some hundred courses of the day are worked out by lot (Monte Carlo). In each, bouts take a time drawn from what is known
/// of their kind by then (see <see cref="BoutLengths"/>: what was planned, given way to by what was measured; how well the
/// mean is known is part of it), and each fencer of an elimination bout is as likely to win as the other. The rest follows:
/// a pool keeps its strip and fences one bout at a time in its order; a free strip goes to what has the longest way to the
/// end of its competition before it by planned lengths, then as in <see cref="Elimination.CallingOrder"/>; nobody fences in two places;
/// between two elimination bouts of a fencer lie ten minutes, and twenty between a stage and one that has to be drawn; a
/// stage does not begin before it was planned to.
/// </para>
/// <para>
/// A span leaves out the earliest and the latest tenth of the courses, so it is right in four cases of five where bouts take
/// as long as the model says. What nobody foresees, such as a failing machine or an injury, is not in it.
/// </para>
/// <para>The same day and seed give the same forecast.</para>
/// </remarks>
public static class Forecaster
{
    /// <summary>So many courses tell the tenths well enough: a few more change a span by a minute.</summary>
    public const int UsualCourses = 300;

    private const int Fewest = 9;

    /// <summary>The forecast.</summary>
    /// <param name="day">What is left of the day.</param>
    /// <param name="seed">The seed of all lots.</param>
    /// <param name="courses">How many courses are worked out, at least 9; fewer of a day with more than 3,000 bouts, on which each takes long.</param>
    /// <exception cref="ArgumentException">A seat names an entrant who is not among the contenders, or there are too few courses.</exception>
    public static DayForecast Of(DayToForecast day, DrawSeed seed, int courses = UsualCourses)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(courses, Fewest);
        var hall = Hall(day);
        courses = WithinReason(courses, hall.Bouts.Length);
        var bouts = Rows(hall.Bouts.Length, courses);
        var entrants = Rows(hall.Contenders.Length, courses);
        var stageBegins = Rows(hall.Stages.Length, courses);
        var stageEnds = Rows(hall.Stages.Length, courses);
        var ends = Rows(hall.Competitions.Length, courses);
        var dayEnds = new double[courses];
        var course = new CourseOfDay(hall, seed, courses);
        for (var i = 0; i < courses; i++)
        {
            course.Run(i);
            Note(course.Begins, bouts, i);
            Note(course.NextOf, entrants, i);
            Note(course.StageBegins, stageBegins, i);
            Note(course.StageEnds, stageEnds, i);
            dayEnds[i] = double.NaN;
            for (var c = 0; c < ends.Length; c++)
            {
                ends[c][i] = course.EndOf(c);
                dayEnds[i] = double.IsNaN(dayEnds[i]) || ends[c][i] > dayEnds[i] ? ends[c][i] : dayEnds[i];
            }
        }

        CompetitionForecast[] competitions =
        [
            .. hall.Competitions.Select((c, i) => (c, i, End: Time(hall, ends[i]))).Where(c => c.End is not null).Select(c => new CompetitionForecast(
                day.Competitions[c.i].Id, c.End!.Value, decimal.Round((decimal)c.c.Pool.Mean, 2), decimal.Round((decimal)c.c.Elimination.Mean, 2))),
        ];
        var end = Time(hall, dayEnds);
        return new DayForecast(
            [
                .. hall.Bouts.Select((b, i) => (b.Given.Id, Drawn: hall.Stages[hall.Turns[b.Turn].Stage].Given.Drawn, Begin: Time(hall, bouts[i])))
                    .Where(b => b.Drawn && b.Begin is not null).OrderBy(b => b.Begin!.Value.Expected).Select(b => new BoutForecast(b.Id, b.Begin!.Value)),
            ],
            [
                .. hall.Contenders.Select((c, i) => (c.EntrantId, Begin: Time(hall, entrants[i])))
                    .Where(c => c.Begin is not null).Select(c => new EntrantForecast(c.EntrantId, c.Begin!.Value)),
            ],
            [
                .. hall.Stages.Select((s, i) => (s, Begin: Time(hall, stageBegins[i]), End: Time(hall, stageEnds[i]))).Where(s => s.End is not null)
                    .Select(s => new StageForecast(day.Competitions[s.s.Competition].Id, s.s.Given.Kind, s.s.Given.Round, s.Begin, s.End!.Value)),
            ],
            [.. competitions],
            end,
            [.. Lateness.Of(day, hall, competitions, end)]);
    }

    /// <summary>One course that the day can take, bout by bout.</summary>
    /// <param name="day">What is left of the day.</param>
    /// <param name="seed">The seed of all lots.</param>
    /// <param name="number">Which of <see cref="UsualCourses"/>, from 0.</param>
    public static ImmutableArray<SimulatedBout> Course(DayToForecast day, DrawSeed seed, int number)
    {
        var hall = Hall(day);
        var course = new CourseOfDay(hall, seed, UsualCourses);
        course.Run(number);
        return
        [
            .. from b in Enumerable.Range(0, hall.Bouts.Length)
               where !double.IsNaN(course.Ends[b])
               let fencers = course.FencersOf(b)
               select new SimulatedBout(
                   hall.Bouts[b].Given.Id,
                   hall.Contenders[fencers.Left].EntrantId,
                   hall.Contenders[fencers.Right].EntrantId,
                   course.StripOf(b),
                   double.IsNaN(course.Begins[b]) ? hall.Bouts[b].Given.Since!.Value : hall.Moment(course.Begins[b]),
                   hall.Moment(course.Ends[b])),
        ];
    }

    /// <summary>A course takes a time that grows with the square of the bouts: each time a strip is free, one of those that are ready is chosen.</summary>
    private static int WithinReason(int courses, int bouts)
    {
        const double Usual = 3000;
        return bouts <= Usual ? courses : (int)Math.Max(Fewest, courses * (Usual / bouts) * (Usual / bouts));
    }

    private static HallDay Hall(DayToForecast day)
    {
        try
        {
            return new HallDay(day);
        }
        catch (KeyNotFoundException unknown)
        {
            throw new ArgumentException("A seat names an entrant who is not among the contenders of its competition.", nameof(day), unknown);
        }
    }

    private static double[][] Rows(int count, int courses) => [.. Enumerable.Range(0, count).Select(_ => new double[courses])];

    private static void Note(double[] of, double[][] rows, int course)
    {
        for (var i = 0; i < of.Length; i++)
        {
            rows[i][course] = of[i];
        }
    }

    /// <summary>The time that stands behind what courses told; null when it did not happen in half of them.</summary>
    private static ForecastTime? Time(HallDay hall, double[] told)
    {
        // What is not a number comes first.
        Array.Sort(told);
        var first = 0;
        while (first < told.Length && double.IsNaN(told[first]))
        {
            first++;
        }

        var times = told.AsSpan(first);
        return times.Length < Fewest || 2 * times.Length < told.Length
            ? null
            : new ForecastTime(hall.Moment(Share(times, 0.5)), hall.Moment(Share(times, 0.1)), hall.Moment(Share(times, 0.9)));
    }

    /// <summary>The value that the next one lies below in such a share of all cases: the share of n + 1, between neighbours in proportion.</summary>
    private static double Share(ReadOnlySpan<double> sorted, double share)
    {
        var at = Math.Clamp((share * (sorted.Length + 1)) - 1, 0, sorted.Length - 1);
        var below = (int)at;
        return below + 1 == sorted.Length ? sorted[below] : sorted[below] + ((at - below) * (sorted[below + 1] - sorted[below]));
    }
}
