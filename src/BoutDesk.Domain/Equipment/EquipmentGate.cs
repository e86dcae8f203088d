using System.Collections.Immutable;

namespace BoutDesk.Domain.Equipment;

/// <summary>What happens when a fencer is called whose equipment has not passed.</summary>
public enum EquipmentGate
{
    /// <summary>Nothing.</summary>
    Off,

    /// <summary>It is said.</summary>
    Warn,

    /// <summary>The bout is not called and not begun, unless the desk waives the check.</summary>
    Block,
}

/// <summary>A fencer whose equipment has not passed.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Missing">What is still to pass.</param>
/// <param name="Failed">What has failed.</param>
public sealed record Unready(string EntrantId, string Name, ImmutableArray<EquipmentItem> Missing, ImmutableArray<EquipmentItem> Failed);

/// <summary>Decides by the equipment whether a bout may be called.</summary>
public static class EquipmentGates
{
    /// <summary>Why the bout is not called or begun, or null when it may be.</summary>
    /// <param name="gate">The setting of the competition.</param>
    /// <param name="unready">Those of its fencers whose equipment has not passed and was not waived.</param>
    public static Refusal? Hinders(EquipmentGate gate, ImmutableArray<Unready> unready) => gate == EquipmentGate.Block && !unready.IsEmpty
        ? new Refusal(
            RefusalReason.EquipmentNotPassed,
            $"The equipment of {string.Join(" + ", unready.Select(u => u.Name))} has not passed. Send the fencer to the armourer, or let the desk waive the check with a reason.")
        {
            Concerns = [.. unready.Select(u => u.EntrantId)],
        }
        : null;
}
