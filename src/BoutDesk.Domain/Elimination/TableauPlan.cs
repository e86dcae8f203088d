using System.Collections.Immutable;
using System.Globalization;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Elimination;

/// <summary>The parts of a tableau.</summary>
public enum TableauPart
{
    /// <summary>The tree from the first table: to the final, or with a repechage until half of the last table is known.</summary>
    Main,

    /// <summary>Those who lost once fence for the other half of the last table.</summary>
    Repechage,

    /// <summary>The last table after a repechage.</summary>
    Last,

    /// <summary>Losers fence for places, third place among them.</summary>
    Places,
}

/// <summary>What a bout of a tableau is for.</summary>
/// <param name="Part">The part of the tableau.</param>
/// <param name="FromPlace">The best place that its fencers can still reach; its winner's place when nothing follows.</param>
/// <param name="LoserBest">The best place that its loser can still reach.</param>
/// <param name="LoserWorst">The worst place that its loser can still reach.</param>
public sealed record TableauStage(TableauPart Part, int FromPlace, int LoserBest, int LoserWorst);

/// <summary>A bout of a tableau before anybody is named.</summary>
/// <param name="Key">The end of its identifier, unique in the tableau.</param>
/// <param name="Stage">What it is for.</param>
/// <param name="TableOf">How many fencers there are in its table: 2 in a final.</param>
/// <param name="Number">Its number in the table, from 1 at the top.</param>
/// <param name="First">Who meets by seed, in a first table; else null.</param>
/// <param name="WinnerTo">Where the winner goes, or null.</param>
/// <param name="LoserTo">Where the loser goes, or null.</param>
public sealed record PlannedBout(
    string Key, TableauStage Stage, int TableOf, int Number, TableauPair? First, SeatLink? WinnerTo, SeatLink? LoserTo);

/// <summary>
/// All bouts of a tableau and how they follow from one another: the plain elimination, with a bout for third place,
/// with fencing for further places, with a repechage. Links name bouts by their keys.
/// </summary>
/// <remarks>
/// Repechage and fencing for every place: Organisation book, from memory. In the repechage the losers of a table
/// fence each other, and the survivors then meet the losers of the next table, who come in crosswise, so that two
/// who have met do not meet again at once. Who loses there is placed by the round, then by seed.
/// </remarks>
public static class TableauPlan
{
    /// <summary>The bouts, each before those that follow from it.</summary>
    /// <param name="fencers">How many fencers there are, 2 to 1,024.</param>
    /// <param name="formula">How the elimination is fenced.</param>
    /// <exception cref="ArgumentOutOfRangeException">Fewer than 2 or more than 1,024 fencers.</exception>
    public static ImmutableArray<PlannedBout> For(int fencers, EliminationFormula formula)
    {
        var shape = TableauShape.For(fencers);
        var builder = new Builder(formula);
        var repechageFrom = Math.Min(formula.RepechageFrom ?? 0, shape.Size);
        if (repechageFrom < 4)
        {
            builder.Tree(TableauPart.Main, "t", shape.Size, 1, shape.First);
        }
        else
        {
            builder.WithRepechage(shape, repechageFrom, Math.Min(formula.RepechageInto ?? 8, repechageFrom / 2));
        }

        return builder.Bouts();
    }

    private sealed class Builder
    {
        private readonly int fencedPlaces;
        private readonly bool boutForThird;
        private readonly List<PlannedBout> bouts = [];
        private readonly Dictionary<string, SeatLink> losersTo = [];
        private readonly Dictionary<string, SeatLink> winnersTo = [];

        public Builder(EliminationFormula formula)
        {
            boutForThird = formula.ThirdPlace == ThirdPlace.Bout;
            fencedPlaces = formula.FencedPlaces ?? 0;
        }

        public ImmutableArray<PlannedBout> Bouts() =>
        [
            .. bouts.Select(b => b with { WinnerTo = winnersTo.GetValueOrDefault(b.Key), LoserTo = losersTo.GetValueOrDefault(b.Key) }),
        ];

        /// <summary>A tree whose fencers fence for the places from a first one on.</summary>
        public void Tree(TableauPart part, string prefix, int size, int fromPlace, ImmutableArray<TableauPair>? first)
        {
            Tables(prefix, size, 2, first, table => new TableauStage(part, fromPlace, fromPlace + (table / 2), fromPlace + table - 1));
            for (var table = size; table >= 4; table /= 2)
            {
                if (!LosersFence(table, fromPlace))
                {
                    continue;
                }

                var places = fromPlace + (table / 2);
                var placePrefix = string.Create(CultureInfo.InvariantCulture, $"f{places}t");
                for (var number = 1; number <= table / 2; number++)
                {
                    losersTo[Key(prefix, table, number)] = Seat(placePrefix, table / 2, number);
                }

                Tree(TableauPart.Places, placePrefix, table / 2, places, null);
            }
        }

        public void WithRepechage(TableauShape shape, int from, int last)
        {
            // The rounds of the repechage, with the places of those who lose in each, counted from its end.
            var tables = new List<int>();
            for (var table = from / 2; table >= last; table /= 2)
            {
                tables.Add(table);
            }

            var rounds = tables.SelectMany(table => new[] { table / 2, table / 2 }).ToArray();
            var stages = new TableauStage[rounds.Length];
            var next = last + 1;
            for (var round = rounds.Length - 1; round >= 0; round--)
            {
                stages[round] = new TableauStage(TableauPart.Repechage, 1, next, next + rounds[round] - 1);
                next += rounds[round];
            }

            Tables("t", shape.Size, last, shape.First, table => table switch
            {
                _ when table > from => new TableauStage(TableauPart.Main, 1, (table / 2) + 1, table),
                _ when table == from => new TableauStage(TableauPart.Main, 1, 1, stages[0].LoserWorst),
                _ => new TableauStage(TableauPart.Main, 1, 1, stages[(2 * tables.IndexOf(table)) + 1].LoserWorst),
            });

            for (var number = 1; number <= from / 2; number++)
            {
                losersTo[Key("t", from, number)] = Seat("r1", 0, number);
            }

            for (var step = 0; step < tables.Count; step++)
            {
                var count = rounds[2 * step];
                var (among, against) = (Round((2 * step) + 1), Round((2 * step) + 2));
                for (var number = 1; number <= count; number++)
                {
                    bouts.Add(new PlannedBout(Key(among, 0, number), stages[2 * step], 2 * count, number, null, null, null));
                    winnersTo[Key(among, 0, number)] = new SeatLink(Key(against, 0, number), Side.Left);
                }

                for (var number = 1; number <= count; number++)
                {
                    bouts.Add(new PlannedBout(Key(against, 0, number), stages[(2 * step) + 1], 2 * count, number, null, null, null));
                    var crossed = step % 2 == 0 ? count + 1 - number : ((number - 1 + (count / 2)) % count) + 1;
                    losersTo[Key("t", tables[step], crossed)] = new SeatLink(Key(against, 0, number), Side.Right);
                    winnersTo[Key(against, 0, number)] = step + 1 < tables.Count
                        ? Seat(Round((2 * step) + 3), 0, number)
                        : new SeatLink(Key("l", last, count + 1 - number), Side.Right);
                }
            }

            for (var number = 1; number <= last / 2; number++)
            {
                winnersTo[Key("t", last, number)] = new SeatLink(Key("l", last, number), Side.Left);
            }

            Tree(TableauPart.Last, "l", last, 1, null);

            static string Round(int number) => string.Create(CultureInfo.InvariantCulture, $"r{number}");
        }

        private void Tables(string prefix, int size, int lastTable, ImmutableArray<TableauPair>? first, Func<int, TableauStage> stageOf)
        {
            for (var table = size; table >= lastTable; table /= 2)
            {
                for (var number = 1; number <= table / 2; number++)
                {
                    var pair = table == size ? first?[number - 1] : null;
                    bouts.Add(new PlannedBout(Key(prefix, table, number), stageOf(table), table, number, pair, null, null));
                    if (table > lastTable)
                    {
                        winnersTo[Key(prefix, table, number)] = Seat(prefix, table / 2, number);
                    }
                }
            }
        }

        /// <summary>Whether the losers of a table fence on: third place has a rule of its own.</summary>
        private bool LosersFence(int table, int fromPlace) =>
            table == 4 && fromPlace == 1 ? boutForThird : fromPlace + table - 1 <= fencedPlaces;

        /// <summary>The seat of who comes from bout <paramref name="number"/> of the table before.</summary>
        private static SeatLink Seat(string prefix, int table, int number) =>
            new(Key(prefix, table, (number + 1) / 2), number % 2 == 1 ? Side.Left : Side.Right);

        private static string Key(string prefix, int table, int number) => table == 0
            ? string.Create(CultureInfo.InvariantCulture, $"{prefix}b{number}")
            : string.Create(CultureInfo.InvariantCulture, $"{prefix}{table}b{number}");
    }
}
