using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Planning;

/// <summary>The search of <see cref="DayPlanner"/>. Mutable.</summary>
internal sealed class PlanSearch
{
    // How much later than before a plan may end, in slots, to be gone on from at first and at last. Found by trying on
    // generated days, as were the weights: an end counts more than all waiting, but a search that looks at the end alone
    // leaves the young waiting.
    private const double Hot = 4;
    private const double Cold = 0.15;
    private const double WaitWeight = 0.02;
    private const double EndsWeight = 0.005;

    private readonly DayToPlan day;
    private readonly Schedule schedule;
    private readonly LotSequence lots;
    private readonly int[] order;
    private readonly int[][] widths;
    private readonly DayBound bound;
    private readonly int steps;
    private int done;
    private Cost cost;
    private Cost bestCost;

    /// <summary>Makes the first plan.</summary>
    /// <param name="day">The day.</param>
    /// <param name="lots">The lots of the search.</param>
    /// <param name="steps">How many changes will be tried in all.</param>
    public PlanSearch(DayToPlan day, LotSequence lots, int steps)
    {
        this.day = day;
        this.lots = lots;
        this.steps = steps;
        schedule = new Schedule(day);
        bound = DayBound.Of(day);

        // The first plan: the longest first, each on the strips that its share of the work comes to.
        var work = day.Competitions.Select(c => c.Stages.Sum(s => s.Widths[0].Minutes)).ToArray();
        order =
        [
            .. Enumerable.Range(0, work.Length).OrderByDescending(c => day.Competitions[c].LeastMinutes).ThenBy(c => c)
                .SelectMany(c => Enumerable.Repeat(c, day.Competitions[c].Stages.Length)),
        ];
        widths = [.. day.Competitions.Select((c, i) => c.Stages.Select(s => WidthFor(s, day.Capacity * work[i] / Math.Max(1, work.Sum()))).ToArray())];
        cost = bestCost = schedule.Place(order, widths);
        Best = schedule.ToPlan(widths, bestCost, bound);
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
        var undo = Change();
        var now = schedule.Place(order, widths);
        if (!GoOnFrom(now))
        {
            undo();
            return;
        }

        cost = now;
        if (now.CompareTo(bestCost) < 0)
        {
            bestCost = now;
            Best = schedule.ToPlan(widths, bestCost, bound);
        }
    }

    /// <summary>Simulated annealing: what is worse is gone on from the more rarely the worse it is, and the later.</summary>
    private bool GoOnFrom(Cost now)
    {
        var worse = Weight(now) - Weight(cost);
        var temperature = Hot * Math.Pow(Cold / Hot, (double)done++ / steps);
        return worse <= 0 || lots.Below(1 << 20) < Math.Exp(-worse / temperature) * (1 << 20);
    }

    private static double Weight(Cost of) => of.End + (WaitWeight * of.YoungWait) + (EndsWeight * of.SumOfEnds);

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
