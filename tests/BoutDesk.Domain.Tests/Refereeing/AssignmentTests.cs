using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;
using Xunit;

namespace BoutDesk.Domain.Tests.Refereeing;

/// <summary>Who is assigned what, by cases of two or three referees.</summary>
public class AssignmentTests
{
    private static readonly AssignmentRules AnyLevel = new(RefereeLevel.Club, CountriesApart: false);

    [Fact]
    public void Nobody_referees_his_own_club_though_the_other_has_done_more()
    {
        var assigned = Assign([Pool(1, clubs: "Riverside")], [Who(1, club: "RIVERSIDE"), Who(2, club: "Harbour", load: 63)]);
        Assert.Equal([("p1", "t-r2")], assigned.Covered.AsEnumerable());
    }

    [Fact]
    public void Who_can_take_only_one_of_two_pools_gets_that_one() => Assert.Equal(
        [("p1", "t-r2"), ("p2", "t-r1")],
        Assign([Pool(1), Pool(2, clubs: "Harbour")], [Who(1, club: "Riverside"), Who(2, club: "Harbour")]).Covered.AsEnumerable());

    [Fact]
    public void Pools_of_one_turn_have_different_referees_and_those_of_another_the_same_ones()
    {
        ImmutableArray<Duty> pools = [Pool(1), Pool(2), Pool(3, turn: 1), Pool(4, turn: 1)];
        Assert.Equal(4, Assign(pools, [Who(1), Who(2)]).Covered.Length);
        var alone = Assign(pools, [Who(1)]);
        Assert.Equal(2, alone.Covered.Length);
        Assert.Equal([UncoveredReason.NeededElsewhere, UncoveredReason.NeededElsewhere], alone.Uncovered.Select(u => u.Reason));
        Assert.Equal(3, Assign(pools, [Who(1) with { Flights = [0] }, Who(2)]).Covered.Length);
    }

    [Fact]
    public void Of_equals_the_one_with_less_to_do_is_asked()
    {
        Assert.Equal("t-r2", Single(Assign([Pool(1)], [Who(1, load: 21), Who(2)])));
        // Three turns and two referees: nobody gets all three.
        var turns = Assign([Pool(1), Pool(2, turn: 1), Pool(3, turn: 2)], [Who(1), Who(2)]).Covered;
        Assert.Equal([1, 2], turns.CountBy(c => c.RefereeId).Select(n => n.Value).Order());
    }

    [Fact]
    public void High_levels_are_kept_for_later_and_asked_when_they_are_wanted()
    {
        ImmutableArray<Candidate> both = [Who(1, level: RefereeLevel.International), Who(2, level: RefereeLevel.Regional)];
        Assert.Equal("t-r2", Single(Assign([Pool(1)], both)));
        Assert.Equal("t-r1", Single(Assign([Pool(1) with { Wanted = RefereeLevel.International }], both)));
    }

    [Fact]
    public void Who_has_refereed_two_in_a_row_rests_if_somebody_else_can()
    {
        Assert.Equal("t-r2", Single(Assign([Pool(1)], [Who(1) with { InARow = 2 }, Who(2, load: 21)])));
        Assert.Equal("t-r1", Single(Assign([Pool(1)], [Who(1) with { InARow = 1 }, Who(2, load: 21)])));
        Assert.Equal("t-r1", Single(Assign([Pool(1)], [Who(1) with { InARow = 4 }])));
    }

    [Fact]
    public void The_own_country_is_avoided_and_kept_apart_where_the_pools_are_drawn_so()
    {
        ImmutableArray<Candidate> both = [Who(1, country: "AUT"), Who(2, country: "ITA", load: 42)];
        var pool = Pool(1) with { Countries = ["AUT"] };
        Assert.Equal("t-r2", Single(Assign([pool], both)));
        Assert.Equal("t-r1", Single(Assign([pool], both[..1])));
        var apart = RefereeAssignment.Assign([pool], both[..1], AnyLevel with { CountriesApart = true });
        Assert.Equal(UncoveredReason.OwnCountry, Assert.Single(apart.Uncovered).Reason);
        Assert.Equal([new Relaxation("t-r1", Bars.OwnCountry)], apart.Uncovered[0].Relaxations.AsEnumerable());
    }

    [Fact]
    public void Why_nobody_is_found_is_said()
    {
        var sabre = Pool(1, clubs: "Harbour") with { Weapon = Weapon.Sabre };
        Says(UncoveredReason.NobodyListed, "No referee is listed.", [sabre], []);
        Says(UncoveredReason.NobodyFree, "Nobody who is listed is there and free.", [sabre], [Away(Who(1)), Who(2) with { Fencing = true }, Who(3) with { Elsewhere = true }]);
        Says(UncoveredReason.Weapon, "Nobody who is free referees sabre.", [sabre], [Who(1)]);
        Says(UncoveredReason.Weapon, "Nobody who is free referees épée.", [Pool(1) with { Weapon = Weapon.Epee }], [Who(1)]);
        Says(UncoveredReason.OwnClub, "All who are free belong to clubs of its fencers: Harbour.", [Pool(1, clubs: "Harbour")], [Who(1, club: "Harbour"), Who(2, club: "Harbour")]);
        Says(UncoveredReason.NeededElsewhere, "All who could take it are needed elsewhere at the same time; so many could: 1.", [Pool(1), Pool(2)], [Who(1)]);
        var strict = RefereeAssignment.Assign([Pool(1)], [Who(1)], AnyLevel with { LeastLevel = RefereeLevel.National });
        Assert.Equal(UncoveredReason.Level, Assert.Single(strict.Uncovered).Reason);
    }

    [Fact]
    public void Who_could_help_if_one_rule_were_let_go_is_named_the_least_rule_first()
    {
        var uncovered = Assert.Single(RefereeAssignment.Assign(
            [Pool(1, clubs: "Harbour") with { When = new HallSpan(600, 660) }],
            [Who(1, club: "Harbour", level: RefereeLevel.National), Away(Who(2, level: RefereeLevel.National)), Who(3), Who(4, level: RefereeLevel.National) with { Fencing = true }, Who(5, club: "Harbour")],
            AnyLevel with { LeastLevel = RefereeLevel.National }).Uncovered);
        Assert.Equal([new Relaxation("t-r3", Bars.Level), new Relaxation("t-r2", Bars.Away), new Relaxation("t-r1", Bars.OwnClub)], uncovered.Relaxations.AsEnumerable());
    }

    [Fact]
    public void Hours_and_breaks_count_where_the_time_is_known()
    {
        var lunch = Who(1) with { Referee = Who(1).Referee with { Details = Who(1).Referee.Details with { Breaks = [new HallSpan(720, 780)] } } };
        Assert.Single(Assign([Pool(1)], [lunch]).Covered);
        Assert.Single(Assign([Pool(1) with { When = new HallSpan(780, 840) }], [lunch]).Covered);
        Assert.Empty(Assign([Pool(1) with { When = new HallSpan(700, 760) }], [lunch]).Covered);
    }

    [Fact]
    public void More_than_a_thousand_duties_or_five_hundred_referees_are_not_taken()
    {
        Assert.Throws<ArgumentException>(() => Assign([.. Enumerable.Range(0, 1001).Select(i => Pool(i))], []));
        Assert.Throws<ArgumentException>(() => Assign([], [.. Enumerable.Range(0, 501).Select(i => Who(i))]));
        Assert.Empty(Assign([], [Who(1)]).Covered);
    }

    private static AssignedDuties Assign(ImmutableArray<Duty> duties, ImmutableArray<Candidate> candidates) =>
        RefereeAssignment.Assign(duties, candidates, AnyLevel);

    private static string Single(AssignedDuties assigned) => Assert.Single(assigned.Covered).RefereeId;

    private static void Says(UncoveredReason reason, string sentence, ImmutableArray<Duty> duties, ImmutableArray<Candidate> candidates)
    {
        var uncovered = Assert.Single(Assign(duties, candidates).Uncovered);
        Assert.Equal((reason, sentence), (uncovered.Reason, FormattableString.Invariant(uncovered.Why)));
    }

    private static Duty Pool(int number, int turn = 0, params string[] clubs) =>
        new($"p{number}", Weapon.Foil, [.. clubs], [], 21, turn, RefereeLevel.Club, null);

    private static Candidate Who(int number, string? club = null, string? country = null, RefereeLevel level = RefereeLevel.Club, int load = 0) => new(
        new Referee($"t-r{number}", new RefereeDetails($"Referee {number}", "", club, country, [Weapon.Foil], level, null, null, []), Away: false), load, 0, Fencing: false, Elsewhere: false, []);

    private static Candidate Away(Candidate candidate) => candidate with { Referee = candidate.Referee with { Away = true } };
}
