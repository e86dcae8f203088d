namespace BoutDesk.Domain.Pools;

/// <summary>Checks what the desk asks for and turns it into numbers.</summary>
internal static class PoolFieldReader
{
    /// <summary>Reads a field; errors as documented at <see cref="PoolDraw.Compose"/>.</summary>
    internal static PoolField Read(
        IReadOnlyList<PoolFencer> fencers, int poolCount, IReadOnlyDictionary<string, int>? placements)
    {
        if (fencers.Count > PoolDraw.MostFencers)
        {
            throw new ArgumentException(
                $"Pools can be drawn up for at most {PoolDraw.MostFencers} fencers; there are {fencers.Count}.");
        }
        var plan = PoolPlan.ForCount(fencers.Count, poolCount);
        var places = PoolField.Tiers(plan.Fencers, plan.PoolCount) * plan.PoolCount;
        var levels = fencers.Max(fencer => fencer.Affiliations.IsDefault ? 0 : fencer.Affiliations.Length);
        if (levels > PoolDraw.MostLevels)
        {
            throw new ArgumentException(
                $"Fencers can be kept apart by at most {PoolDraw.MostLevels} affiliations; there are {levels}.");
        }
        var seats = NumberById(fencers);
        int[][] groups = [.. Enumerable.Range(0, levels).Select(level => NumberGroups(fencers, level, places))];
        return new PoolField(fencers.Count, poolCount, groups, ReadPlacements(placements, seats, poolCount, places));
    }

    private static Dictionary<string, int> NumberById(IReadOnlyList<PoolFencer> fencers)
    {
        var numbers = new Dictionary<string, int>(fencers.Count, StringComparer.Ordinal);
        for (var f = 0; f < fencers.Count; f++)
        {
            if (string.IsNullOrWhiteSpace(fencers[f].Id))
            {
                throw new ArgumentException($"Seed {f + 1} has no id.");
            }
            if (!numbers.TryAdd(fencers[f].Id, f))
            {
                throw new ArgumentException(
                    $"{fencers[f].Id} is in the list twice, as seeds {numbers[fencers[f].Id] + 1} and {f + 1}.");
            }
        }
        return numbers;
    }

    /// <summary>
    /// Numbers the affiliations of one level in the order in which they first appear, so that their names do not
    /// matter. Whoever is the only one of his affiliation collides with nobody and is left without a group.
    /// </summary>
    private static int[] NumberGroups(IReadOnlyList<PoolFencer> fencers, int level, int places)
    {
        var names = fencers.Select(fencer => Affiliation(fencer, level)).ToArray();
        var shared = names.OfType<string>()
            .GroupBy(name => name, StringComparer.OrdinalIgnoreCase)
            .Where(group => group.Count() > 1)
            .Select((group, number) => (group.Key, number))
            .ToDictionary(pair => pair.Key, pair => pair.number, StringComparer.OrdinalIgnoreCase);
        var groups = new int[places];
        Array.Fill(groups, PoolField.None);
        for (var f = 0; f < names.Length; f++)
        {
            if (names[f] is { } name && shared.TryGetValue(name, out var number))
            {
                groups[f] = number;
            }
        }
        return groups;
    }

    private static string? Affiliation(PoolFencer fencer, int level)
    {
        var name = !fencer.Affiliations.IsDefault && level < fencer.Affiliations.Length ? fencer.Affiliations[level] : null;
        return string.IsNullOrWhiteSpace(name) ? null : name.Trim();
    }

    private static int[] ReadPlacements(
        IReadOnlyDictionary<string, int>? placements, Dictionary<string, int> numbers, int poolCount, int places)
    {
        var placed = new int[places];
        Array.Fill(placed, PoolField.None);
        // In seed order, so that the text of an error does not depend on the order of a dictionary.
        var byHand = (placements ?? new Dictionary<string, int>())
            .OrderBy(placement => numbers.GetValueOrDefault(placement.Key, PoolField.None))
            .ThenBy(placement => placement.Key, StringComparer.Ordinal);
        var taken = new Dictionary<(int Tier, int Pool), string>();
        foreach (var (id, pool) in byHand)
        {
            if (!numbers.TryGetValue(id, out var f))
            {
                throw new ArgumentException($"{id} is placed in pool {pool} but is not among the fencers.");
            }
            if (pool < 1 || pool > poolCount)
            {
                throw new ArgumentException($"{id} is placed in pool {pool}; the pools are numbered 1 to {poolCount}.");
            }
            var tier = f / poolCount;
            if (!taken.TryAdd((tier, pool), id))
            {
                throw new ArgumentException(
                    $"{taken[(tier, pool)]} and {id} are both of seeds {(tier * poolCount) + 1} to {(tier + 1) * poolCount}, of whom each pool has one; they cannot both be placed in pool {pool}.");
            }
            placed[f] = pool - 1;
        }
        return placed;
    }
}
