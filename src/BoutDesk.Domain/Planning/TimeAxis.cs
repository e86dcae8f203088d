using System.Collections.Immutable;

namespace BoutDesk.Domain.Planning;

/// <summary>The time of a day in which can be fenced, in slots of <see cref="StageToPlan.Grid"/> minutes numbered from 0, closures cut out.</summary>
public sealed class TimeAxis
{
    private readonly int opensAt;
    private readonly ImmutableArray<(int From, int To)> closures;

    /// <summary>Makes the axis of a day.</summary>
    /// <param name="opensAt">The minute of the day from which can be fenced; the first slot begins at it or at the next multiple of the grid.</param>
    /// <param name="closures">When nothing is fenced, in any order; they may overlap.</param>
    public TimeAxis(int opensAt, ImmutableArray<Closure> closures)
    {
        this.opensAt = Up(opensAt);
        var merged = new List<(int From, int To)>();
        foreach (var closure in closures.Where(c => c.To > c.From).OrderBy(c => c.From))
        {
            var (from, to) = (Math.Max(this.opensAt, Down(closure.From)), Up(closure.To));
            if (to <= this.opensAt)
            {
                continue;
            }

            if (merged.Count > 0 && from <= merged[^1].To)
            {
                merged[^1] = (merged[^1].From, Math.Max(merged[^1].To, to));
            }
            else
            {
                merged.Add((from, to));
            }
        }

        this.closures = [.. merged];
    }

    /// <summary>The first slot that does not begin before a minute of the day.</summary>
    public int SlotAtOrAfter(int minute)
    {
        var at = Up(Math.Max(minute, opensAt));
        var closed = 0;
        foreach (var (from, to) in closures)
        {
            if (from <= at)
            {
                at = Math.Max(at, to);
                closed += to - from;
            }
        }

        return (at - opensAt - closed) / StageToPlan.Grid;
    }

    /// <summary>The minute of the day at which a slot begins.</summary>
    public int BeginOf(int slot)
    {
        var minute = opensAt + (slot * StageToPlan.Grid);
        foreach (var (from, to) in closures)
        {
            minute += minute >= from ? to - from : 0;
        }

        return minute;
    }

    /// <summary>The minute of the day at which what ended with the slot before this one is over.</summary>
    public int EndAt(int slot) => slot == 0 ? opensAt : BeginOf(slot - 1) + StageToPlan.Grid;

    /// <summary>How many slots so many minutes take, one that is begun counted whole.</summary>
    public static int Slots(int minutes) => (minutes + StageToPlan.Grid - 1) / StageToPlan.Grid;

    private static int Up(int minute) => Slots(minute) * StageToPlan.Grid;

    private static int Down(int minute) => minute / StageToPlan.Grid * StageToPlan.Grid;
}
