using System.Collections.Immutable;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Pools;

/// <summary>
/// Draws up the pools of a round: a serpentine by seed, in which fencers of one affiliation are spread over the pools
/// as evenly as can be.
/// </summary>
/// <remarks>
/// <para>
/// <b>The rule</b> (FIE Rules, Book 2 Organisation, composition of the pools, from memory, and common practice).
/// Fencers are dealt out in seed order to pools 1 to P, then P to 1, and so on. The P consecutive seeds of one pass are
/// a tier. To keep fencers of one affiliation apart, a fencer is exchanged only with another of his tier, so that the
/// pools stay equally strong: every pool gets one fencer of every full tier. The last tier may be short; its fencers
/// may go to any pools, one to each, so pool sizes differ by at most one.
/// </para>
/// <para>
/// <b>The aims</b>, in this order: the fewest pairs of fencers in one pool who share the most important affiliation,
/// then the fewest who share the next one, and so on; last, the least displacement, which is the number of pools
/// between where a fencer is and where the plain serpentine puts him, added up over all fencers. If nothing collides,
/// the result is the plain serpentine.
/// </para>
/// <para>
/// <b>What is guaranteed.</b> A club of n fencers makes the fewest pairs if each of P pools has n/P of them, rounded
/// up or down. With one level of affiliation this is always reached for all clubs at once, whatever the field and the
/// effort. Proof idea: draw a graph with the tiers on one side, the clubs on the other and a line for every fencer;
/// colouring the lines by pools so that every point has each colour equally often, up to one, is always possible in
/// such a two-sided graph (de Werra's theorem on equitable edge colourings, from memory). The search cannot stop
/// short of it: the same theorem, for two colours, says that any two pools can be balanced by exchanges within
/// tiers, so two pools that are not balanced still have an exchange that helps, and all such exchanges are tried. If
/// all pairs of pools are balanced, all pools are.
/// </para>
/// <para>
/// The same holds with several levels if they are nested, each club lying in one country: tiers on the one side and
/// clubs within countries on the other are two families of sets, each without partial overlap, whose
/// constraints are totally unimodular, and so have the integer decomposition property (Baum, Trotter; from memory),
/// which splits the field as evenly for all sets at once. If a club spans countries, the guarantee covers the
/// first level only; the others reach their bound nearly always. Placements by hand within one tier cost nothing,
/// because two pools can take each other's place in the argument; placements in several tiers void the guarantee.
/// <see cref="PoolComposition.Conflicts"/> and <see cref="PoolComposition.LowerBound"/> say in each case what was reached.
/// Both theorems are confirmed in the tests by an independent exact solver.
/// </para>
/// <para>
/// The displacement is the least possible in nearly all fields of up to 200 fencers, and is proven to be so for most:
/// see <see cref="PoolComposition.DisplacementProvenLeast"/>.
/// </para>
/// <para>
/// The same fencers, number of pools, seed and effort give the same pools on every machine. Names of affiliations do
/// not matter, only who shares them.
/// </para>
/// </remarks>
public static class PoolDraw
{
    /// <summary>The largest field: 3,000 fencers.</summary>
    public const int MostFencers = 3000;

    /// <summary>The most levels of affiliation: 3.</summary>
    public const int MostLevels = 3;

    private const int ThoroughEffort = 5;

    /// <summary>Draws up the pools.</summary>
    /// <param name="fencers">The fencers in seed order, the best seed first; equal seeds must have been put in order before.</param>
    /// <param name="poolCount">How many pools, such that each has from 3 to 12 fencers; see <see cref="PoolPlan"/>.</param>
    /// <param name="seed">Starts the search for a smaller displacement. Any seed is as fair as any other.</param>
    /// <param name="placements">
    /// Fencers whom the desk has placed by hand: id to pool number, from 1. They stay there. Null for none.
    /// </param>
    /// <param name="effort">How long to look for a smaller displacement.</param>
    /// <exception cref="ArgumentException">
    /// The number of pools does not suit the number of fencers; there are more than <see cref="MostFencers"/> fencers or
    /// more than <see cref="MostLevels"/> levels of affiliation; an id is blank or used twice; a placement names nobody
    /// of the field or no pool of the round, or puts two fencers of one tier into the same pool.
    /// The text is written for a bout committee.
    /// </exception>
    public static PoolComposition Compose(
        IReadOnlyList<PoolFencer> fencers,
        int poolCount,
        DrawSeed seed,
        IReadOnlyDictionary<string, int>? placements = null,
        PoolSearchEffort effort = PoolSearchEffort.Standard)
    {
        var field = PoolFieldReader.Read(fencers, poolCount, placements);
        var seating = new Seating(field);
        seating.SeatSerpentine();
        var search = new PoolSearch(field, seating);
        search.Descend();
        var bound = effort == PoolSearchEffort.SeparationOnly
            ? 0
            : new DisplacementSearch(field, seating, search, seed.Lots(), EffortFactor(effort)).Run();
        return Describe(fencers, field, seating, bound);
    }

    private static int EffortFactor(PoolSearchEffort effort) => effort == PoolSearchEffort.Thorough ? ThoroughEffort : 1;

    private static PoolComposition Describe(IReadOnlyList<PoolFencer> fencers, PoolField field, Seating seating, int bound)
    {
        var conflicts = field.PairsIn(seating.Cost);
        ImmutableArray<int> least = [.. Enumerable.Range(0, field.LevelCount).Select(field.LeastPairs)];
        var displacement = field.DisplacementIn(seating.Cost);
        return new PoolComposition(
            [.. Enumerable.Range(0, field.PoolCount).Select(pool => Ids(fencers, seating.Pool(pool)))],
            conflicts,
            least,
            displacement,
            bound,
            displacement == bound && conflicts.SequenceEqual(least));
    }

    private static ImmutableArray<string> Ids(IReadOnlyList<PoolFencer> fencers, ReadOnlySpan<int> pool)
    {
        var ids = ImmutableArray.CreateBuilder<string>(pool.Length);
        foreach (var place in pool)
        {
            // What is beyond the fencers is a vacancy of the short last tier.
            if (place < fencers.Count)
            {
                ids.Add(fencers[place].Id);
            }
        }
        return ids.ToImmutable();
    }
}
