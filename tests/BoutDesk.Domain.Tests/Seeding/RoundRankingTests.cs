using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using Xunit;

namespace BoutDesk.Domain.Tests.Seeding;

public class RoundRankingTests
{
    [Fact]
    public void Only_the_order_within_a_place_is_drawn_by_lot()
    {
        var tied = new Tally(2, 4, 15, 15);
        var orders = new HashSet<string>();
        for (var seed = 0; seed < 60; seed++)
        {
            var ranking = RoundRanking.Draw(
                [("a", tied), ("b", new Tally(4, 4, 20, 3)), ("c", tied), ("d", new Tally(0, 4, 3, 20))], new DrawSeed(seed).Lots());
            Assert.Equal(["b", "d"], new[] { ranking[0].Fencer, ranking[3].Fencer });
            Assert.Equal([1, 2, 2, 4], ranking.Select(r => r.Place));
            orders.Add(string.Concat(ranking.Select(r => r.Fencer)));
        }

        Assert.Equal(["bacd", "bcad"], orders.Order());
    }
}
