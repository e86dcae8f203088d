namespace BoutDesk.Domain.Seeding;

/// <summary>
/// The start value of a draw by lot. Whoever knows it can repeat the draw: the same seed and the same
/// input give the same lot, on every machine and in every version, so that a recorded draw can be checked.
/// </summary>
/// <param name="Value">Any value from 0 to 9,007,199,254,740,991 (2^53 - 1), the range that JSON readers keep exact.</param>
public readonly record struct DrawSeed(long Value)
{
    /// <summary>The largest seed, 2^53 - 1.</summary>
    public const long MaxValue = (1L << 53) - 1;

    /// <summary>Starts the sequence of lots that belongs to this seed.</summary>
    public LotSequence Lots() => new(unchecked((ulong)Value));

    /// <summary>
    /// Starts a second sequence, for the order of equal rankings in a draw whose pools take the first: what one gives
    /// does not show in the other.
    /// </summary>
    public LotSequence SeedingLots() => new LotSequence(~unchecked((ulong)Value)).Apart();

    /// <inheritdoc />
    public override string ToString() => Value.ToString(System.Globalization.CultureInfo.InvariantCulture);
}

/// <summary>
/// A sequence of lots drawn from one <see cref="DrawSeed"/>. Mutable; one draw uses one sequence.
/// </summary>
/// <remarks>
/// The generator is SplitMix64 (Steele, Lea, Flood: "Fast splittable pseudorandom number generators",
/// OOPSLA 2014). It is written out here because the platform's generator may change between versions,
/// and a draw recorded today must come out the same in ten years.
/// </remarks>
public sealed class LotSequence
{
    private ulong state;

    internal LotSequence(ulong seed) => state = seed;

    /// <summary>Draws a whole number from 0 to <paramref name="exclusiveMax"/> - 1, each equally likely.</summary>
    /// <param name="exclusiveMax">How many outcomes there are, at least 1.</param>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="exclusiveMax"/> is less than 1.</exception>
    public int Below(int exclusiveMax)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(exclusiveMax, 1);
        var range = (ulong)exclusiveMax;
        // The values above the largest multiple of the range are drawn again; else small outcomes would be favoured.
        var limit = ulong.MaxValue - (ulong.MaxValue % range);
        ulong drawn;
        do
        {
            drawn = Next();
        }
        while (drawn >= limit);
        return (int)(drawn % range);
    }

    /// <summary>Puts the items into an order drawn by lot; every order is equally likely (Fisher-Yates).</summary>
    public void Shuffle<T>(Span<T> items)
    {
        for (var last = items.Length - 1; last > 0; last--)
        {
            var chosen = Below(last + 1);
            (items[last], items[chosen]) = (items[chosen], items[last]);
        }
    }

    /// <summary>
    /// A sequence that starts at a drawn value. Starting at a neighbouring number would not do: the state is a counter,
    /// and the two sequences could be the same a few steps apart.
    /// </summary>
    internal LotSequence Apart() => new(Next());

    private ulong Next()
    {
        unchecked
        {
            state += 0x9E3779B97F4A7C15;
            var z = state;
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
            return z ^ (z >> 31);
        }
    }
}
