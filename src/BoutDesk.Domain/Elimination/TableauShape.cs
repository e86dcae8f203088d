using System.Collections.Immutable;

namespace BoutDesk.Domain.Elimination;

/// <summary>
/// The tree of an elimination: who meets whom first, by seed. The table has the next power of two of places; in a
/// table of T the seeds of a first bout add up to T + 1, and the best seeds have the byes. Seeds 1 and 2 can meet
/// in the final only, 1 to 4 not before the semi-finals, and so on.
/// </summary>
/// <remarks>
/// Organisation book, from memory; the printed order of a table of 8 (1-8, 5-4, 3-6, 7-2) is checked in the tests
/// against published tables.
/// </remarks>
public sealed record TableauShape
{
    /// <summary>The most fencers a tableau takes.</summary>
    public const int MostFencers = 1024;

    private TableauShape(int fencers, int size, ImmutableArray<TableauPair> first)
    {
        Fencers = fencers;
        Size = size;
        First = first;
    }

    /// <summary>How many fencers there are, 2 to 1,024.</summary>
    public int Fencers { get; }

    /// <summary>The number of places in the table: the least power of two that takes everybody.</summary>
    public int Size { get; }

    /// <summary>The first bouts from the top of the tree to the bottom.</summary>
    public ImmutableArray<TableauPair> First { get; }

    /// <summary>The tree for a number of fencers.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Fewer than 2 or more than 1,024 fencers.</exception>
    public static TableauShape For(int fencers)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(fencers, 2);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(fencers, MostFencers);

        int[] slots = [1, 2];
        while (slots.Length < fencers)
        {
            slots = Doubled(slots);
        }

        var first = ImmutableArray.CreateBuilder<TableauPair>(slots.Length / 2);
        for (var i = 0; i < slots.Length; i += 2)
        {
            // A bye is written with the fencer first, wherever his place in the pair would be.
            first.Add((slots[i] <= fencers, slots[i + 1] <= fencers) switch
            {
                (true, true) => new TableauPair(slots[i], slots[i + 1]),
                (true, false) => new TableauPair(slots[i], null),
                _ => new TableauPair(slots[i + 1], null),
            });
        }

        return new TableauShape(fencers, slots.Length, first.MoveToImmutable());
    }

    /// <summary>
    /// Each place of the smaller table becomes a bout between its seed and the one that makes the sum T + 1. The
    /// better seed stands on the outside of each half, so that the tree reads the same from both ends.
    /// </summary>
    private static int[] Doubled(int[] slots)
    {
        var doubled = new int[slots.Length * 2];
        for (var i = 0; i < slots.Length; i++)
        {
            var opponent = doubled.Length + 1 - slots[i];
            (doubled[2 * i], doubled[(2 * i) + 1]) = i % 2 == 0 ? (slots[i], opponent) : (opponent, slots[i]);
        }

        return doubled;
    }
}

/// <summary>A first bout of a tableau, by seed.</summary>
/// <param name="Left">The seed on the left.</param>
/// <param name="Right">The seed on the right, or null for a bye.</param>
public readonly record struct TableauPair(int Left, int? Right);
