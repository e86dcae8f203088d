using System.Collections.Immutable;

namespace BoutDesk.Domain.Strips;

/// <summary>A measure beside its rule.</summary>
/// <param name="Limit">The rule.</param>
/// <param name="Measured">What was measured, in millimetres.</param>
/// <param name="OffBy">
/// By how much it is off, in millimetres: 0 within the rule, negative when it is too little, positive when it is too much.
/// </param>
public sealed record StripFinding(StripLimit Limit, int Measured, int OffBy);

/// <summary>Compares the measures of a strip with <see cref="StripRule"/>.</summary>
public static class StripCheck
{
    /// <summary>The findings, in the order of <see cref="StripMeasure"/>; what was not measured has none.</summary>
    /// <param name="measured">The measures in millimetres.</param>
    /// <param name="tolerance">
    /// By how many millimetres a measure may lie outside before it counts as off; then it is off by the whole of it. The
    /// rule as remembered names no tolerance, so this is for what the measuring tape itself can be wrong by.
    /// </param>
    /// <exception cref="ArgumentOutOfRangeException">The tolerance is negative.</exception>
    public static ImmutableArray<StripFinding> Of(IEnumerable<KeyValuePair<StripMeasure, int>> measured, int tolerance = 0)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(tolerance);
        return
        [
            .. measured.OrderBy(m => m.Key).Select(m =>
            {
                var limit = StripRule.Limits[(int)m.Key];
                var off = m.Value - Math.Clamp(m.Value, limit.Least, limit.Most);
                return new StripFinding(limit, m.Value, Math.Abs(off) <= tolerance ? 0 : off);
            }),
        ];
    }
}
