using Xunit;

namespace BoutDesk.Domain.Tests;

public class IdentifiersTests
{
    private static readonly string Competition = Identifiers.Competition("k7", 12);

    private static readonly string[] WithinCompetition =
    [
        Identifiers.Entrant(Competition, 1), Identifiers.Entrant(Competition, 11), Identifiers.Pool(Competition, 1, 11),
        Identifiers.Pool(Competition, 11, 1), Identifiers.PoolBout(Identifiers.Pool(Competition, 1, 1), 11),
        Identifiers.PoolBout(Identifiers.Pool(Competition, 1, 11), 1), Identifiers.TableauBout(Competition, 1, "t8b11"),
        Identifiers.TableauBout(Competition, 1, "t81b1"), Identifiers.TableauBout(Competition, 11, "t8b1"),
        Identifiers.TableauBout(Competition, 1, "f3t2b1"), Identifiers.EquipmentRecord(Identifiers.Entrant(Competition, 1)),
    ];

    [Fact]
    public void Everything_of_a_competition_tells_its_competition_and_tournament()
    {
        Assert.All(WithinCompetition, id => Assert.Equal(Competition, Identifiers.CompetitionOf(id)));
        Assert.All(WithinCompetition, id => Assert.Equal("k7", Identifiers.TournamentOf(id)));
    }

    [Fact]
    public void A_tournament_competition_strip_or_loan_kit_belongs_to_no_competition()
    {
        string[] ids = ["k7", Competition, Identifiers.Strip("k7", 3), Identifiers.LoanStore("k7"), Identifiers.LoanItem("k7", 12)];
        Assert.All(ids, id => Assert.Null(Identifiers.CompetitionOf(id)));
        Assert.All(ids, id => Assert.Equal("k7", Identifiers.TournamentOf(id)));
    }

    [Fact]
    public void No_two_things_have_one_identifier() =>
        Assert.Equal(WithinCompetition.Length, WithinCompetition.Append(Competition).Append(Identifiers.Strip("k7", 1)).Distinct().Count() - 2);

    [Fact]
    public void A_pool_bout_tells_its_pool_and_a_bout_of_a_tableau_none()
    {
        var pool = Identifiers.Pool(Competition, 3, 11);
        Assert.Equal(pool, Identifiers.PoolOf(Identifiers.PoolBout(pool, 2)));
        Assert.All(["t8b11", "f3t2b1", "r1t4b2"], key => Assert.Null(Identifiers.PoolOf(Identifiers.TableauBout(Competition, 1, key))));
        // The letters of a tournament are no part of what follows.
        Assert.Null(Identifiers.PoolOf(Identifiers.TableauBout("p7-1", 1, "t8b1")));
    }
}
