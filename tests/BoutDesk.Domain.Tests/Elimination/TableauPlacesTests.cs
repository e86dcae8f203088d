using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using Xunit;

namespace BoutDesk.Domain.Tests.Elimination;

/// <summary>Places that follow from results by seed.</summary>
public class TableauPlacesTests
{
    private static readonly EliminationFormula Shared = new();
    private static readonly EliminationFormula Bout = new() { ThirdPlace = ThirdPlace.Bout };

    [Fact]
    public void Without_a_result_everybody_is_still_in_by_seed() => Assert.Equal(
        [(1, 1, 4, true), (2, 2, 4, true), (3, 3, 4, true), (4, 4, 4, true)],
        Places(4).Select(p => (p.Place, p.Run.Seed, p.Run.Worst, p.Run.StillIn)));

    [Fact]
    public void Byes_are_in_the_next_table_already() =>
        Assert.Equal([(1, 4), (2, 4), (3, 4), (4, 8), (5, 8)], Places(5).Select(p => (p.Run.Seed, p.Run.Worst)));

    [Fact]
    public void With_every_result_winner_finalist_thirds_and_the_rest_have_their_places() => Assert.Equal(
        [(1, 5), (2, 3), (3, 1), (3, 2), (5, 4)],
        Places(5, Shared, (5, 4, 5), (5, 1, 5), (2, 3, 3), (3, 5, 5)).Select(p => (p.Place, p.Run.Seed)));

    [Fact]
    public void Results_come_in_any_order_and_either_way_round() => Assert.Equal(
        [(1, 5), (2, 3), (3, 1), (3, 2), (5, 4)],
        Places(5, Shared, (5, 3, 5), (1, 5, 5), (3, 2, 3), (4, 5, 5)).Select(p => (p.Place, p.Run.Seed)));

    [Fact]
    public void The_bout_for_third_decides_third_and_fourth()
    {
        var places = Places(4, Bout, (1, 4, 1), (2, 3, 2), (1, 2, 2), (3, 4, 4));
        Assert.Equal([(1, 2), (2, 1), (3, 4), (4, 3)], places.Select(p => (p.Place, p.Run.Seed)));
    }

    [Fact]
    public void While_it_is_not_fenced_the_better_seed_is_third()
    {
        var places = Places(4, Bout, (1, 4, 1), (2, 3, 2), (1, 2, 2));
        Assert.Equal([(1, 2), (2, 1), (3, 3), (4, 4)], places.Select(p => (p.Place, p.Run.Seed)));
    }

    [Theory]
    [InlineData(1, 4, 2, "results[1].winner")]
    [InlineData(3, 2, 3, "results[1]")]
    [InlineData(1, 2, 1, "results[1]")]
    [InlineData(1, 3, 1, "results[1]")]
    [InlineData(4, 4, 4, "results[1]")]
    [InlineData(1, 5, 1, "results[1]")]
    [InlineData(0, 1, 1, "results[1]")]
    public void A_result_that_cannot_be_is_named(int left, int right, int winner, string field)
    {
        var (places, refusal) = TableauPlaces.FromResults(4, [new(2, 3, 2), new(left, right, winner)], Shared);
        Assert.Empty(places);
        Assert.Equal((RefusalReason.InvalidValue, field), (refusal!.Reason, refusal.Field));
    }

    [Fact]
    public void A_bout_for_third_is_a_result_too_many_where_third_place_is_shared()
    {
        SeedResult[] results = [new(1, 4, 1), new(2, 3, 2), new(3, 4, 4)];
        Assert.Equal("results[2]", TableauPlaces.FromResults(4, results, Shared).Refusal!.Field);
        Assert.Null(TableauPlaces.FromResults(4, results, Bout).Refusal);
    }

    [Theory]
    [InlineData("", "1:1 2:2 3:3 4:3 5:5")]
    [InlineData("1", "2:1 3:2 4:2 5:4")]
    [InlineData("2", "1:1 3:2 4:2 5:4")]
    [InlineData("3", "1:1 2:2 4:3 5:4")]
    [InlineData("3 4", "1:1 2:2 5:3")]
    [InlineData("1 2", "3:1 4:1 5:3")]
    public void Who_is_struck_has_no_place_and_those_behind_move_up(string struck, string expected)
    {
        TableauRun[] runs = [new(1, 1, 1, false), new(2, 2, 2, false), new(3, 3, 4, false), new(4, 3, 4, false), new(5, 5, 8, false)];
        Assert.Equal(expected, Lines(TableauPlaces.Of(runs, struck.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(int.Parse).ToHashSet())));
    }

    [Fact]
    public void Of_a_final_that_nobody_wins_both_are_second_and_nobody_is_first()
    {
        TableauRun[] runs = [new(1, 2, 2, false), new(2, 2, 2, false), new(3, 3, 4, false), new(4, 3, 4, false), new(5, 5, 8, false)];
        Assert.Equal("1:2 2:2 3:3 4:3 5:5", Lines(TableauPlaces.Of(runs, new HashSet<int>())));
    }

    [Fact]
    public void Of_a_semi_final_that_nobody_wins_both_are_third_with_the_loser_of_the_other_and_nobody_is_second()
    {
        TableauRun[] runs = [new(2, 1, 1, false), new(1, 3, 4, false), new(3, 3, 4, false), new(4, 3, 4, false), new(5, 5, 8, false)];
        Assert.Equal("2:1 1:3 3:3 4:3 5:5", Lines(TableauPlaces.Of(runs, new HashSet<int>())));
    }

    [Fact]
    public void With_a_bout_for_third_the_two_of_such_a_semi_final_are_behind_the_third()
    {
        TableauRun[] runs = [new(2, 1, 1, false), new(3, 3, 3, false), new(1, 3, 4, false), new(4, 3, 4, false), new(5, 5, 8, false)];
        Assert.Equal("2:1 3:3 1:4 4:4 5:5", Lines(TableauPlaces.Of(runs, new HashSet<int>())));
    }

    private static string Lines(ImmutableArray<(int Place, TableauRun Run)> places) =>
        string.Join(' ', places.Select(p => $"{p.Run.Seed}:{p.Place}"));

    private static ImmutableArray<(int Place, TableauRun Run)> Places(int fencers) => Places(fencers, Shared);

    private static ImmutableArray<(int Place, TableauRun Run)> Places(
        int fencers, EliminationFormula formula, params (int Left, int Right, int Winner)[] results)
    {
        var (places, refusal) = TableauPlaces.FromResults(fencers, [.. results.Select(r => new SeedResult(r.Left, r.Right, r.Winner))], formula);
        Assert.Null(refusal);
        return places;
    }
}
