using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Equipment;

/// <summary>Marks what can happen to an equipment record; this file is the whole list.</summary>
public interface IEquipmentEvent;

/// <summary>What is said of an item.</summary>
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

/// <summary>Where a jacket opens, as its wearer sees it.</summary>
public enum JacketOpening
{
    /// <summary>In front, on his left.</summary>
    Left,

    /// <summary>In front, on his right.</summary>
    Right,

    /// <summary>At the back.</summary>
    Back,
}

/// <summary>An item was checked.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Item">What.</param>
/// <param name="Verdict">What is said of it.</param>
/// <param name="Mark">The mark put on it, or null.</param>
/// <param name="Note">What is to be mended, or why it passes against a measured value; null when nothing was noted.</param>
/// <param name="Piece">Which of several of its kind, from 1; null is the first.</param>
/// <param name="Findings">What was measured, each against the limit that held; null when nothing was.</param>
/// <param name="Opens">Where the jacket opens, or null when not told.</param>
/// <param name="BladeSize">The size of the blade, 0 to 5, or null when not told.</param>
/// <param name="MadeFor">The weapon that a conductive jacket or mask was made for, or null when not told.</param>
/// <param name="At">When, or null when not told.</param>
public sealed record EquipmentChecked(
    string CompetitionId,
    EquipmentItem Item,
    Verdict Verdict,
    string? Mark,
    string? Note,
    int? Piece = null,
    ImmutableArray<LimitFinding>? Findings = null,
    JacketOpening? Opens = null,
    int? BladeSize = null,
    Weapon? MadeFor = null,
    DateTimeOffset? At = null) : IEquipmentEvent;

/// <summary>The latest check was a mistake.</summary>
public sealed record EquipmentCheckTakenBack : IEquipmentEvent;

/// <summary>The desk lets the entrant fence although not everything has passed.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Reason">Why.</param>
public sealed record EquipmentWaived(string CompetitionId, string Reason) : IEquipmentEvent;

/// <summary>The desk no longer lets the entrant fence without.</summary>
public sealed record EquipmentWaiverTakenBack : IEquipmentEvent;
