using System.Collections.Immutable;

namespace BoutDesk.Domain.Pools;

/// <summary>A fencer to be drawn into a pool. His seed is his place in the list that is handed to the draw.</summary>
/// <param name="Id">What the caller knows him by; unique within a draw, compared character by character.</param>
/// <param name="Affiliations">
/// What he is to be kept apart from others by, the most important first: say club, then country. All fencers of a
/// draw use the same order. Null, blank, or missing at the end: none, and nobody is kept apart from him on that level.
/// Surrounding blanks and the case of letters do not matter ("SC Nord" and " sc nord" are one club), as entries are
/// typed by many hands; accents and everything else do matter.
/// </param>
public sealed record PoolFencer(string Id, ImmutableArray<string?> Affiliations);
