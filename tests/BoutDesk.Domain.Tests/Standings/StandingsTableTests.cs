using BoutDesk.Domain.Standings;
using Xunit;

namespace BoutDesk.Domain.Tests.Standings;

public class StandingsTableTests
{
    [Fact]
    public void Nobody_makes_an_empty_table() => Assert.Empty(StandingsTable.Rank(Array.Empty<(int, Tally)>()));

    [Fact]
    public void Tied_fencers_share_the_best_of_their_places_and_keep_the_order_they_were_given_in()
    {
        var second = new Tally(2, 3, 12, 10);
        var standings = StandingsTable.Rank(
        [
            ("e", new Tally(0, 3, 3, 15)), ("c", second), ("a", new Tally(3, 3, 15, 0)), ("b", second),
        ]);
        Assert.Equal(["a", "c", "b", "e"], standings.Select(s => s.Fencer));
        Assert.Equal([1, 2, 2, 4], standings.Select(s => s.Place));
        Assert.Equal([false, true, true, false], standings.Select(s => s.Tied));
    }

    [Fact]
    public void A_table_can_be_tied_all_through()
    {
        var standings = StandingsTable.Rank(Enumerable.Range(1, 4).Select(f => (f, new Tally(1, 2, 8, 8))));
        Assert.All(standings, s => Assert.Equal((1, true), (s.Place, s.Tied)));
        Assert.Equal([1, 2, 3, 4], standings.Select(s => s.Fencer));
    }
}
