using System.Collections.Immutable;

namespace BoutDesk.Domain.Equipment;

/// <summary>
/// The equipment of one entrant as it was checked; the latest check of a piece counts. An aid to the armourer: the rule
/// book in force and a qualified armourer decide.
/// </summary>
public sealed record EquipmentRecord
{
    /// <summary>The identifier, see <see cref="Identifiers"/>.</summary>
    public required string Id { get; init; }

    /// <summary>The competition.</summary>
    public required string CompetitionId { get; init; }

    /// <summary>All checks that were not taken back, first to last.</summary>
    public ImmutableArray<EquipmentChecked> Checks { get; init; } = [];

    /// <summary>Why the desk lets the entrant fence although not everything has passed, or null when it does not.</summary>
    public string? Waiver { get; init; }

    /// <summary>How many events it was folded from, from 1.</summary>
    public int Version { get; init; }

    /// <summary>The check that counts for each piece that was checked, in the order of kinds and pieces.</summary>
    public ImmutableArray<EquipmentChecked> Latest => [.. LatestOf(Checks)];

    /// <summary>
    /// The kinds of item with the given verdict: failed when a piece of it has failed at its latest check, passed when
    /// pieces were checked and none has failed.
    /// </summary>
    public ImmutableArray<EquipmentItem> Items(Verdict verdict) =>
    [
        .. Latest.GroupBy(c => c.Item)
            .Where(g => verdict == (g.Any(c => c.Verdict == Verdict.Failed) ? Verdict.Failed : Verdict.Passed))
            .Select(g => g.Key),
    ];

    /// <summary>The record after one more event.</summary>
    /// <param name="record">The record before it, or null before the first.</param>
    /// <param name="id">The identifier of the record.</param>
    /// <param name="happened">What happened.</param>
    /// <exception cref="InvalidOperationException">The event cannot follow, which means that the store is damaged.</exception>
    public static EquipmentRecord Evolve(EquipmentRecord? record, string id, IEquipmentEvent happened)
    {
        var before = (record, happened) switch
        {
            ({ } known, _) => known,
            (null, EquipmentChecked check) => new EquipmentRecord { Id = id, CompetitionId = check.CompetitionId },
            (null, EquipmentWaived waived) => new EquipmentRecord { Id = id, CompetitionId = waived.CompetitionId },
            _ => throw new InvalidOperationException($"Equipment record {id} cannot begin with {happened.GetType().Name}."),
        };
        var next = happened switch
        {
            EquipmentChecked check => before with { Checks = before.Checks.Add(check) },
            EquipmentCheckTakenBack when !before.Checks.IsEmpty => before with { Checks = before.Checks.RemoveAt(before.Checks.Length - 1) },
            EquipmentWaived waived => before with { Waiver = waived.Reason },
            EquipmentWaiverTakenBack => before with { Waiver = null },
            _ => throw new InvalidOperationException($"Equipment record {id} cannot take {happened.GetType().Name} now."),
        };
        return next with { Version = before.Version + 1 };
    }

    internal static IEnumerable<EquipmentChecked> LatestOf(IEnumerable<EquipmentChecked> checks) =>
        checks.GroupBy(c => (c.Item, Piece: c.Piece ?? 1)).OrderBy(g => g.Key).Select(g => g.Last());
}
