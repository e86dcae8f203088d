using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;

namespace BoutDesk.Domain.Tests.Elimination;

/// <summary>Random eliminations of 2 to 70 fencers; each seed's strength is drawn, and the stronger wins.</summary>
public class TableauPlacesLaws
{
    private static readonly Arbitrary<(int Fencers, int Chance)> AnyElimination =
        (from fencers in Gen.Choose(2, 70) from chance in Gen.Choose(0, int.MaxValue - 1) select (fencers, chance)).ToArbitrary();

    [Property(MaxTest = 300)]
    public Property Places_are_by_the_table_of_the_defeat_and_then_by_seed() => Prop.ForAll(AnyElimination, elimination =>
    {
        var (results, lostIn) = Fence(elimination.Fencers, elimination.Chance);
        var (places, refusal) = TableauPlaces.FromResults(elimination.Fencers, results, new EliminationFormula());
        var expected = Enumerable.Range(1, elimination.Fencers).OrderBy(seed => lostIn[seed]).ThenBy(seed => seed).ToArray();
        return refusal is null
            && places.Select(p => p.Run.Seed).SequenceEqual(expected)
            && places.Select(p => p.Place).SequenceEqual(Enumerable.Range(1, expected.Length).Select(place => place == 4 && lostIn[expected[3]] == 4 ? 3 : place));
    });

    [Property(MaxTest = 300)]
    public Property With_results_missing_everybody_still_has_one_place_and_nobody_passes_a_better_table() => Prop.ForAll(AnyElimination, elimination =>
    {
        var (results, _) = Fence(elimination.Fencers, elimination.Chance);
        var places = TableauPlaces.FromResults(elimination.Fencers, results[..(results.Count / 2)], new EliminationFormula()).Places;
        return places.Select(p => p.Run.Seed).Order().SequenceEqual(Enumerable.Range(1, elimination.Fencers))
            && places.Zip(places.Skip(1)).All(pair => pair.First.Run.Worst <= pair.Second.Run.Worst);
    });

    /// <summary>Fences table by table. Who never lost is given the table of 1.</summary>
    private static (List<SeedResult> Results, Dictionary<int, int> LostIn) Fence(int fencers, int chance)
    {
        var strength = Enumerable.Range(0, fencers + 1).ToArray();
        new Random(chance).Shuffle(strength);
        var results = new List<SeedResult>();
        var lostIn = Enumerable.Range(1, fencers).ToDictionary(seed => seed, _ => 1);
        (int Left, int? Right)[] row = [.. TableauShape.For(fencers).First.Select(p => (p.Left, p.Right))];
        while (true)
        {
            var winners = row.Select(pair => Meet(pair.Left, pair.Right, row.Length * 2)).ToArray();
            if (winners is [_])
            {
                return (results, lostIn);
            }

            row = [.. winners.Chunk(2).Select(pair => (pair[0], (int?)pair[1]))];
        }

        int Meet(int left, int? right, int table)
        {
            if (right is not { } opponent)
            {
                return left;
            }

            var (winner, loser) = strength[left] > strength[opponent] ? (left, opponent) : (opponent, left);
            results.Add(new SeedResult(left, opponent, winner));
            lostIn[loser] = table;
            return winner;
        }
    }
}
