using BoutDesk.Domain.Strips;

namespace BoutDesk.Domain.Tests.Strips;

/// <summary>
/// Tries every plan of a small hall cell by cell, for figures that are whole cells. Slow, and plainly right: it knows
/// nothing of moving places to the left or rows up.
/// </summary>
internal sealed class SlowHallSearch
{
    private readonly int cell;
    private readonly PlanFigures figures;
    private readonly bool[,] free;
    // What follows from a height was searched before: only remembered, so that the search ends.
    private readonly Dictionary<(bool, int, int, bool?), int> known = [];

    public SlowHallSearch(Hall hall, PlanFigures figures, int cell)
    {
        this.cell = cell;
        this.figures = figures;
        free = new bool[hall.Length / cell, hall.Width / cell];
        for (var x = 0; x < free.GetLength(0); x++)
        {
            for (var y = 0; y < free.GetLength(1); y++)
            {
                free[x, y] = IsFree(hall, new FloorArea(x * cell, y * cell, cell, cell));
            }
        }
    }

    private int Extent => (figures.StripLength + (2 * figures.RunOff)) / cell;

    private int Depth => (figures.StripWidth + figures.Gap) / cell;

    private int EndGap => figures.EndGap / cell;

    /// <summary>The most strips in rows from wall to wall; all alike, or each row as it likes.</summary>
    public int InRows(bool alike) => new[] { false, true }
        .Max(down => alike ? new[] { true, false }.Max(endToEnd => Rows(down, [endToEnd], 0, null)) : Rows(down, [true, false], 0, null));

    /// <summary>The most strips that lie alike, wherever they lie.</summary>
    public int AnywhereAlike() => Math.Max(Anywhere(down: false), Anywhere(down: true));

    private int Rows(bool down, bool[] kinds, int from, bool? before)
    {
        var key = (down, kinds.Length == 1 ? (kinds[0] ? 1 : 0) : 2, from, before);
        if (known.TryGetValue(key, out var searched))
        {
            return searched;
        }

        var height = free.GetLength(down ? 0 : 1);
        var most = 0;
        foreach (var endToEnd in kinds)
        {
            var apart = before is null || (before.Value && endToEnd) ? 0 : EndGap;
            var depth = endToEnd ? Depth : Extent;
            for (var y = from + apart; y + depth <= height; y++)
            {
                if (Row(down, endToEnd, y, 0) is > 0 and var here)
                {
                    most = Math.Max(most, here + Rows(down, kinds, y + depth, endToEnd));
                }
            }
        }

        return known[key] = most;
    }

    private int Row(bool down, bool endToEnd, int y, int x)
    {
        var extent = endToEnd ? Extent : Depth;
        if (x + extent > free.GetLength(down ? 1 : 0))
        {
            return 0;
        }

        var most = Row(down, endToEnd, y, x + 1);
        return AllFree(down, x, y, extent, endToEnd ? Depth : Extent)
            ? Math.Max(most, 1 + Row(down, endToEnd, y, x + extent + (endToEnd ? EndGap : 0)))
            : most;
    }

    private int Anywhere(bool down)
    {
        var places = new List<FloorArea>();
        for (var y = 0; y + Depth <= free.GetLength(down ? 0 : 1); y++)
        {
            for (var x = 0; x + Extent <= free.GetLength(down ? 1 : 0); x++)
            {
                if (AllFree(down, x, y, Extent, Depth))
                {
                    // The passage at its end belongs to a place, so that two of them overlap where they are too near.
                    places.Add(new FloorArea(x, y, Extent + EndGap, Depth));
                }
            }
        }

        return Most(places);
    }

    // Some place lies highest, and leftmost of those: either it is the first of the list or the first is left out.
    private static int Most(List<FloorArea> places) => places.Count == 0
        ? 0
        : Math.Max(1 + Most([.. places.Skip(1).Where(p => !p.Overlaps(places[0]))]), places.Exists(p => p != places[0] && p.Overlaps(places[0])) ? Most(places[1..]) : 0);

    private bool AllFree(bool down, int x, int y, int width, int height)
    {
        for (var i = x; i < x + width; i++)
        {
            for (var j = y; j < y + height; j++)
            {
                if (!(down ? free[j, i] : free[i, j]))
                {
                    return false;
                }
            }
        }

        return true;
    }

    private bool IsFree(Hall hall, FloorArea square) =>
        square.X >= figures.Clearance && square.Right <= hall.Length - figures.Clearance
        && square.Y >= figures.Clearance && square.Bottom <= hall.Width - figures.Clearance
        && !hall.Doors.Any(d => hall.InFrontOf(d).Overlaps(square))
        && !hall.Blocks.Any(b => b.Area.Overlaps(square.Grown(figures.Clearance)));
}
