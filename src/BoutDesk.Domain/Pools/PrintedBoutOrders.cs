using System.Collections.Immutable;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// The orders of bouts as rule books print them, by size of the pool. All of them are written down from memory and must
/// be compared with the rule book in force before anybody relies on them; who is called first in a bout most of all.
/// </summary>
internal static class PrintedBoutOrders
{
    private static readonly ImmutableArray<ImmutableArray<BoutPairing>> Tables =
    [
        Table((1, 2)),
        // No table for 3 is known to be printed. Any order has the same rests (two fencers fence twice running); this one
        // calls everybody first once.
        Table((1, 2), (2, 3), (3, 1)),
        // Sure. Two fencers fence twice running, which cannot be avoided with 4.
        Table((1, 4), (2, 3), (1, 3), (2, 4), (3, 4), (1, 2)),
        // Sure. A rest of one bout or more for everybody, the most there can be, and no two bouts could change places without
        // breaking that, so that a slip of memory would show.
        Table(
            (1, 2), (3, 4), (5, 1), (2, 3), (5, 4), (1, 3), (2, 5), (4, 1), (3, 5), (4, 2)),
        // Sure. A rest of one bout or more for everybody, the most there can be.
        Table(
            (1, 2), (4, 5), (2, 3), (5, 6), (3, 1), (6, 4), (2, 5), (1, 4), (5, 3), (1, 6), (4, 2), (3, 6), (5, 1), (3, 4), (6, 2)),
        // Sure. A rest of two bouts or more for everybody, the most there can be; no two bouts could change places.
        Table(
            (1, 4), (2, 5), (3, 6), (7, 1), (5, 4), (2, 3), (6, 7),
            (5, 1), (4, 3), (6, 2), (5, 7), (3, 1), (4, 6), (7, 2),
            (3, 5), (1, 6), (2, 4), (7, 3), (6, 5), (1, 2), (4, 7)),
        // Fairly sure. A rest of two bouts or more, the most there can be; only two exchanges of bouts would keep that. Nothing
        // cross-checks who is called first in a bout.
        Table(
            (2, 3), (1, 5), (7, 4), (6, 8), (1, 2), (3, 4), (5, 6),
            (8, 7), (4, 1), (5, 2), (8, 3), (6, 7), (4, 2), (8, 1),
            (7, 5), (3, 6), (2, 8), (5, 4), (6, 1), (3, 7), (4, 8),
            (2, 6), (3, 5), (1, 7), (4, 6), (8, 5), (7, 2), (1, 3)),
        // Fairly sure. A rest of three bouts or more, the most there can be; no two bouts could change places. The last bout but
        // one is taken as 2-7, not 7-2, because only that calls everybody first equally often.
        Table(
            (1, 9), (2, 8), (3, 7), (4, 6), (1, 5), (2, 9), (8, 3), (7, 4), (6, 5),
            (1, 2), (9, 3), (8, 4), (7, 5), (6, 1), (3, 2), (9, 4), (5, 8), (7, 6),
            (3, 1), (2, 4), (5, 9), (8, 6), (7, 1), (4, 3), (5, 2), (6, 9), (8, 7),
            (4, 1), (5, 3), (6, 2), (9, 7), (1, 8), (4, 5), (3, 6), (2, 7), (9, 8)),
        // Fairly sure. A rest of three bouts or more, the most there can be; only one exchange of bouts would keep that. It
        // begins with two tables of 5 fenced by turns.
        Table(
            (1, 4), (6, 9), (2, 5), (7, 10), (3, 1), (8, 6), (4, 5), (9, 10), (2, 3),
            (7, 8), (5, 1), (10, 6), (4, 2), (9, 7), (5, 3), (10, 8), (1, 2), (6, 7),
            (3, 4), (8, 9), (5, 10), (1, 6), (2, 7), (3, 8), (4, 9), (6, 5), (10, 2),
            (8, 1), (7, 4), (9, 3), (2, 6), (5, 8), (4, 10), (1, 9), (3, 7), (8, 2),
            (6, 4), (9, 5), (10, 3), (7, 1), (4, 8), (2, 9), (3, 6), (5, 7), (1, 10)),
        // Less sure: the table for 12 without its number 12. Somebody has a rest of a single bout, so that the rests would not
        // give a slip of memory away. It may be from a national book.
        Table(
            (1, 2), (7, 8), (4, 5), (10, 11), (2, 3), (8, 9), (5, 6), (3, 1), (9, 7), (6, 4), (2, 5),
            (8, 11), (1, 4), (7, 10), (5, 3), (11, 9), (1, 6), (4, 2), (10, 8), (3, 6), (5, 1), (11, 7),
            (3, 4), (9, 10), (6, 2), (1, 7), (3, 9), (10, 4), (8, 2), (5, 11), (1, 8), (9, 2), (3, 10),
            (4, 11), (6, 7), (9, 1), (2, 10), (11, 3), (7, 5), (6, 8), (10, 1), (11, 2), (4, 7), (8, 5),
            (6, 9), (11, 1), (7, 3), (4, 8), (9, 5), (6, 10), (2, 7), (8, 3), (4, 9), (10, 5), (6, 11)),
        // Less sure: two tables of 6 fenced by turns, then six rounds in which everybody fences once. The rests (two bouts or
        // more) would not give a slip of memory away. It may be from a national book.
        Table(
            (1, 2), (7, 8), (4, 5), (10, 11), (2, 3), (8, 9), (5, 6), (11, 12), (3, 1), (9, 7), (6, 4),
            (12, 10), (2, 5), (8, 11), (1, 4), (7, 10), (5, 3), (11, 9), (1, 6), (7, 12), (4, 2), (10, 8),
            (3, 6), (9, 12), (5, 1), (11, 7), (3, 4), (9, 10), (6, 2), (12, 8), (1, 7), (3, 9), (10, 4),
            (8, 2), (5, 11), (12, 6), (1, 8), (9, 2), (3, 10), (4, 11), (12, 5), (6, 7), (9, 1), (2, 10),
            (11, 3), (4, 12), (7, 5), (6, 8), (10, 1), (11, 2), (12, 3), (4, 7), (8, 5), (6, 9), (11, 1),
            (2, 12), (7, 3), (4, 8), (9, 5), (6, 10), (12, 1), (2, 7), (8, 3), (4, 9), (10, 5), (6, 11)),
    ];

    /// <exception cref="ArgumentOutOfRangeException"><paramref name="fencers"/> is not from 2 to 12.</exception>
    public static ImmutableArray<BoutPairing> For(int fencers)
    {
        CheckSize(fencers);
        return Tables[fencers - BoutOrder.MinFencers];
    }

    /// <exception cref="ArgumentOutOfRangeException"><paramref name="fencers"/> is not from 2 to 12.</exception>
    public static void CheckSize(int fencers)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(fencers, BoutOrder.MinFencers);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(fencers, BoutOrder.MaxFencers);
    }

    private static ImmutableArray<BoutPairing> Table(params ReadOnlySpan<(int Left, int Right)> bouts)
    {
        var table = ImmutableArray.CreateBuilder<BoutPairing>(bouts.Length);
        foreach (var (left, right) in bouts)
        {
            table.Add(new BoutPairing(left, right));
        }
        return table.MoveToImmutable();
    }
}
