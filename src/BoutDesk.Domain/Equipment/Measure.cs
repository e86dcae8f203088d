namespace BoutDesk.Domain.Equipment;

/// <summary>What is measured on an item.</summary>
public enum Measure
{
    /// <summary>The mass, with guard and grip, in grams.</summary>
    Mass,

    /// <summary>The length of the blade, in millimetres.</summary>
    BladeLength,

    /// <summary>The length of the weapon, in millimetres.</summary>
    TotalLength,

    /// <summary>The curve of the blade at its widest, in millimetres.</summary>
    Curve,

    /// <summary>The heaviest mass that the point pushes back, in grams.</summary>
    PointForce,

    /// <summary>The way of the point until it stands, in millimetres.</summary>
    Stroke,

    /// <summary>The way left to the point once it makes contact, in millimetres.</summary>
    StrokeLeft,

    /// <summary>Whether the guard passes its gauge.</summary>
    GuardGauge,

    /// <summary>The resistance of a wire, or between any two points of a fabric, in ohms.</summary>
    Resistance,

    /// <summary>The punch that the mesh of a mask bears without giving way, in kilograms.</summary>
    Punch,
}

/// <summary>Units and possible values of what is measured.</summary>
public static class Measures
{
    /// <summary>The unit that values of it are in: g, mm, Ω or kg; empty for what is only passed or not.</summary>
    public static string UnitOf(Measure measure) => measure switch
    {
        Measure.Mass or Measure.PointForce => "g",
        Measure.BladeLength or Measure.TotalLength or Measure.Curve or Measure.Stroke or Measure.StrokeLeft => "mm",
        Measure.Resistance => "Ω",
        Measure.Punch => "kg",
        _ => string.Empty,
    };

    /// <summary>
    /// The values that can be: outside of them it is a slip of the finger or of the unit, not a bad item. Wide on purpose,
    /// and no rule.
    /// </summary>
    public static (decimal Least, decimal Most) RangeOf(Measure measure) => measure switch
    {
        Measure.Mass => (50, 3000),
        Measure.BladeLength => (300, 1500),
        Measure.TotalLength => (300, 2000),
        Measure.Curve => (0, 200),
        Measure.PointForce => (0, 3000),
        Measure.Stroke or Measure.StrokeLeft => (0, 20),
        Measure.Resistance => (0, 10_000_000),
        Measure.Punch => (0, 100),
        _ => (0, 1),
    };
}

/// <summary>A value that was measured.</summary>
/// <param name="Measure">What was measured.</param>
/// <param name="Amount">The value in the unit of <see cref="Measures.UnitOf"/>, or null for what is only passed or not.</param>
/// <param name="Passes">Whether it passes, for what is only passed or not; else null.</param>
public sealed record Reading(Measure Measure, decimal? Amount, bool? Passes = null);
