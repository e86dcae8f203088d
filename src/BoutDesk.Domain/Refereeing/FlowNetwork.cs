namespace BoutDesk.Domain.Refereeing;

/// <summary>
/// A network of arcs that each take one unit, filled from source to sink as far as it goes at the least cost, by
/// cheapest paths. See <see cref="RefereeAssignment"/>.
/// </summary>
internal sealed class FlowNetwork
{
    private const int None = -1;

    private readonly int[] firstArc;
    private readonly long[] price;
    private readonly long[] distance;
    private readonly int[] reachedBy;
    private readonly PriorityQueue<int, (long Distance, int Node)> queue = new();

    // Arc 2k and arc 2k + 1 are one arc in both directions; exactly one of them is free.
    private readonly List<int> target = [];
    private readonly List<int> nextArc = [];
    private readonly List<long> cost = [];
    private readonly List<bool> free = [];

    public FlowNetwork(int nodes)
    {
        firstArc = new int[nodes];
        Array.Fill(firstArc, None);
        price = new long[nodes];
        distance = new long[nodes];
        reachedBy = new int[nodes];
    }

    /// <summary>Adds an arc.</summary>
    /// <param name="from">Where it begins.</param>
    /// <param name="to">Where it ends.</param>
    /// <param name="arcCost">What a unit on it costs; not negative.</param>
    public void Add(int from, int to, long arcCost)
    {
        Put(from, to, arcCost, isFree: true);
        Put(to, from, -arcCost, isFree: false);
    }

    /// <summary>Sends as many units as there is room for, at the least cost.</summary>
    /// <returns>The cost.</returns>
    public long Fill(int source, int sink)
    {
        var total = 0L;
        while (Reach(source, sink))
        {
            for (var node = sink; node != source; node = target[reachedBy[node] ^ 1])
            {
                var arc = reachedBy[node];
                total += cost[arc];
                free[arc] = false;
                free[arc ^ 1] = true;
            }
        }

        return total;
    }

    /// <summary>Where the unit that goes through a node goes next, or -1 when none does.</summary>
    public int TargetOf(int node)
    {
        for (var arc = firstArc[node]; arc != None; arc = nextArc[arc])
        {
            if (arc % 2 == 0 && !free[arc])
            {
                return target[arc];
            }
        }

        return None;
    }

    private void Put(int from, int to, long arcCost, bool isFree)
    {
        target.Add(to);
        cost.Add(arcCost);
        free.Add(isFree);
        nextArc.Add(firstArc[from]);
        firstArc[from] = target.Count - 1;
    }

    /// <summary>Looks for a cheapest path, by Dijkstra's method on costs that the prices keep from being negative.</summary>
    private bool Reach(int source, int sink)
    {
        Array.Fill(distance, long.MaxValue);
        queue.Clear();
        distance[source] = 0;
        queue.Enqueue(source, (0, source));
        while (queue.TryDequeue(out var node, out var at))
        {
            if (at.Distance > distance[node])
            {
                continue;
            }

            if (node == sink)
            {
                break;
            }

            for (var arc = firstArc[node]; arc != None; arc = nextArc[arc])
            {
                var to = target[arc];
                var through = at.Distance + cost[arc] + price[node] - price[to];
                if (free[arc] && through < distance[to])
                {
                    distance[to] = through;
                    reachedBy[to] = arc;
                    queue.Enqueue(to, (through, to));
                }
            }
        }

        if (distance[sink] == long.MaxValue)
        {
            return false;
        }

        for (var node = 0; node < price.Length; node++)
        {
            price[node] += Math.Min(distance[node], distance[sink]);
        }

        return true;
    }
}
