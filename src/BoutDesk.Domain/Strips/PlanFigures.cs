namespace BoutDesk.Domain.Strips;

/// <summary>
/// What a hall is planned by, in millimetres. Length, width and run-off start from <see cref="StripRule"/>; the others
/// are our own planning figures, from practice: a hall, its safety plan and the governing body may ask for more.
/// </summary>
public sealed record PlanFigures
{
    /// <summary>The length of a strip, above 0: 14 m.</summary>
    public int StripLength { get; init; } = StripRule.Length;

    /// <summary>The width of a strip, above 0: 1.8 m.</summary>
    public int StripWidth { get; init; } = 1_800;

    /// <summary>The run-off behind each end line: 2 m.</summary>
    public int RunOff { get; init; } = StripRule.MostRunOff;

    /// <summary>
    /// The lane along one long side of each strip, for the referee, those who wait and the table: 2 m. It is what lies
    /// between strips side by side.
    /// </summary>
    public int Gap { get; init; } = 2_000;

    /// <summary>The passage between the run-off of a strip and the next strip: 1 m.</summary>
    public int EndGap { get; init; } = 1_000;

    /// <summary>The length of the table for the scoring apparatus, along the strip: 1.2 m.</summary>
    public int TableLength { get; init; } = 1_200;

    /// <summary>The depth of that table, at most the gap: 0.6 m.</summary>
    public int TableDepth { get; init; } = 600;

    /// <summary>How far strips, run-offs and lanes stay from the walls and from whatever stands in the hall: 1 m.</summary>
    public int Clearance { get; init; } = 1_000;

    /// <summary>The length that a strip needs with its run-offs.</summary>
    internal int PlaceLength => StripLength + (2 * RunOff);

    /// <summary>The width that a strip needs with its lane.</summary>
    internal int PlaceWidth => StripWidth + Gap;
}
