using System.Globalization;

namespace BoutDesk.Benchmarks.Ratios;

/// <summary>A figure with the one beside it that it is held against.</summary>
/// <param name="Name">What was measured.</param>
/// <param name="Figure">The figure of the service.</param>
/// <param name="Reference">The figure it is held against, of the same run.</param>
/// <param name="Unit">The unit of both.</param>
/// <param name="ReferenceName">What the reference is.</param>
/// <param name="ToReach">The ratio to reach.</param>
/// <param name="AtLeast">Whether it is to be at least that, or at most.</param>
internal sealed record Ratio(string Name, double Figure, double Reference, string Unit, string ReferenceName, double ToReach, bool AtLeast)
{
    public double Value => Figure / Reference;

    public bool Reached => AtLeast ? Value >= ToReach : Value <= ToReach;

    public string Row => string.Create(
        CultureInfo.InvariantCulture,
        $"| {Name} | {Figure:#,0.##} {Unit} | {ReferenceName} | {Reference:#,0.##} {Unit} | {Value:0.00} | {(AtLeast ? "at least" : "at most")} {ToReach:0.##} | {(Reached ? "yes" : "no")} |");
}
