using System.Collections.Immutable;
using System.Numerics;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// Finds out who must take which number of an order so that club-mates fence each other first. Only the order of bouts
/// changes by that; everybody keeps his position on the sheet.
/// </summary>
/// <remarks>
/// A club of k can take a set of k numbers only if each of them fences the other k-1 in his first k-1 bouts. Such a set
/// follows from any one of its numbers, so an order has at most n/k of them and all can be tried.
/// Sets of numbers and of positions are bit masks: bit 0 stands for number or position 1.
/// </remarks>
internal sealed class ClubNumbering
{
    private readonly PoolClubs clubs;
    private readonly int everybody;
    private readonly ImmutableArray<int>[] setsFor;
    private readonly int[] chosen;
    private int[]? best;
    private int mostKept = -1;

    private ClubNumbering(ImmutableArray<BoutSlot> order, PoolClubs clubs)
    {
        this.clubs = clubs;
        everybody = (1 << clubs.Fencers) - 1;
        var opponents = Opponents(order, clubs.Fencers);
        setsFor = [.. clubs.Members.Select(club => ClosedSets(opponents, club.Length))];
        chosen = new int[clubs.Members.Length];
    }

    /// <summary>
    /// The position that takes number 1, 2, … (item 0 is unused), such that as many fencers as possible have their
    /// position as number; null if no numbering keeps all clubs first.
    /// </summary>
    public static int[]? Find(ImmutableArray<BoutSlot> order, PoolClubs clubs)
    {
        var numbering = new ClubNumbering(order, clubs);
        numbering.Place(club: 0, taken: 0);
        return numbering.best is null ? null : numbering.Seat(numbering.best);
    }

    private void Place(int club, int taken)
    {
        if (club < chosen.Length)
        {
            foreach (var set in setsFor[club].Where(set => (set & taken) == 0))
            {
                chosen[club] = set;
                Place(club + 1, taken | set);
            }
            return;
        }
        var kept = Groups(chosen).Sum(group => BitOperations.PopCount((uint)(group.Positions & group.Numbers)));
        if (kept > mostKept)
        {
            mostKept = kept;
            best = [.. chosen];
        }
    }

    /// <summary>Each club with the numbers chosen for it, and those without club-mates with the numbers left over.</summary>
    private IEnumerable<(int Positions, int Numbers)> Groups(int[] numbers)
    {
        var outsiders = everybody;
        var leftOver = everybody;
        for (var club = 0; club < numbers.Length; club++)
        {
            var positions = clubs.Members[club].Sum(position => 1 << (position - 1));
            outsiders &= ~positions;
            leftOver &= ~numbers[club];
            yield return (positions, numbers[club]);
        }
        yield return (outsiders, leftOver);
    }

    private int[] Seat(int[] numbers)
    {
        var positionOf = new int[clubs.Fencers + 1];
        foreach (var group in Groups(numbers))
        {
            var kept = group.Positions & group.Numbers;
            Pair(Items(kept), Items(kept));
            Pair(Items(group.Positions & ~kept), Items(group.Numbers & ~kept));
        }
        return positionOf;

        void Pair(IEnumerable<int> positions, IEnumerable<int> taken)
        {
            foreach (var (position, number) in positions.Zip(taken))
            {
                positionOf[number] = position;
            }
        }
    }

    private static IEnumerable<int> Items(int set) => Enumerable.Range(1, BoutOrder.MaxFencers).Where(item => (set >> (item - 1) & 1) != 0);

    private static List<int>[] Opponents(ImmutableArray<BoutSlot> order, int fencers)
    {
        List<int>[] opponents = [.. Enumerable.Range(0, fencers + 1).Select(_ => new List<int>())];
        foreach (var slot in order)
        {
            Meet(slot.StripOne);
            if (slot.StripTwo is { } other)
            {
                Meet(other);
            }
        }
        return opponents;

        void Meet(BoutPairing bout)
        {
            opponents[bout.Left].Add(bout.Right);
            opponents[bout.Right].Add(bout.Left);
        }
    }

    private static ImmutableArray<int> ClosedSets(List<int>[] opponents, int size)
    {
        return [.. Enumerable.Range(1, opponents.Length - 1).Select(Around).Distinct().Where(IsClosed)];

        int Around(int number) => opponents[number].Take(size - 1).Append(number).Sum(member => 1 << (member - 1));
        bool IsClosed(int set) => Items(set).All(member => Around(member) == set);
    }
}
