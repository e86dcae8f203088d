using BoutDesk.Domain.Seeding;
using Xunit;

namespace BoutDesk.Domain.Tests;

public class DrawSeedTests
{
    [Fact]
    public void The_same_seed_gives_the_same_lot()
    {
        int[] first = [.. Enumerable.Range(1, 50)];
        int[] second = [.. Enumerable.Range(1, 50)];
        new DrawSeed(2026).Lots().Shuffle<int>(first);
        new DrawSeed(2026).Lots().Shuffle<int>(second);
        Assert.Equal(first, second);
        Assert.NotEqual(Enumerable.Range(1, 50), first);
    }

    [Fact]
    public void Every_order_of_four_is_about_equally_frequent()
    {
        var counts = new Dictionary<string, int>();
        var lots = new DrawSeed(7).Lots();
        for (var i = 0; i < 24_000; i++)
        {
            char[] order = ['a', 'b', 'c', 'd'];
            lots.Shuffle<char>(order);
            counts[new string(order)] = counts.GetValueOrDefault(new string(order)) + 1;
        }
        Assert.Equal(24, counts.Count);
        // Expected 1,000 each, standard deviation about 31: five deviations to either side.
        Assert.All(counts.Values, count => Assert.InRange(count, 845, 1155));
    }
}
