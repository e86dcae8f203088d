using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Equipment;

/// <summary>How far an entrant is with one kind of item.</summary>
/// <param name="Item">The kind.</param>
/// <param name="Needed">How many pieces the rules ask for; 0 for what is not asked for.</param>
/// <param name="Passed">How many pieces have passed at their latest check.</param>
/// <param name="Failed">How many pieces have failed at their latest check.</param>
public sealed record ItemState(EquipmentItem Item, int Needed, int Passed, int Failed)
{
    /// <summary>How many pieces are still to pass.</summary>
    public int Missing => Math.Max(0, Needed - Passed);

    /// <summary>Whether it protects the fencer, was checked and has failed, with nothing passed in its stead.</summary>
    public bool ProtectionFailed => Failed > 0 && Passed < Math.Max(1, Needed)
        && Item is (EquipmentItem.Mask or EquipmentItem.Jacket or EquipmentItem.Plastron
            or EquipmentItem.Breeches or EquipmentItem.Glove or EquipmentItem.ChestProtector);
}

/// <summary>How far the equipment of an entrant is, by the rules.</summary>
/// <param name="Items">What the rules ask for, in their order, then what else was checked.</param>
/// <param name="CompleteAt">
/// When the last piece that was needed passed; null while something is missing, or when nobody noted the time.
/// </param>
/// <param name="Waiver">Why the desk lets the entrant fence without, or null.</param>
public sealed record EquipmentState(ImmutableArray<ItemState> Items, DateTimeOffset? CompleteAt, string? Waiver)
{
    /// <summary>Whether as many pieces have passed as the rules ask for. A spare piece that failed does not count against it.</summary>
    public bool Complete => Items.All(i => i.Missing == 0);

    /// <summary>
    /// Whether nothing stands against fencing: everything has passed, or the desk has waived the rest. A waiver never
    /// covers protection that has failed.
    /// </summary>
    public bool MayFence => Complete || (Waiver is not null && !Items.Any(i => i.ProtectionFailed));

    /// <summary>Holds a record against the rules.</summary>
    /// <param name="rules">The rules.</param>
    /// <param name="weapon">The weapon of the competition.</param>
    /// <param name="category">The category of the competition.</param>
    /// <param name="record">The record, or null when nothing was checked.</param>
    public static EquipmentState Of(EquipmentRules rules, Weapon weapon, Category category, EquipmentRecord? record)
    {
        var required = rules.RequiredFor(weapon, category);
        ImmutableArray<EquipmentChecked> checks = record?.Checks ?? [];
        var items = ItemsOf(required, checks);
        var state = new EquipmentState(items, null, record?.Waiver);
        if (!state.Complete || checks.IsEmpty)
        {
            return state;
        }

        // Complete since the check after which it has been so without a break.
        var last = checks.Length;
        while (last > 0 && ItemsOf(required, checks[..last]).All(i => i.Missing == 0))
        {
            last--;
        }

        return last == checks.Length ? state : state with { CompleteAt = checks[last].At };
    }

    private static ImmutableArray<ItemState> ItemsOf(ImmutableArray<RequiredItem> required, ImmutableArray<EquipmentChecked> checks)
    {
        var latest = EquipmentRecord.LatestOf(checks).ToLookup(c => c.Item);
        return
        [
            .. required.Select(r => StateOf(r.Item, r.Count)),
            .. latest.Where(g => required.All(r => r.Item != g.Key)).Select(g => StateOf(g.Key, 0)),
        ];

        ItemState StateOf(EquipmentItem item, int needed) => new(
            item, needed, latest[item].Count(c => c.Verdict == Verdict.Passed), latest[item].Count(c => c.Verdict == Verdict.Failed));
    }
}
