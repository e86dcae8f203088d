namespace BoutDesk.Domain.Pools;

/// <summary>Two fencers of a pool who meet, named by their positions on the pool sheet (counted from 1).</summary>
/// <param name="Left">The fencer called first.</param>
/// <param name="Right">The fencer called second; never the same as <paramref name="Left"/>.</param>
public readonly record struct BoutPairing(int Left, int Right);
