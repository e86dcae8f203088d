namespace BoutDesk.Domain.Planning;

/// <summary>A moment before which no plan of a day can end.</summary>
internal static class DayBound
{
    /// <summary>The bound as a minute of the day.</summary>
    public static int Of(DayToPlan day, TimeAxis axis)
    {
        var ready = day.Competitions.Select(c => axis.SlotAtOrAfter(c.NotBefore)).ToArray();
        var bound = 0;

        // Nobody ends before what he needs at his widest.
        for (var c = 0; c < ready.Length; c++)
        {
            bound = Math.Max(bound, ready[c] + TimeAxis.Slots(day.Competitions[c].LeastMinutes));
        }

        // All who begin from some moment on share the strips from there.
        foreach (var from in ready.Distinct())
        {
            var work = Enumerable.Range(0, ready.Length).Where(c => ready[c] >= from)
                .Sum(c => day.Competitions[c].Stages.Sum(s => s.Widths.Min(w => w.Strips * TimeAxis.Slots(w.Minutes))));
            bound = Math.Max(bound, from + ((work + day.Capacity - 1) / day.Capacity));
        }

        // Of two that share a fencer one is fenced at a time.
        foreach (var (first, second) in day.Shared.Where(s => s.First != s.Second))
        {
            var fenced = new[] { first, second }.Sum(c => day.Competitions[c].Stages.Sum(s => TimeAxis.Slots(s.Widths[^1].Minutes)));
            bound = Math.Max(bound, Math.Min(ready[first], ready[second]) + fenced + TimeAxis.Slots(DayToPlan.TurnRound));
        }

        return axis.EndAt(bound);
    }
}
