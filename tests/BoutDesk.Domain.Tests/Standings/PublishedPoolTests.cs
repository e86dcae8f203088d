using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Tests.TestData;
using Xunit;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>Every column of pools printed in official reports; see TestData/README.md.</summary>
public class PublishedPoolTests
{
    public static TheoryData<string> Pools => [.. PublishedData.Pools.Select(p => p.Id)];

    [Theory]
    [MemberData(nameof(Pools))]
    public void Victories_touches_and_places_are_as_printed(string id)
    {
        var pool = PublishedData.Pools.Single(p => p.Id == id);
        var tallies = new Tally[pool.Fencers + 1];
        foreach (var (left, right, leftTouches, rightTouches) in pool.Bouts)
        {
            tallies[left] = tallies[left].With(leftTouches > rightTouches, leftTouches, rightTouches);
            tallies[right] = tallies[right].With(rightTouches > leftTouches, rightTouches, leftTouches);
        }

        var fencers = Enumerable.Range(1, pool.Fencers).ToArray();
        var byFencer = StandingsTable.Rank(fencers.Select(f => (f, tallies[f]))).OrderBy(s => s.Fencer).ToArray();
        Assert.Equal(pool.Printed.Victories, byFencer.Select(s => s.Tally.Victories));
        Assert.Equal(pool.Printed.Defeats, byFencer.Select(s => s.Tally.Bouts - s.Tally.Victories));
        Assert.Equal(pool.Printed.TouchesScored, byFencer.Select(s => s.Tally.TouchesScored));
        Assert.Equal(pool.Printed.TouchesReceived, byFencer.Select(s => s.Tally.TouchesReceived));
        Assert.Equal(pool.Printed.Place, byFencer.Select(s => s.Place));
        Assert.All(byFencer, s => Assert.False(s.Tied));
    }
}
