using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Equipment;

/// <summary>A check as the armourer tells it.</summary>
/// <param name="Item">What was checked.</param>
/// <param name="Readings">What was measured, each measure at most once.</param>
/// <param name="Verdict">What the armourer says, or null to let the limits say it.</param>
/// <param name="Piece">Which of several of its kind, 1 to 9; null is the first.</param>
/// <param name="Mark">The mark put on it, or null.</param>
/// <param name="Note">What is to be mended, or null.</param>
/// <param name="Opens">Where a jacket opens, or null.</param>
/// <param name="BladeSize">The size of a blade, 0 to 5, or null.</param>
/// <param name="MadeFor">The weapon that it was made for, or null.</param>
public sealed record CheckDetails(
    EquipmentItem Item,
    ImmutableArray<Reading> Readings,
    Verdict? Verdict = null,
    int? Piece = null,
    string? Mark = null,
    string? Note = null,
    JacketOpening? Opens = null,
    int? BladeSize = null,
    Weapon? MadeFor = null);

/// <summary>Decides on checks at the equipment table.</summary>
public static class EquipmentDecider
{
    /// <summary>Says what is wrong with a check, field by field; empty when it can be recorded.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="rules">The rules in force.</param>
    /// <param name="check">The check.</param>
    public static ImmutableArray<Refusal> Problems(Competition competition, EquipmentRules rules, CheckDetails check)
    {
        var problems = ImmutableArray.CreateBuilder<Refusal>();
        var limits = rules.LimitsFor(check.Item, competition.Weapon);
        foreach (var reading in check.Readings)
        {
            var field = FieldOf(reading.Measure);
            var (least, most) = Measures.RangeOf(reading.Measure);
            if (limits.All(l => l.Measure != reading.Measure))
            {
                problems.Add(Refusal.Invalid(field, $"The rules measure nothing like that on this item with this weapon. Leave it out, or put it into the note."));
            }
            else if (reading.Amount < least || reading.Amount > most)
            {
                problems.Add(Refusal.Invalid(field, $"Cannot be {reading.Amount} {Measures.UnitOf(reading.Measure)}. Look at the number and its unit; possible is {least} to {most}."));
            }
        }

        Range("piece", check.Piece, 1, 9);
        Range("bladeSize", check.BladeSize, 0, 5);
        if (check.BladeSize is not null && check.Item != EquipmentItem.Weapon)
        {
            problems.Add(Refusal.Invalid("bladeSize", $"Belongs to a weapon only."));
        }

        if (check.Opens is not null && check.Item is not (EquipmentItem.Jacket or EquipmentItem.ConductiveJacket))
        {
            problems.Add(Refusal.Invalid("opens", $"Belongs to a jacket only."));
        }

        if (problems.Count > 0)
        {
            return problems.ToImmutable();
        }

        var findings = Inspection.Of(rules, check.Item, competition.Weapon, check.Readings);
        var measured = Inspection.VerdictOf(findings);
        if (check.Verdict is null && measured is null)
        {
            foreach (var open in findings.Where(f => f.Outcome == LimitOutcome.NotMeasured))
            {
                problems.Add(Refusal.Invalid(FieldOf(open.Limit.Measure), $"Measure it too, or say the verdict yourself."));
            }

            if (findings.IsEmpty)
            {
                problems.Add(Refusal.Invalid("verdict", $"The rules measure nothing on this item, so say passed or failed."));
            }
        }

        if (check.Verdict == Verdict.Passed && measured == Verdict.Failed && string.IsNullOrWhiteSpace(check.Note))
        {
            problems.Add(Refusal.Invalid("verdict", $"A measured value breaks its limit. Leave the verdict out, or say in the note why it passes all the same."));
        }

        return problems.ToImmutable();

        void Range(string field, int? value, int least, int most)
        {
            if (value < least || value > most)
            {
                problems.Add(Refusal.Invalid(field, $"Must be from {least} to {most}, but is {value}."));
            }
        }
    }

    /// <summary>Records a check. The verdict is the armourer's, else the one that follows from the limits.</summary>
    /// <param name="recordId">The identifier of the record.</param>
    /// <param name="competition">The competition.</param>
    /// <param name="rules">The rules in force.</param>
    /// <param name="check">The check.</param>
    /// <param name="at">When it was made.</param>
    public static Decision Check(string recordId, Competition competition, EquipmentRules rules, CheckDetails check, DateTimeOffset at)
    {
        if (Problems(competition, rules, check) is [var first, ..])
        {
            return first;
        }

        var findings = Inspection.Of(rules, check.Item, competition.Weapon, check.Readings);
        ImmutableArray<LimitFinding> measured = [.. findings.Where(f => f.Reading is not null)];
        return Decision.Accept(recordId, new EquipmentChecked(
            competition.Id,
            check.Item,
            check.Verdict ?? Inspection.VerdictOf(findings)!.Value,
            check.Mark,
            check.Note,
            check.Piece,
            measured.IsEmpty ? null : measured,
            check.Opens,
            check.BladeSize,
            check.MadeFor,
            at));
    }

    /// <summary>
    /// Passes every piece that the rules ask for and that was not checked yet. What has failed stays so.
    /// </summary>
    /// <param name="record">The record, or null when nothing was checked.</param>
    /// <param name="recordId">The identifier of the record.</param>
    /// <param name="competition">The competition.</param>
    /// <param name="rules">The rules in force.</param>
    /// <param name="mark">The mark put on each, or null.</param>
    /// <param name="at">When it was made.</param>
    public static Decision PassTheRest(
        EquipmentRecord? record, string recordId, Competition competition, EquipmentRules rules, string? mark, DateTimeOffset at)
    {
        var known = (record?.Latest ?? []).Select(c => (c.Item, Piece: c.Piece ?? 1)).ToHashSet();
        return Decision.Accept(
            from required in rules.RequiredFor(competition.Weapon, competition.Category)
            from piece in Enumerable.Range(1, required.Count)
            where !known.Contains((required.Item, piece))
            select new Fact(recordId, new EquipmentChecked(
                competition.Id, required.Item, Verdict.Passed, mark, null, required.Count > 1 ? piece : null, At: at)));
    }

    /// <summary>Takes the latest check back.</summary>
    /// <param name="record">The record, or null when nothing was checked.</param>
    public static Decision TakeBack(EquipmentRecord? record) => record is { Checks.IsEmpty: false }
        ? Decision.Accept(record.Id, new EquipmentCheckTakenBack())
        : new Refusal(RefusalReason.NothingToTakeBack, $"Nothing was checked that could be taken back.");

    /// <summary>
    /// Lets the entrant fence although not everything has passed; protection that has failed is not waived. The same
    /// reason again changes nothing.
    /// </summary>
    /// <param name="record">The record, or null when nothing was checked.</param>
    /// <param name="recordId">The identifier of the record.</param>
    /// <param name="competition">The competition.</param>
    /// <param name="rules">The rules in force.</param>
    /// <param name="reason">Why.</param>
    public static Decision Waive(EquipmentRecord? record, string recordId, Competition competition, EquipmentRules rules, string reason)
    {
        if (EquipmentState.Of(rules, competition.Weapon, competition.Category, record).Items.Any(i => i.ProtectionFailed))
        {
            return new Refusal(RefusalReason.EquipmentNotPassed, $"Protection that has failed is not waived. Let it be mended or replaced, and checked again.");
        }

        return record?.Waiver == reason ? Decision.Nothing : Decision.Accept(recordId, new EquipmentWaived(competition.Id, reason));
    }

    /// <summary>No longer lets the entrant fence without. Where nothing was waived nothing changes.</summary>
    /// <param name="record">The record, or null when nothing was checked.</param>
    public static Decision TakeWaiverBack(EquipmentRecord? record) =>
        record?.Waiver is null ? Decision.Nothing : Decision.Accept(record.Id, new EquipmentWaiverTakenBack());

    private static string FieldOf(Measure measure) => $"measured.{Camel(measure.ToString())}";

    private static string Camel(string name) => char.ToLowerInvariant(name[0]) + name[1..];
}
