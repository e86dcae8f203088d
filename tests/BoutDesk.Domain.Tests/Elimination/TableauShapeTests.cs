using BoutDesk.Domain.Elimination;
using Xunit;

namespace BoutDesk.Domain.Tests.Elimination;

/// <summary>The tree of an elimination, for every number of fencers it takes (Organisation book, from memory).</summary>
public class TableauShapeTests
{
    [Fact]
    public void A_table_of_eight_reads_as_it_is_printed() =>
        Assert.Equal([(1, 8), (5, 4), (3, 6), (7, 2)], TableauShape.For(8).First.Select(p => (p.Left, p.Right!.Value)));

    [Fact]
    public void Small_tables_are_these()
    {
        Assert.Equal([(1, 2)], First(2));
        Assert.Equal([(1, null), (3, 2)], First(3));
        Assert.Equal([(1, 4), (3, 2)], First(4));
        Assert.Equal([(1, null), (5, 4), (3, null), (2, null)], First(5));
        Assert.Equal([(1, null), (5, 4), (3, 6), (2, null)], First(6));
        Assert.Equal([(1, null), (5, 4), (3, 6), (7, 2)], First(7));
        Assert.Equal([(1, 16), (9, 8), (5, 12), (13, 4), (3, 14), (11, 6), (7, 10), (15, 2)], First(16));

        static IEnumerable<(int, int?)> First(int fencers) => TableauShape.For(fencers).First.Select(p => (p.Left, p.Right));
    }

    [Fact]
    public void The_size_is_the_least_power_of_two_that_takes_everybody() => Each(shape =>
        int.IsPow2(shape.Size) && shape.Size >= shape.Fencers && shape.Size / 2 < shape.Fencers && shape.First.Length == shape.Size / 2);

    [Fact]
    public void Every_seed_stands_in_it_once() => Each(shape =>
        Seeds(shape).Order().SequenceEqual(Enumerable.Range(1, shape.Fencers)));

    [Fact]
    public void The_seeds_of_a_bout_add_up_to_one_more_than_the_size() => Each(shape =>
        shape.First.All(p => p.Right is null || p.Left + p.Right == shape.Size + 1));

    [Fact]
    public void The_best_seeds_have_the_byes() => Each(shape =>
        shape.First.Where(p => p.Right is null).Select(p => p.Left).Order().SequenceEqual(Enumerable.Range(1, shape.Size - shape.Fencers)));

    [Fact]
    public void The_first_seeds_are_spread_over_halves_quarters_and_every_further_part() => Each(shape =>
    {
        var place = new int[shape.Fencers + 1];
        for (var i = 0; i < shape.First.Length; i++)
        {
            foreach (var seed in Both(shape.First[i]))
            {
                place[seed] = i;
            }
        }

        for (var parts = 2; parts <= shape.First.Length; parts *= 2)
        {
            var width = shape.First.Length / parts;
            if (place[1..(parts + 1)].Select(i => i / width).Distinct().Count() != parts)
            {
                return false;
            }
        }

        return true;
    });

    [Fact]
    public void When_the_better_seed_always_wins_the_sum_holds_in_every_table() => Each(shape =>
    {
        int[] row = [.. shape.First.Select(p => p.Right is { } right ? Math.Min(p.Left, right) : p.Left)];
        while (row.Length > 1)
        {
            if (row.Chunk(2).Any(pair => pair.Sum() != row.Length + 1))
            {
                return false;
            }

            row = [.. row.Chunk(2).Select(pair => pair.Min())];
        }

        return row[0] == 1;
    });

    [Fact]
    public void The_best_seed_is_at_the_top_and_the_second_at_the_bottom() => Each(shape =>
        shape.First[0].Left == 1 && Both(shape.First[^1]).Contains(2));

    [Theory]
    [InlineData(int.MinValue)]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(1025)]
    public void There_is_no_tree_for_other_numbers(int fencers) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => TableauShape.For(fencers));

    private static void Each(Func<TableauShape, bool> law)
    {
        for (var fencers = 2; fencers <= TableauShape.MostFencers; fencers++)
        {
            var shape = TableauShape.For(fencers);
            Assert.True(shape.Fencers == fencers && law(shape), $"Not so with {fencers} fencers.");
        }
    }

    private static IEnumerable<int> Seeds(TableauShape shape) => shape.First.SelectMany(Both);

    private static IEnumerable<int> Both(TableauPair pair) => pair.Right is { } right ? [pair.Left, right] : [pair.Left];
}
