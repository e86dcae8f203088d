using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using Xunit;

namespace BoutDesk.Domain.Tests.Equipment;

/// <summary>
/// The usual limits, row by row. All are from memory of the FIE Rules, Book 3, Material, and are to be compared with the
/// edition in force; only the way of the épée point is m.19.4 as quoted in print. What a fencer needs is common practice.
/// </summary>
public class EquipmentRulesTests
{
    public static TheoryData<EquipmentItem, Weapon, Measure, LimitRelation, double?, Certainty> Rows => new()
    {
        // From memory.
        { EquipmentItem.Weapon, Weapon.Foil, Measure.Mass, LimitRelation.Below, 500, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Epee, Measure.Mass, LimitRelation.Below, 770, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Sabre, Measure.Mass, LimitRelation.Below, 500, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Foil, Measure.BladeLength, LimitRelation.AtMost, 900, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Epee, Measure.BladeLength, LimitRelation.AtMost, 900, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Sabre, Measure.BladeLength, LimitRelation.AtMost, 880, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Foil, Measure.TotalLength, LimitRelation.AtMost, 1100, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Epee, Measure.TotalLength, LimitRelation.AtMost, 1100, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Sabre, Measure.TotalLength, LimitRelation.AtMost, 1050, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Foil, Measure.Curve, LimitRelation.Below, 10, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Epee, Measure.Curve, LimitRelation.Below, 10, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Sabre, Measure.Curve, LimitRelation.Below, 40, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Foil, Measure.PointForce, LimitRelation.AtLeast, 500, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Epee, Measure.PointForce, LimitRelation.AtLeast, 750, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Foil, Measure.GuardGauge, LimitRelation.Passes, null, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Epee, Measure.GuardGauge, LimitRelation.Passes, null, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Sabre, Measure.GuardGauge, LimitRelation.Passes, null, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 2, Certainty.FromMemory },
        { EquipmentItem.Weapon, Weapon.Epee, Measure.Resistance, LimitRelation.AtMost, 2, Certainty.FromMemory },
        { EquipmentItem.BodyCord, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 1, Certainty.FromMemory },
        { EquipmentItem.BodyCord, Weapon.Epee, Measure.Resistance, LimitRelation.AtMost, 1, Certainty.FromMemory },
        { EquipmentItem.BodyCord, Weapon.Sabre, Measure.Resistance, LimitRelation.AtMost, 1, Certainty.FromMemory },
        { EquipmentItem.MaskCord, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 1, Certainty.FromMemory },
        { EquipmentItem.MaskCord, Weapon.Sabre, Measure.Resistance, LimitRelation.AtMost, 1, Certainty.FromMemory },
        { EquipmentItem.ConductiveJacket, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 5, Certainty.FromMemory },
        { EquipmentItem.ConductiveJacket, Weapon.Sabre, Measure.Resistance, LimitRelation.AtMost, 5, Certainty.FromMemory },
        { EquipmentItem.ConductiveCuff, Weapon.Sabre, Measure.Resistance, LimitRelation.AtMost, 5, Certainty.FromMemory },
        { EquipmentItem.Mask, Weapon.Foil, Measure.Resistance, LimitRelation.AtMost, 5, Certainty.FromMemory },
        { EquipmentItem.Mask, Weapon.Foil, Measure.Punch, LimitRelation.AtLeast, 12, Certainty.FromMemory },
        { EquipmentItem.Mask, Weapon.Epee, Measure.Punch, LimitRelation.AtLeast, 12, Certainty.FromMemory },
        { EquipmentItem.Mask, Weapon.Sabre, Measure.Punch, LimitRelation.AtLeast, 12, Certainty.FromMemory },

        // FIE Rules, Book 3, Material, m.19.4, as quoted in print.
        { EquipmentItem.Weapon, Weapon.Epee, Measure.Stroke, LimitRelation.Above, 1.5, Certainty.Seen },
        { EquipmentItem.Weapon, Weapon.Epee, Measure.StrokeLeft, LimitRelation.Below, 0.5, Certainty.Seen },
    };

    [Theory]
    [MemberData(nameof(Rows))]
    public void The_limit_is_as_its_source_says(EquipmentItem item, Weapon weapon, Measure measure, LimitRelation relation, double? bound, Certainty certainty)
    {
        var limit = Assert.Single(EquipmentRules.Usual.LimitsFor(item, weapon), l => l.Measure == measure);
        Assert.Equal(relation, limit.Relation);
        Assert.Equal((decimal?)bound, limit.Bound);
        Assert.Equal(certainty, limit.Certainty);
        Assert.Contains("Book 3", limit.Source, StringComparison.Ordinal);
    }

    [Fact]
    public void There_are_no_other_limits()
    {
        var rows = Rows.Select(r => ((EquipmentItem)r[0], (Weapon)r[1], (Measure)r[2])).ToHashSet();
        var limits =
            from weapon in Enum.GetValues<Weapon>()
            from item in Enum.GetValues<EquipmentItem>()
            from limit in EquipmentRules.Usual.LimitsFor(item, weapon)
            select (item, weapon, limit.Measure);
        Assert.Equal(rows.Order(), limits.Order());
    }

    [Fact]
    public void The_gauges_of_the_guards_are_12_and_13_and_a_half_centimetres_and_15_by_14()
    {
        // From memory.
        Assert.Equal(
            ["12 cm", "13.5 cm", "15 × 14 cm"],
            new[] { Weapon.Foil, Weapon.Epee, Weapon.Sabre }.Select(w => EquipmentRules.Usual.LimitsFor(EquipmentItem.Weapon, w).Single(l => l.Measure == Measure.GuardGauge).Gauge!));
    }

    [Theory]
    [InlineData(Weapon.Epee, Category.Women, "Mask 1, Jacket 1, Plastron 1, Breeches 1, Glove 1, ChestProtector 1, Weapon 2, BodyCord 2")]
    [InlineData(Weapon.Epee, Category.Men, "Mask 1, Jacket 1, Plastron 1, Breeches 1, Glove 1, Weapon 2, BodyCord 2")]
    [InlineData(Weapon.Foil, Category.Mixed, "Mask 1, Jacket 1, Plastron 1, Breeches 1, Glove 1, Weapon 2, BodyCord 2, MaskCord 1, ConductiveJacket 1")]
    [InlineData(Weapon.Sabre, Category.Women, "Mask 1, Jacket 1, Plastron 1, Breeches 1, Glove 1, ChestProtector 1, Weapon 2, BodyCord 2, MaskCord 1, ConductiveJacket 1, ConductiveCuff 1")]
    public void What_a_fencer_needs_follows_common_practice(Weapon weapon, Category category, string needed) =>
        Assert.Equal(needed, string.Join(", ", EquipmentRules.Usual.RequiredFor(weapon, category).Select(r => $"{r.Item} {r.Count}")));

    [Fact]
    public void The_usual_rules_are_fit_to_be_brought() => Assert.Empty(EquipmentRules.Usual.Problems());

    [Fact]
    public void Rules_that_contradict_themselves_are_refused_line_by_line()
    {
        var rules = new EquipmentRules(
            " ",
            "2026",
            [
                new RequiredItem(EquipmentItem.Mask, 0, "§ 1"),
                new RequiredItem(EquipmentItem.Glove, 1, "§ 2"),
                new RequiredItem(EquipmentItem.Glove, 1, "§ 2", Weapon: Weapon.Foil),
                new RequiredItem(EquipmentItem.Glove, 1, new string('x', 201), Weapon: Weapon.Sabre),
            ],
            [
                new EquipmentLimit(EquipmentItem.Weapon, Measure.Mass, LimitRelation.Below, "§ 3", Bound: 9000),
                new EquipmentLimit(EquipmentItem.Weapon, Measure.Mass, LimitRelation.Passes, "§ 3"),
                new EquipmentLimit(EquipmentItem.Weapon, Measure.GuardGauge, LimitRelation.Passes, "§ 3"),
                new EquipmentLimit(EquipmentItem.Weapon, Measure.Curve, LimitRelation.Below, "§ 3", Bound: 10),
                new EquipmentLimit(EquipmentItem.Weapon, Measure.Curve, LimitRelation.Below, "§ 3", Bound: 40, Weapon: Weapon.Sabre),
            ]);
        Assert.Equal(
            [
                "name", "required[0].count", "required[2].item", "required[3].source", "required[3].item",
                "limits[0].bound", "limits[1].relation", "limits[2].gauge", "limits[4].measure",
            ],
            rules.Problems().Select(p => p.Field));
    }

    [Fact]
    public void A_limit_for_each_of_two_weapons_is_no_contradiction()
    {
        var rules = new EquipmentRules(
            "Millbrook youth rules",
            "2026",
            [new RequiredItem(EquipmentItem.Weapon, 1, "§ 1", Weapon: Weapon.Foil), new RequiredItem(EquipmentItem.Weapon, 2, "§ 1", Weapon: Weapon.Sabre)],
            [
                new EquipmentLimit(EquipmentItem.Weapon, Measure.Stroke, LimitRelation.AtLeast, "§ 2", Bound: 1),
                new EquipmentLimit(EquipmentItem.Weapon, Measure.Stroke, LimitRelation.AtMost, "§ 2", Bound: 2),
            ]);
        Assert.Empty(rules.Problems());
    }
}
