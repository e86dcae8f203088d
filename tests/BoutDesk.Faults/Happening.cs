namespace BoutDesk.Faults;

/// <summary>Something that was done to a bout, as a phone remembers it and as the store has it.</summary>
/// <param name="What">The stored name of the event.</param>
/// <param name="Detail">What tells it from every other of its kind in this bout.</param>
internal sealed record Happening(string What, string Detail);

/// <summary>A bout with its fencers' positions in the pool.</summary>
internal sealed record PoolBout(string Id, int Left, int Right);

/// <summary>A pool with the pass of the phone that scores it.</summary>
internal sealed record ScoredPool(string Id, string Pass, IReadOnlyList<PoolBout> Bouts);
