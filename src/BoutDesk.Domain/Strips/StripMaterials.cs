using System.Collections.Immutable;

namespace BoutDesk.Domain.Strips;

/// <summary>The tape of one kind for all strips.</summary>
/// <param name="Tape">Which tape.</param>
/// <param name="Length">All of its pieces together, in millimetres, without what is lost at the cuts.</param>
/// <param name="Rolls">How many rolls to bring.</param>
public sealed record TapeNeed(Tape Tape, long Length, int Rolls);

/// <summary>What a number of strips needs.</summary>
/// <remarks>Two reels, one scoring set and one outlet for it a strip are common practice; cables of the fencers are their own.</remarks>
/// <param name="Strips">How many strips, from 0.</param>
/// <param name="PiecesOfOne">The cut list of one strip.</param>
/// <param name="Pieces">The cut list of all strips.</param>
/// <param name="Tapes">The tape, kind by kind.</param>
public sealed record StripMaterials(int Strips, ImmutableArray<TapePiece> PiecesOfOne, ImmutableArray<TapePiece> Pieces, ImmutableArray<TapeNeed> Tapes)
{
    /// <summary>Spring reels, one for each fencer: two a strip.</summary>
    public int Reels => 2 * Strips;

    /// <summary>Scoring sets: one a strip.</summary>
    public int ScoringSets => Strips;

    /// <summary>Tables for the scoring sets: one a strip.</summary>
    public int Tables => Strips;

    /// <summary>Power outlets: one for each scoring set. What else is charged or lit needs its own.</summary>
    public int Outlets => Strips;

    /// <summary>Reckons up what strips need.</summary>
    /// <param name="strips">How many strips, from 0.</param>
    /// <param name="figures">Length and width of a strip.</param>
    /// <param name="rollLength">The length of a roll of tape in millimetres.</param>
    /// <param name="cutLoss">What is lost at each piece, in millimetres.</param>
    /// <exception cref="ArgumentOutOfRangeException">The number of strips is negative, or see <see cref="StripTape"/>.</exception>
    public static StripMaterials For(int strips, PlanFigures figures, int rollLength, int cutLoss)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(strips);
        var one = StripTape.ForOne(figures.StripLength, figures.StripWidth);
        ImmutableArray<TapePiece> all = [.. one.Select(p => p with { Count = strips * p.Count })];
        return new StripMaterials(
            strips,
            one,
            all,
            [
                .. all.GroupBy(p => p.Tape).Select(tape =>
                    new TapeNeed(tape.Key, tape.Sum(p => (long)p.Length * p.Count), StripTape.Rolls(tape, rollLength, cutLoss))),
            ]);
    }
}
