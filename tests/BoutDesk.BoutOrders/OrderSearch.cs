using System.Collections.Immutable;
using BoutDesk.Domain.Pools;

namespace BoutDesk.BoutOrders;

/// <summary>
/// Searches for the order of the bouts of a pool in which fencers rest as long as can be, club-mates first: nobody meets
/// an outsider before his last bout with a club-mate. Fencers are numbered club by club in the order of the sizes given.
/// </summary>
/// <remarks>
/// The order is built slot by slot, strip by strip. All beginnings of equal length form a layer. Two beginnings with the
/// same bouts behind them and the same rests since count as one, the cheaper; so do two that differ only in the names of
/// fencers. Only the most promising of a layer are kept, by cost so far plus a cost that the rest cannot avoid. If a
/// layer never had to be cut, the answer is exact: what is found cannot be bettered, and what is not found does not exist.
/// Nothing depends on chance or on the clock.
/// </remarks>
public sealed class OrderSearch
{
    /// <summary>Beginnings kept in a layer when looking for an order. Wider searches on samples found next to nothing better.</summary>
    private const int Width = 5_000;

    private const int MaxDepth = 3;

    /// <summary>Age of a fencer without a bout so far. Ages are packed into four bits each.</summary>
    private const int Never = 15;

    private readonly int fencers;
    private readonly int strips;
    private readonly int[] clubOf;
    private readonly BoutPairing[] bouts;
    private readonly int[,] boutOf;
    private readonly UInt128[] boutsOf;
    private readonly UInt128[] clubBoutsOf;

    /// <summary>Prepares a search for one pool.</summary>
    /// <param name="fencers">How many fencers, 2 to 12.</param>
    /// <param name="clubs">The sizes of the clubs with two fencers or more, the largest first; together at most <paramref name="fencers"/>.</param>
    /// <param name="strips">On how many strips, 1 or 2.</param>
    public OrderSearch(int fencers, IReadOnlyList<int> clubs, int strips)
    {
        this.fencers = fencers;
        this.strips = strips;
        var clubMates = clubs.SelectMany((size, club) => Enumerable.Repeat(club, size)).ToArray();
        // Everybody else is a club of his own.
        clubOf = [.. clubMates, .. Enumerable.Range(clubs.Count, fencers - clubMates.Length)];
        bouts = [.. Pairs(fencers)];
        boutOf = new int[fencers, fencers];
        boutsOf = new UInt128[fencers];
        clubBoutsOf = new UInt128[fencers];
        for (var bout = 0; bout < bouts.Length; bout++)
        {
            var (a, b) = bouts[bout];
            boutOf[a, b] = boutOf[b, a] = bout;
            foreach (var fencer in (int[])[a, b])
            {
                boutsOf[fencer] |= UInt128.One << bout;
                clubBoutsOf[fencer] |= clubOf[a] == clubOf[b] ? UInt128.One << bout : 0;
            }
        }
    }

    /// <summary>Finds an order with few slots and, among those, long rests.</summary>
    /// <returns>The order, and whether its number of slots is proven to be the least.</returns>
    public (ImmutableArray<BoutSlot> Order, bool LeastSlots) Best()
    {
        var slots = Math.Max((bouts.Length + strips - 1) / strips, fencers - 1);
        var leastSlots = true;
        SearchResult found;
        while ((found = Find(slots, depth: 0, CostLimit.None, Width)).Order is null)
        {
            leastSlots &= found.IsExact;
            slots++;
        }
        // One kind of rest after the other: the fewer kinds are told apart, the more beginnings are alike and the deeper
        // the search sees.
        var best = found.Order.Value;
        for (var depth = 1; depth <= MaxDepth; depth++)
        {
            var next = Find(slots, depth, CostLimit.NoWorseThan(RestCounts.Of(best), depth - 1), Width).Order;
            best = next is { } order && RestCounts.Of(order).IsBetterThan(RestCounts.Of(best)) ? order : best;
        }
        return (best, leastSlots);
    }

    /// <summary>Whether it is proven that no order in this many slots is better in the first kinds of rest.</summary>
    /// <param name="slots">How many slots.</param>
    /// <param name="rests">The rests to be bettered.</param>
    /// <param name="depth">0 to look at rests of 0 only, 1 for those of 0 and then of 1, up to 3.</param>
    /// <param name="width">How many beginnings of a layer are kept; the more, the more can be proven.</param>
    public bool ProvesLeast(int slots, RestCounts rests, int depth, int width) =>
        Find(slots, depth, CostLimit.BetterThan(rests, depth), width) is { Order: null, IsExact: true };

    private SearchResult Find(int slots, int depth, CostLimit limit, int width)
    {
        var weights = CostLimit.Weights(depth);
        var leastCosts = LeastCosts(slots, weights);
        var start = new Beginning(0, AllNever(), 0, 0, Parent: -1, Bout: -1);
        List<Beginning[]> layers = [[start]];
        var isExact = true;
        for (var slot = 0; slot < slots; slot++)
        {
            for (var strip = 0; strip < strips; strip++)
            {
                var candidates = Longer(layers[^1], slots - slot - 1, strip, weights, leastCosts, limit);
                if (candidates.Count == 0)
                {
                    return new SearchResult(null, isExact);
                }
                var layer = MostPromising(candidates, width);
                isExact &= layer.IsWhole;
                layers.Add(layer.Beginnings);
            }
        }
        return new SearchResult(Read(layers), isExact);
    }

    /// <summary>All beginnings that are longer by one bout or free strip, with repetitions.</summary>
    private List<Beginning> Longer(Beginning[] layer, int slotsAfter, int strip, ulong[] weights, ulong[,] leastCosts, CostLimit limit)
    {
        var longer = new List<Beginning>();
        var stripsLeft = strips - 1 - strip;
        for (var parent = 0; parent < layer.Length; parent++)
        {
            var beginning = layer[parent];
            if (strip > 0)
            {
                Add(beginning with { Parent = parent, Bout = -1 });
            }
            for (var bout = 0; bout < bouts.Length; bout++)
            {
                var (a, b) = bouts[bout];
                var (ageA, ageB) = (Age(beginning.Ages, a), Age(beginning.Ages, b));
                if ((beginning.Fenced >> bout & 1) == 0 && ageA > 0 && ageB > 0 && ClubsAllow(beginning.Fenced, a, b))
                {
                    var ages = beginning.Ages & ~((ulong)Never << (4 * a)) & ~((ulong)Never << (4 * b));
                    var cost = beginning.Cost + RestCost(ageA) + RestCost(ageB);
                    Add(new Beginning(beginning.Fenced | UInt128.One << bout, ages, cost, 0, parent, bout));
                }
            }
        }
        return longer;

        ulong RestCost(int age) => age <= weights.Length ? weights[age - 1] : 0;

        void Add(Beginning beginning)
        {
            if (LeastTotal(beginning, slotsAfter, stripsLeft, leastCosts) is { } least && limit.Allows(least))
            {
                var ages = stripsLeft == 0 ? OneSlotOlder(beginning.Ages, weights.Length + 1) : beginning.Ages;
                longer.Add(beginning with { Least = least, Ages = ages });
            }
        }
    }

    private bool ClubsAllow(UInt128 fenced, int a, int b) =>
        clubOf[a] == clubOf[b]
        || ((fenced & clubBoutsOf[a]) == clubBoutsOf[a] && (fenced & clubBoutsOf[b]) == clubBoutsOf[b]);

    /// <summary>
    /// A cost that no completion can undercut; null if there are too few slots for one. Ages are those within the
    /// current slot, before it ends.
    /// </summary>
    private ulong? LeastTotal(Beginning beginning, int slotsAfter, int stripsLeft, ulong[,] leastCosts)
    {
        var boutsLeft = bouts.Length - (int)UInt128.PopCount(beginning.Fenced);
        if (boutsLeft > (slotsAfter * strips) + stripsLeft)
        {
            return null;
        }
        var least = beginning.Cost;
        for (var fencer = 0; fencer < fencers; fencer++)
        {
            var age = Age(beginning.Ages, fencer);
            var left = fencers - 1 - (int)UInt128.PopCount(beginning.Fenced & boutsOf[fencer]);
            if (left > slotsAfter + (stripsLeft > 0 && age > 0 ? 1 : 0))
            {
                return null;
            }
            // His bouts still to come make this many gaps, which share the slots from his last bout (or the first one
            // that he can still have) to the end.
            var (gaps, slots) = age == Never ? (left - 1, slotsAfter - (stripsLeft > 0 ? 0 : 1)) : (left, slotsAfter + age);
            least += gaps > 0 ? leastCosts[gaps, slots] : 0;
        }
        return least;
    }

    /// <summary>
    /// The least cost of so many gaps (the distance of two bouts following each other, at least 1) that add up to so
    /// many slots or fewer. A gap costs the less the longer it is, by ever smaller steps; so equal gaps cost least.
    /// </summary>
    private ulong[,] LeastCosts(int slots, ulong[] weights)
    {
        var costs = new ulong[fencers, slots + weights.Length + 2];
        for (var gaps = 1; gaps < fencers; gaps++)
        {
            for (var sum = gaps; sum < costs.GetLength(1); sum++)
            {
                var (gap, longer) = (sum / gaps, sum % gaps);
                costs[gaps, sum] = (ulong)(gaps - longer) * Cost(gap) + (ulong)longer * Cost(gap + 1);
            }
        }
        return costs;

        ulong Cost(int gap) => gap <= weights.Length ? weights[gap - 1] : 0;
    }

    /// <summary>
    /// The same for two beginnings only if a renaming of fencers that keeps club-mates together turns one into the other
    /// (for the moment; what led to them does not matter).
    /// </summary>
    private (UInt128 Fenced, ulong Ages, UInt128 Clubs) NamelessKey(Beginning beginning)
    {
        Span<ulong> looks = stackalloc ulong[fencers];
        Span<ulong> closerLooks = stackalloc ulong[fencers];
        Span<int> names = stackalloc int[fencers];
        for (var fencer = 0; fencer < fencers; fencer++)
        {
            names[fencer] = fencer;
            looks[fencer] = Mixed(((ulong)Age(beginning.Ages, fencer) << 8)
                | (ulong)UInt128.PopCount(clubBoutsOf[fencer]) << 4
                | (ulong)UInt128.PopCount(beginning.Fenced & boutsOf[fencer]));
        }
        // Fencers who look alike are told apart by whom they have met; twice is enough for nearly all of them. Two who
        // still look alike may be named in either way, at worst so that equal beginnings are kept apart.
        for (var round = 0; round < 2; round++)
        {
            for (var fencer = 0; fencer < fencers; fencer++)
            {
                closerLooks[fencer] = looks[fencer];
                for (var other = 0; other < fencers; other++)
                {
                    closerLooks[fencer] = unchecked(closerLooks[fencer] + (other == fencer ? 0 : Mixed(looks[other] ^ Relation(fencer, other))));
                }
            }
            for (var fencer = 0; fencer < fencers; fencer++)
            {
                looks[fencer] = Mixed(closerLooks[fencer]);
            }
        }
        looks.Sort(names);
        var (fenced, ages, clubs) = (UInt128.Zero, 0UL, UInt128.Zero);
        for (var name = 0; name < fencers; name++)
        {
            ages |= (ulong)Age(beginning.Ages, names[name]) << (4 * name);
            for (var other = name + 1; other < fencers; other++)
            {
                var renamed = UInt128.One << boutOf[name, other];
                fenced |= (beginning.Fenced >> boutOf[names[name], names[other]] & 1) == 0 ? 0 : renamed;
                clubs |= clubOf[names[name]] == clubOf[names[other]] ? renamed : 0;
            }
        }
        return (fenced, ages, clubs);

        ulong Relation(int fencer, int other) =>
            Mixed((clubOf[fencer] == clubOf[other] ? 2UL : 0) | (ulong)(beginning.Fenced >> boutOf[fencer, other] & 1));
    }

    /// <summary>The most promising ones, without repetitions: the cheapest of those that are alike.</summary>
    private (Beginning[] Beginnings, bool IsWhole) MostPromising(List<Beginning> candidates, int width)
    {
        // Equally promising ones are taken in a scattered but fixed way, so that what is kept is not all of one kind.
        Beginning[] sorted = [.. candidates];
        Array.Sort(Array.ConvertAll(sorted, candidate => (candidate.Least, candidate.Scattered)), sorted);
        var kept = new List<Beginning>();
        var keys = new HashSet<(UInt128, ulong, UInt128)>();
        foreach (var candidate in sorted)
        {
            if (kept.Count == width)
            {
                return ([.. kept], false);
            }
            // Those that are alike have the same still to come, so the cheapest of them is also the first here.
            if (keys.Add(NamelessKey(candidate)))
            {
                kept.Add(candidate);
            }
        }
        return ([.. kept], true);
    }

    private ImmutableArray<BoutSlot> Read(List<Beginning[]> layers)
    {
        var chosen = new int[layers.Count - 1];
        var at = Array.IndexOf(layers[^1], layers[^1].MinBy(beginning => beginning.Cost));
        for (var layer = chosen.Length; layer > 0; layer--)
        {
            (chosen[layer - 1], at) = (layers[layer][at].Bout, layers[layer][at].Parent);
        }
        return
        [
            .. chosen.Chunk(strips).Select(slot => new BoutSlot(
                Sided(bouts[slot[0]]), slot.Length > 1 && slot[1] >= 0 ? Sided(bouts[slot[1]]) : null)),
        ];
    }

    /// <summary>
    /// Numbers (from 1 now) around a circle: whoever has the other within the half circle that follows him is called
    /// first. So everybody is called first in half of his bouts, up to one bout.
    /// </summary>
    private BoutPairing Sided(BoutPairing bout) => (bout.Right - bout.Left) * 2 <= fencers
        ? new BoutPairing(bout.Left + 1, bout.Right + 1)
        : new BoutPairing(bout.Right + 1, bout.Left + 1);

    private static IEnumerable<BoutPairing> Pairs(int fencers) =>
        from a in Enumerable.Range(0, fencers)
        from b in Enumerable.Range(a + 1, fencers - 1 - a)
        select new BoutPairing(a, b);

    private ulong AllNever() => Enumerable.Range(0, fencers).Aggregate(0UL, (ages, fencer) => ages | (ulong)Never << (4 * fencer));

    private static int Age(ulong ages, int fencer) => (int)(ages >> (4 * fencer) & Never);

    /// <summary>Ages at the beginning of the next slot: 1 for who has just fenced. From <paramref name="rested"/> on all are alike.</summary>
    private ulong OneSlotOlder(ulong ages, int rested)
    {
        var older = 0UL;
        for (var fencer = 0; fencer < fencers; fencer++)
        {
            var age = Age(ages, fencer);
            older |= (ulong)(age == Never ? Never : Math.Min(age + 1, rested)) << (4 * fencer);
        }
        return older;
    }

    /// <summary>Scatters a value over 64 bits (a multiply-and-shift mixer as common for hash tables).</summary>
    private static ulong Mixed(ulong value)
    {
        unchecked
        {
            value = (value ^ (value >> 31)) * 0xD6E8FEB86659FD93;
            value = (value ^ (value >> 29)) * 0x9E3779B97F4A7C15;
            return value ^ (value >> 32);
        }
    }

    /// <param name="Fenced">The bouts that are behind, one bit each.</param>
    /// <param name="Ages">Slots since the last bout of each fencer: 0 for who is on a strip in the current slot.</param>
    /// <param name="Cost">The rests so far, weighted.</param>
    /// <param name="Least">What the whole order will cost at least.</param>
    /// <param name="Parent">Place in the layer before.</param>
    /// <param name="Bout">The bout added last, or -1 for a strip left free.</param>
    private readonly record struct Beginning(UInt128 Fenced, ulong Ages, ulong Cost, ulong Least, int Parent, int Bout)
    {
        public ulong Scattered => Mixed((ulong)(Fenced & ulong.MaxValue) ^ Mixed((ulong)(Fenced >> 64) ^ Mixed(Ages)));
    }

    /// <param name="Order">What was found, if anything.</param>
    /// <param name="IsExact">Whether nothing was cut off.</param>
    private readonly record struct SearchResult(ImmutableArray<BoutSlot>? Order, bool IsExact);

    /// <summary>Rest counts as one number that sorts like <see cref="RestCounts"/>, and a bound on it.</summary>
    private readonly record struct CostLimit(ulong Below)
    {
        // 132 rests at most in a pool of 12, so ten bits hold each count.
        private const int Bits = 10;

        public static CostLimit None => new(ulong.MaxValue);

        public static ulong[] Weights(int depth) => [.. Enumerable.Range(0, depth + 1).Select(rest => 1UL << (Bits * (MaxDepth - rest)))];

        public static CostLimit BetterThan(RestCounts rests, int depth) => new(Cost(rests, depth));

        public static CostLimit NoWorseThan(RestCounts rests, int depth) => new(Cost(rests, depth) + Weights(depth)[depth]);

        public bool Allows(ulong cost) => cost < Below;

        private static ulong Cost(RestCounts rests, int depth)
        {
            int[] counts = [rests.Zero, rests.One, rests.Two, rests.Three];
            return Weights(depth).Zip(counts).Aggregate(0UL, (sum, pair) => sum + pair.First * (ulong)pair.Second);
        }
    }
}
