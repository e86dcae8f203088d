namespace BoutDesk.Domain.Pools;

/// <summary>
/// The cheapest way to give each fencer of one tier a pool of his own, in whole numbers.
/// </summary>
/// <remarks>
/// The Hungarian method with shortest augmenting paths (Jonker, Volgenant, "A shortest augmenting path algorithm for
/// dense and sparse linear assignment problems", Computing 38, 1987; from memory). The prices of the pools are kept
/// from one call to the next: the costs of successive calls differ little, so most of the assignment is then found at once.
/// </remarks>
internal sealed class TierAssignment
{
    private readonly int size;

    // Dual prices: rowPrice + columnPrice is at most the cost, and equal to it where assigned.
    private readonly int[] rowPrice;
    private readonly int[] columnPrice;
    private readonly int[] rowOf;
    private readonly int[] columnOf;

    // Scratch of one shortest path: the first columns of the order are settled.
    private readonly int[] order;
    private readonly int[] distance;
    private readonly int[] reachedFrom;

    internal TierAssignment(int size)
    {
        this.size = size;
        rowPrice = new int[size];
        columnPrice = new int[size];
        rowOf = new int[size];
        columnOf = new int[size];
        order = new int[size];
        distance = new int[size];
        reachedFrom = new int[size];
    }

    /// <summary>The column of each row, after <see cref="Solve"/>.</summary>
    internal ReadOnlySpan<int> ColumnOf => columnOf;

    /// <summary>Solves the assignment and returns its cost.</summary>
    /// <param name="cost">Row after row.</param>
    internal long Solve(ReadOnlySpan<int> cost)
    {
        AssignCheapest(cost);
        for (var row = 0; row < size; row++)
        {
            if (columnOf[row] == PoolField.None)
            {
                Augment(cost, row);
            }
        }
        var total = 0L;
        for (var row = 0; row < size; row++)
        {
            total += cost[(row * size) + columnOf[row]];
        }
        return total;
    }

    /// <summary>Gives each row its cheapest column at the present prices, as far as these are free.</summary>
    private void AssignCheapest(ReadOnlySpan<int> cost)
    {
        // Only differences of column prices matter; without this they would sink from call to call.
        var level = columnPrice[0];
        for (var column = 0; column < size; column++)
        {
            columnPrice[column] -= level;
            rowOf[column] = PoolField.None;
        }
        for (var row = 0; row < size; row++)
        {
            var costs = cost.Slice(row * size, size);
            var least = int.MaxValue;
            var at = PoolField.None;
            for (var column = 0; column < size; column++)
            {
                var price = costs[column] - columnPrice[column];
                if (price < least || (price == least && rowOf[column] == PoolField.None && rowOf[at] != PoolField.None))
                {
                    (least, at) = (price, column);
                }
            }
            rowPrice[row] = least;
            var isFree = rowOf[at] == PoolField.None;
            columnOf[row] = isFree ? at : PoolField.None;
            if (isFree)
            {
                rowOf[at] = row;
            }
        }
    }

    /// <summary>Brings one more row in, along the shortest path to a free column.</summary>
    private void Augment(ReadOnlySpan<int> cost, int start)
    {
        for (var column = 0; column < size; column++)
        {
            order[column] = column;
            distance[column] = int.MaxValue;
        }
        var row = start;
        var length = 0;
        for (var settled = 0; ; settled++)
        {
            Relax(cost.Slice(row * size, size), row, length, settled);
            var nearest = Nearest(settled);
            (order[settled], order[nearest]) = (order[nearest], order[settled]);
            var column = order[settled];
            length = distance[column];
            if (rowOf[column] == PoolField.None)
            {
                Reprice(start, settled, length);
                AssignAlongPath(start, column);
                return;
            }
            row = rowOf[column];
        }
    }

    private void Relax(ReadOnlySpan<int> costs, int row, int length, int settled)
    {
        var offset = length - rowPrice[row];
        for (var at = settled; at < size; at++)
        {
            var column = order[at];
            var through = offset + costs[column] - columnPrice[column];
            if (through < distance[column])
            {
                distance[column] = through;
                reachedFrom[column] = row;
            }
        }
    }

    private int Nearest(int settled)
    {
        var nearest = settled;
        for (var at = settled + 1; at < size; at++)
        {
            var difference = distance[order[at]] - distance[order[nearest]];
            if (difference < 0 || (difference == 0 && rowOf[order[at]] == PoolField.None))
            {
                nearest = at;
            }
        }
        return nearest;
    }

    private void Reprice(int start, int settled, int length)
    {
        rowPrice[start] += length;
        for (var at = 0; at < settled; at++)
        {
            var column = order[at];
            columnPrice[column] += distance[column] - length;
            rowPrice[rowOf[column]] += length - distance[column];
        }
    }

    private void AssignAlongPath(int start, int column)
    {
        int row;
        do
        {
            row = reachedFrom[column];
            rowOf[column] = row;
            (columnOf[row], column) = (column, columnOf[row]);
        }
        while (row != start);
    }
}
