using System.Collections.Immutable;

namespace BoutDesk.Domain.Standings;

/// <summary>One line of a table of standings.</summary>
/// <typeparam name="TFencer">How the fencer is named: a position on the sheet or an identifier.</typeparam>
/// <param name="Fencer">The fencer.</param>
/// <param name="Place">The place, from 1. Tied fencers share the best of their places (1, 2, 2, 4).</param>
/// <param name="Tally">Victories, bouts and touches.</param>
/// <param name="Tied">True when another fencer has the same place.</param>
public sealed record Standing<TFencer>(TFencer Fencer, int Place, Tally Tally, bool Tied);

/// <summary>Makes standings of tallies.</summary>
public static class StandingsTable
{
    /// <summary>
    /// Ranks fencers by their tallies, best first. Tied fencers keep the order in which they were given.
    /// </summary>
    public static ImmutableArray<Standing<TFencer>> Rank<TFencer>(IEnumerable<(TFencer Fencer, Tally Tally)> tallies)
    {
        var ordered = tallies.OrderBy(t => t.Tally).ToArray();
        var standings = ImmutableArray.CreateBuilder<Standing<TFencer>>(ordered.Length);
        for (var i = 0; i < ordered.Length; i++)
        {
            var sameAsBefore = i > 0 && ordered[i - 1].Tally.CompareTo(ordered[i].Tally) == 0;
            var sameAsNext = i + 1 < ordered.Length && ordered[i + 1].Tally.CompareTo(ordered[i].Tally) == 0;
            var place = sameAsBefore ? standings[i - 1].Place : i + 1;
            standings.Add(new Standing<TFencer>(ordered[i].Fencer, place, ordered[i].Tally, sameAsBefore || sameAsNext));
        }

        return standings.MoveToImmutable();
    }
}
