using System.Numerics;
using BoutDesk.Domain.Bouts;

namespace BoutDesk.Domain.Standings;

/// <summary>What a fencer has to show from the bouts of a pool. Ordered best first by <see cref="CompareTo"/>.</summary>
/// <param name="Victories">Bouts won, from 0.</param>
/// <param name="Bouts">Bouts fenced, from 0; annulled and open bouts are not counted.</param>
/// <param name="TouchesScored">Touches scored, from 0.</param>
/// <param name="TouchesReceived">Touches received, from 0.</param>
/// <remarks>
/// Order: victories by bouts, then indicator, then touches scored; what is still equal is tied (Organisation
/// book, from memory). Ratios are compared exactly, as fractions. A fencer without a bout has the ratio 0.
/// </remarks>
public readonly record struct Tally(int Victories, int Bouts, int TouchesScored, int TouchesReceived)
    : IComparable<Tally>, IAdditionOperators<Tally, Tally, Tally>
{
    /// <summary>Touches scored less touches received; may be negative.</summary>
    public int Indicator => TouchesScored - TouchesReceived;

    /// <summary>Victories by bouts, 0 to 1, to be shown; 0 without a bout. Ranks are decided on the exact fraction.</summary>
    public decimal VictoryRatio => Bouts == 0 ? 0m : Math.Round((decimal)Victories / Bouts, 4);

    /// <summary>The tally with one more bout.</summary>
    /// <param name="won">Whether it was won.</param>
    /// <param name="scored">Touches scored in it.</param>
    /// <param name="received">Touches received in it.</param>
    public Tally With(bool won, int scored, int received) =>
        new(Victories + (won ? 1 : 0), Bouts + 1, TouchesScored + scored, TouchesReceived + received);

    /// <summary>The tally with the given bout seen from one side; unchanged unless the bout is decided and counts.</summary>
    public Tally With(Bout bout, Side side) => bout.Winner is { } winner
        ? With(winner == side, bout.Score.Of(side), bout.Score.Of(side.Other()))
        : this;

    /// <summary>The tallies of two rounds together.</summary>
    public static Tally operator +(Tally left, Tally right) => new(
        left.Victories + right.Victories,
        left.Bouts + right.Bouts,
        left.TouchesScored + right.TouchesScored,
        left.TouchesReceived + right.TouchesReceived);

    /// <summary>Compares so that the better tally comes first: negative when this one is better, 0 when tied.</summary>
    public int CompareTo(Tally other)
    {
        var byRatio = ((long)other.Victories * Math.Max(Bouts, 1)).CompareTo((long)Victories * Math.Max(other.Bouts, 1));
        if (byRatio != 0)
        {
            return byRatio;
        }

        var byIndicator = other.Indicator.CompareTo(Indicator);
        return byIndicator != 0 ? byIndicator : other.TouchesScored.CompareTo(TouchesScored);
    }

    /// <summary>True when <paramref name="left"/> is ranked ahead.</summary>
    public static bool operator <(Tally left, Tally right) => left.CompareTo(right) < 0;

    /// <summary>True when <paramref name="left"/> is ranked behind.</summary>
    public static bool operator >(Tally left, Tally right) => left.CompareTo(right) > 0;

    /// <summary>True when <paramref name="left"/> is ranked ahead or tied.</summary>
    public static bool operator <=(Tally left, Tally right) => left.CompareTo(right) <= 0;

    /// <summary>True when <paramref name="left"/> is ranked behind or tied.</summary>
    public static bool operator >=(Tally left, Tally right) => left.CompareTo(right) >= 0;
}
