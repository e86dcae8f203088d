using BoutDesk.Domain.Strips;
using FsCheck;
using FsCheck.Fluent;

namespace BoutDesk.Domain.Tests.Strips;

/// <summary>Halls and figures by chance.</summary>
/// <param name="Hall">The hall.</param>
/// <param name="Figures">What is planned by.</param>
public sealed record GeneratedHall(Hall Hall, PlanFigures Figures)
{
    /// <summary>Small halls in a coarse grid, with strips of two or three cells.</summary>
    internal static Gen<GeneratedHall> Small(int cell) => Of(
        hall: Gen.Choose(2, 9),
        figures:
            from length in Gen.Choose(1, 3)
            from runOff in Gen.Elements(0, 0, 1)
            from gap in Gen.Elements(0, 1)
            from endGap in Gen.Elements(0, 1)
            from clearance in Gen.Elements(0, 0, 1)
            select (length, 1, runOff, gap, endGap, clearance),
        most: 2,
        size: 3,
        cell);

    /// <summary>Halls of every size, to the decimetre.</summary>
    internal static Gen<GeneratedHall> AnySize { get; } = Of(
        hall: Gen.Choose(50, 700),
        figures:
            from length in Gen.Choose(80, 140)
            from width in Gen.Choose(15, 20)
            from runOff in Gen.Choose(0, 20)
            from gap in Gen.Choose(10, 40)
            from endGap in Gen.Choose(0, 20)
            from clearance in Gen.Choose(0, 20)
            select (length, width, runOff, gap, endGap, clearance),
        most: 6,
        size: 120,
        cell: 100);

    private static Gen<GeneratedHall> Of(
        Gen<int> hall, Gen<(int Length, int Width, int RunOff, int Gap, int EndGap, int Clearance)> figures, int most, int size, int cell) =>
        from length in hall
        from width in hall
        from doors in Door(length, width, size).ListOf()
        from blocks in Block(length, width, size).ListOf()
        from f in figures
        select new GeneratedHall(
            new Hall(length * cell, width * cell)
            {
                Doors = [.. doors.Take(most).Select(d => new HallDoor(d.Wall, d.Offset * cell, d.Width * cell, d.FreeDepth * cell))],
                Blocks = [.. blocks.Take(most).Select(b => new HallBlock(new FloorArea(b.X * cell, b.Y * cell, b.Width * cell, b.Height * cell)))],
            },
            new PlanFigures
            {
                StripLength = f.Length * cell,
                StripWidth = f.Width * cell,
                RunOff = f.RunOff * cell,
                Gap = f.Gap * cell,
                EndGap = f.EndGap * cell,
                Clearance = f.Clearance * cell,
                TableLength = 0,
                TableDepth = 0,
            });

    private static Gen<HallDoor> Door(int length, int width, int size) =>
        from wall in Gen.Elements(Enum.GetValues<Wall>())
        let along = wall is Wall.Top or Wall.Bottom ? length : width
        from offset in Gen.Choose(0, along - 1)
        from wide in Gen.Choose(1, Math.Min(size, along - offset))
        from deep in Gen.Choose(1, size)
        select new HallDoor(wall, offset, wide, deep);

    private static Gen<FloorArea> Block(int length, int width, int size) =>
        from x in Gen.Choose(0, length - 1)
        from y in Gen.Choose(0, width - 1)
        from wide in Gen.Choose(1, Math.Min(size, length - x))
        from high in Gen.Choose(1, Math.Min(size, width - y))
        select new FloorArea(x, y, wide, high);
}
