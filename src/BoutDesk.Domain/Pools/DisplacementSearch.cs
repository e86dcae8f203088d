using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// Brings the displacement down once the affiliations are separated: alternates between a lower bound, whose relaxed
/// solutions are repaired into starting points, and local search from the best of these. Stops early when the
/// displacement meets the bound.
/// </summary>
internal sealed class DisplacementSearch
{
    // Chosen by trial; for 200 fencers they come to a fraction of a second.
    private const int Kicks = 4000;
    private const int MostBoundSteps = 1000;
    private const long BoundWork = 20_000_000;
    private const int StepsPerStart = 10;
    private const int MostStarts = 4;

    private readonly PoolField field;
    private readonly Seating seating;
    private readonly PoolSearch search;
    private readonly LotSequence lots;
    private readonly int effort;

    // Different ones, the cheapest first.
    private readonly List<Seating> starts = [];

    /// <param name="field">The field.</param>
    /// <param name="seating">A seating that no exchange between two pools improves. It will hold the result.</param>
    /// <param name="search">The search that works on this seating.</param>
    /// <param name="lots">Where the kicks come from.</param>
    /// <param name="effort">The usual number of steps is multiplied by this, at least 1.</param>
    internal DisplacementSearch(PoolField field, Seating seating, PoolSearch search, LotSequence lots, int effort)
    {
        this.field = field;
        this.seating = seating;
        this.search = search;
        this.lots = lots;
        this.effort = effort;
    }

    /// <summary>Runs the search; the displacement that is proven to be the least possible for the pairs reached.</summary>
    internal int Run()
    {
        var leastPairs = field.CostOfLeastPairs();
        // Only placements by hand in several tiers, or clubs that span countries, can leave pairs to be undone here.
        search.Kick(Kicks * effort, lots, leastPairs + field.MostDisplacement);
        Keep();
        var bound = new DisplacementBound(field, LevelsAtTheirBound());
        TightenBound(bound);
        var target = leastPairs + bound.Value;
        var best = new Seating(field);
        best.CopyFrom(starts[0]);
        foreach (var start in starts.TakeWhile(_ => best.Cost > target))
        {
            seating.CopyFrom(start);
            search.Kick(Kicks * effort / starts.Count, lots, target);
            if (seating.Cost < best.Cost)
            {
                best.CopyFrom(seating);
            }
        }
        seating.CopyFrom(best);
        return bound.Value;
    }

    private void TightenBound(DisplacementBound bound)
    {
        var steps = (int)Math.Min(MostBoundSteps, BoundWork / ((long)field.Places * field.PoolCount)) * effort;
        var goOn = true;
        for (var step = 1; step <= steps && goOn; step++)
        {
            goOn = bound.Step(field.DisplacementIn(starts[0].Cost));
            if (step % StepsPerStart == 0)
            {
                seating.Seat(bound.PoolOf);
                search.Descend();
                Keep();
            }
        }
    }

    private void Keep()
    {
        if (starts.Exists(start => start.Cost == seating.Cost))
        {
            return;
        }
        var kept = new Seating(field);
        kept.CopyFrom(seating);
        starts.Add(kept);
        starts.Sort((a, b) => a.Cost.CompareTo(b.Cost));
        if (starts.Count > MostStarts)
        {
            starts.RemoveAt(MostStarts);
        }
    }

    private bool[] LevelsAtTheirBound() =>
        [.. field.PairsIn(seating.Cost).Select((pairs, level) => pairs == field.LeastPairs(level))];
}
