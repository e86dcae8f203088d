using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Elimination;

/// <summary>How far a fencer came in a tableau: the places that he can still have.</summary>
/// <param name="Seed">The seed in the tableau, from 1.</param>
/// <param name="Best">The best place that the bouts still allow.</param>
/// <param name="Worst">The worst place that they still allow.</param>
/// <param name="StillIn">True while he has a bout to fence.</param>
public readonly record struct TableauRun(int Seed, int Best, int Worst, bool StillIn);

/// <summary>Places of a tableau.</summary>
/// <remarks>
/// Winner, loser of the final, two thirds or a bout for third, then by the table in which they lost, and within a
/// table by seed (Organisation book, from memory; checked against published rankings). While bouts are open those
/// still in come before those who lost in the same table.
/// </remarks>
public static class TableauPlaces
{
    /// <summary>The places from 1, best first.</summary>
    /// <param name="runs">Everybody in the tableau.</param>
    /// <param name="struck">The seeds of those excluded: they have no place, and whoever is behind one moves up.</param>
    /// <remarks>
    /// First, second and third place are had by whoever fenced for them only: of a final that neither fencer could fence
    /// both are second and nobody is first, and of such a semi-final both are third with the loser of the other. Further
    /// down those behind move up. So two thirds behind an excluded finalist are both second (moving up: Organisation book,
    /// from memory; the rest is our convention).
    /// </remarks>
    public static ImmutableArray<(int Place, TableauRun Run)> Of(IEnumerable<TableauRun> runs, IReadOnlySet<int> struck)
    {
        var ordered = runs.OrderBy(r => r.Worst).ThenBy(r => r.Best).ThenBy(r => r.Seed).ToArray();
        var places = new (int Place, TableauRun Run)[ordered.Length];
        var settled = ordered.All(r => !r.StillIn);
        for (var i = 0; i < ordered.Length; i++)
        {
            var run = ordered[i];
            var (before, fencedForIt) = (i > 0 ? places[i - 1] : default, run is { StillIn: false, Worst: <= 4 });
            places[i] = (
                !fencedForIt ? Math.Max(i + 1, before.Place + 1)
                : before.Run is { StillIn: false } same && (same.Best, same.Worst) == (run.Best, run.Worst) ? before.Place
                : Math.Max(Math.Max(i + 1, settled ? run.Best : 1), before.Place + 1),
                run);
        }

        return
        [
            .. places.Where(p => !struck.Contains(p.Run.Seed))
                .Select(p => (p.Place - places.Count(s => struck.Contains(s.Run.Seed) && s.Place < p.Place), p.Run)),
        ];
    }

    /// <summary>The places that a fencer of a bout can still have, or null when another bout of his tells.</summary>
    /// <param name="stage">What the bout is for.</param>
    /// <param name="won">Whether he won it, or null while it is undecided.</param>
    /// <param name="goesOn">Whether the bout sends him on to another one.</param>
    public static (int Best, int Worst)? Range(TableauStage stage, bool? won, bool goesOn) => (won, goesOn) switch
    {
        (null, _) => (stage.FromPlace, stage.LoserWorst),
        (_, true) => null,
        (true, _) => (stage.FromPlace, stage.FromPlace),
        (false, _) => (stage.LoserBest, stage.LoserWorst),
    };

    /// <summary>The places that follow from results by seed.</summary>
    /// <param name="fencers">How many fencers the tableau has, 2 to 1,024.</param>
    /// <param name="results">
    /// Who met and who won, each fencer's in the order in which they were fenced; later bouts may be missing.
    /// </param>
    /// <param name="formula">How the elimination is fenced.</param>
    /// <returns>The places, best first, or the refusal that names the result which cannot be.</returns>
    public static (ImmutableArray<(int Place, TableauRun Run)> Places, Refusal? Refusal) FromResults(
        int fencers, IReadOnlyList<SeedResult> results, EliminationFormula formula)
    {
        var (bouts, refusal) = SeededTableau.Of(fencers, formula, results);
        var runs = new Dictionary<int, TableauRun>();
        foreach (var bout in bouts)
        {
            foreach (var seed in new[] { bout.Left.Seed, bout.Right.Seed }.OfType<int>())
            {
                var won = bout.Winner.IsKnown ? bout.Winner.Seed == seed : (bool?)null;
                if (Range(bout.Stage, won, (won == true ? bout.WinnerTo : bout.LoserTo) is not null) is { } range)
                {
                    runs[seed] = new TableauRun(seed, range.Best, range.Worst, won is null);
                }
            }
        }

        return refusal is null ? (Of(runs.Values, ImmutableHashSet<int>.Empty), null) : ([], refusal);
    }
}
