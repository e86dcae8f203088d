using System.Collections.Immutable;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// Who meets whom in a pool, and when. Fencers are named by their positions on the pool sheet, counted from 1;
/// every two of them meet exactly once.
/// </summary>
/// <remarks>
/// <para>
/// The rule (from memory of the organisation rules, Book 2): the order is the table printed for the size of the
/// pool, nobody fences twice running where it can be avoided, and members of one club (or country) fence each other
/// first. The last part is read here as: <em>nobody meets an outsider before he has finished all bouts with his own
/// club-mates in the pool</em>. Others may fence in between; without that, three club-mates in a pool of 7 would have
/// to fence twice running.
/// </para>
/// <para>
/// Where the printed table keeps the clubs first under some numbering, it is used, with as few fencers as possible
/// taking another number than their position. Elsewhere the order is a computed one: for up to 8 fencers none has
/// fewer bouts twice running, nor, among those, fewer rests of a single bout (proven by exhaustive search); for 9 to
/// 12 fencers it is the best that a wide search found, and nobody fences twice running except where all but one belong
/// to one club.
/// </para>
/// <para>
/// The same input always gives the same order. The order in which clubs and their members are listed does not matter.
/// </para>
/// </remarks>
public static class BoutOrder
{
    /// <summary>The smallest pool, 2 fencers: a single bout.</summary>
    public const int MinFencers = 2;

    /// <summary>The largest pool, 12 fencers: 66 bouts.</summary>
    public const int MaxFencers = 12;

    /// <summary>The printed order for a pool without club-mates, on one strip.</summary>
    /// <param name="fencers">How many fencers, 2 to 12.</param>
    /// <returns>
    /// All n(n-1)/2 bouts. From 5 fencers on, nobody fences twice running. Who is named first in a bout is part of the
    /// table; for 5, 7 and 9 fencers it is everybody equally often.
    /// </returns>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="fencers"/> is not from 2 to 12.</exception>
    public static ImmutableArray<BoutPairing> For(int fencers) => PrintedBoutOrders.For(fencers);

    /// <summary>The order for a pool with club-mates, on one strip.</summary>
    /// <param name="fencers">How many fencers, 2 to 12.</param>
    /// <param name="groups">
    /// The positions that belong together, one list a club. Positions that are in no list, or alone in one, have no
    /// club-mate here.
    /// </param>
    /// <returns>All n(n-1)/2 bouts; no member of a group meets an outsider before his last bout within the group.</returns>
    /// <exception cref="ArgumentOutOfRangeException">
    /// <paramref name="fencers"/> is not from 2 to 12, or a position is not from 1 to <paramref name="fencers"/>.
    /// </exception>
    /// <exception cref="ArgumentException">A position is listed twice.</exception>
    public static ImmutableArray<BoutPairing> For(int fencers, IReadOnlyList<IReadOnlyList<int>> groups)
    {
        var printed = For(fencers).Select(bout => new BoutSlot(bout, null));
        return [.. ClubsFirst([.. printed], new PoolClubs(fencers, groups), ComputedBoutOrders.OneStrip).Select(slot => slot.StripOne)];
    }

    /// <summary>The order for a pool without club-mates that has two strips.</summary>
    /// <param name="fencers">How many fencers, 2 to 12.</param>
    /// <returns>
    /// What is fenced at the same time, slot by slot, supposing all bouts last equally long; nobody is on both strips of
    /// a slot. There are as few slots as possible, and nobody fences in two slots running more often than has to be
    /// (proven by exhaustive search; from 9 fencers on it does not happen at all).
    /// </returns>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="fencers"/> is not from 2 to 12.</exception>
    public static ImmutableArray<BoutSlot> OnTwoStrips(int fencers)
    {
        PrintedBoutOrders.CheckSize(fencers);
        return Read(ComputedBoutOrders.TwoStrips[PoolClubs.Shape(fencers, [])]);
    }

    /// <summary>The order for a pool with club-mates that has two strips.</summary>
    /// <param name="fencers">How many fencers, 2 to 12.</param>
    /// <param name="groups">As for <see cref="For(int, IReadOnlyList{IReadOnlyList{int}})"/>.</param>
    /// <returns>
    /// As <see cref="OnTwoStrips(int)"/>; no member of a group meets an outsider before the slot after his last bout
    /// within the group. A big club can make more slots necessary. There are as few slots as possible (proven, but for
    /// pools of 8 and more in which all except one belong to one club). Up to 8 fencers, nobody fences in two slots
    /// running more often than so few slots make necessary; beyond, it is the best that a wide search found.
    /// </returns>
    /// <exception cref="ArgumentOutOfRangeException">
    /// <paramref name="fencers"/> is not from 2 to 12, or a position is not from 1 to <paramref name="fencers"/>.
    /// </exception>
    /// <exception cref="ArgumentException">A position is listed twice.</exception>
    public static ImmutableArray<BoutSlot> OnTwoStrips(int fencers, IReadOnlyList<IReadOnlyList<int>> groups) =>
        ClubsFirst(OnTwoStrips(fencers), new PoolClubs(fencers, groups), ComputedBoutOrders.TwoStrips);

    private static ImmutableArray<BoutSlot> ClubsFirst(
        ImmutableArray<BoutSlot> clubless, PoolClubs clubs, IReadOnlyDictionary<string, string> computed)
    {
        var order = clubless;
        var positionOf = ClubNumbering.Find(clubless, clubs);
        if (positionOf is null)
        {
            order = Read(computed[clubs.Shape()]);
            positionOf = clubs.InOrderOfSize();
        }
        return [.. order.Select(slot => new BoutSlot(At(slot.StripOne), slot.StripTwo is { } other ? At(other) : null))];

        BoutPairing At(BoutPairing numbers) => new(positionOf[numbers.Left], positionOf[numbers.Right]);
    }

    /// <summary>Reads an order written as in <see cref="ComputedBoutOrders"/>.</summary>
    private static ImmutableArray<BoutSlot> Read(string text)
    {
        return [.. text.Split(' ').Select(slot => new BoutSlot(Bout(slot, 0), slot.Length > 2 ? Bout(slot, 2) : null))];

        static BoutPairing Bout(string slot, int start) => new(Number(slot[start]), Number(slot[start + 1]));
        static int Number(char digit) => ComputedBoutOrders.Digits.IndexOf(digit, StringComparison.Ordinal) + 1;
    }
}
