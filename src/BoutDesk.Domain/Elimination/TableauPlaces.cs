using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Elimination;

/// <summary>How far a fencer came in a tableau.</summary>
/// <param name="Seed">The seed in the tableau, from 1.</param>
/// <param name="Table">The smallest table reached: 2 for the final, 4 for the semi-finals, …; 1 for its winner.</param>
/// <param name="StillIn">True while the bout of that table is undecided.</param>
/// <param name="ThirdBout">In the bout for third place: 1 won, 2 lost, 0 not fenced.</param>
public readonly record struct TableauRun(int Seed, int Table, bool StillIn, int ThirdBout = 0);

/// <summary>Places of a tableau.</summary>
/// <remarks>
/// Winner, loser of the final, two thirds or a bout for third, then by the table in which they lost, and within a
/// table by seed (Organisation book, from memory; checked against published rankings). While bouts are open those
/// still in come before those who lost in the same table.
/// </remarks>
public static class TableauPlaces
{
    /// <summary>The places from 1, best first. Excluded fencers are left out beforehand, so the others move up.</summary>
    public static ImmutableArray<(int Place, TableauRun Run)> Of(IEnumerable<TableauRun> runs, ThirdPlace thirdPlace)
    {
        var ordered = runs
            .OrderBy(r => r.Table)
            .ThenBy(r => r.StillIn ? 0 : 1)
            .ThenBy(r => r.ThirdBout == 2 ? 1 : 0)
            .ThenBy(r => r.Seed)
            .ToArray();
        var places = ImmutableArray.CreateBuilder<(int, TableauRun)>(ordered.Length);
        for (var i = 0; i < ordered.Length; i++)
        {
            var sharesThird = i > 0
                && ordered[i] is { Table: 4, StillIn: false, ThirdBout: 0 }
                && ordered[i - 1] is { Table: 4, StillIn: false, ThirdBout: 0 }
                && thirdPlace == ThirdPlace.Shared;
            places.Add((sharesThird ? places[i - 1].Item1 : i + 1, ordered[i]));
        }

        return places.MoveToImmutable();
    }

    /// <summary>The places that follow from results by seed.</summary>
    /// <param name="fencers">How many fencers the tableau has, 2 to 1,024.</param>
    /// <param name="results">Who met and who won, in any order; later rounds may be missing.</param>
    /// <param name="thirdPlace">Whether third place is shared or fenced for; a result between the losers of the semi-finals decides it.</param>
    /// <returns>The places, best first, or the refusal that names the result which cannot be.</returns>
    public static (ImmutableArray<(int Place, TableauRun Run)> Places, Refusal? Refusal) FromResults(
        int fencers,
        IReadOnlyList<SeedResult> results,
        ThirdPlace thirdPlace)
    {
        var open = new Dictionary<(int, int), (int Index, int Winner)>();
        for (var i = 0; i < results.Count; i++)
        {
            var (left, right, winner) = results[i];
            if (winner != left && winner != right)
            {
                return ([], Refusal.Invalid($"results[{i}].winner", $"The winner must be one of the two fencers, {left} or {right}."));
            }

            if (!open.TryAdd((Math.Min(left, right), Math.Max(left, right)), (i, winner)))
            {
                return ([], Refusal.Invalid($"results[{i}]", $"Seeds {left} and {right} meet once, but have two results."));
            }
        }

        var shape = TableauShape.For(fencers);
        var runs = new Dictionary<int, TableauRun>();
        int?[] row = [.. shape.First.SelectMany(p => new[] { (int?)p.Left, p.Right })];
        // 0 stands for a place whose fencer is not known yet; null for nobody.
        for (var table = shape.Size; table >= 2; table /= 2)
        {
            var next = new int?[table / 2];
            for (var i = 0; i < next.Length; i++)
            {
                var (left, right) = (row[2 * i], row[(2 * i) + 1]);
                next[i] = (left, right) switch
                {
                    (null, _) => right,
                    (_, null) => left,
                    (0, _) or (_, 0) => 0,
                    _ => Meet(left.Value, right.Value, table),
                };
                foreach (var seed in new[] { left, right }.OfType<int>().Where(s => s > 0 && s != next[i] && !runs.ContainsKey(s)))
                {
                    runs[seed] = new TableauRun(seed, table, StillIn: next[i] == 0);
                }
            }

            row = next;
        }

        if (row[0] is > 0)
        {
            runs[row[0]!.Value] = new TableauRun(row[0]!.Value, 1, StillIn: false);
        }

        if (thirdPlace == ThirdPlace.Bout)
        {
            var semiFinalists = runs.Values.Where(r => r is { Table: 4, StillIn: false }).Select(r => r.Seed).Order().ToArray();
            if (semiFinalists.Length == 2 && open.Remove((semiFinalists[0], semiFinalists[1]), out var third))
            {
                foreach (var seed in semiFinalists)
                {
                    runs[seed] = runs[seed] with { ThirdBout = seed == third.Winner ? 1 : 2 };
                }
            }
        }

        return open.Count > 0
            ? ([], Refusal.Invalid($"results[{open.Values.Min(v => v.Index)}]", "These two cannot meet in this tableau, or an earlier result is missing."))
            : (Of(runs.Values, thirdPlace), null);

        int Meet(int left, int right, int table)
        {
            if (!open.Remove((Math.Min(left, right), Math.Max(left, right)), out var result))
            {
                return 0;
            }

            var loser = result.Winner == left ? right : left;
            runs[loser] = new TableauRun(loser, table, StillIn: false);
            return result.Winner;
        }
    }
}

/// <summary>A result by seed.</summary>
/// <param name="Left">A seed.</param>
/// <param name="Right">The opponent's seed.</param>
/// <param name="Winner">The seed that won.</param>
public readonly record struct SeedResult(int Left, int Right, int Winner);
