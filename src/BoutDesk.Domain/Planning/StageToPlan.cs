using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Pools;

namespace BoutDesk.Domain.Planning;

/// <summary>What is fenced in a stage.</summary>
public enum StageKind
{
    /// <summary>A pool round.</summary>
    Pools,

    /// <summary>The tables of the elimination down to the last eight.</summary>
    Tables,

    /// <summary>The last eight and the places fenced for behind them.</summary>
    LastEight,
}

/// <summary>A way to fence a stage: on so many strips it takes so long.</summary>
/// <param name="Strips">The strips that it has from its beginning to its end, at least 1.</param>
/// <param name="Minutes">How long it takes, in minutes, a multiple of <see cref="StageToPlan.Grid"/>.</param>
/// <param name="Flights">For pools: in how many turns they are fenced; 1 else.</param>
public readonly record struct StageWidth(int Strips, int Minutes, int Flights);

/// <summary>A stage of a competition: a part of it that has its strips from beginning to end.</summary>
/// <param name="Kind">What is fenced.</param>
/// <param name="Round">The pool round, from 1; 0 in the elimination.</param>
/// <param name="Bouts">How many bouts it has.</param>
/// <param name="Widths">The ways to fence it, fewest strips first; each takes less time than the one before it.</param>
/// <param name="PauseBefore">Minutes that must lie between it and the stage before it.</param>
public sealed record StageToPlan(StageKind Kind, int Round, int Bouts, ImmutableArray<StageWidth> Widths, int PauseBefore)
{
    /// <summary>Stages begin and end at multiples of so many minutes: nobody calls a competition by the minute.</summary>
    public const int Grid = 5;

    /// <summary>Minutes to rank a round and to draw and print what comes next. Practice.</summary>
    public const int DrawingPause = 20;

    /// <summary>Minutes of rest between two elimination bouts of one fencer. Book 2, from memory.</summary>
    public const int Rest = 10;

    /// <summary>The stages of a competition, first to last.</summary>
    /// <param name="fencers">How many are expected, at least 2.</param>
    /// <param name="formula">How it is fenced.</param>
    /// <param name="durations">How long bouts take.</param>
    /// <param name="strips">The most strips that it can have, at least 1.</param>
    /// <exception cref="ArgumentException">The formula cannot be fenced with so few; the text says why.</exception>
    public static ImmutableArray<StageToPlan> Of(int fencers, Formula formula, BoutDurations durations, int strips)
    {
        var stages = ImmutableArray.CreateBuilder<StageToPlan>();
        var exempt = formula.Pools.Rounds > 0 ? Math.Min(formula.Pools.Exempt, fencers) : 0;
        var left = fencers - exempt;
        for (var round = 1; round <= formula.Pools.Rounds; round++)
        {
            stages.Add(PoolStage(round, PoolPlan.ForSize(left, formula.Pools.Size), durations.PoolBout, strips));
            left = formula.Pools.Promote.Of(left);
        }

        foreach (var stage in Elimination(left + exempt, formula.Elimination, durations.EliminationBout, strips))
        {
            stages.Add(stage with { PauseBefore = stages.Count == 0 ? 0 : stage.PauseBefore });
        }

        return stages.ToImmutable();
    }

    private static StageToPlan PoolStage(int round, PoolPlan plan, decimal minutes, int strips)
    {
        var largest = plan.Sizes[0];
        var pool = largest * (largest - 1) / 2 * minutes;
        return new StageToPlan(
            StageKind.Pools,
            round,
            plan.Sizes.Sum(size => size * (size - 1) / 2),
            WidthsThatSave(Math.Min(strips, plan.PoolCount), width =>
            {
                var flights = (plan.PoolCount + width - 1) / width;
                return (flights * pool, flights);
            }),
            round == 1 ? 0 : DrawingPause);
    }

    private static IEnumerable<StageToPlan> Elimination(int fencers, EliminationFormula formula, decimal minutes, int strips)
    {
        // By table, largest first; what is fenced for places and in a repechage goes along with its table.
        (int TableOf, int Bouts)[] tables =
        [
            .. TableauPlan.For(fencers, formula).Where(b => b.First is not { Right: null })
                .GroupBy(b => b.TableOf).OrderByDescending(g => g.Key).Select(g => (g.Key, g.Count())),
        ];
        var early = tables.Where(t => t.TableOf > 8).ToArray();
        var late = tables.Where(t => t.TableOf <= 8).ToArray();
        if (early.Length > 0)
        {
            yield return TableStage(StageKind.Tables, early, minutes, strips, DrawingPause);
        }

        yield return TableStage(StageKind.LastEight, late, minutes, Math.Min(strips, 4), early.Length > 0 ? Rest : DrawingPause);
    }

    private static StageToPlan TableStage(StageKind kind, (int TableOf, int Bouts)[] tables, decimal minutes, int strips, int pause) => new(
        kind,
        0,
        tables.Sum(t => t.Bouts),
        WidthsThatSave(Math.Min(strips, tables.Max(t => t.Bouts)), width =>
        {
            var whole = 0m;
            for (var i = 0; i < tables.Length; i++)
            {
                var turns = (tables[i].Bouts + width - 1) / width;
                // Where a table has several turns, those who fenced last fence last again and rest meanwhile.
                whole += (turns * minutes) + (i > 0 && turns == 1 ? Rest : 0);
            }

            return (whole, 1);
        }),
        pause);

    /// <summary>The widths that save time, each with what it takes.</summary>
    private static ImmutableArray<StageWidth> WidthsThatSave(int most, Func<int, (decimal Minutes, int Flights)> take)
    {
        var widths = ImmutableArray.CreateBuilder<StageWidth>();
        for (var width = 1; width <= most; width++)
        {
            var (minutes, flights) = take(width);
            var rounded = (int)Math.Ceiling(minutes / Grid) * Grid;
            if (widths.Count == 0 || rounded < widths[^1].Minutes)
            {
                widths.Add(new StageWidth(width, rounded, flights));
            }
        }

        return widths.ToImmutable();
    }
}
