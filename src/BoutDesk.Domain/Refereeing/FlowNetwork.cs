namespace BoutDesk.Domain.Refereeing;

/// <summary>
/// A network of arcs that each take one unit, filled from source to sink as far as it goes at the least cost, by
/// cheapest paths. See <see cref="RefereeAssignment"/>.
/// </summary>
internal sealed class FlowNetwork
{
    private const int None = -1;

    private readonly int[] firstArc;
    private readonly int[] nextToTry;
    private readonly long[] price;
    private readonly long[] distance;
    private readonly int[] reachedBy;
    private readonly bool[] seen;
    private readonly PriorityQueue<int, (long Distance, int Node)> queue = new();

    // Arc 2k and arc 2k + 1 are one arc in both directions; exactly one of them is free.
    private Arc[] arcs = new Arc[1024];
    private int arcCount;

    public FlowNetwork(int nodes)
    {
        firstArc = new int[nodes];
        Array.Fill(firstArc, None);
        nextToTry = new int[nodes];
        price = new long[nodes];
        distance = new long[nodes];
        reachedBy = new int[nodes];
        seen = new bool[nodes];
    }

    /// <summary>Adds an arc.</summary>
    /// <param name="from">Where it begins.</param>
    /// <param name="to">Where it ends.</param>
    /// <param name="cost">What a unit on it costs; not negative.</param>
    public void Add(int from, int to, long cost)
    {
        Put(from, to, cost, isFree: true);
        Put(to, from, -cost, isFree: false);
    }

    /// <summary>Sends as many units as there is room for, at the least cost.</summary>
    /// <returns>The cost.</returns>
    public long Fill(int source, int sink)
    {
        var total = 0L;
        while (SetPrices(source, sink))
        {
            // Many paths are equally cheap. They are all filled before the prices are set anew.
            bool found;
            do
            {
                found = false;
                firstArc.CopyTo(nextToTry, 0);
                Array.Clear(seen);
                // A unit already sent must not be led back to where all begin.
                seen[source] = true;
                while (FindCheapest(source, sink))
                {
                    found = true;
                    total += Send(source, sink);
                }
            }
            while (found);
        }

        return total;
    }

    /// <summary>Where the unit that goes through a node goes next, or -1 when none does.</summary>
    public int TargetOf(int node)
    {
        for (var arc = firstArc[node]; arc != None; arc = arcs[arc].Next)
        {
            if (arc % 2 == 0 && !arcs[arc].Free)
            {
                return arcs[arc].Target;
            }
        }

        return None;
    }

    private void Put(int from, int to, long cost, bool isFree)
    {
        if (arcCount == arcs.Length)
        {
            Array.Resize(ref arcs, 2 * arcs.Length);
        }

        arcs[arcCount] = new Arc(to, firstArc[from], cost, isFree);
        firstArc[from] = arcCount++;
    }

    /// <summary>
    /// Prices the nodes so that arcs on cheapest paths cost nothing and no other free arc less, by Dijkstra's method;
    /// false when no path is left.
    /// </summary>
    private bool SetPrices(int source, int sink)
    {
        Array.Fill(distance, long.MaxValue);
        queue.Clear();
        distance[source] = 0;
        queue.Enqueue(source, (0, source));
        while (queue.TryDequeue(out var node, out var at) && node != sink)
        {
            if (at.Distance > distance[node])
            {
                continue;
            }

            var before = at.Distance + price[node];
            for (var index = firstArc[node]; index != None;)
            {
                ref var arc = ref arcs[index];
                index = arc.Next;
                if (arc.Free && before + arc.Cost - price[arc.Target] is var through && through < distance[arc.Target])
                {
                    distance[arc.Target] = through;
                    queue.Enqueue(arc.Target, (through, arc.Target));
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

    /// <summary>Looks for a path whose arcs all cost nothing, going back where it ends; what was seen in vain is not seen again.</summary>
    private bool FindCheapest(int source, int sink)
    {
        var node = source;
        while (true)
        {
            var index = nextToTry[node];
            if (index == None)
            {
                if (node == source)
                {
                    return false;
                }

                node = arcs[reachedBy[node] ^ 1].Target;
                continue;
            }

            ref var arc = ref arcs[index];
            nextToTry[node] = arc.Next;
            if (!arc.Free || seen[arc.Target] || arc.Cost + price[node] != price[arc.Target])
            {
                continue;
            }

            reachedBy[arc.Target] = index;
            if (arc.Target == sink)
            {
                return true;
            }

            node = arc.Target;
            seen[node] = true;
        }
    }

    private long Send(int source, int sink)
    {
        var cost = 0L;
        for (var node = sink; node != source; node = arcs[reachedBy[node] ^ 1].Target)
        {
            cost += arcs[reachedBy[node]].Cost;
            arcs[reachedBy[node]].Free = false;
            arcs[reachedBy[node] ^ 1].Free = true;
        }

        return cost;
    }

    private struct Arc(int target, int next, long cost, bool isFree)
    {
        public readonly int Target = target;
        public readonly int Next = next;
        public readonly long Cost = cost;
        public bool Free = isFree;
    }
}
