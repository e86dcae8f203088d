using System.Collections.Immutable;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Domain.Seeding;

/// <summary>
/// The order in which entrants go into the first round: by ranking, best first; equal rankings by lot among the
/// equals; the unranked last, by lot (Organisation book, from memory; common practice).
/// </summary>
public static class InitialSeeding
{
    /// <summary>The seeding with all lots drawn, best seed first.</summary>
    /// <param name="entrants">The entrants, in any order that is the same each time, such as the order of entry.</param>
    /// <param name="lots">The lots; drawn in the order of the seeding.</param>
    public static ImmutableArray<Entrant> Draw(IEnumerable<Entrant> entrants, LotSequence lots)
    {
        var seeding = ByRanking(entrants).ToArray();
        foreach (var (start, length) in Ties(seeding))
        {
            lots.Shuffle(seeding.AsSpan(start, length));
        }

        return [.. seeding];
    }

    /// <summary>
    /// The seeding as far as it is known before the lots are drawn: equals share the best of their places, and
    /// are given in the order of entry.
    /// </summary>
    public static ImmutableArray<(int Seed, bool Tied, Entrant Entrant)> Provisional(IEnumerable<Entrant> entrants)
    {
        var seeding = ByRanking(entrants).ToArray();
        var result = ImmutableArray.CreateBuilder<(int, bool, Entrant)>(seeding.Length);
        foreach (var (start, length) in Ties(seeding))
        {
            for (var i = start; i < start + length; i++)
            {
                result.Add((start + 1, length > 1, seeding[i]));
            }
        }

        return result.MoveToImmutable();
    }

    private static IEnumerable<Entrant> ByRanking(IEnumerable<Entrant> entrants) =>
        entrants.OrderBy(e => e.Details.Ranking ?? int.MaxValue);

    private static IEnumerable<(int Start, int Length)> Ties(Entrant[] seeding)
    {
        for (var start = 0; start < seeding.Length;)
        {
            var end = start + 1;
            while (end < seeding.Length && seeding[end].Details.Ranking == seeding[start].Details.Ranking)
            {
                end++;
            }

            yield return (start, end - start);
            start = end;
        }
    }
}

/// <summary>The ranking over all pools of a round.</summary>
public static class RoundRanking
{
    /// <summary>
    /// Ranks everybody by victories over bouts, indicator and touches scored, whatever the pool. Who is still
    /// equal shares a place; the order among them is drawn by lot, for the seeds and the cut.
    /// </summary>
    /// <param name="tallies">The fencers in the order of the draw, each with his tally.</param>
    /// <param name="lots">The lots; drawn from the best place downwards.</param>
    public static ImmutableArray<Standing<string>> Draw(IEnumerable<(string EntrantId, Tally Tally)> tallies, LotSequence lots)
    {
        var ranking = StandingsTable.Rank(tallies).ToArray();
        for (var start = 0; start < ranking.Length;)
        {
            var end = start + 1;
            while (end < ranking.Length && ranking[end].Place == ranking[start].Place)
            {
                end++;
            }

            lots.Shuffle(ranking.AsSpan(start, end - start));
            start = end;
        }

        return [.. ranking];
    }
}
