using System.Collections.Immutable;

namespace BoutDesk.Domain.Strips;

/// <summary>What is measured on a strip. Left and right are as seen from the scoring apparatus.</summary>
public enum StripMeasure
{
    /// <summary>The length between the two end lines.</summary>
    Length,

    /// <summary>The width.</summary>
    Width,

    /// <summary>From the centre line to the on-guard line on the left.</summary>
    LeftOnGuardLine,

    /// <summary>From the centre line to the on-guard line on the right.</summary>
    RightOnGuardLine,

    /// <summary>The length of the marked zone before the end line on the left.</summary>
    LeftWarningZone,

    /// <summary>The length of the marked zone before the end line on the right.</summary>
    RightWarningZone,

    /// <summary>The free floor behind the end line on the left.</summary>
    LeftRunOff,

    /// <summary>The free floor behind the end line on the right.</summary>
    RightRunOff,
}

/// <summary>What the rule asks of a measure.</summary>
/// <param name="Measure">The measure.</param>
/// <param name="Least">The least, in millimetres.</param>
/// <param name="Most">The most, in millimetres; the same as the least where the rule names one value.</param>
/// <param name="Sentence">The rule in a sentence.</param>
public sealed record StripLimit(StripMeasure Measure, int Least, int Most, FormattableString Sentence);

/// <summary>
/// The dimensions of a strip, in millimetres. They are common practice and those of the Material book (Book 3) from
/// memory: the governing body's rules in force decide.
/// </summary>
public static class StripRule
{
    /// <summary>The length: 14 m.</summary>
    public const int Length = 14_000;

    /// <summary>The least width: 1.5 m.</summary>
    public const int LeastWidth = 1_500;

    /// <summary>The greatest width: 2 m.</summary>
    public const int MostWidth = 2_000;

    /// <summary>From the centre line to each on-guard line: 2 m.</summary>
    public const int OnGuardDistance = 2_000;

    /// <summary>The zone before each end line that is marked so that a fencer knows he is near the end: 2 m.</summary>
    public const int WarningZone = 2_000;

    /// <summary>The least run-off behind each end line: 1.5 m.</summary>
    public const int LeastRunOff = 1_500;

    /// <summary>The greatest run-off behind each end line: 2 m.</summary>
    public const int MostRunOff = 2_000;

    /// <summary>What the rule asks, in the order of <see cref="StripMeasure"/>.</summary>
    public static ImmutableArray<StripLimit> Limits { get; } =
    [
        new(StripMeasure.Length, Length, Length, $"A strip is 14 m long."),
        new(StripMeasure.Width, LeastWidth, MostWidth, $"A strip is 1.5 to 2 m wide."),
        new(StripMeasure.LeftOnGuardLine, OnGuardDistance, OnGuardDistance, $"The on-guard lines lie 2 m to either side of the centre line."),
        new(StripMeasure.RightOnGuardLine, OnGuardDistance, OnGuardDistance, $"The on-guard lines lie 2 m to either side of the centre line."),
        new(StripMeasure.LeftWarningZone, WarningZone, WarningZone, $"The last 2 m at each end are marked."),
        new(StripMeasure.RightWarningZone, WarningZone, WarningZone, $"The last 2 m at each end are marked."),
        new(StripMeasure.LeftRunOff, LeastRunOff, MostRunOff, $"Behind each end line there is a run-off of 1.5 to 2 m."),
        new(StripMeasure.RightRunOff, LeastRunOff, MostRunOff, $"Behind each end line there is a run-off of 1.5 to 2 m."),
    ];
}
