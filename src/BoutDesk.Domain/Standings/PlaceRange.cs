namespace BoutDesk.Domain.Standings;

/// <summary>The places a fencer can still take.</summary>
/// <param name="Best">The best place, from 1, if every tie is broken for him.</param>
/// <param name="Worst">The worst place, if every tie is broken against him; never less than <paramref name="Best"/>.</param>
/// <param name="Exact">
/// True when both ends can really come about; false when the search was cut short, and the range may be too wide.
/// It is never too narrow.
/// </param>
public readonly record struct PlaceRange(int Best, int Worst, bool Exact)
{
    /// <summary>The range of a fencer who can take one place only.</summary>
    public static PlaceRange Only(int place) => new(place, place, Exact: true);

    /// <summary>Whether the fencer goes on from the round when the first <paramref name="promoted"/> do.</summary>
    /// <remarks>
    /// Ties at the cut are decided by lot, so only who is ahead of it whatever the lot says goes on for certain. Where all
    /// tied at the cut go on, who can be tied there is called open too. What is called certain is so even where the range
    /// is not <see cref="Exact"/>.
    /// </remarks>
    /// <param name="promoted">How many go on, from 0.</param>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="promoted"/> is negative.</exception>
    public Fate FateFor(int promoted)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(promoted);
        return Worst <= promoted ? Fate.Promoted : Best > promoted ? Fate.Out : Fate.Open;
    }
}

/// <summary>What is certain about a fencer's going on from a round.</summary>
public enum Fate
{
    /// <summary>Nothing yet, or a lot decides.</summary>
    Open,

    /// <summary>He goes on.</summary>
    Promoted,

    /// <summary>He does not go on.</summary>
    Out,
}
