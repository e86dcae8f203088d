using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Domain.Competitions;

/// <summary>A line of the classification.</summary>
/// <param name="Place">The place, from 1; those who share one have the same.</param>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Table">The table reached in the tableau: 1 for its winner, 2 for the final, …; null when cut before.</param>
/// <param name="Round">The pool round after which he was cut, or null.</param>
public sealed record ClassifiedFencer(int Place, string EntrantId, int? Table, int? Round);

/// <summary>Makes the classification of a competition.</summary>
public static class Classification
{
    /// <summary>
    /// The classification, provisional while bouts are open: those in the tableau by how far they came and by seed,
    /// then those cut after the last pool round by its ranking, then those cut earlier. An excluded fencer has no place,
    /// nor has one who left during the first pool round. Who left during a later one keeps the rank of the round before, and
    /// so comes behind everybody who finished the later one; who left after it keeps the rank he had.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="tableau">The bouts of the tableau; empty while there is none.</param>
    public static ImmutableArray<ClassifiedFencer> Of(Competition competition, IReadOnlyCollection<Bout> tableau)
    {
        var excluded = competition.Entrants.Where(e => e.Status == EntrantStatus.Excluded).Select(e => e.Id).ToHashSet();
        var classified = ImmutableArray.CreateBuilder<ClassifiedFencer>();
        var placed = new HashSet<string>(excluded);

        if (competition.Tableau is { } drawn)
        {
            var reached = Reached(tableau);
            var struck = drawn.Seeds.Select((id, i) => (id, Seed: i + 1)).Where(s => excluded.Contains(s.id)).Select(s => s.Seed).ToHashSet();
            foreach (var (place, run) in TableauPlaces.Of(Runs(drawn, tableau), struck))
            {
                var entrantId = drawn.Seeds[run.Seed - 1];
                classified.Add(new ClassifiedFencer(place, entrantId, reached[entrantId], null));
                placed.Add(entrantId);
            }
        }

        foreach (var round in competition.Rounds.Reverse().Where(r => r.Closed is not null))
        {
            var ahead = classified.Count;
            // Exempt fencers who left before the tableau stand where the seeding had them: ahead of the round.
            var rest = round.Drawn.Exempt.Select(id => (Id: id, Place: 0))
                .Concat(round.Closed!.Ranking.Select(r => (Id: r.EntrantId, r.Place)))
                .Where(r => !placed.Contains(r.Id))
                .ToArray();
            for (var i = 0; i < rest.Length; i++)
            {
                var tied = i > 0 && rest[i].Place > 0 && rest[i].Place == rest[i - 1].Place;
                classified.Add(new ClassifiedFencer(tied ? classified[^1].Place : ahead + i + 1, rest[i].Id, null, round.Number));
                placed.Add(rest[i].Id);
            }
        }

        return classified.ToImmutable();
    }

    /// <summary>True when every bout of the tableau is decided.</summary>
    public static bool IsFinal(Competition competition, IReadOnlyCollection<Bout> tableau) =>
        competition.Tableau is not null && tableau.Count > 0 && tableau.All(b => b.Status == BoutStatus.Decided);

    private static IEnumerable<TableauRun> Runs(TableauDrawn drawn, IReadOnlyCollection<Bout> tableau)
    {
        var known = tableau.ToDictionary(b => b.Id);
        var runs = new Dictionary<string, TableauRun>();
        foreach (var bout in tableau)
        {
            foreach (var side in new[] { Side.Left, Side.Right })
            {
                if (bout.SeatOf(side).EntrantId is not { } entrantId)
                {
                    continue;
                }

                var won = bout.Status == BoutStatus.Decided ? bout.Winner == side : (bool?)null;
                var link = won == true ? bout.WinnerTo : bout.LoserTo;
                var goesOn = link is not null && known[link.BoutId].SideOf(entrantId) is not null;
                if (TableauPlaces.Range(bout.Stage!, won, goesOn) is { } range)
                {
                    runs[entrantId] = new TableauRun(0, range.Best, range.Worst, won is null);
                }
            }
        }

        return drawn.Seeds.Select((entrantId, i) => runs[entrantId] with { Seed = i + 1 });
    }

    /// <summary>The smallest table of the tree that each fencer reached; 1 for the winner of its final.</summary>
    private static Dictionary<string, int> Reached(IEnumerable<Bout> tableau)
    {
        var reached = new Dictionary<string, int>();
        foreach (var bout in tableau.Where(b => b.Stage!.Part is TableauPart.Main or TableauPart.Last))
        {
            foreach (var side in new[] { Side.Left, Side.Right })
            {
                if (bout.SeatOf(side).EntrantId is { } entrantId)
                {
                    var table = bout.WinnerTo is null && bout.Winner == side ? 1 : bout.TableOf!.Value;
                    reached[entrantId] = Math.Min(table, reached.GetValueOrDefault(entrantId, int.MaxValue));
                }
            }
        }

        return reached;
    }
}
