using System.Numerics;

namespace BoutDesk.Domain.Pools;

/// <summary>Who is in which pool, and what it costs. Every tier is a permutation of the pools at all times.</summary>
internal sealed class Seating
{
    private readonly PoolField field;
    private readonly int tiers;

    // By pool, then tier: who sits there.
    private readonly int[] seats;

    internal Seating(PoolField field)
    {
        this.field = field;
        tiers = field.TierCount;
        seats = new int[field.Places];
    }

    /// <summary>Weighted pairs and displacement in one number; see <see cref="PoolField.PairWeights"/>.</summary>
    internal long Cost { get; private set; }

    /// <summary>The members of a pool, by tier.</summary>
    internal ReadOnlySpan<int> Pool(int pool) => seats.AsSpan(pool * tiers, tiers);

    /// <summary>Seats the plain serpentine, but for those who are placed by hand.</summary>
    internal void SeatSerpentine() => Seat(field.SerpentinePool);

    /// <summary>
    /// Seats all fencers and vacancies. Those placed by hand go to their pools and change with whoever was meant to be there.
    /// </summary>
    /// <param name="poolOf">The pool of each place; no two of a tier in the same pool.</param>
    internal void Seat(Func<int, int> poolOf)
    {
        for (var f = 0; f < field.Places; f++)
        {
            seats[SeatIn(poolOf(f), field.TierOf(f))] = f;
        }
        for (var f = 0; f < field.Fencers; f++)
        {
            if (field.IsPlaced(f))
            {
                SwapSeats(field.TierOf(f), CurrentPool(f), field.PlacedPool(f));
            }
        }
        Cost = WholeCost();
    }

    /// <summary>Takes over another seating of the same field.</summary>
    internal void CopyFrom(Seating other)
    {
        other.seats.CopyTo(seats, 0);
        Cost = other.Cost;
    }

    /// <summary>Exchanges two pools' fencers in a set of tiers.</summary>
    /// <param name="exchanged">The tiers, as bits.</param>
    /// <param name="p">The one pool.</param>
    /// <param name="q">The other pool.</param>
    /// <param name="change">By how much this is known to change the cost.</param>
    internal void Exchange(uint exchanged, int p, int q, long change)
    {
        for (; exchanged != 0; exchanged &= exchanged - 1)
        {
            SwapSeats(BitOperations.TrailingZeroCount(exchanged), p, q);
        }
        Cost += change;
    }

    /// <summary>By how much the cost would change if two pools exchanged their fencers of one tier.</summary>
    internal long ChangeOf(int tier, int p, int q)
    {
        var (a, b) = (seats[SeatIn(p, tier)], seats[SeatIn(q, tier)]);
        var change = (long)field.Displacement(a, q) + field.Displacement(b, p)
            - field.Displacement(a, p) - field.Displacement(b, q);
        for (var level = 0; level < field.LevelCount; level++)
        {
            var groups = field.Groups(level);
            var pairs = Mates(groups, a, q, tier) - Mates(groups, a, p, tier)
                + Mates(groups, b, p, tier) - Mates(groups, b, q, tier);
            change += pairs * field.PairWeights[level];
        }
        return change;
    }

    private long WholeCost()
    {
        var cost = 0L;
        for (var p = 0; p < field.PoolCount; p++)
        {
            for (var t = 0; t < tiers; t++)
            {
                cost += field.Displacement(seats[SeatIn(p, t)], p);
            }
        }
        for (var level = 0; level < field.LevelCount; level++)
        {
            cost += CountPairs(level) * field.PairWeights[level];
        }
        return cost;
    }

    private long CountPairs(int level)
    {
        var groups = field.Groups(level);
        var twice = 0L;
        for (var p = 0; p < field.PoolCount; p++)
        {
            for (var t = 0; t < tiers; t++)
            {
                twice += Mates(groups, seats[SeatIn(p, t)], p, t);
            }
        }
        return twice / 2;
    }

    /// <summary>How many in the pool share the fencer's group, one tier left out.</summary>
    private int Mates(ReadOnlySpan<int> groups, int fencer, int pool, int leftOut)
    {
        var group = groups[fencer];
        if (group == PoolField.None)
        {
            return 0;
        }
        var mates = 0;
        for (var t = 0; t < tiers; t++)
        {
            if (t != leftOut && groups[seats[SeatIn(pool, t)]] == group)
            {
                mates++;
            }
        }
        return mates;
    }

    private int CurrentPool(int fencer)
    {
        var tier = field.TierOf(fencer);
        var pool = 0;
        while (seats[SeatIn(pool, tier)] != fencer)
        {
            pool++;
        }
        return pool;
    }

    private int SeatIn(int pool, int tier) => (pool * tiers) + tier;

    private void SwapSeats(int tier, int p, int q) =>
        (seats[SeatIn(p, tier)], seats[SeatIn(q, tier)]) = (seats[SeatIn(q, tier)], seats[SeatIn(p, tier)]);
}
