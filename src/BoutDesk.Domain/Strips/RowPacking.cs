using System.Collections.Immutable;

namespace BoutDesk.Domain.Strips;

/// <summary>How the places of a row stand: all alike.</summary>
/// <param name="Extent">What a place takes along the row.</param>
/// <param name="Depth">What it takes across the row, which is the depth of the row.</param>
/// <param name="Spacing">What stays free between two places of the row.</param>
/// <param name="SideBySide">Whether two such rows need nothing between them, since the lanes lie there.</param>
internal sealed record RowKind(int Extent, int Depth, int Spacing, bool SideBySide);

/// <summary>A row that was placed.</summary>
/// <param name="Kind">How its places stand.</param>
/// <param name="Y">Its upper side.</param>
/// <param name="Starts">The left sides of its places, from left to right; never empty.</param>
/// <param name="Before">The row above it, or null.</param>
internal sealed record PlacedRow(RowKind Kind, int Y, ImmutableArray<int> Starts, PlacedRow? Before)
{
    /// <summary>The places of this row and of all above it.</summary>
    public int Count { get; } = Starts.Length + (Before?.Count ?? 0);

    /// <summary>The lower side.</summary>
    public int Bottom => Y + Kind.Depth;
}

/// <summary>
/// Packs the most places into rows, which run from left to right and lie one below the other, around obstacles.
/// </summary>
/// <remarks>
/// <para>
/// It is the true optimum of that model. In a row of given height each place goes as far left as it can, which leaves
/// the most for those behind it. Any set of rows can be moved up, one after the other, until each meets the edge, the
/// row above, or the lower side of an obstacle, without losing a place; so only such heights are tried. And of all ways
/// to a number of places that end in a row of one kind, only the one whose last row lies highest is kept, since
/// whatever follows another follows it as well.
/// </para>
/// <para>
/// Takes time in the order of the number of places by the number of obstacles, times the size of a row.
/// </para>
/// </remarks>
internal sealed class RowPacking
{
    private readonly FloorArea free;
    private readonly int endGap;
    private readonly ImmutableArray<FloorArea> obstacles;
    private readonly ImmutableArray<int> ledges;

    /// <summary>Prepares packing.</summary>
    /// <param name="free">Where places may lie.</param>
    /// <param name="obstacles">Where they may not.</param>
    /// <param name="endGap">What stays free between two rows unless both stand side by side.</param>
    public RowPacking(FloorArea free, IEnumerable<FloorArea> obstacles, int endGap)
    {
        this.free = free;
        this.endGap = endGap;
        this.obstacles = [.. obstacles.Where(free.Overlaps).OrderBy(o => o.X).ThenBy(o => o.Y)];
        ledges = [.. this.obstacles.Select(o => o.Bottom).Distinct().Order()];
    }

    /// <summary>The last row of the fullest packing, or null when not one place fits.</summary>
    /// <param name="kinds">The kinds of row to choose from; with one kind all places stand alike.</param>
    public PlacedRow? Fullest(params ImmutableArray<RowKind> kinds)
    {
        var atLedges = kinds.ToDictionary(kind => kind, kind => ledges.Select(y => Starts(kind, y)).ToArray());
        // By number of places and kind of the last row: the packing whose last row lies highest.
        var highest = new SortedDictionary<int, PlacedRow?[]>();
        Follow(null);
        PlacedRow? fullest = null;
        for (var count = 1; highest.Count > 0; count++)
        {
            if (highest.Remove(count, out var lasts))
            {
                foreach (var last in lasts.OfType<PlacedRow>())
                {
                    fullest = fullest is null || last.Count > fullest.Count || last.Bottom < fullest.Bottom ? last : fullest;
                    Follow(last);
                }
            }
        }

        return fullest;

        void Follow(PlacedRow? before)
        {
            for (var kind = 0; kind < kinds.Length; kind++)
            {
                var from = before is null ? free.Y : before.Bottom + (before.Kind.SideBySide && kinds[kind].SideBySide ? 0 : endGap);
                Offer(kind, from, Starts(kinds[kind], from), before);
                for (var ledge = ledges.Length - 1; ledge >= 0 && ledges[ledge] > from; ledge--)
                {
                    Offer(kind, ledges[ledge], atLedges[kinds[kind]][ledge], before);
                }
            }
        }

        void Offer(int kind, int y, ImmutableArray<int> starts, PlacedRow? before)
        {
            if (starts.IsEmpty)
            {
                return;
            }

            var count = starts.Length + (before?.Count ?? 0);
            if (!highest.TryGetValue(count, out var lasts))
            {
                highest[count] = lasts = new PlacedRow?[kinds.Length];
            }

            if (lasts[kind] is not { } known || y < known.Y)
            {
                lasts[kind] = new PlacedRow(kinds[kind], y, starts, before);
            }
        }
    }

    /// <summary>
    /// Moves places to the right, so that as many as can lie in line with those of the other rows: each to the last
    /// start that a row of its kind has for a place of its number, as far as obstacles and its neighbour leave it.
    /// </summary>
    /// <param name="rows">The rows of a packing, from the top.</param>
    /// <returns>The starts of each row; never fewer than before.</returns>
    public IEnumerable<(PlacedRow Row, ImmutableArray<int> Starts)> InLine(IReadOnlyCollection<PlacedRow> rows) => rows.Select(row =>
    {
        var starts = row.Starts.ToArray();
        var limit = free.Right;
        for (var place = starts.Length - 1; place >= 0; place--)
        {
            starts[place] = rows.Where(other => other.Kind == row.Kind && other.Starts.Length > place).Select(other => other.Starts[place])
                .Where(x => x >= row.Starts[place] && x + row.Kind.Extent <= limit)
                .Distinct().OrderDescending()
                .First(x => IsFree(new FloorArea(x, row.Y, row.Kind.Extent, row.Kind.Depth)));
            limit = starts[place] - row.Kind.Spacing;
        }

        return (row, starts.ToImmutableArray());
    });

    private bool IsFree(FloorArea place) => !obstacles.Any(place.Overlaps);

    /// <summary>The left sides of the most places in a row at a given height; none when the row lies outside.</summary>
    private ImmutableArray<int> Starts(RowKind kind, int y)
    {
        if (y + kind.Depth > free.Bottom)
        {
            return [];
        }

        var starts = ImmutableArray.CreateBuilder<int>();
        var x = free.X;
        // An obstacle that was passed lies to the left for good, since they are met in order of their left sides.
        foreach (var obstacle in obstacles.Where(o => o.Y < y + kind.Depth && y < o.Bottom))
        {
            for (; x + kind.Extent <= Math.Min(obstacle.X, free.Right); x += kind.Extent + kind.Spacing)
            {
                starts.Add(x);
            }

            x = Math.Max(x, obstacle.Right);
        }

        for (; x + kind.Extent <= free.Right; x += kind.Extent + kind.Spacing)
        {
            starts.Add(x);
        }

        return starts.ToImmutable();
    }
}
