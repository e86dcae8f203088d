using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Forecasting;

/// <summary>Says what ends late, and asks why by working the day out with something otherwise.</summary>
internal static class Lateness
{
    public static IEnumerable<LateWarning> Of(DayToForecast day, HallDay hall, IReadOnlyList<CompetitionForecast> competitions, ForecastTime? end)
    {
        var late = competitions.Select(c => (Forecast: c, Index: IndexOf(day, c.CompetitionId)))
            .Where(c => PlannedEnd(day, c.Index) is { } planned && c.Forecast.End.Expected > planned.AddMinutes(StageToPlan.Grid)).ToArray();
        var afterClosing = day.ClosesAt is { } closes && end is { } over && over.Expected > closes;
        if (late.Length == 0 && !afterClosing)
        {
            yield break;
        }

        var reasons = new Reasons(day, hall);
        if (afterClosing)
        {
            var last = competitions.MaxBy(c => c.End.Expected)!;
            yield return reasons.Of(null, last.CompetitionId, day.ClosesAt!.Value, end!.Value);
        }

        foreach (var (forecast, index) in late)
        {
            yield return reasons.Of(forecast.CompetitionId, forecast.CompetitionId, PlannedEnd(day, index)!.Value, forecast.End);
        }
    }

    private static int IndexOf(DayToForecast day, string competitionId)
    {
        var index = 0;
        while (day.Competitions[index].Id != competitionId)
        {
            index++;
        }

        return index;
    }

    private static DateTimeOffset? PlannedEnd(DayToForecast day, int competition) =>
        day.Competitions[competition].Stages is [.., { PlannedTo: var planned }] ? planned : null;

    private sealed class Reasons
    {
        private readonly DayToForecast day;
        private readonly HallDay hall;
        private readonly Dictionary<Otherwise, double[]> ends;

        public Reasons(DayToForecast day, HallDay hall)
        {
            this.day = day;
            this.hall = hall;
            ends = new[] { Otherwise.Nothing, Otherwise.PlannedLengths, Otherwise.StripsForAll, Otherwise.NobodyTwice }.ToDictionary(o => o, Ends);
        }

        public LateWarning Of(string? competitionId, string because, DateTimeOffset planned, ForecastTime end)
        {
            var c = IndexOf(day, because);
            var stage = day.Competitions[c].Stages[0];
            var pools = stage.Kind == StageKind.Pools;
            var (known, usual) = pools
                ? (hall.Competitions[c].Pool.Mean, day.Competitions[c].PoolBouts.UsualMinutes)
                : (hall.Competitions[c].Elimination.Mean, day.Competitions[c].EliminationBouts.UsualMinutes);

            // What long bouts have cost already is told by how long the stage has gone on.
            var gone = stage.BegunAt is { } begun ? Math.Max(0, (day.Now - begun).TotalMinutes) : 0;
            var cost = Math.Max(0, gone * (1 - ((double)usual / known)));
            var began = stage.PlannedFrom is { } from ? ((stage.BegunAt ?? day.Now) - from).TotalMinutes : 0;
            (LateReason Reason, double Minutes)[] found =
            [
                (LateReason.LongBouts, Saved(c, Otherwise.PlannedLengths) + cost),
                (LateReason.FewStrips, Saved(c, Otherwise.StripsForAll)),
                (LateReason.SharedFencers, Saved(c, Otherwise.NobodyTwice)),
                (LateReason.LateStart, Math.Max(0, began)),
            ];
            var best = found.MaxBy(f => f.Minutes);
            var reason = best.Minutes < 1 ? LateReason.TightPlan : best.Reason;
            return new LateWarning(
                competitionId,
                planned,
                end,
                reason,
                (int)Math.Round(best.Minutes),
                reason == LateReason.SharedFencers ? WaitedFor(c) : because,
                decimal.Round((decimal)known, 1),
                decimal.Round(usual, 1));
        }

        private double Saved(int competition, Otherwise otherwise) => Math.Max(0, ends[Otherwise.Nothing][competition] - ends[otherwise][competition]);

        private double[] Ends(Otherwise otherwise)
        {
            var course = new CourseOfDay(hall, new DrawSeed(0), 0, otherwise);
            course.Run(0);
            return [.. Enumerable.Range(0, hall.Competitions.Length).Select(course.EndOf)];
        }

        /// <summary>The competition that has most fencers in common with another.</summary>
        private string WaitedFor(int competition)
        {
            var people = day.Competitions[competition].Contenders.Select(c => c.Person).ToHashSet();
            return day.Competitions.Where((_, i) => i != competition).MaxBy(other => other.Contenders.Count(c => people.Contains(c.Person)))!.Id;
        }
    }
}
