using System.Collections.Immutable;

namespace BoutDesk.Domain.Strips;

/// <summary>The walls of a hall, as on the drawing.</summary>
public enum Wall
{
    /// <summary>The wall at the top.</summary>
    Top,

    /// <summary>The wall on the right.</summary>
    Right,

    /// <summary>The wall at the bottom.</summary>
    Bottom,

    /// <summary>The wall on the left.</summary>
    Left,
}

/// <summary>A door, with floor in front of it that must stay free.</summary>
/// <param name="Wall">The wall that it is in.</param>
/// <param name="Offset">From the left end of the wall, or its upper end, to the door, in millimetres.</param>
/// <param name="Width">The width of the door in millimetres.</param>
/// <param name="FreeDepth">How deep the floor in front of it must stay free, in millimetres.</param>
public sealed record HallDoor(Wall Wall, int Offset, int Width, int FreeDepth);

/// <summary>Floor that something stands on: a stage, bleachers, a table.</summary>
/// <param name="Area">Where.</param>
/// <param name="Name">What it is, or null.</param>
public sealed record HallBlock(FloorArea Area, string? Name = null);

/// <summary>A rectangular hall.</summary>
/// <param name="Length">The length of the walls at top and bottom, in millimetres.</param>
/// <param name="Width">The length of the walls on the left and right, in millimetres.</param>
public sealed record Hall(int Length, int Width)
{
    /// <summary>The doors.</summary>
    public ImmutableArray<HallDoor> Doors { get; init; } = [];

    /// <summary>Where something stands.</summary>
    public ImmutableArray<HallBlock> Blocks { get; init; } = [];

    /// <summary>The whole floor.</summary>
    public FloorArea Floor => new(0, 0, Length, Width);

    /// <summary>The floor in front of a door that must stay free.</summary>
    public FloorArea InFrontOf(HallDoor door) => door.Wall switch
    {
        Wall.Top => new FloorArea(door.Offset, 0, door.Width, door.FreeDepth),
        Wall.Bottom => new FloorArea(door.Offset, Width - door.FreeDepth, door.Width, door.FreeDepth),
        Wall.Left => new FloorArea(0, door.Offset, door.FreeDepth, door.Width),
        _ => new FloorArea(Length - door.FreeDepth, door.Offset, door.FreeDepth, door.Width),
    };
}
