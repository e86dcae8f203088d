using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Tests.Competitions;
using BoutDesk.Domain.Tests.TestData;
using Xunit;

namespace BoutDesk.Domain.Tests.Elimination;

/// <summary>Tables and places printed elsewhere; see TestData/README.md.</summary>
public class PublishedTableTests
{
    public static TheoryData<string> Tables => [.. PublishedData.Tables.Select(t => t.Id)];

    [Theory]
    [MemberData(nameof(Tables))]
    public void The_first_bouts_stand_in_the_printed_order(string id)
    {
        var table = PublishedData.Tables.Single(t => t.Id == id);
        Assert.Equal(
            table.FirstRound.Select(pair => (pair[0], (int?)pair[1])),
            TableauShape.For(table.Size).First.Select(p => (p.Left, p.Right)));
    }

    [Theory]
    [MemberData(nameof(Tables))]
    public void The_medals_follow_from_the_printed_results(string id)
    {
        var table = PublishedData.Tables.Single(t => t.Id == id);
        var (places, refusal) = TableauPlaces.FromResults(
            table.Size, [.. table.Bouts.Select(b => new SeedResult(b.Left, b.Right, b.Winner))], new EliminationFormula { ThirdPlace = ThirdPlace.Bout });
        Assert.Null(refusal);
        AssertPrinted(table, places.ToDictionary(p => p.Place, p => p.Run.Seed));
    }

    [Theory]
    [MemberData(nameof(Tables))]
    public void The_medals_follow_when_the_bouts_are_fenced_one_by_one(string id)
    {
        var table = PublishedData.Tables.Single(t => t.Id == id);
        var formula = new Formula
        {
            Pools = new PoolFormula { Rounds = 0 },
            Elimination = new EliminationFormula { Touches = 45, ThirdPlace = ThirdPlace.Bout },
        };
        var day = CompetitionDay.Of(table.Size, formula).DrawTableau();
        foreach (var bout in table.Bouts)
        {
            var loser = bout.Winner == bout.Left ? bout.Right : bout.Left;
            // The touches of two losers could not be read; the places do not depend on them.
            day.Wins(bout.Winner, loser, 45, bout.RightTouches is { } right ? Math.Min(bout.LeftTouches, right) : 0);
        }

        Assert.True(Classification.IsFinal(day.Competition, [.. day.Tableau.Values]));
        AssertPrinted(table, day.Classification.ToDictionary(c => c.Place, c => CompetitionDay.N(c.EntrantId)));
    }

    private static void AssertPrinted(PublishedTable table, Dictionary<int, int> seedByPlace)
    {
        // Places from 5 were fenced in bouts that are not listed.
        var printed = table.SeedByPlace.Where(p => p.Key <= 4).ToArray();
        Assert.InRange(printed.Length, 3, 4);
        Assert.All(printed, p => Assert.Equal(p.Value, seedByPlace[p.Key]));
    }
}
