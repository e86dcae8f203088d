namespace BoutDesk.Domain.Pools;

/// <summary>
/// A displacement that no composition can be below, if it is to spread the groups as evenly as can be.
/// </summary>
/// <remarks>
/// <para>
/// Lagrangian relaxation: how many members of a group a pool may hold is no longer demanded but priced. What is left
/// falls apart into one assignment problem for each tier, and whatever the prices are, its solution is a lower
/// bound. The prices are improved by steps along the subgradient, smoothed over the steps before; see Held, Wolfe,
/// Crowder, "Validation of subgradient optimization" (Mathematical Programming 6, 1974), from memory.
/// </para>
/// <para>
/// Prices are whole multiples of 1/256 of a displacement, so the bound is exact: nothing is lost in rounding but the
/// last fraction of the step.
/// </para>
/// </remarks>
internal sealed class DisplacementBound
{
    private const long Unit = 256;

    // Costs more than any price can: a fencer who is placed by hand does not move.
    private const int Forbidden = 1 << 24;

    // The length of a step, in 1024ths of the one that would close the gap at once; halved when nothing has improved
    // for a number of steps, until it is too short to matter.
    private const int LongestStep = 1024;
    private const int ShortestStep = 2;
    private const int Patience = 40;

    // The direction carries four fifths of the direction before, in 64ths so that the remainder still counts.
    private const long Fine = 64;

    private readonly PoolField field;
    private readonly int pools;
    private readonly TierAssignment[] assignments;
    private readonly int[] displacements;
    private readonly int[] tierCost;
    private readonly int[] poolOf;

    // By level and fencer: where the prices of his group begin, or None.
    private readonly int[][] pricesOf;

    // By group and pool.
    private readonly int[] price;
    private readonly int[] members;
    private readonly int[] fewest;
    private readonly int[] most;
    private readonly long[] direction;

    private long best;
    private long step = LongestStep;
    private int stepsWithoutGain;

    /// <param name="field">The field.</param>
    /// <param name="isEven">By level, whether its groups are to be spread as evenly as can be. Other levels are left out.</param>
    internal DisplacementBound(PoolField field, ReadOnlySpan<bool> isEven)
    {
        this.field = field;
        pools = field.PoolCount;
        assignments = [.. Enumerable.Range(0, field.TierCount).Select(_ => new TierAssignment(pools))];
        tierCost = new int[pools * pools];
        poolOf = new int[field.Places];
        displacements = Displacements(field);
        var spreads = new List<GroupSpread>();
        pricesOf = new int[field.LevelCount][];
        for (var level = 0; level < field.LevelCount; level++)
        {
            pricesOf[level] = isEven[level] ? FirstPrices(field, level, spreads.Count) : [.. Enumerable.Repeat(PoolField.None, field.Places)];
            if (isEven[level])
            {
                spreads.AddRange(field.Spreads[level]);
            }
        }
        fewest = [.. spreads.SelectMany(spread => Enumerable.Range(0, pools).Select(spread.Fewest))];
        most = [.. spreads.SelectMany(spread => Enumerable.Range(0, pools).Select(spread.Most))];
        price = new int[fewest.Length];
        members = new int[fewest.Length];
        direction = new long[fewest.Length];
    }

    /// <summary>The best bound so far, in whole pools of displacement.</summary>
    internal int Value
    {
        get
        {
            var whole = (int)((best + Unit - 1) / Unit);
            // In a full tier the shifts to the left and to the right are equally long in all.
            return this.field.HasFullTiersOnly ? whole + (whole % 2) : whole;
        }
    }

    /// <summary>Where the relaxed problem puts a fencer or vacancy at the last prices tried.</summary>
    internal int PoolOf(int place) => poolOf[place];

    /// <summary>Solves the relaxed problem at the present prices, and moves the prices on.</summary>
    /// <param name="target">The least displacement known.</param>
    /// <returns>False when more steps will not help.</returns>
    internal bool Step(int target)
    {
        var value = SolveRelaxed();
        if (value > best)
        {
            best = value;
            stepsWithoutGain = 0;
        }
        else if (++stepsWithoutGain == Patience)
        {
            step /= 2;
            stepsWithoutGain = 0;
        }
        return Value < target && step >= ShortestStep && MovePrices((target * Unit) - value);
    }

    /// <summary>By place, then pool, in units.</summary>
    private static int[] Displacements(PoolField field)
    {
        var displacements = new int[field.Places * field.PoolCount];
        for (var f = 0; f < field.Places; f++)
        {
            for (var p = 0; p < field.PoolCount; p++)
            {
                var canBeThere = !field.IsPlaced(f) || field.PlacedPool(f) == p;
                displacements[(f * field.PoolCount) + p] = canBeThere ? (int)Unit * field.Displacement(f, p) : Forbidden;
            }
        }
        return displacements;
    }

    private static int[] FirstPrices(PoolField field, int level, int groupsBefore)
    {
        var first = field.Groups(level).ToArray();
        for (var f = 0; f < first.Length; f++)
        {
            first[f] = first[f] == PoolField.None ? PoolField.None : (groupsBefore + first[f]) * field.PoolCount;
        }
        return first;
    }

    private long SolveRelaxed()
    {
        var value = 0L;
        Array.Clear(members);
        for (var tier = 0; tier < assignments.Length; tier++)
        {
            FillTierCost(tier);
            value += assignments[tier].Solve(tierCost);
            var columns = assignments[tier].ColumnOf;
            for (var i = 0; i < pools; i++)
            {
                var f = (tier * pools) + i;
                poolOf[f] = columns[i];
                foreach (var prices in pricesOf)
                {
                    if (prices[f] != PoolField.None)
                    {
                        members[prices[f] + columns[i]]++;
                    }
                }
            }
        }
        for (var k = 0; k < price.Length; k++)
        {
            value -= (long)price[k] * (price[k] > 0 ? most[k] : fewest[k]);
        }
        return value;
    }

    private void FillTierCost(int tier)
    {
        displacements.AsSpan(tier * pools * pools, pools * pools).CopyTo(tierCost);
        for (var i = 0; i < pools; i++)
        {
            foreach (var prices in pricesOf)
            {
                var first = prices[(tier * pools) + i];
                if (first == PoolField.None)
                {
                    continue;
                }
                var costs = tierCost.AsSpan(i * pools, pools);
                for (var p = 0; p < costs.Length; p++)
                {
                    costs[p] += price[first + p];
                }
            }
        }
    }

    /// <summary>Raises the prices of pools with too many members of a group and lowers those with too few.</summary>
    /// <returns>False if the relaxed solution breaks no rule, so that there is nowhere to go.</returns>
    private bool MovePrices(long gap)
    {
        var square = 0L;
        for (var k = 0; k < price.Length; k++)
        {
            direction[k] = (direction[k] * 4 / 5) + (Fine * Excess(k));
            square += direction[k] * direction[k];
        }
        if (square == 0)
        {
            return false;
        }
        var limit = 2 * pools * (int)Unit;
        var rate = step * gap;
        for (var k = 0; k < price.Length; k++)
        {
            var moved = price[k] + (int)Math.Clamp(rate * direction[k] / (square * LongestStep / Fine), -limit, limit);
            // Price 0 is a corner where the allowed range is wider than one number: the price does not jump across it.
            var crosses = (long)price[k] * moved < 0 && fewest[k] < most[k];
            price[k] = crosses ? 0 : Math.Clamp(moved, -limit, limit);
        }
        return true;
    }

    /// <summary>By how many members the relaxed solution breaks the rule that the price stands for.</summary>
    private int Excess(int k)
    {
        if (price[k] > 0)
        {
            return members[k] - most[k];
        }
        if (price[k] < 0)
        {
            return members[k] - fewest[k];
        }
        return members[k] > most[k] ? members[k] - most[k] : Math.Min(members[k] - fewest[k], 0);
    }
}
