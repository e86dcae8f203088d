using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tournaments;
using Xunit;

namespace BoutDesk.Domain.Tests.Refereeing;

/// <summary>The list of the referees of a tournament.</summary>
public class RefereeTests
{
    private static readonly RefereeDetails Lind = Named("Lind", "Riverside");

    [Fact]
    public void A_list_is_numbered_on()
    {
        var tournament = After(Empty, RefereeDecider.List(Empty, [Lind]));
        var mora = Named("Mora", null);
        Expect.Events(RefereeDecider.List(tournament, [mora]), new RefereeListed("t-r2", mora));
        Assert.Equal(new Referee("t-r1", Lind, Away: false), tournament.Referee("t-r1"));
    }

    [Fact]
    public void One_person_stands_on_it_once()
    {
        var tournament = After(Empty, RefereeDecider.List(Empty, [Lind]));
        Assert.Equal(
            [(0, RefusalReason.AlreadyDone), (2, RefusalReason.AlreadyDone)],
            RefereeDecider.CheckReferees(tournament, [Named("LIND", "riverside"), Named("Lind", "Harbour"), Named("lind", "HARBOUR")]).Select(p => (p.Row, p.Problem.Reason)));
    }

    [Fact]
    public void What_is_wrong_with_a_referee_is_said_by_field()
    {
        var wrong = new RefereeDetails("", new string('x', 81), "a\tb", null, [], RefereeLevel.Club, 600, 500, [new HallSpan(700, 700), new HallSpan(-1, 1500)]);
        Assert.Equal(
            ["breaks", "breaks", "breaks", "club", "familyName", "givenName", "to", "weapons"],
            wrong.Problems().Select(p => p.Field!).Order(StringComparer.Ordinal));
        Assert.Equal(
            ["breaks"],
            (Lind with { Breaks = [.. Enumerable.Range(0, 11).Select(i => new HallSpan(i, i + 1))] }).Problems().Select(p => p.Field));
        Assert.Equal(["to"], (Lind with { To = 1441 }).Problems().Select(p => p.Field));
        Assert.Empty((Lind with { From = 0, To = 1440 }).Problems());
    }

    [Fact]
    public void A_correction_keeps_the_identifier_and_must_not_make_two_of_one()
    {
        var tournament = After(Empty, RefereeDecider.List(Empty, [Lind, Named("Mora", "Harbour")]));
        var first = tournament.Referee("t-r1")!;
        var national = Lind with { Level = RefereeLevel.National };
        Expect.Events(RefereeDecider.Correct(tournament, first, national), new RefereeCorrected("t-r1", national));
        Expect.Nothing(RefereeDecider.Correct(tournament, first, Lind with { Weapons = [.. Lind.Weapons] }));
        Expect.Refused(RefusalReason.AlreadyDone, RefereeDecider.Correct(tournament, first, Named("mora", "harbour")));
        Expect.Invalid("weapons", RefereeDecider.Correct(tournament, first, Lind with { Weapons = [] }));
    }

    [Fact]
    public void Away_and_back_once_more_change_nothing()
    {
        var tournament = After(Empty, RefereeDecider.List(Empty, [Lind]));
        Expect.Nothing(RefereeDecider.BringBack(tournament, tournament.Referee("t-r1")!));
        var without = After(tournament, RefereeDecider.SendAway(tournament, tournament.Referee("t-r1")!));
        Assert.True(without.Referee("t-r1")!.Away);
        Expect.Nothing(RefereeDecider.SendAway(without, without.Referee("t-r1")!));
        Assert.False(After(without, RefereeDecider.BringBack(without, without.Referee("t-r1")!)).Referee("t-r1")!.Away);
    }

    [Fact]
    public void A_tournament_lists_500_at_most()
    {
        RefereeDetails[] many = [.. Enumerable.Range(0, 501).Select(i => Named($"R{i}", null))];
        Expect.Refused(RefusalReason.InvalidValue, RefereeDecider.List(Empty, many));
        Assert.Equal(500, RefereeDecider.List(Empty, many[1..]).Facts.Length);
    }

    [Fact]
    public void Texts_are_trimmed_and_weapons_and_breaks_put_in_order()
    {
        var tidied = new RefereeDetails(
            " Lind ", " ", " ", null, [Weapon.Sabre, Weapon.Foil, Weapon.Sabre], RefereeLevel.Club, null, null, [new HallSpan(700, 710), new HallSpan(600, 610)]).Tidied();
        Assert.True(new RefereeDetails("Lind", "", null, null, [Weapon.Foil, Weapon.Sabre], RefereeLevel.Club, null, null, [new HallSpan(600, 610), new HallSpan(700, 710)]).SameAs(tidied));
    }

    [Theory]
    [InlineData(600, 660, true)]
    [InlineData(599, 660, false)]
    [InlineData(700, 781, false)]
    [InlineData(720, 780, true)]
    [InlineData(690, 700, true)]
    [InlineData(690, 701, false)]
    [InlineData(710, 720, false)]
    public void A_referee_is_there_from_to_and_not_in_a_break(int from, int to, bool there) => Assert.Equal(
        there, (Lind with { From = 600, To = 780, Breaks = [new HallSpan(700, 720)] }).IsThere(new HallSpan(from, to)));

    private static Tournament Empty => Tournament.Evolve(null, "t", new TournamentOpened("Spring cup", "Hall", new DateOnly(2027, 3, 14), "Europe/Vienna"));

    private static RefereeDetails Named(string family, string? club) => new(family, "", club, null, [Weapon.Foil], RefereeLevel.Club, null, null, []);

    private static Tournament After(Tournament tournament, Decision decision) =>
        Expect.Accepted(decision).Facts.Aggregate(tournament, (t, fact) => Tournament.Evolve(t, "t", (ITournamentEvent)fact.Event));
}
