using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Equipment;

/// <summary>What a limit says of an item.</summary>
public enum LimitOutcome
{
    /// <summary>The value keeps it.</summary>
    Kept,

    /// <summary>The value breaks it.</summary>
    Broken,

    /// <summary>Nothing was measured for it.</summary>
    NotMeasured,
}

/// <summary>A limit and what was measured for it.</summary>
/// <param name="Limit">The limit.</param>
/// <param name="Reading">What was measured, or null.</param>
/// <param name="Outcome">Whether it is kept.</param>
/// <param name="OffBy">
/// By how much a broken limit is broken, in the unit of the measure: 0 where the limit itself fails and was met exactly.
/// Null for all others.
/// </param>
public sealed record LimitFinding(EquipmentLimit Limit, Reading? Reading, LimitOutcome Outcome, decimal? OffBy);

/// <summary>Measured values held against the limits.</summary>
public static class Inspection
{
    /// <summary>What each limit of the item says, in the order of the rules; empty when it has none.</summary>
    /// <param name="rules">The rules.</param>
    /// <param name="item">The item.</param>
    /// <param name="weapon">The weapon of the competition.</param>
    /// <param name="readings">What was measured, each measure at most once.</param>
    public static ImmutableArray<LimitFinding> Of(EquipmentRules rules, EquipmentItem item, Weapon weapon, IEnumerable<Reading> readings)
    {
        var measured = readings.ToDictionary(r => r.Measure);
        return [.. rules.LimitsFor(item, weapon).Select(limit => Find(limit, measured.GetValueOrDefault(limit.Measure)))];
    }

    /// <summary>
    /// What follows from the findings: failed when a limit is broken, passed when there are limits and all are kept; null
    /// when it does not follow, because something was not measured or there is nothing to measure.
    /// </summary>
    public static Verdict? VerdictOf(ImmutableArray<LimitFinding> findings) =>
        findings.Any(f => f.Outcome == LimitOutcome.Broken) ? Verdict.Failed
        : findings.IsEmpty || findings.Any(f => f.Outcome == LimitOutcome.NotMeasured) ? null
        : Verdict.Passed;

    private static LimitFinding Find(EquipmentLimit limit, Reading? reading)
    {
        if (reading is null)
        {
            return new LimitFinding(limit, null, LimitOutcome.NotMeasured, null);
        }

        if (limit.Relation == LimitRelation.Passes)
        {
            return new LimitFinding(limit, reading, reading.Passes == true ? LimitOutcome.Kept : LimitOutcome.Broken, null);
        }

        var (value, bound) = (reading.Amount!.Value, limit.Bound!.Value);
        var kept = limit.Relation switch
        {
            LimitRelation.Below => value < bound,
            LimitRelation.AtMost => value <= bound,
            LimitRelation.AtLeast => value >= bound,
            _ => value > bound,
        };
        return kept
            ? new LimitFinding(limit, reading, LimitOutcome.Kept, null)
            : new LimitFinding(limit, reading, LimitOutcome.Broken, Math.Abs(value - bound));
    }
}
