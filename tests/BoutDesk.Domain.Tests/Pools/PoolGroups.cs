using System.Collections.Immutable;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Tests.Pools;

/// <summary>The ways in which the fencers of a pool can belong together, and what must hold for an order then.</summary>
internal static class PoolGroups
{
    /// <summary>All sizes that the clubs of a pool can have, clubs of one left out; the largest first.</summary>
    public static IEnumerable<int[]> Shapes(int fencers, int largest = int.MaxValue) =>
        Enumerable.Range(2, Math.Max(0, Math.Min(fencers, largest) - 1))
            .SelectMany(size => Shapes(fencers - size, size).Select(others => (int[])[size, .. others]))
            .Prepend([]);

    /// <summary>"4+3" as sizes; "" as no clubs.</summary>
    public static int[] Sizes(string clubs) => clubs.Length == 0 ? [] : [.. clubs.Split('+').Select(int.Parse)];

    /// <summary>Clubs of the given sizes on positions 1, 2, ….</summary>
    public static List<int[]> InARow(IEnumerable<int> sizes)
    {
        var clubs = new List<int[]>();
        foreach (var size in sizes)
        {
            clubs.Add([.. Enumerable.Range(clubs.Sum(club => club.Length) + 1, size)]);
        }
        return clubs;
    }

    /// <summary>Clubs of the given sizes on positions drawn by lot.</summary>
    public static List<int[]> Scattered(int fencers, IEnumerable<int> sizes, LotSequence lots)
    {
        int[] positions = [.. Enumerable.Range(1, fencers)];
        lots.Shuffle<int>(positions);
        return [.. InARow(sizes).Select(club => club.Select(place => positions[place - 1]).ToArray())];
    }

    /// <summary>Every way to divide the positions of a pool into clubs, clubs of one included.</summary>
    public static IEnumerable<List<int[]>> Divisions(int fencers)
    {
        if (fencers == 0)
        {
            return [[]];
        }
        return Divisions(fencers - 1).SelectMany(clubs => Enumerable.Range(0, clubs.Count + 1).Select(joined =>
        {
            List<int[]> divided = [.. clubs];
            if (joined == clubs.Count)
            {
                divided.Add([fencers]);
            }
            else
            {
                divided[joined] = [.. clubs[joined], fencers];
            }
            return divided;
        }));
    }

    /// <summary>An order for one strip, as slots.</summary>
    public static ImmutableArray<BoutSlot> AsSlots(IEnumerable<BoutPairing> bouts) => [.. bouts.Select(bout => new BoutSlot(bout, null))];

    public static BoutPairing[] BoutsOf(BoutSlot slot) => slot.StripTwo is { } other ? [slot.StripOne, other] : [slot.StripOne];

    /// <summary>Whether every two fencers meet exactly once, nobody is on both strips, and there are no others.</summary>
    public static bool IsComplete(int fencers, ImmutableArray<BoutSlot> slots)
    {
        var bouts = slots.SelectMany(BoutsOf).Select(bout => (Math.Min(bout.Left, bout.Right), Math.Max(bout.Left, bout.Right)));
        var pairs = from a in Enumerable.Range(1, fencers) from b in Enumerable.Range(a + 1, fencers - a) select (a, b);
        return bouts.Order().SequenceEqual(pairs.Order())
            && slots.All(slot => BoutsOf(slot).SelectMany(bout => (int[])[bout.Left, bout.Right]).CountBy(fencer => fencer).All(times => times.Value == 1));
    }

    /// <summary>Whether nobody meets an outsider before he has finished with his own club.</summary>
    public static bool KeepsClubsFirst(ImmutableArray<BoutSlot> slots, IReadOnlyList<int[]> clubs)
    {
        var bouts = slots.SelectMany(BoutsOf).ToArray();
        return clubs.All(club => club.All(member =>
            bouts.Where(bout => bout.Left == member || bout.Right == member)
                .Take(club.Length - 1)
                .All(bout => club.Contains(bout.Left) && club.Contains(bout.Right))));
    }
}
