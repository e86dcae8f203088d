using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Planning;

/// <summary>The search of <see cref="DayPlanner"/>. Mutable.</summary>
internal sealed class PlanSearch
{
    // Found by trying on generated days: less, and it gives up too soon; more, and it stands still too long.
    private const int Patience = 250;
    private const int Shake = 4;

    private readonly DayToPlan day;
    private readonly Schedule schedule;
    private readonly LotSequence lots;
    private readonly int[] order;
    private readonly int[][] widths;
    private readonly int[] bestOrder;
    private readonly int[][] bestWidths;
    private readonly int lowerBound;
    private Cost cost;
    private Cost bestCost;
    private int stillFor;

    public PlanSearch(DayToPlan day, LotSequence lots)
    {
        this.day = day;
        this.lots = lots;
        var axis = new TimeAxis(day.OpensAt, day.Closures);
        schedule = new Schedule(day, axis);
        lowerBound = DayBound.Of(day, axis);

        // The first plan: the longest first, each on the strips that its share of the work comes to.
        var work = day.Competitions.Select(c => c.Stages.Sum(s => s.Widths[0].Minutes)).ToArray();
        order =
        [
            .. Enumerable.Range(0, work.Length).OrderByDescending(c => day.Competitions[c].LeastMinutes).ThenBy(c => c)
                .SelectMany(c => Enumerable.Repeat(c, day.Competitions[c].Stages.Length)),
        ];
        widths = [.. day.Competitions.Select((c, i) => c.Stages.Select(s => WidthFor(s, day.Capacity * work[i] / Math.Max(1, work.Sum()))).ToArray())];
        bestOrder = [.. order];
        bestWidths = [.. widths.Select(w => w.ToArray())];
        cost = bestCost = schedule.Place(order, widths);
        Best = schedule.ToPlan(widths, lowerBound);
    }

    /// <summary>The best plan so far.</summary>
    public DayPlan Best { get; private set; }

    /// <summary>Whether nothing can be bettered any more: the end is proven least and no young fencer waits.</summary>
    public bool Finished => Best is { EndIsLeast: true, YoungWait: 0 };

    /// <summary>Tries so many changes.</summary>
    public void Try(int changes)
    {
        for (var i = 0; i < changes && !Finished; i++)
        {
            Try();
        }
    }

    private static int WidthFor(StageToPlan stage, int strips)
    {
        var width = 0;
        while (width + 1 < stage.Widths.Length && stage.Widths[width + 1].Strips <= strips)
        {
            width++;
        }

        return width;
    }

    private void Try()
    {
        if (stillFor++ >= Patience)
        {
            StartAnew();
            return;
        }

        var undo = Change();
        var now = schedule.Place(order, widths);
        // What is as good is taken too: a search that stands still on a plain never leaves it.
        if (now.CompareTo(cost) > 0)
        {
            undo();
            return;
        }

        Take(now);
    }

    private void Take(Cost now)
    {
        stillFor = now.CompareTo(cost) < 0 ? 0 : stillFor;
        cost = now;
        if (now.CompareTo(bestCost) < 0)
        {
            bestCost = now;
            Best = schedule.ToPlan(widths, lowerBound);
            order.CopyTo(bestOrder, 0);
            for (var c = 0; c < widths.Length; c++)
            {
                widths[c].CopyTo(bestWidths[c], 0);
            }
        }
    }

    private void StartAnew()
    {
        bestOrder.CopyTo(order, 0);
        for (var c = 0; c < widths.Length; c++)
        {
            bestWidths[c].CopyTo(widths[c], 0);
        }

        for (var i = 0; i < Shake; i++)
        {
            Change();
        }

        stillFor = 0;
        cost = new Cost(int.MaxValue, int.MaxValue, int.MaxValue);
        Take(schedule.Place(order, widths));
    }

    private Action Change()
    {
        if (order.Length < 2 || lots.Below(2) == 0)
        {
            var competition = lots.Below(widths.Length);
            var stage = lots.Below(widths[competition].Length);
            var before = widths[competition][stage];
            widths[competition][stage] = lots.Below(day.Competitions[competition].Stages[stage].Widths.Length);
            return () => widths[competition][stage] = before;
        }

        var (from, to) = (lots.Below(order.Length), lots.Below(order.Length));
        Move(from, to);
        return () => Move(to, from);
    }

    private void Move(int from, int to)
    {
        var moved = order[from];
        if (from < to)
        {
            Array.Copy(order, from + 1, order, from, to - from);
        }
        else
        {
            Array.Copy(order, to, order, to + 1, from - to);
        }

        order[to] = moved;
    }
}
