namespace BoutDesk.Domain.Pools;

/// <summary>The bouts of one pool that are fenced at the same time when the pool has two strips.</summary>
/// <param name="StripOne">The bout on the first strip; there always is one.</param>
/// <param name="StripTwo">
/// The bout on the second strip, without a fencer of <paramref name="StripOne"/>; null where the second strip has to wait.
/// </param>
public readonly record struct BoutSlot(BoutPairing StripOne, BoutPairing? StripTwo);
