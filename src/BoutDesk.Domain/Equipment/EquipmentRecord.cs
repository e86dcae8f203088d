using System.Collections.Immutable;

namespace BoutDesk.Domain.Equipment;

/// <summary>Marks what can happen to an equipment record; this file is the whole list.</summary>
public interface IEquipmentEvent;

/// <summary>What the armourer says of an item.</summary>
public enum Verdict
{
    /// <summary>It may be used.</summary>
    Passed,

    /// <summary>It may not be used.</summary>
    Failed,
}

/// <summary>The kinds of item that are checked.</summary>
public enum EquipmentItem
{
    /// <summary>The mask.</summary>
    Mask,

    /// <summary>The jacket.</summary>
    Jacket,

    /// <summary>The plastron worn under the jacket.</summary>
    Plastron,

    /// <summary>The breeches.</summary>
    Breeches,

    /// <summary>The glove.</summary>
    Glove,

    /// <summary>The chest protector.</summary>
    ChestProtector,

    /// <summary>A weapon.</summary>
    Weapon,

    /// <summary>A body cord.</summary>
    BodyCord,

    /// <summary>A mask cord (foil, sabre).</summary>
    MaskCord,

    /// <summary>The conductive jacket (foil, sabre).</summary>
    ConductiveJacket,

    /// <summary>The conductive cuff (sabre).</summary>
    ConductiveCuff,
}

/// <summary>An item was checked.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Item">What.</param>
/// <param name="Verdict">What the armourer says.</param>
/// <param name="Mark">The mark put on it, or null.</param>
/// <param name="Note">What is to be mended, or null.</param>
public sealed record EquipmentChecked(
    string CompetitionId, EquipmentItem Item, Verdict Verdict, string? Mark, string? Note) : IEquipmentEvent;

/// <summary>
/// The equipment of one entrant as it was checked; the latest check of a kind of item counts. An aid to the
/// armourer: the rule book in force and a qualified armourer decide.
/// </summary>
public sealed record EquipmentRecord
{
    /// <summary>The identifier, see <see cref="Identifiers"/>.</summary>
    public required string Id { get; init; }

    /// <summary>The competition.</summary>
    public required string CompetitionId { get; init; }

    /// <summary>All checks, first to last.</summary>
    public ImmutableArray<EquipmentChecked> Checks { get; init; } = [];

    /// <summary>How many events it was folded from, from 1.</summary>
    public int Version { get; init; }

    /// <summary>The kinds of item whose latest check has the given verdict.</summary>
    public ImmutableArray<EquipmentItem> Items(Verdict verdict) =>
    [
        .. Checks.GroupBy(c => c.Item).Where(g => g.Last().Verdict == verdict).Select(g => g.Key).Order(),
    ];

    /// <summary>The record after one more event.</summary>
    /// <param name="record">The record before it, or null before the first.</param>
    /// <param name="id">The identifier of the record.</param>
    /// <param name="happened">What happened.</param>
    public static EquipmentRecord Evolve(EquipmentRecord? record, string id, IEquipmentEvent happened) => happened switch
    {
        EquipmentChecked check => new EquipmentRecord
        {
            Id = id,
            CompetitionId = check.CompetitionId,
            Checks = record is null ? [check] : record.Checks.Add(check),
            Version = (record?.Version ?? 0) + 1,
        },
        _ => throw new InvalidOperationException($"An equipment record knows no event {happened.GetType().Name}."),
    };
}
