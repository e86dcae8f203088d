using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Planning;

/// <summary>Strips of a day that are alike: they serve the same of its weapons.</summary>
/// <param name="Weapons">The weapons of the day that they serve, at least one.</param>
/// <param name="Strips">Their numbers, from 1, lowest first; at least one.</param>
public sealed record StripGroup(ImmutableArray<Weapon> Weapons, ImmutableArray<int> Strips)
{
    /// <summary>
    /// The groups of a day, those that serve fewest of its weapons first, of equal ones the one with the lowest number.
    /// Strips that serve none of them are in no group. With one group every strip in it serves every weapon of the day.
    /// </summary>
    /// <param name="strips">How many strips there are, at least 1.</param>
    /// <param name="kinds">For each strip, by its number, the weapons that it serves, none for all; or left out when all serve all.</param>
    /// <param name="weapons">The weapons of the day, at least one.</param>
    /// <exception cref="ArgumentException">A weapon has no strip, or there are not as many kinds as strips.</exception>
    public static ImmutableArray<StripGroup> Of(int strips, ImmutableArray<ImmutableArray<Weapon>> kinds, IEnumerable<Weapon> weapons)
    {
        Weapon[] all = [.. weapons.Distinct().Order()];
        if (kinds.IsDefaultOrEmpty)
        {
            return [new StripGroup([.. all], [.. Enumerable.Range(1, strips)])];
        }

        if (kinds.Length != strips)
        {
            throw new ArgumentException("A plan needs the weapons of each strip.", nameof(kinds));
        }

        if (all.Any(weapon => !kinds.Any(kind => kind.IsEmpty || kind.Contains(weapon))))
        {
            throw new ArgumentException("A plan needs a strip for each weapon.", nameof(kinds));
        }

        return
        [
            .. kinds.Select((kind, i) => (Number: i + 1, Mask: all.Index().Where(w => kind.IsEmpty || kind.Contains(w.Item)).Sum(w => 1 << w.Index)))
                .Where(strip => strip.Mask != 0)
                .GroupBy(strip => strip.Mask)
                .OrderBy(group => int.PopCount(group.Key)).ThenBy(group => group.First().Number)
                .Select(group => new StripGroup([.. all.Where((_, w) => (group.Key & (1 << w)) != 0)], [.. group.Select(strip => strip.Number)])),
        ];
    }

    /// <summary>How many strips serve at least one of some weapons.</summary>
    /// <param name="groups">The groups of a day.</param>
    /// <param name="weapons">The weapons.</param>
    public static int Serving(ImmutableArray<StripGroup> groups, IEnumerable<Weapon> weapons) =>
        groups.Where(group => group.Weapons.Any(weapons.Contains)).Sum(group => group.Strips.Length);

    /// <summary>How many of some strips are of each group.</summary>
    /// <param name="groups">The groups of a day.</param>
    /// <param name="strips">The numbers of the strips, each once.</param>
    public static ImmutableArray<int> Count(ImmutableArray<StripGroup> groups, ImmutableArray<int> strips) =>
        [.. groups.Select(group => group.Strips.Count(strips.Contains))];
}
