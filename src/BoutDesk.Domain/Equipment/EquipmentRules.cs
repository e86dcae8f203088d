using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Equipment;

/// <summary>How a value stands to its limit.</summary>
public enum LimitRelation
{
    /// <summary>Must be less; the limit itself fails.</summary>
    Below,

    /// <summary>Must not be more; the limit itself passes.</summary>
    AtMost,

    /// <summary>Must not be less; the limit itself passes.</summary>
    AtLeast,

    /// <summary>Must be more; the limit itself fails.</summary>
    Above,

    /// <summary>Must pass a gauge; there is no value.</summary>
    Passes,
}

/// <summary>How sure the source of a rule is.</summary>
public enum Certainty
{
    /// <summary>Seen in print, or copied from the rule book in force by whoever brings the rules.</summary>
    Seen,

    /// <summary>As remembered; to be compared with the rule book in force before relying on it.</summary>
    FromMemory,

    /// <summary>Common practice without a source.</summary>
    Practice,
}

/// <summary>An item that an entrant must have.</summary>
/// <param name="Item">What.</param>
/// <param name="Count">How many, 1 to 9.</param>
/// <param name="Source">Where the rule stands, 1 to 200 characters.</param>
/// <param name="Certainty">How sure that is.</param>
/// <param name="Weapon">The weapon that it is needed for, or null for each.</param>
/// <param name="Category">The category that it is needed in, or null for each.</param>
public sealed record RequiredItem(
    EquipmentItem Item, int Count, string Source, Certainty Certainty = Certainty.Seen, Weapon? Weapon = null, Category? Category = null);

/// <summary>A limit that an item must keep.</summary>
/// <param name="Item">What it is for.</param>
/// <param name="Measure">What is measured.</param>
/// <param name="Relation">How the value stands to the limit.</param>
/// <param name="Source">Where the rule stands, 1 to 200 characters.</param>
/// <param name="Certainty">How sure that is.</param>
/// <param name="Bound">The limit in the unit of the measure; null with <see cref="LimitRelation.Passes"/>.</param>
/// <param name="Gauge">What the gauge is like, with <see cref="LimitRelation.Passes"/>; else null.</param>
/// <param name="Weapon">The weapon that it holds for, or null for each.</param>
public sealed record EquipmentLimit(
    EquipmentItem Item,
    Measure Measure,
    LimitRelation Relation,
    string Source,
    Certainty Certainty = Certainty.Seen,
    decimal? Bound = null,
    string? Gauge = null,
    Weapon? Weapon = null);

/// <summary>
/// What must be there and which limits hold. An aid: the rule book in force, its homologation marks and a qualified
/// armourer decide.
/// </summary>
/// <param name="Name">Whose rules they are, 1 to 120 characters.</param>
/// <param name="Edition">Their edition, as whoever brought them says, 1 to 120 characters.</param>
/// <param name="Required">What must be there, to 100 lines.</param>
/// <param name="Limits">The limits, to 200 lines.</param>
public sealed record EquipmentRules(
    string Name, string Edition, ImmutableArray<RequiredItem> Required, ImmutableArray<EquipmentLimit> Limits)
{
    private const string Book3 = "FIE Rules, Book 3, Material";

    /// <summary>
    /// The rules that hold where a tournament brings none: the international limits as remembered, and the list of what a
    /// fencer needs by common practice. To be compared with the rule book in force before relying on them.
    /// </summary>
    public static EquipmentRules Usual { get; } = new(
        "International limits",
        "from memory; the way of the épée point (m.19.4) as quoted in print",
        [
            Needs(EquipmentItem.Mask),
            Needs(EquipmentItem.Jacket),
            Needs(EquipmentItem.Plastron),
            Needs(EquipmentItem.Breeches),
            Needs(EquipmentItem.Glove),
            Needs(EquipmentItem.ChestProtector, category: Category.Women),
            Needs(EquipmentItem.Weapon, 2),
            Needs(EquipmentItem.BodyCord, 2),
            Needs(EquipmentItem.MaskCord, weapon: Weapon.Foil),
            Needs(EquipmentItem.MaskCord, weapon: Weapon.Sabre),
            Needs(EquipmentItem.ConductiveJacket, weapon: Weapon.Foil),
            Needs(EquipmentItem.ConductiveJacket, weapon: Weapon.Sabre),
            Needs(EquipmentItem.ConductiveCuff, weapon: Weapon.Sabre),
        ],
        [
            Limit(EquipmentItem.Mask, null, Measure.Punch, LimitRelation.AtLeast, 12),
            Limit(EquipmentItem.Mask, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 5),

            Limit(EquipmentItem.Weapon, Weapon.Foil, Measure.Mass, LimitRelation.Below, 500),
            Limit(EquipmentItem.Weapon, Weapon.Foil, Measure.BladeLength, LimitRelation.AtMost, 900),
            Limit(EquipmentItem.Weapon, Weapon.Foil, Measure.TotalLength, LimitRelation.AtMost, 1100),
            Limit(EquipmentItem.Weapon, Weapon.Foil, Measure.Curve, LimitRelation.Below, 10),
            Limit(EquipmentItem.Weapon, Weapon.Foil, Measure.PointForce, LimitRelation.AtLeast, 500),
            Guard(Weapon.Foil, "12 cm"),
            Limit(EquipmentItem.Weapon, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 2),

            Limit(EquipmentItem.Weapon, Weapon.Epee, Measure.Mass, LimitRelation.Below, 770),
            Limit(EquipmentItem.Weapon, Weapon.Epee, Measure.BladeLength, LimitRelation.AtMost, 900),
            Limit(EquipmentItem.Weapon, Weapon.Epee, Measure.TotalLength, LimitRelation.AtMost, 1100),
            Limit(EquipmentItem.Weapon, Weapon.Epee, Measure.Curve, LimitRelation.Below, 10),
            Limit(EquipmentItem.Weapon, Weapon.Epee, Measure.PointForce, LimitRelation.AtLeast, 750),
            EpeePoint(Measure.Stroke, LimitRelation.Above, 1.5m),
            EpeePoint(Measure.StrokeLeft, LimitRelation.Below, 0.5m),
            Guard(Weapon.Epee, "13.5 cm"),
            Limit(EquipmentItem.Weapon, Weapon.Epee, Measure.Resistance, LimitRelation.AtMost, 2),

            Limit(EquipmentItem.Weapon, Weapon.Sabre, Measure.Mass, LimitRelation.Below, 500),
            Limit(EquipmentItem.Weapon, Weapon.Sabre, Measure.BladeLength, LimitRelation.AtMost, 880),
            Limit(EquipmentItem.Weapon, Weapon.Sabre, Measure.TotalLength, LimitRelation.AtMost, 1050),
            Limit(EquipmentItem.Weapon, Weapon.Sabre, Measure.Curve, LimitRelation.Below, 40),
            Guard(Weapon.Sabre, "15 × 14 cm"),

            Limit(EquipmentItem.BodyCord, null, Measure.Resistance, LimitRelation.AtMost, 1),
            Limit(EquipmentItem.MaskCord, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 1),
            Limit(EquipmentItem.MaskCord, Weapon.Sabre, Measure.Resistance, LimitRelation.AtMost, 1),
            Limit(EquipmentItem.ConductiveJacket, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 5),
            Limit(EquipmentItem.ConductiveJacket, Weapon.Sabre, Measure.Resistance, LimitRelation.AtMost, 5),
            Limit(EquipmentItem.ConductiveCuff, Weapon.Sabre, Measure.Resistance, LimitRelation.AtMost, 5),
        ]);

    /// <summary>What an entrant of such a competition must have, in the order of the rules.</summary>
    public ImmutableArray<RequiredItem> RequiredFor(Weapon weapon, Category category) =>
        [.. Required.Where(r => (r.Weapon ?? weapon) == weapon && (r.Category ?? category) == category)];

    /// <summary>The limits of an item with a weapon, in the order of the rules.</summary>
    public ImmutableArray<EquipmentLimit> LimitsFor(EquipmentItem item, Weapon weapon) =>
        [.. Limits.Where(l => l.Item == item && (l.Weapon ?? weapon) == weapon)];

    /// <summary>Says what is wrong, field by field; empty when checks can follow these rules.</summary>
    public ImmutableArray<Refusal> Problems()
    {
        var problems = ImmutableArray.CreateBuilder<Refusal>();
        Text("name", Name, 120);
        Text("edition", Edition, 120);
        if (Required.Length > 100)
        {
            problems.Add(Refusal.Invalid("required", $"Must have at most {100} lines, but has {Required.Length}."));
        }

        if (Limits.Length > 200)
        {
            problems.Add(Refusal.Invalid("limits", $"Must have at most {200} lines, but has {Limits.Length}."));
        }

        foreach (var (i, required) in Required.Index())
        {
            Text($"required[{i}].source", required.Source, 200);
            if (required.Count is < 1 or > 9)
            {
                problems.Add(Refusal.Invalid($"required[{i}].count", $"Must be from {1} to {9}, but is {required.Count}."));
            }

            if (Required.Take(i).Any(r => r.Item == required.Item && Meet(r.Weapon, required.Weapon) && Meet(r.Category, required.Category)))
            {
                problems.Add(Refusal.Invalid($"required[{i}].item", $"Stands there twice for the same weapon and category."));
            }
        }

        foreach (var (i, limit) in Limits.Index())
        {
            Text($"limits[{i}].source", limit.Source, 200);
            var (least, most) = Measures.RangeOf(limit.Measure);
            if ((limit.Relation == LimitRelation.Passes) != (limit.Measure == Measure.GuardGauge))
            {
                problems.Add(Refusal.Invalid($"limits[{i}].relation", $"Must be passes for guardGauge, and cannot be for anything else."));
            }
            else if (limit.Relation == LimitRelation.Passes)
            {
                Text($"limits[{i}].gauge", limit.Gauge ?? string.Empty, 40);
            }
            else if (limit.Bound is not { } bound || bound < least || bound > most)
            {
                problems.Add(Refusal.Invalid($"limits[{i}].bound", $"Must be from {least} to {most} {Measures.UnitOf(limit.Measure)}."));
            }

            if (Limits.Take(i).Any(l => l.Item == limit.Item && l.Measure == limit.Measure && l.Relation == limit.Relation && Meet(l.Weapon, limit.Weapon)))
            {
                problems.Add(Refusal.Invalid($"limits[{i}].measure", $"Stands there twice for the same item and weapon."));
            }
        }

        return problems.ToImmutable();

        void Text(string field, string text, int most)
        {
            if (string.IsNullOrWhiteSpace(text) || text.Length > most || text.Any(char.IsControl))
            {
                problems.Add(Refusal.Invalid(field, $"Must have 1 to {most} characters, in one line."));
            }
        }
    }

    private static bool Meet<T>(T? one, T? other)
        where T : struct => one is null || other is null || one.Equals(other);

    private static RequiredItem Needs(EquipmentItem item, int count = 1, Weapon? weapon = null, Category? category = null) =>
        new(item, count, "common practice", Certainty.Practice, weapon, category);

    private static EquipmentLimit Limit(EquipmentItem item, Weapon? weapon, Measure measure, LimitRelation relation, decimal bound) =>
        new(item, measure, relation, Book3, Certainty.FromMemory, bound, null, weapon);

    private static EquipmentLimit Guard(Weapon weapon, string gauge) =>
        new(EquipmentItem.Weapon, Measure.GuardGauge, LimitRelation.Passes, Book3, Certainty.FromMemory, null, gauge, weapon);

    private static EquipmentLimit EpeePoint(Measure measure, LimitRelation relation, decimal bound) =>
        new(EquipmentItem.Weapon, measure, relation, $"{Book3}, m.19.4; gauges may be 0.05 mm off", Certainty.Seen, bound, null, Weapon.Epee);
}
