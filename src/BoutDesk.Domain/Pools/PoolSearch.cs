using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// Improves a seating by exchanges between two pools: first until none is left that helps, then by kicks,
/// each a few random exchanges that are repaired and kept if the result is no worse.
/// </summary>
/// <remarks>
/// Iterated local search as in Lourenço, Martin, Stützle, "Iterated local search" (2003), from memory. Distances and
/// numbers below were chosen by trial on generated fields of 20 to 200 fencers.
/// </remarks>
internal sealed class PoolSearch
{
    // A kick disturbs pools near one place, and is repaired by exchanges with near pools: whoever moves far pays in
    // displacement, so what a kick can gain is near.
    private const int KickSpread = 4;
    private const int KickReach = 2;
    private const int MostExchangesInAKick = 3;
    private const int RepairReach = 5;

    private readonly Seating seating;
    private readonly int pools;
    private readonly int tiers;
    private readonly PoolField field;
    private readonly PairExchange exchange;
    private readonly Queue<int> disturbed = new();
    private readonly bool[] isDisturbed;
    private readonly List<(uint Tiers, int P, int Q, long Change)> done = [];

    internal PoolSearch(PoolField field, Seating seating)
    {
        this.field = field;
        this.seating = seating;
        pools = field.PoolCount;
        tiers = field.TierCount;
        exchange = new PairExchange(field);
        isDisturbed = new bool[pools];
    }

    /// <summary>Exchanges between any two pools until no such exchange lowers the cost.</summary>
    internal void Descend()
    {
        // A pair of pools need not be looked at again before one of the two has changed.
        var changedAt = new int[pools];
        var lookedAt = new int[pools * pools];
        Array.Fill(lookedAt, -1);
        var changes = 0;
        bool improved;
        do
        {
            improved = false;
            for (var gap = 1; gap < pools; gap++)
            {
                for (var p = 0; p + gap < pools; p++)
                {
                    var q = p + gap;
                    ref var last = ref lookedAt[(p * pools) + q];
                    if (last >= changedAt[p] && last >= changedAt[q])
                    {
                        continue;
                    }
                    var (which, change) = exchange.Best(seating.Pool(p), seating.Pool(q), p, q);
                    if (change < 0)
                    {
                        seating.Exchange(which, p, q, change);
                        changes++;
                        changedAt[p] = changes;
                        changedAt[q] = changes;
                        improved = true;
                    }
                    last = changes;
                }
            }
        }
        while (improved);
    }

    /// <summary>Kicks a number of times, or until the cost is down to the target.</summary>
    internal void Kick(int times, LotSequence lots, long target)
    {
        for (var kick = 0; kick < times && seating.Cost > target; kick++)
        {
            var before = seating.Cost;
            done.Clear();
            var (p, q) = Disturb(lots);
            // The two pools exchanged last are tried with each other last: it would only undo the exchange.
            Repair(p, q);
            Improve(p, q);
            Repair(PoolField.None, PoolField.None);
            if (seating.Cost > before)
            {
                Undo();
            }
        }
    }

    private (int P, int Q) Disturb(LotSequence lots)
    {
        var (p, q) = (0, 0);
        var middle = lots.Below(pools);
        for (var left = 1 + lots.Below(MostExchangesInAKick); left > 0; left--)
        {
            var tier = lots.Below(tiers);
            var hop = lots.Below(2 * KickReach);
            var from = Math.Clamp(middle - KickSpread + lots.Below((2 * KickSpread) + 1), 0, pools - 1);
            var to = hop < KickReach ? from + hop + 1 : from - (hop - KickReach + 1);
            if (to < 0 || to >= pools || field.IsPlaced(seating.Pool(from)[tier]) || field.IsPlaced(seating.Pool(to)[tier]))
            {
                continue;
            }
            (p, q) = (Math.Min(from, to), Math.Max(from, to));
            Apply(1u << tier, p, q, seating.ChangeOf(tier, p, q));
        }
        return (p, q);
    }

    private void Repair(int exceptP, int exceptQ)
    {
        while (disturbed.TryDequeue(out var pool))
        {
            isDisturbed[pool] = false;
            for (var other = Math.Max(0, pool - RepairReach); other <= Math.Min(pools - 1, pool + RepairReach); other++)
            {
                var (p, q) = (Math.Min(pool, other), Math.Max(pool, other));
                if ((p, q) != (exceptP, exceptQ))
                {
                    Improve(p, q);
                }
            }
        }
    }

    private void Improve(int p, int q)
    {
        if (p == q)
        {
            return;
        }
        var (which, change) = exchange.Best(seating.Pool(p), seating.Pool(q), p, q);
        if (change < 0)
        {
            Apply(which, p, q, change);
        }
    }

    private void Apply(uint which, int p, int q, long change)
    {
        seating.Exchange(which, p, q, change);
        done.Add((which, p, q, change));
        Mark(p);
        Mark(q);
    }

    private void Mark(int pool)
    {
        if (!isDisturbed[pool])
        {
            isDisturbed[pool] = true;
            disturbed.Enqueue(pool);
        }
    }

    private void Undo()
    {
        for (var last = done.Count - 1; last >= 0; last--)
        {
            var (which, p, q, change) = done[last];
            seating.Exchange(which, p, q, -change);
        }
    }
}
