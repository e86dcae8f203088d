using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Domain.Competitions;

/// <summary>What fencers can still reach in a pool round that is open. See <see cref="PossiblePlaces"/>.</summary>
public static class RoundOutlook
{
    /// <summary>The places that each entrant who has not left can still take in his pool.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="pool">A pool of its open round.</param>
    /// <param name="bouts">All bouts of the pool.</param>
    public static IReadOnlyDictionary<string, PlaceRange> InPool(Competition competition, DrawnPool pool, IReadOnlyCollection<Bout> bouts) =>
        ByEntrant([pool], [PoolSoFar.Of(pool.Fencers, bouts, competition.Gone)]);

    /// <summary>The places that each entrant who has not left can still take over all pools.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="round">Its open round.</param>
    /// <param name="bouts">All bouts of the round.</param>
    public static IReadOnlyDictionary<string, PlaceRange> InRound(Competition competition, PoolRound round, IEnumerable<Bout> bouts)
    {
        var gone = competition.Gone;
        var byPool = bouts.ToLookup(b => b.PoolId);
        return ByEntrant(round.Drawn.Pools, [.. round.Drawn.Pools.Select(p => PoolSoFar.Of(p.Fencers, [.. byPool[p.Id]], gone))]);
    }

    private static Dictionary<string, PlaceRange> ByEntrant(IReadOnlyList<DrawnPool> drawn, IReadOnlyList<PoolSoFar> pools)
    {
        var places = new Dictionary<string, PlaceRange>();
        foreach (var (pool, ranges) in drawn.Zip(PossiblePlaces.InRound(pools)))
        {
            foreach (var (entrantId, range) in pool.Fencers.Zip(ranges))
            {
                if (range is { } known)
                {
                    places.Add(entrantId, known);
                }
            }
        }

        return places;
    }
}
