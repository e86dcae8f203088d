using System.Collections.Immutable;

namespace BoutDesk.Domain.Strips;

/// <summary>The lines of a strip that are laid with tape.</summary>
public enum StripLine
{
    /// <summary>The long sides, between the warning zones.</summary>
    Side,

    /// <summary>The end lines.</summary>
    End,

    /// <summary>The centre line. It may be broken; a whole one is counted.</summary>
    Centre,

    /// <summary>The on-guard lines.</summary>
    OnGuard,

    /// <summary>Where the warning zones begin, across the strip.</summary>
    WarningLine,

    /// <summary>The long sides along the warning zones.</summary>
    WarningSide,
}

/// <summary>Which tape a line is laid with. Two that are told apart easily will do; which colours is only a suggestion.</summary>
public enum Tape
{
    /// <summary>The tape of the strip's own lines, such as white.</summary>
    Line,

    /// <summary>The tape that marks the warning zones, such as red or yellow.</summary>
    Warning,
}

/// <summary>Pieces of one length.</summary>
/// <param name="Line">What they are for.</param>
/// <param name="Tape">Which tape.</param>
/// <param name="Length">The length of a piece in millimetres.</param>
/// <param name="Count">How many.</param>
public sealed record TapePiece(StripLine Line, Tape Tape, int Length, int Count);

/// <summary>The tape that strips are laid out with.</summary>
/// <remarks>
/// Which lines there are is <see cref="StripRule"/>. That the warning zones are marked by their sides and a line across is
/// our suggestion: the rule as remembered only asks that a fencer can tell them.
/// </remarks>
public static class StripTape
{
    /// <summary>The cut list of one strip, longest lines first.</summary>
    /// <param name="length">The length of the strip in millimetres, at least 4 m, which are the warning zones.</param>
    /// <param name="width">The width of the strip in millimetres, above 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">The strip is shorter than its warning zones, or not above 0 wide.</exception>
    public static ImmutableArray<TapePiece> ForOne(int length, int width)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(length, 2 * StripRule.WarningZone);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(width);
        var between = length - (2 * StripRule.WarningZone);
        return
        [
            .. between > 0 ? [new TapePiece(StripLine.Side, Tape.Line, between, 2)] : Array.Empty<TapePiece>(),
            new TapePiece(StripLine.End, Tape.Line, width, 2),
            new TapePiece(StripLine.Centre, Tape.Line, width, 1),
            new TapePiece(StripLine.OnGuard, Tape.Line, width, 2),
            new TapePiece(StripLine.WarningSide, Tape.Warning, StripRule.WarningZone, 4),
            new TapePiece(StripLine.WarningLine, Tape.Warning, width, 2),
        ];
    }

    /// <summary>How many rolls a cut list takes.</summary>
    /// <remarks>
    /// The pieces are cut longest first, each from the first roll that has enough left (first-fit decreasing): at most a
    /// little over two ninths more rolls than the fewest possible. A piece longer than a roll is joined from whole rolls
    /// and a rest.
    /// </remarks>
    /// <param name="pieces">The pieces, all of one tape.</param>
    /// <param name="rollLength">The length of a roll in millimetres.</param>
    /// <param name="cutLoss">What is lost at each piece, in millimetres: the torn end, the corner that overlaps. From 0 to below the length of a roll.</param>
    /// <exception cref="ArgumentOutOfRangeException">The loss is negative, or a roll is not longer than it.</exception>
    public static int Rolls(IEnumerable<TapePiece> pieces, int rollLength, int cutLoss)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(cutLoss);
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(rollLength, cutLoss);
        var most = rollLength - cutLoss;
        var whole = 0;
        var left = new List<int>();
        var parts = new SortedDictionary<int, int>();
        foreach (var piece in pieces)
        {
            whole += piece.Length / most * piece.Count;
            var rest = piece.Length % most;
            parts[rest] = parts.GetValueOrDefault(rest) + piece.Count;
        }

        foreach (var (length, count) in parts.Reverse().Where(p => p.Key > 0))
        {
            // A roll that is too short for one of these pieces is too short for the next of the same length.
            var roll = 0;
            for (var piece = 0; piece < count; piece++)
            {
                while (roll < left.Count && left[roll] < length + cutLoss)
                {
                    roll++;
                }

                if (roll == left.Count)
                {
                    left.Add(rollLength);
                }

                left[roll] -= length + cutLoss;
            }
        }

        return whole + left.Count;
    }
}
