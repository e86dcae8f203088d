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
    private readonly StripLimit[] limits;
    private readonly int[][] limitsOf;
    // How many more strips each limit leaves in each slot, now and with nothing placed; both as long.
    private readonly int[][] free;
    private readonly int[][] allFree;
    private readonly StripGroup[] groups;
    // Of several groups those that serve each competition, and how many strips of each are free in each slot; with one the limits say it all.
    private readonly int[][] groupsOf;
    private readonly int[][] freeOf;
    // How many strips of each group each stage takes, as it was placed last; with one group its width.
    private readonly int[][][] taken;
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
        limits = [.. StripLimit.Of(day)];
        limitsOf = [.. day.Competitions.Select(c => Enumerable.Range(0, limits.Length).Where(l => limits[l].Weapons.Contains(c.Weapon)).ToArray())];
        allFree = [.. limits.Select(limit => Enumerable.Range(0, Math.Max(256, limit.BySlot.Length)).Select(limit.At).ToArray())];
        free = [.. allFree.Select(slots => slots.ToArray())];
        groups = [.. day.Groups];
        groupsOf = [.. day.Competitions.Select(c => groups.Length == 1 ? [] : Enumerable.Range(0, groups.Length).Where(g => groups[g].Weapons.Contains(c.Weapon)).ToArray())];
        freeOf = groups.Length == 1 ? [] : [.. groups.Select(group => Enumerable.Repeat(group.Strips.Length, 256).ToArray())];
        taken = [.. day.Competitions.Select(c => c.Stages.Select(_ => new int[groups.Length]).ToArray())];
    }

    /// <summary>Places all stages: the competition that stands in the order for the nth time places its nth stage.</summary>
    /// <param name="order">The order.</param>
    /// <param name="widths">The widths of the stages of each competition.</param>
    /// <param name="wanted">How many strips of each group each stage takes; null, or null for a stage, for those that serve fewest weapons first.</param>
    public Cost Place(int[] order, int[][] widths, int[]?[][]? wanted = null)
    {
        for (var l = 0; l < limits.Length; l++)
        {
            Array.Copy(allFree[l], free[l], Math.Min(usedTo, free[l].Length));
        }

        for (var g = 0; g < freeOf.Length; g++)
        {
            freeOf[g].AsSpan(0, Math.Min(usedTo, freeOf[g].Length)).Fill(groups[g].Strips.Length);
        }

        Array.Clear(placed);
        usedTo = 0;
        foreach (var competition in order)
        {
            PlaceNext(competition, widths[competition], wanted?[competition]);
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
        var freeFrom = new int[day.Strips + 1];
        var planned = ImmutableArray.CreateBuilder<PlannedStage>(stages.Length);
        foreach (var (competition, stage, from, to) in stages)
        {
            var width = day.Competitions[competition].Stages[stage].Widths[widths[competition][stage]];
            // There are always enough: of no group more are in use at once than there are.
            int[] strips = [.. groups.SelectMany((group, g) => group.Strips.Where(strip => freeFrom[strip] <= from).Take(taken[competition][stage][g])).Order()];
            foreach (var strip in strips)
            {
                freeFrom[strip] = to;
            }

            planned.Add(new PlannedStage(competition, stage, width, axis.BeginOf(from), axis.EndAt(to), [.. strips]));
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

    private void PlaceNext(int competition, int[] widths, int[]?[]? wanted)
    {
        var number = placed[competition]++;
        var stage = day.Competitions[competition].Stages[number];
        var width = stage.Widths[widths[number]];
        var length = TimeAxis.Slots(width.Minutes);
        var from = number == 0 ? ready[competition] : spans[competition][number - 1].To + TimeAxis.Slots(stage.PauseBefore);
        var take = taken[competition][number];
        while (Clash(competition, from, from + length, width.Strips, take, wanted?[number]) is var next && next > from)
        {
            from = next;
        }

        foreach (var l in limitsOf[competition])
        {
            foreach (ref var slot in free[l].AsSpan(from, length))
            {
                slot -= width.Strips;
            }
        }

        foreach (var g in groupsOf[competition])
        {
            foreach (ref var slot in freeOf[g].AsSpan(from, length))
            {
                slot -= take[g];
            }
        }

        usedTo = Math.Max(usedTo, from + length);
        spans[competition][number] = (from, from + length);
    }

    /// <summary>The slot after the last clash of a stage that was put there, or its own beginning when there is none; then what it takes of each group is in take.</summary>
    private int Clash(int competition, int from, int to, int strips, int[] take, int[]? wanted)
    {
        var last = from - 1;
        foreach (var l in limitsOf[competition])
        {
            Reach(l, to);
            var within = free[l].AsSpan(last + 1, to - last - 1).LastIndexOfAnyInRange(int.MinValue, strips - 1);
            last += within + 1;
        }

        if (last >= from)
        {
            return last + 1;
        }

        if (groups.Length == 1)
        {
            take[0] = strips;
        }
        else if (GroupClash(competition, from, to, strips, take, wanted) is var next && next > from)
        {
            return next;
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

    /// <summary>The same for the strips of its groups: of each a stage has as many as it takes from beginning to end.</summary>
    private int GroupClash(int competition, int from, int to, int strips, int[] take, int[]? wanted)
    {
        var (left, next) = (strips, int.MaxValue);
        foreach (var g in groupsOf[competition])
        {
            if (to > freeOf[g].Length)
            {
                var have = freeOf[g].Length;
                Array.Resize(ref freeOf[g], Math.Max(2 * have, to));
                freeOf[g].AsSpan(have).Fill(groups[g].Strips.Length);
            }

            var span = freeOf[g].AsSpan(from, to - from);
            if (wanted is not null)
            {
                take[g] = wanted[g];
                left -= wanted[g];
                if (span.LastIndexOfAnyInRange(int.MinValue, wanted[g] - 1) is >= 0 and var clash)
                {
                    return from + clash + 1;
                }

                continue;
            }

            var (least, at) = (int.MaxValue, 0);
            for (var i = 0; i < span.Length; i++)
            {
                if (span[i] <= least)
                {
                    (least, at) = (span[i], i);
                }
            }

            take[g] = Math.Min(left, least);
            left -= take[g];
            // No later beginning leaves more free before the last of the slots with fewest free has gone by, in one group at least.
            next = Math.Min(next, from + at + 1);
        }

        return left > 0 ? next : from;
    }

    /// <summary>Makes the slots of a limit reach as far as that.</summary>
    private void Reach(int limit, int to)
    {
        var have = free[limit].Length;
        if (to > have)
        {
            foreach (var slots in new[] { free, allFree })
            {
                Array.Resize(ref slots[limit], Math.Max(2 * have, to));
                slots[limit].AsSpan(have).Fill(limits[limit].Afterwards);
            }
        }
    }
}
