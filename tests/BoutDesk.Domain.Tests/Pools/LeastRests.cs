using System.Numerics;

namespace BoutDesk.Domain.Tests.Pools;

/// <summary>
/// What the best order of a small pool costs, by dynamic programming over all sets of bouts that can be behind, with who
/// fenced in the last slot and in the one before. It shares nothing with the search that made the shipped orders.
/// </summary>
/// <remarks>Sets of fencers and of bouts are bit masks, fencers counted from 0.</remarks>
internal static class LeastRests
{
    /// <summary>
    /// The fewest slots; in so many, the fewest times that somebody fences twice running; and with so few of those the
    /// fewest rests of exactly one slot.
    /// </summary>
    public static (int Slots, int Zero, int One) Of(int fencers, int[] sizes, int strips)
    {
        var clubs = PoolGroups.InARow(sizes).Select(club => club.Sum(position => 1 << (position - 1))).ToArray();
        (int A, int B)[] bouts = [.. from a in Enumerable.Range(0, fencers) from b in Enumerable.Range(a + 1, fencers - 1 - a) select (a, b)];
        int[] who = [.. bouts.Select(bout => 1 << bout.A | 1 << bout.B)];
        // For each bout the bouts that must be behind: those of a fencer with his own club, if this one is with an outsider.
        int[] first = [.. who.Select(pair => Set(bout => clubs.Any(club => (club & pair) != pair && (club & pair & who[bout]) != 0 && (club & who[bout]) == who[bout])))];
        (int Bouts, int First, int On)[] ways =
        [
            .. Enumerable.Range(1, (1 << bouts.Length) - 1).Where(IsSlot)
                .Select(slot => (slot, Bouts(slot).Aggregate(0, (all, bout) => all | first[bout]), Bouts(slot).Sum(bout => who[bout]))),
        ];

        var reached = new Dictionary<(int Fenced, int Last, int Before), (int Zero, int One)> { [(0, 0, 0)] = (0, 0) };
        for (var slots = 1; ; slots++)
        {
            var next = new Dictionary<(int, int, int), (int, int)>();
            foreach (var ((fenced, last, before), cost) in reached)
            {
                foreach (var slot in ways)
                {
                    if ((slot.Bouts & fenced) != 0 || (slot.First & ~fenced) != 0)
                    {
                        continue;
                    }
                    var state = (fenced | slot.Bouts, slot.On, last);
                    var dearer = (cost.Zero + Count(slot.On & last), cost.One + Count(slot.On & before & ~last));
                    if (!next.TryGetValue(state, out var known) || dearer.CompareTo(known) < 0)
                    {
                        next[state] = dearer;
                    }
                }
            }
            var complete = next.Where(state => state.Key.Item1 == (1 << bouts.Length) - 1).Select(state => state.Value).ToArray();
            if (complete.Length > 0)
            {
                var (zero, one) = complete.Min();
                return (slots, zero, one);
            }
            reached = next;
        }

        bool IsSlot(int slot) => Count(slot) <= strips && Count(slot) * 2 == Count(Bouts(slot).Aggregate(0, (on, bout) => on | who[bout]));
        int Set(Func<int, bool> isIn) => Enumerable.Range(0, bouts.Length).Where(isIn).Sum(bout => 1 << bout);
    }

    private static int Count(int set) => BitOperations.PopCount((uint)set);

    private static IEnumerable<int> Bouts(int set)
    {
        for (; set != 0; set &= set - 1)
        {
            yield return BitOperations.TrailingZeroCount(set);
        }
    }
}
