using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Seeding;
using Xunit;

namespace BoutDesk.Domain.Tests.Seeding;

public class InitialSeedingTests
{
    [Fact]
    public void Before_the_lots_equals_share_the_best_of_their_places_in_the_order_of_entry()
    {
        var seeding = InitialSeeding.Provisional(Entrants(5, null, 2, 5, 9, null));
        Assert.Equal(["3", "1", "4", "5", "2", "6"], seeding.Select(s => s.Entrant.Id));
        Assert.Equal([1, 2, 2, 4, 5, 5], seeding.Select(s => s.Seed));
        Assert.Equal([false, true, true, false, true, true], seeding.Select(s => s.Tied));
    }

    [Fact]
    public void Nobody_makes_an_empty_seeding()
    {
        Assert.Empty(InitialSeeding.Provisional([]));
        Assert.Empty(InitialSeeding.Draw([], new DrawSeed(1).Lots()));
    }

    [Fact]
    public void Lots_are_drawn_only_among_equals_and_each_order_comes_up_about_equally_often()
    {
        var counts = new Dictionary<string, int>();
        for (var seed = 0; seed < 6000; seed++)
        {
            var order = InitialSeeding.Draw(Entrants(4, 1, 4, 7, 4), new DrawSeed(seed).Lots()).Select(e => e.Id).ToArray();
            Assert.Equal(("2", "4"), (order[0], order[4]));
            var key = string.Concat(order[1..4]);
            counts[key] = counts.GetValueOrDefault(key) + 1;
        }

        Assert.Equal(6, counts.Count);
        // Expected 1,000 each, standard deviation about 29: five deviations to either side.
        Assert.All(counts.Values, count => Assert.InRange(count, 855, 1145));
    }

    [Fact]
    public void The_worst_ranking_there_is_still_comes_before_the_unranked() => Assert.Equal(
        ["2", "1"], InitialSeeding.Draw(Entrants(null, 1_000_000), new DrawSeed(3).Lots()).Select(e => e.Id));

    private static IEnumerable<Entrant> Entrants(params int?[] rankings) => rankings.Select((ranking, i) => new Entrant(
        $"{i + 1}", new EntrantDetails($"Fencer {i + 1}", "", null, null, ranking, null, null), EntrantStatus.Entered, null));
}
