using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Strips;

namespace BoutDesk.Api.Halls;

/// <summary>A strip to be checked; all in metres, rounded to the millimetre. What is left out was not measured.</summary>
/// <param name="Length">The length between the end lines, to 50.</param>
/// <param name="Width">The width, to 50.</param>
/// <param name="LeftOnGuardLine">From the centre line to the on-guard line on the left, to 50.</param>
/// <param name="RightOnGuardLine">The same on the right.</param>
/// <param name="LeftWarningZone">The marked zone before the end line on the left, to 50.</param>
/// <param name="RightWarningZone">The same on the right.</param>
/// <param name="LeftRunOff">The free floor behind the end line on the left, to 50.</param>
/// <param name="RightRunOff">The same on the right.</param>
/// <param name="Tolerance">What the measuring tape can be wrong by, 0 to 0.1; so much outside the rule is not off.</param>
internal sealed record StripToCheck(
    decimal? Length = null,
    decimal? Width = null,
    decimal? LeftOnGuardLine = null,
    decimal? RightOnGuardLine = null,
    decimal? LeftWarningZone = null,
    decimal? RightWarningZone = null,
    decimal? LeftRunOff = null,
    decimal? RightRunOff = null,
    decimal Tolerance = 0);

/// <summary>
/// A rectangular hall to be planned; all in metres, rounded to the millimetre. Its upper left corner is 0, 0. The figures that can
/// be left out start from our own planning figures.
/// </summary>
/// <param name="Length">The length of the walls at top and bottom, 5 to 200.</param>
/// <param name="Width">The length of the walls on the left and right, 5 to 200.</param>
/// <param name="Doors">The doors, at most 40.</param>
/// <param name="Blocks">Where something stands: stage, bleachers, tables; at most 40.</param>
/// <param name="StripLength">The length of a strip, 8 to 20.</param>
/// <param name="StripWidth">The width of a strip, 1 to 3.</param>
/// <param name="RunOff">The run-off behind each end line, 0 to 5.</param>
/// <param name="Gap">The lane between strips side by side, for the referee, those who wait and the table, 0.5 to 10.</param>
/// <param name="EndGap">The passage at the ends, between the run-off of a strip and the next strip, 0 to 10.</param>
/// <param name="TableLength">The length of the table for the scoring apparatus, along the strip, 0 to 5.</param>
/// <param name="TableDepth">Its depth, 0 to 3, and less than the lane.</param>
/// <param name="Clearance">How far all of it stays from the walls and from whatever stands in the hall, 0 to 10.</param>
/// <param name="RollLength">The length of a roll of tape, 5 to 200.</param>
/// <param name="CutLoss">The tape lost at each piece, 0 to 0.5.</param>
public sealed record HallToPlan(
    decimal Length,
    decimal Width,
    ImmutableArray<DoorToKeep>? Doors = null,
    ImmutableArray<BlockToKeep>? Blocks = null,
    decimal StripLength = 14m,
    decimal StripWidth = 1.8m,
    decimal RunOff = 2m,
    decimal Gap = 2m,
    decimal EndGap = 1m,
    decimal TableLength = 1.2m,
    decimal TableDepth = 0.6m,
    decimal Clearance = 1m,
    decimal RollLength = 33m,
    decimal CutLoss = 0.05m);

/// <summary>A door of the hall.</summary>
/// <param name="Wall">The wall that it is in.</param>
/// <param name="Offset">From the left or upper end of the wall to the door.</param>
/// <param name="Width">Its width, 0.5 to the whole wall.</param>
/// <param name="FreeDepth">How deep the floor in front of it stays free, 0.5 to 20.</param>
[method: JsonConstructor]
public readonly record struct DoorToKeep(Wall Wall, decimal Offset, decimal Width, decimal FreeDepth = DoorToKeep.UsualFreeDepth)
{
    /// <summary>Our own planning figure, from practice; the safety plan may ask for more.</summary>
    public const decimal UsualFreeDepth = 2m;
}

/// <summary>Floor that something stands on, within the hall.</summary>
/// <param name="X">From the wall on the left to its left side.</param>
/// <param name="Y">From the wall at the top to its upper side.</param>
/// <param name="Width">From its left to its right side.</param>
/// <param name="Height">From its upper to its lower side.</param>
/// <param name="Name">What it is, to 40 characters; or left out.</param>
[method: JsonConstructor]
public readonly record struct BlockToKeep(decimal X, decimal Y, decimal Width, decimal Height, string? Name = null);

/// <summary>A request as the domain takes it.</summary>
/// <param name="Hall">The hall.</param>
/// <param name="Figures">What it is planned by.</param>
/// <param name="RollLength">The length of a roll of tape in millimetres.</param>
/// <param name="CutLoss">The tape lost at each piece, in millimetres.</param>
public sealed record ReadHall(Hall Hall, PlanFigures Figures, int RollLength, int CutLoss)
{
    private const int MostDoors = 40;
    private const int MostBlocks = 40;

    /// <summary>Reads a request, or gathers what is wrong with it and gives null.</summary>
    internal static ReadHall? Of(HallToPlan body, FieldErrors errors)
    {
        var before = errors.Count;
        var (length, width) = (errors.Metres("length", body.Length, 5, 200), errors.Metres("width", body.Width, 5, 200));
        var figures = new PlanFigures
        {
            StripLength = errors.Metres("stripLength", body.StripLength, 8, 20),
            StripWidth = errors.Metres("stripWidth", body.StripWidth, 1, 3),
            RunOff = errors.Metres("runOff", body.RunOff, 0, 5),
            Gap = errors.Metres("gap", body.Gap, 0.5m, 10),
            EndGap = errors.Metres("endGap", body.EndGap, 0, 10),
            TableLength = errors.Metres("tableLength", body.TableLength, 0, 5),
            TableDepth = errors.Metres("tableDepth", body.TableDepth, 0, 3),
            Clearance = errors.Metres("clearance", body.Clearance, 0, 10),
        };
        if (figures.TableDepth >= figures.Gap)
        {
            errors.Add("tableDepth", $"The table fills the whole lane. Take a table that is less deep, or a wider lane between the strips.");
        }

        var (rollLength, cutLoss) = (errors.Metres("rollLength", body.RollLength, 5, 200), errors.Metres("cutLoss", body.CutLoss, 0, 0.5m));
        errors.Range("doors", body.Doors?.Length, 0, MostDoors);
        errors.Range("blocks", body.Blocks?.Length, 0, MostBlocks);
        if (errors.Count > before)
        {
            return null;
        }

        var hall = new Hall(length, width)
        {
            Doors = [.. (body.Doors ?? []).Select((door, i) => Read(door, body, $"doors[{i}]", errors))],
            Blocks = [.. (body.Blocks ?? []).Select((block, i) => Read(block, body, $"blocks[{i}]", errors))],
        };
        return errors.Count > before ? null : new ReadHall(hall, figures, rollLength, cutLoss);
    }

    private static HallDoor Read(DoorToKeep door, HallToPlan hall, string field, FieldErrors errors)
    {
        var wall = door.Wall is Wall.Top or Wall.Bottom ? hall.Length : hall.Width;
        var (offset, width) = (errors.Metres(field + ".offset", door.Offset, 0, wall), errors.Metres(field + ".width", door.Width, 0.5m, wall));
        if (offset + width > wall * 1000)
        {
            errors.Add(field + ".width", $"The door ends beyond its wall, which is {wall:0.###} m long. Measure from the left or upper end of the wall.");
        }

        return new HallDoor(door.Wall, offset, width, errors.Metres(field + ".freeDepth", door.FreeDepth, 0.5m, 20));
    }

    private static HallBlock Read(BlockToKeep block, HallToPlan hall, string field, FieldErrors errors)
    {
        errors.Text(field + ".name", block.Name, 40, needed: false);
        var area = new FloorArea(
            errors.Metres(field + ".x", block.X, 0, hall.Length),
            errors.Metres(field + ".y", block.Y, 0, hall.Width),
            errors.Metres(field + ".width", block.Width, 0.1m, hall.Length),
            errors.Metres(field + ".height", block.Height, 0.1m, hall.Width));
        if (area.Right > hall.Length * 1000)
        {
            errors.Add(field + ".width", $"It ends beyond the wall on the right. The hall is {hall.Length:0.###} m long.");
        }

        if (area.Bottom > hall.Width * 1000)
        {
            errors.Add(field + ".height", $"It ends beyond the wall at the bottom. The hall is {hall.Width:0.###} m wide.");
        }

        return new HallBlock(area, string.IsNullOrWhiteSpace(block.Name) ? null : block.Name.Trim());
    }
}
