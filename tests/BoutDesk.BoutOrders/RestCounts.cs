using System.Collections.Immutable;
using BoutDesk.Domain.Pools;

namespace BoutDesk.BoutOrders;

/// <summary>
/// How often a fencer of a pool has only 0, 1, 2 or 3 slots between two of his bouts. An order is better than another
/// if it has fewer rests of 0, or as many and fewer of 1, and so on.
/// </summary>
/// <param name="Zero">How often somebody fences in two slots running.</param>
/// <param name="One">How often exactly one slot lies between two bouts of somebody.</param>
/// <param name="Two">The same for two slots.</param>
/// <param name="Three">The same for three slots.</param>
public readonly record struct RestCounts(int Zero, int One, int Two, int Three)
{
    /// <summary>Counts the rests of an order.</summary>
    public static RestCounts Of(ImmutableArray<BoutSlot> order)
    {
        var counts = new int[4];
        var lastSlot = new Dictionary<int, int>();
        for (var slot = 0; slot < order.Length; slot++)
        {
            foreach (var fencer in Fencers(order[slot]))
            {
                if (lastSlot.TryGetValue(fencer, out var last) && slot - last <= counts.Length)
                {
                    counts[slot - last - 1]++;
                }
                lastSlot[fencer] = slot;
            }
        }
        return new RestCounts(counts[0], counts[1], counts[2], counts[3]);
    }

    /// <summary>Whether the order that was counted is better than another.</summary>
    public bool IsBetterThan(RestCounts other) =>
        (Zero, One, Two, Three).CompareTo((other.Zero, other.One, other.Two, other.Three)) < 0;

    private static int[] Fencers(BoutSlot slot) => slot.StripTwo is { } other
        ? [slot.StripOne.Left, slot.StripOne.Right, other.Left, other.Right]
        : [slot.StripOne.Left, slot.StripOne.Right];
}
