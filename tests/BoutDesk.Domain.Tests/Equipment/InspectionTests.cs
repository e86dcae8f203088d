using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using Xunit;
using static BoutDesk.Domain.Tests.Equipment.Kit;

namespace BoutDesk.Domain.Tests.Equipment;

public class InspectionTests
{
    [Theory]
    [InlineData(Weapon.Foil, Measure.Mass, "499.9", LimitOutcome.Kept, null)]
    [InlineData(Weapon.Foil, Measure.Mass, "500", LimitOutcome.Broken, "0")]
    [InlineData(Weapon.Foil, Measure.Mass, "512.5", LimitOutcome.Broken, "12.5")]
    [InlineData(Weapon.Foil, Measure.BladeLength, "900", LimitOutcome.Kept, null)]
    [InlineData(Weapon.Foil, Measure.BladeLength, "900.1", LimitOutcome.Broken, "0.1")]
    [InlineData(Weapon.Foil, Measure.PointForce, "500", LimitOutcome.Kept, null)]
    [InlineData(Weapon.Foil, Measure.PointForce, "480", LimitOutcome.Broken, "20")]
    [InlineData(Weapon.Epee, Measure.Stroke, "1.5", LimitOutcome.Broken, "0")]
    [InlineData(Weapon.Epee, Measure.Stroke, "1.51", LimitOutcome.Kept, null)]
    [InlineData(Weapon.Epee, Measure.StrokeLeft, "0.5", LimitOutcome.Broken, "0")]
    [InlineData(Weapon.Epee, Measure.StrokeLeft, "0.49", LimitOutcome.Kept, null)]
    public void A_value_at_its_limit_is_judged_as_the_rule_says(Weapon weapon, Measure measure, string value, LimitOutcome outcome, string? offBy)
    {
        var finding = Finding(weapon, new Reading(measure, decimal.Parse(value, System.Globalization.CultureInfo.InvariantCulture)));
        Assert.Equal(outcome, finding.Outcome);
        Assert.Equal(offBy is null ? null : decimal.Parse(offBy, System.Globalization.CultureInfo.InvariantCulture), finding.OffBy);
    }

    [Theory]
    [InlineData(true, LimitOutcome.Kept)]
    [InlineData(false, LimitOutcome.Broken)]
    public void A_gauge_is_passed_or_not(bool passes, LimitOutcome outcome) =>
        Assert.Equal(outcome, Finding(Weapon.Sabre, new Reading(Measure.GuardGauge, null, passes)).Outcome);

    [Fact]
    public void One_broken_limit_is_enough_to_fail_and_all_must_be_kept_to_pass()
    {
        Assert.Equal(Verdict.Failed, VerdictOn(EquipmentItem.Weapon, Weapon.Foil, new Reading(Measure.Mass, 700)));
        Assert.Null(VerdictOn(EquipmentItem.Weapon, Weapon.Foil, new Reading(Measure.Mass, 400)));
        Assert.Equal(Verdict.Passed, VerdictOn(EquipmentItem.BodyCord, Weapon.Foil, new Reading(Measure.Resistance, 1)));
        Assert.Equal(Verdict.Passed, VerdictOn(EquipmentItem.Mask, Weapon.Epee, new Reading(Measure.Punch, 12)));
        Assert.Null(VerdictOn(EquipmentItem.Mask, Weapon.Foil, new Reading(Measure.Punch, 12)));
        Assert.Null(VerdictOn(EquipmentItem.Glove, Weapon.Foil));
    }

    [Fact]
    public void The_verdict_follows_from_what_was_measured()
    {
        var happened = Checked(new CheckDetails(EquipmentItem.BodyCord, [new Reading(Measure.Resistance, 1.2m)], Piece: 2));
        Assert.Equal(Verdict.Failed, happened.Verdict);
        Assert.Equal(2, happened.Piece);
        Assert.Equal(Morning, happened.At);
        Assert.Equal(0.2m, Assert.Single(happened.Findings!.Value).OffBy);
    }

    [Fact]
    public void Only_what_was_measured_is_recorded_with_the_limit_that_held()
    {
        var happened = Checked(new CheckDetails(EquipmentItem.Weapon, [new Reading(Measure.Mass, 480)], Verdict.Passed, BladeSize: 5));
        Assert.Equal(Measure.Mass, Assert.Single(happened.Findings!.Value).Limit.Measure);
        Assert.Null(Checked(new CheckDetails(EquipmentItem.Weapon, [], Verdict.Passed)).Findings);
    }

    [Fact]
    public void What_is_missing_for_a_verdict_is_asked_for()
    {
        Assert.Equal(
            ["measured.bladeLength", "measured.totalLength", "measured.curve", "measured.pointForce", "measured.guardGauge", "measured.resistance"],
            Fields(new CheckDetails(EquipmentItem.Weapon, [new Reading(Measure.Mass, 480)])));
        Assert.Equal(["verdict"], Fields(new CheckDetails(EquipmentItem.Glove, [])));
        Assert.Empty(Fields(new CheckDetails(EquipmentItem.Glove, [], Verdict.Passed)));
    }

    [Fact]
    public void Against_a_broken_limit_the_armourer_says_why()
    {
        var check = new CheckDetails(EquipmentItem.BodyCord, [new Reading(Measure.Resistance, 1.2m)], Verdict.Passed);
        Assert.Equal(["verdict"], Fields(check));
        Assert.Equal(Verdict.Passed, Checked(check with { Note = "The plug was wet; 0.6 when dry." }).Verdict);
        Assert.Equal(Verdict.Failed, Checked(check with { Verdict = Verdict.Failed }).Verdict);
    }

    [Theory]
    [InlineData(EquipmentItem.Weapon, Measure.Mass, 4.8, "measured.mass")]
    [InlineData(EquipmentItem.Weapon, Measure.Mass, 4800, "measured.mass")]
    [InlineData(EquipmentItem.Weapon, Measure.BladeLength, 90, "measured.bladeLength")]
    [InlineData(EquipmentItem.Weapon, Measure.Resistance, -1, "measured.resistance")]
    [InlineData(EquipmentItem.Weapon, Measure.Stroke, 2, "measured.stroke")]
    [InlineData(EquipmentItem.Glove, Measure.Mass, 100, "measured.mass")]
    public void What_cannot_be_is_refused(EquipmentItem item, Measure measure, double value, string field) =>
        Assert.Equal([field], Fields(new CheckDetails(item, [new Reading(measure, (decimal)value)], Verdict.Passed)));

    [Fact]
    public void Particulars_belong_to_the_items_that_have_them()
    {
        Assert.Equal(
            ["piece", "bladeSize", "bladeSize", "opens"],
            Fields(new CheckDetails(EquipmentItem.Glove, [], Verdict.Passed, Piece: 10, BladeSize: 6, Opens: JacketOpening.Back)));
        Expect.Refused(RefusalReason.InvalidValue, EquipmentDecider.Check(
            RecordId, Of(Weapon.Foil), EquipmentRules.Usual, new CheckDetails(EquipmentItem.Glove, [], Verdict.Passed, Piece: 0), Morning));
    }

    private static LimitFinding Finding(Weapon weapon, Reading reading) =>
        Inspection.Of(EquipmentRules.Usual, EquipmentItem.Weapon, weapon, [reading]).Single(f => f.Reading is not null);

    private static Verdict? VerdictOn(EquipmentItem item, Weapon weapon, params Reading[] readings) =>
        Inspection.VerdictOf(Inspection.Of(EquipmentRules.Usual, item, weapon, readings));

    private static IEnumerable<string?> Fields(CheckDetails check) =>
        EquipmentDecider.Problems(Of(Weapon.Foil), EquipmentRules.Usual, check).Select(p => p.Field);

    private static EquipmentChecked Checked(CheckDetails check) =>
        Record((EquipmentChecked)EquipmentDecider.Check(RecordId, Of(Weapon.Foil), EquipmentRules.Usual, check, Morning).Facts.Single().Event).Checks[^1];
}
