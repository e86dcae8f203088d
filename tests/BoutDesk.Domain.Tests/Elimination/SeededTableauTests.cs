using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Tests.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.TableauTests;
using static BoutDesk.Domain.Tests.Elimination.CallingOrderTests;

namespace BoutDesk.Domain.Tests.Elimination;

/// <summary>A tableau by seed, from its results and from its bouts.</summary>
public class SeededTableauTests
{
    [Fact]
    public void A_bout_is_open_once_both_are_known()
    {
        Assert.Equal([BoutStatus.Open, BoutStatus.Open, BoutStatus.Waiting], Tableau(4).Select(b => b.Status));
        Assert.Equal([BoutStatus.Decided, BoutStatus.Open, BoutStatus.Waiting], Tableau(4, (1, 4, 1)).Select(b => b.Status));
        Assert.Equal([BoutStatus.Decided, BoutStatus.Decided, BoutStatus.Open], Tableau(4, (1, 4, 1), (2, 3, 2)).Select(b => b.Status));
    }

    [Fact]
    public void Of_several_results_that_cannot_be_the_first_is_named() => Assert.Equal(
        "results[1]",
        SeededTableau.Of(4, new EliminationFormula(), [new(1, 4, 1), new(1, 3, 1), new(3, 4, 3)]).Refusal!.Field);

    [Fact]
    public void The_bouts_of_a_tableau_on_the_day_are_those_that_follow_from_its_results()
    {
        var day = CompetitionDay.Of(8, BoutForThird).DrawTableau().Wins(1, 8, 15, 3).Wins(5, 4, 15, 3).Wins(2, 7, 15, 3).Wins(3, 6, 15, 3).Wins(5, 1, 15, 3);
        var seeded = SeededTableau.Of(day.Competition.Tableau!, day.Tableau.Values.Reverse());
        var expected = Tableau(8, BoutForThird.Elimination, (1, 8, 1), (5, 4, 5), (2, 7, 2), (3, 6, 3), (5, 1, 5));
        Assert.Equal(
            ["t8b1", "t8b2", "t8b3", "t8b4", "t4b1", "t4b2", "f3t2b1", "t2b1"],
            seeded.Select(b => expected.Single(e => b.Id == Identifiers.TableauBout(CompetitionDay.Id, day.Competition.Tableau!.Draw, e.Id)).Id));
        Assert.All(seeded, b =>
        {
            var same = expected.Single(e => b.Id.EndsWith("d1" + e.Id, StringComparison.Ordinal));
            Assert.Equal((same.TableOf, same.Left, same.Right, same.Status, same.Winner), (b.TableOf, b.Left, b.Right, b.Status, b.Winner));
        });
    }

    [Fact]
    public void Nobody_wins_a_bout_that_neither_could_fence()
    {
        // 4 has lost and left, then had won after all; 1 has left too.
        var day = CompetitionDay.Of(5, NoPools).DrawTableau().Wins(5, 4, 15, 10).Leaves(4).Leaves(1);
        day.Keep(day.Result(4, 5, 15, 10));
        var semi = SeededTableau.Of(day.Competition.Tableau!, day.Tableau.Values).Single(b => b is { TableOf: 4, Left.Seed: 1 });
        Assert.Equal((BoutStatus.Decided, SeedSeat.Nobody), (semi.Status, semi.Winner));
        Assert.True(semi.Left.Out && semi.Right.Out);
    }
}
