using System.Collections.Immutable;

namespace BoutDesk.Domain.Planning;

/// <summary>What a plan costs: first when it ends, then how long the young wait, then how early competitions end in all.</summary>
internal readonly record struct Cost(int End, int YoungWait, int SumOfEnds) : IComparable<Cost>
{
    public int CompareTo(Cost other) =>
        End != other.End ? End.CompareTo(other.End)
        : YoungWait != other.YoungWait ? YoungWait.CompareTo(other.YoungWait)
        : SumOfEnds.CompareTo(other.SumOfEnds);
}

/// <summary>Puts stages at their earliest place, one after the other. Mutable, and used for one plan after another.</summary>
internal sealed class Schedule
{
    private readonly DayToPlan day;
    private readonly TimeAxis axis;
    private readonly int[] ready;
    private readonly int[][] partners;
    private readonly int[] placed;
    private readonly (int From, int To)[][] spans;
    private int[] used;
    private int usedTo;

    public Schedule(DayToPlan day)
    {
        this.day = day;
        axis = new TimeAxis(day.OpensAt, day.Closures);
        ready = [.. day.Competitions.Select(c => axis.SlotAtOrAfter(c.NotBefore))];
        partners =
        [
            .. Enumerable.Range(0, day.Competitions.Length).Select(c => day.Shared
                .Where(s => s.First == c || s.Second == c).Select(s => s.First == c ? s.Second : s.First).Where(other => other != c).Distinct().ToArray()),
        ];
        placed = new int[day.Competitions.Length];
        spans = [.. day.Competitions.Select(c => new (int, int)[c.Stages.Length])];
        used = new int[256];
    }

    /// <summary>Places all stages: the competition that stands in the order for the nth time places its nth stage.</summary>
    public Cost Place(int[] order, int[][] widths)
    {
        Array.Clear(used, 0, usedTo);
        Array.Clear(placed);
        usedTo = 0;
        foreach (var competition in order)
        {
            PlaceNext(competition, widths[competition]);
        }

        var (end, wait, sum) = (0, 0, 0);
        for (var c = 0; c < spans.Length; c++)
        {
            var last = spans[c][^1].To;
            end = Math.Max(end, last);
            sum += last;
            if (day.Competitions[c].Young)
            {
                wait += Wait(c, widths[c]);
            }
        }

        return new Cost(end, wait, sum);
    }

    /// <summary>The slots that a competition waited as it was placed last.</summary>
    private int Wait(int competition, int[] widths) => spans[competition][^1].To - ready[competition] - Needed(competition, widths);

    /// <summary>The plan as it was placed last, with what it cost.</summary>
    public DayPlan ToPlan(int[][] widths, Cost cost, DayBound bound)
    {
        var stages = spans.SelectMany((of, c) => of.Select((span, s) => (Competition: c, Stage: s, span.From, span.To)))
            .OrderBy(s => s.From).ThenBy(s => s.Competition).ThenBy(s => s.Stage).ToArray();
        var freeFrom = new int[day.Capacity];
        var planned = ImmutableArray.CreateBuilder<PlannedStage>(stages.Length);
        foreach (var (competition, stage, from, to) in stages)
        {
            var width = day.Competitions[competition].Stages[stage].Widths[widths[competition][stage]];
            // There are always enough: never more are in use at once than there are.
            int[] strips = [.. Enumerable.Range(0, freeFrom.Length).Where(strip => freeFrom[strip] <= from).Take(width.Strips)];
            foreach (var strip in strips)
            {
                freeFrom[strip] = to;
            }

            planned.Add(new PlannedStage(competition, stage, width, axis.BeginOf(from), axis.EndAt(to), [.. strips.Select(s => s + 1)]));
        }

        return new DayPlan(
            planned.MoveToImmutable(),
            axis.EndAt(cost.End),
            bound,
            [.. widths.Select((of, c) => Wait(c, of) * StageToPlan.Grid)],
            cost.YoungWait * StageToPlan.Grid);
    }

    /// <summary>The slots that a competition takes with these widths when nothing holds it up.</summary>
    private int Needed(int competition, int[] widths)
    {
        var stages = day.Competitions[competition].Stages;
        var slots = 0;
        for (var s = 0; s < stages.Length; s++)
        {
            slots += TimeAxis.Slots(stages[s].Widths[widths[s]].Minutes) + (s > 0 ? TimeAxis.Slots(stages[s].PauseBefore) : 0);
        }

        return slots;
    }

    private void PlaceNext(int competition, int[] widths)
    {
        var number = placed[competition]++;
        var stage = day.Competitions[competition].Stages[number];
        var width = stage.Widths[widths[number]];
        var length = TimeAxis.Slots(width.Minutes);
        var from = number == 0 ? ready[competition] : spans[competition][number - 1].To + TimeAxis.Slots(stage.PauseBefore);
        while (Clash(competition, from, from + length, width.Strips) is var next && next > from)
        {
            from = next;
        }

        if (from + length > used.Length)
        {
            Array.Resize(ref used, Math.Max(2 * used.Length, from + length));
        }

        for (var slot = from; slot < from + length; slot++)
        {
            used[slot] += width.Strips;
        }

        usedTo = Math.Max(usedTo, from + length);
        spans[competition][number] = (from, from + length);
    }

    /// <summary>The slot after the last clash of a stage that was put there, or its own beginning when there is none.</summary>
    private int Clash(int competition, int from, int to, int strips)
    {
        for (var slot = Math.Min(to, usedTo) - 1; slot >= from; slot--)
        {
            if (used[slot] + strips > day.Capacity)
            {
                return slot + 1;
            }
        }

        var turn = TimeAxis.Slots(DayToPlan.TurnRound);
        foreach (var partner in partners[competition])
        {
            for (var s = 0; s < placed[partner]; s++)
            {
                var span = spans[partner][s];
                if (span.From < to + turn && from < span.To + turn)
                {
                    return span.To + turn;
                }
            }
        }

        return from;
    }
}
