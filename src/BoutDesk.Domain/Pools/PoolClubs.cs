using System.Collections.Immutable;
using System.Globalization;

namespace BoutDesk.Domain.Pools;

/// <summary>The clubs that have more than one fencer in a pool: the largest first, equal ones by their lowest position.</summary>
internal sealed class PoolClubs
{
    /// <exception cref="ArgumentOutOfRangeException">A position is not from 1 to <paramref name="fencers"/>.</exception>
    /// <exception cref="ArgumentException">A position is listed twice.</exception>
    public PoolClubs(int fencers, IReadOnlyList<IReadOnlyList<int>> groups)
    {
        var seen = new HashSet<int>();
        foreach (var position in groups.SelectMany(group => group))
        {
            if (position < 1 || position > fencers)
            {
                throw new ArgumentOutOfRangeException(nameof(groups), position, $"Positions in this pool go from 1 to {fencers}.");
            }
            if (!seen.Add(position))
            {
                throw new ArgumentException($"Position {position} is listed twice.", nameof(groups));
            }
        }
        Fencers = fencers;
        Members =
        [
            .. groups.Where(group => group.Count > 1)
                .Select(group => group.Order().ToImmutableArray())
                .OrderByDescending(group => group.Length)
                .ThenBy(group => group[0]),
        ];
    }

    /// <summary>How many fencers the pool has, with or without club-mates.</summary>
    public int Fencers { get; }

    /// <summary>The positions of each club, ascending.</summary>
    public ImmutableArray<ImmutableArray<int>> Members { get; }

    /// <summary>The size of the pool and of its clubs, such as "8:4+3", or "8" without club-mates.</summary>
    public string Shape() => Shape(Fencers, Members.Select(club => club.Length));

    /// <summary>The same for sizes, the largest first.</summary>
    public static string Shape(int fencers, IEnumerable<int> sizes)
    {
        var clubs = string.Join('+', sizes);
        return string.Create(CultureInfo.InvariantCulture, $"{fencers}{(clubs.Length == 0 ? "" : ":")}{clubs}");
    }

    /// <summary>
    /// The positions club by club, then those without club-mates, as item 1, 2, … (item 0 is unused): the numbers that
    /// the computed orders are written in.
    /// </summary>
    public int[] InOrderOfSize()
    {
        var clubMates = Members.SelectMany(club => club).ToArray();
        return [0, .. clubMates, .. Enumerable.Range(1, Fencers).Except(clubMates)];
    }
}
