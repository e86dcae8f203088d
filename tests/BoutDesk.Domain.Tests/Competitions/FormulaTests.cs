using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

public class FormulaTests
{
    [Fact]
    public void By_default_it_is_one_round_of_pools_to_five_and_an_elimination_to_fifteen()
    {
        var formula = new Formula();
        Assert.Empty(formula.Problems());
        Assert.Equal(new BoutRules(Weapon.Sabre, 5, 1, 3), formula.Pools.BoutRules(Weapon.Sabre));
        Assert.Equal(new BoutRules(Weapon.Epee, 15, 3, 3), formula.Elimination.BoutRules(Weapon.Epee));
        Assert.Equal((7, 1, 0, ThirdPlace.Shared), (formula.Pools.Size, formula.Pools.Rounds, formula.Pools.Exempt, formula.Elimination.ThirdPlace));
        Assert.Equal([AffiliationKind.Club], formula.Pools.SeparateBy.AsEnumerable());
        Assert.Equal(31, formula.Pools.Promote.Of(31));
    }

    public static TheoryData<string, string> Wrong => new()
    {
        { "formula.pools.size", "size 2" }, { "formula.pools.size", "size 13" },
        { "formula.pools.touches", "no touches" }, { "formula.pools.touches", "46 touches" },
        { "formula.pools.minutes", "no minutes" },
        { "formula.pools.rounds", "-1 rounds" }, { "formula.pools.rounds", "6 rounds" },
        { "formula.pools.exempt", "-1 exempt" }, { "formula.pools.exempt", "exempt from nothing" },
        { "formula.pools.promote", "percent and count" }, { "formula.pools.promote.percent", "0 percent" },
        { "formula.pools.promote.percent", "101 percent" }, { "formula.pools.promote.count", "count 1" },
        { "formula.pools.separateBy", "clubs twice" },
        { "formula.elimination.touches", "elimination to 0" }, { "formula.elimination.periods", "no period" },
        { "formula.elimination.minutes", "16 minutes" }, { "formula.elimination.repechageFrom", "repechage from 12" },
        { "formula.elimination.repechageInto", "repechage into all" }, { "formula.elimination.repechageInto", "repechage into 3" },
        { "formula.elimination.fencedPlaces", "2 places" },
    };

    [Theory]
    [MemberData(nameof(Wrong))]
    public void What_is_wrong_is_said_by_field(string field, string what)
    {
        var good = new Formula();
        var formula = what switch
        {
            "size 2" => Pools(p => p with { Size = 2 }),
            "size 13" => Pools(p => p with { Size = 13 }),
            "no touches" => Pools(p => p with { Touches = 0 }),
            "46 touches" => Pools(p => p with { Touches = 46 }),
            "no minutes" => Pools(p => p with { Minutes = 0 }),
            "-1 rounds" => Pools(p => p with { Rounds = -1 }),
            "6 rounds" => Pools(p => p with { Rounds = 6 }),
            "-1 exempt" => Pools(p => p with { Exempt = -1 }),
            "exempt from nothing" => Pools(p => p with { Rounds = 0, Exempt = 1 }),
            "percent and count" => Pools(p => p with { Promote = new Promotion { Percent = 50, Count = 8 } }),
            "0 percent" => Pools(p => p with { Promote = new Promotion { Percent = 0 } }),
            "101 percent" => Pools(p => p with { Promote = new Promotion { Percent = 101 } }),
            "count 1" => Pools(p => p with { Promote = new Promotion { Count = 1 } }),
            "clubs twice" => Pools(p => p with { SeparateBy = [AffiliationKind.Club, AffiliationKind.Club] }),
            "elimination to 0" => Elimination(e => e with { Touches = 0 }),
            "no period" => Elimination(e => e with { Periods = 0 }),
            "16 minutes" => Elimination(e => e with { Minutes = 16 }),
            "repechage from 12" => Elimination(e => e with { RepechageFrom = 12 }),
            "repechage into all" => Elimination(e => e with { RepechageFrom = 8, RepechageInto = 8 }),
            "repechage into 3" => Elimination(e => e with { RepechageFrom = 8, RepechageInto = 3 }),
            _ => Elimination(e => e with { FencedPlaces = 2 }),
        };
        var problem = Assert.Single(formula.Problems());
        Assert.Equal((RefusalReason.InvalidValue, field), (problem.Reason, problem.Field));
        Expect.Invalid(field, EntryDecider.ChangeFormula(Of(3).Competition, formula));

        Formula Pools(Func<PoolFormula, PoolFormula> change) => good with { Pools = change(good.Pools) };
        Formula Elimination(Func<EliminationFormula, EliminationFormula> change) => good with { Elimination = change(good.Elimination) };
    }

    [Fact]
    public void Before_the_first_draw_everything_can_be_changed()
    {
        var day = Of(4);
        var other = new Formula { Pools = new PoolFormula { Size = 5 }, Elimination = new EliminationFormula { Touches = 10 } };
        Expect.Events(EntryDecider.ChangeFormula(day.Competition, other), new FormulaChanged(other));
        Assert.Equal(other, day.Keep(EntryDecider.ChangeFormula(day.Competition, other)).Competition.Formula);
    }

    [Fact]
    public void After_the_pools_are_drawn_the_elimination_can_still_be_changed()
    {
        var day = Of(4).DrawPools();
        var formula = day.Competition.Formula;
        var shorter = formula with { Elimination = new EliminationFormula { Touches = 10 } };
        day.Keep(EntryDecider.ChangeFormula(day.Competition, shorter));
        Refused(day, shorter with { Pools = formula.Pools with { Touches = 4 } });
        Refused(day, shorter with { Pools = formula.Pools with { SeparateBy = [] } });
        day.FenceAll().ClosePools().DrawTableau();
        Assert.All(day.Tableau.Values, b => Assert.Equal(10, b.Rules.Target));
        Refused(day, formula);
    }

    [Fact]
    public void Rounds_still_to_come_can_be_added_or_dropped_until_the_tableau_is_drawn()
    {
        var day = Of(4).DrawPools().FenceAll().ClosePools();
        var formula = day.Competition.Formula;
        Refused(day, Rounds(0));
        day.Keep(EntryDecider.ChangeFormula(day.Competition, Rounds(2))).DrawPools();
        Refused(day, Rounds(1));
        day.FenceAll().ClosePools().DrawTableau();
        Refused(day, Rounds(3));

        Formula Rounds(int rounds) => formula with { Pools = formula.Pools with { Rounds = rounds } };
    }

    [Fact]
    public void Once_a_tableau_is_drawn_without_pools_no_pools_are_added()
    {
        var day = Of(4, TableauTests.NoPools).DrawTableau();
        Refused(day, new Formula());
    }

    private static void Refused(CompetitionDay day, Formula formula) =>
        Expect.Refused(RefusalReason.EntriesClosed, EntryDecider.ChangeFormula(day.Competition, formula));

    [Theory]
    [InlineData(4)]
    [InlineData(1024)]
    public void The_smallest_and_the_largest_table_can_be_fenced_for_every_place(int places) =>
        Assert.Empty(new Formula { Elimination = new EliminationFormula { FencedPlaces = places } }.Problems());
}
