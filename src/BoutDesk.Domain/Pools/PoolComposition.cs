using System.Collections.Immutable;

namespace BoutDesk.Domain.Pools;

/// <summary>Who fences in which pool, how good that is, and how much of it is proven.</summary>
/// <param name="Pools">
/// The pools in order of their number (the first one is pool 1); in each the ids of its fencers in seed order.
/// </param>
/// <param name="Conflicts">
/// By level of affiliation, in the order in which the fencers name them: the number of pairs of fencers who share
/// the affiliation and a pool. Three fencers of one club in one pool are three pairs.
/// </param>
/// <param name="LowerBound">
/// By level of affiliation: a number of pairs that no composition can be below, the level taken by itself. Where it
/// equals <paramref name="Conflicts"/>, the separation is proven to be as good as it can be.
/// </param>
/// <param name="Displacement">
/// By how many pools the fencers stand away from where the plain serpentine would put them, added up; 0 or more.
/// </param>
/// <param name="DisplacementLowerBound">
/// A displacement that no composition with the same <paramref name="Conflicts"/> can be below; 0 or more.
/// </param>
/// <param name="DisplacementProvenLeast">
/// True if all conflicts equal their lower bounds and the displacement does too: then nobody can draw up better pools.
/// False says only that there is no proof.
/// </param>
/// <remarks>Two compositions are equal only if they share their lists; to compare what was drawn, compare the lists.</remarks>
public sealed record PoolComposition(
    ImmutableArray<ImmutableArray<string>> Pools,
    ImmutableArray<int> Conflicts,
    ImmutableArray<int> LowerBound,
    int Displacement,
    int DisplacementLowerBound,
    bool DisplacementProvenLeast);
