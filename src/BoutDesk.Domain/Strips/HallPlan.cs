using System.Collections.Immutable;

namespace BoutDesk.Domain.Strips;

/// <summary>How a strip lies.</summary>
public enum StripDirection
{
    /// <summary>From left to right, along the walls at top and bottom.</summary>
    Across,

    /// <summary>From top to bottom, along the walls on the left and right.</summary>
    Down,
}

/// <summary>A strip as planned.</summary>
/// <param name="Number">Its number in the plan, from 1.</param>
/// <param name="Direction">How it lies.</param>
/// <param name="Strip">The strip itself, from end line to end line.</param>
/// <param name="FirstRunOff">The run-off at its left or upper end; empty when none is planned.</param>
/// <param name="SecondRunOff">The run-off at its right or lower end; empty when none is planned.</param>
/// <param name="Lane">The lane above it, or on its left when it lies down the hall; as long as strip and run-offs.</param>
/// <param name="Table">The table for the scoring apparatus, in the middle of the lane, at the centre line.</param>
public sealed record PlannedStrip(
    int Number, StripDirection Direction, FloorArea Strip, FloorArea FirstRunOff, FloorArea SecondRunOff, FloorArea Lane, FloorArea Table)
{
    /// <summary>Strip, run-offs and lane: what no other strip, block or door may share.</summary>
    public FloorArea Place
    {
        get
        {
            var (x, y) = (Math.Min(Lane.X, FirstRunOff.X), Math.Min(Lane.Y, FirstRunOff.Y));
            return new FloorArea(x, y, Math.Max(Lane.Right, SecondRunOff.Right) - x, Math.Max(Lane.Bottom, SecondRunOff.Bottom) - y);
        }
    }
}

/// <summary>Something that stands in front of a door.</summary>
/// <param name="Door">The number of the door in its list, from 1.</param>
/// <param name="Block">The number of the block in its list, from 1.</param>
public readonly record struct BlockedDoor(int Door, int Block);

/// <summary>The most strips that a hall takes. An aid: the venue's safety plan and local law come first.</summary>
/// <remarks>
/// The model, of which the plan is a true optimum, is our own, from practice. A strip needs a place: its length with both
/// run-offs, by its width and a lane along one long side. Places keep the clearance from walls and blocks and lie outside
/// the floor in front of doors. They stand in rows that go from wall to wall, all parallel to one wall, and in a row all
/// lie alike, end to end or side by side. A passage is kept at the ends of a strip, to whatever strip is next; between
/// strips side by side there is a lane. Two plans are compared: the fullest in which all strips lie alike, and the fullest
/// whose rows differ. The second is taken when it has more strips only, since a hall where all lie alike is easier to
/// lay out and to walk through; of equally full ones of the first kind that with the strips along the longer walls, then
/// the one with rows from left to right. Within its rows a strip then lies in line with those of the other rows where that
/// costs nothing. Floor that is left over is shared between both sides of the hall, to the decimetre, unless something is in
/// the way.
/// </remarks>
/// <param name="Strips">The strips, row by row.</param>
/// <param name="Alike">How many there could be if all had to lie alike; never more than <see cref="Strips"/>.</param>
/// <param name="BlockedDoors">Doors in front of which something stands already, whatever the strips.</param>
public sealed record HallPlan(ImmutableArray<PlannedStrip> Strips, int Alike, ImmutableArray<BlockedDoor> BlockedDoors)
{
    /// <summary>Plans a hall. The same hall and figures give the same plan.</summary>
    /// <param name="hall">The hall.</param>
    /// <param name="figures">What is planned by.</param>
    /// <exception cref="ArgumentException">A side of hall or strip is not above 0, another figure is negative, or a table is deeper than its lane.</exception>
    public static HallPlan For(Hall hall, PlanFigures figures)
    {
        Check(hall, figures);
        var free = hall.Floor.Grown(-figures.Clearance);
        FloorArea[] obstacles = [.. hall.Doors.Select(hall.InFrontOf), .. hall.Blocks.Select(b => b.Area.Grown(figures.Clearance))];
        var endToEnd = new RowKind(figures.PlaceLength, figures.PlaceWidth, figures.EndGap, SideBySide: true);
        var sideBySide = new RowKind(figures.PlaceWidth, figures.PlaceLength, 0, SideBySide: false);
        var across = new RowPacking(free, obstacles, figures.EndGap);
        // Rows from top to bottom are rows from left to right in the hall turned over its diagonal.
        var down = new RowPacking(free.Transposed, obstacles.Select(o => o.Transposed), figures.EndGap);

        Packed alongTop = Fuller(new(across, across.Fullest(endToEnd)), new(down, down.Fullest(sideBySide)));
        Packed alongSide = Fuller(new(across, across.Fullest(sideBySide)), new(down, down.Fullest(endToEnd)));
        var alike = hall.Length >= hall.Width ? Fuller(alongTop, alongSide) : Fuller(alongSide, alongTop);
        var chosen = Fuller(alike, Fuller(new(across, across.Fullest(endToEnd, sideBySide)), new(down, down.Fullest(endToEnd, sideBySide))));

        (FloorArea Place, StripDirection Direction)[] places =
        [
            .. from row in chosen.Packing.InLine(chosen.Rows)
               from start in row.Starts
               let place = new FloorArea(start, row.Row.Y, row.Row.Kind.Extent, row.Row.Kind.Depth)
               let turned = chosen.Packing == down
               select (turned ? place.Transposed : place, (row.Row.Kind == endToEnd) == turned ? StripDirection.Down : StripDirection.Across),
        ];
        var (right, below) = Middle(free, [.. places.Select(p => p.Place)], obstacles);
        return new HallPlan([.. places.Select((p, i) => Plan(i + 1, p.Place.Moved(right, below), p.Direction, figures))], alike.Count, Blocked(hall));
    }

    /// <summary>How far all places together are moved to the right and down, so that both sides have the same of what is left over.</summary>
    private static (int Right, int Below) Middle(FloorArea free, FloorArea[] places, FloorArea[] obstacles)
    {
        if (places.Length == 0)
        {
            return (0, 0);
        }

        var (x, y) = (Half(free.Right - places.Max(p => p.Right)), Half(free.Bottom - places.Max(p => p.Bottom)));
        (int X, int Y)[] moves = [(x, y), (x, 0), (0, y), (0, 0)];
        return moves.First(move => !places.Any(p => obstacles.Any(p.Moved(move.X, move.Y).Overlaps)));

        // Whole decimetres are easy to measure.
        static int Half(int left) => left / 200 * 100;
    }

    private static Packed Fuller(Packed one, Packed other) => other.Count > one.Count ? other : one;

    /// <summary>A packing, and the last row of the fullest way to it.</summary>
    private readonly record struct Packed(RowPacking Packing, PlacedRow? Last)
    {
        public int Count => Last?.Count ?? 0;

        public ImmutableArray<PlacedRow> Rows
        {
            get
            {
                var rows = new Stack<PlacedRow>();
                for (var row = Last; row is not null; row = row.Before)
                {
                    rows.Push(row);
                }

                return [.. rows];
            }
        }
    }

    private static PlannedStrip Plan(int number, FloorArea place, StripDirection direction, PlanFigures figures)
    {
        // Planned as if it lay across; a strip down the hall is turned over the diagonal.
        var (x, y) = direction == StripDirection.Across ? (place.X, place.Y) : (place.Y, place.X);
        var top = y + figures.Gap;
        FloorArea[] parts =
        [
            new(x + figures.RunOff, top, figures.StripLength, figures.StripWidth),
            new(x, top, figures.RunOff, figures.StripWidth),
            new(x + figures.RunOff + figures.StripLength, top, figures.RunOff, figures.StripWidth),
            new(x, y, figures.PlaceLength, figures.Gap),
            new(
                x + ((figures.PlaceLength - figures.TableLength) / 2),
                y + ((figures.Gap - figures.TableDepth) / 2),
                figures.TableLength,
                figures.TableDepth),
        ];
        if (direction == StripDirection.Down)
        {
            parts = [.. parts.Select(p => p.Transposed)];
        }

        return new PlannedStrip(number, direction, parts[0], parts[1], parts[2], parts[3], parts[4]);
    }

    private static ImmutableArray<BlockedDoor> Blocked(Hall hall) =>
    [
        .. from door in Enumerable.Range(0, hall.Doors.Length)
           from block in Enumerable.Range(0, hall.Blocks.Length)
           where hall.InFrontOf(hall.Doors[door]).Overlaps(hall.Blocks[block].Area)
           select new BlockedDoor(door + 1, block + 1),
    ];

    private static void Check(Hall hall, PlanFigures figures)
    {
        if (Math.Min(Math.Min(hall.Length, hall.Width), Math.Min(figures.StripLength, figures.StripWidth)) <= 0)
        {
            throw new ArgumentException("The sides of hall and strip must be above 0.");
        }

        if (new[] { figures.RunOff, figures.Gap, figures.EndGap, figures.TableLength, figures.TableDepth, figures.Clearance }.Min() < 0)
        {
            throw new ArgumentException("No figure of a plan may be negative.");
        }

        if (figures.TableDepth > figures.Gap || figures.TableLength > figures.PlaceLength)
        {
            throw new ArgumentException("The table must fit into the lane beside its strip.");
        }
    }
}
