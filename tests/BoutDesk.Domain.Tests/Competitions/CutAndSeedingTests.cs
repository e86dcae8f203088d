using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Who goes on of those tied at the cut, and which rounds seed the tableau.</summary>
public class CutAndSeedingTests
{
    private static readonly Formula TwoOfFour = new() { Pools = new PoolFormula { Promote = new Promotion { Count = 2 }, TiesAtCut = TiesAtCut.PromoteAll } };

    private static readonly Formula AllRounds = new() { Pools = new PoolFormula { Rounds = 2, SeedingBy = SeedingBy.AllRounds } };

    [Fact]
    public void All_tied_at_the_cut_go_on_whatever_the_lot()
    {
        for (var seed = 0; seed < 20; seed++)
        {
            var day = CycleOfThree(TwoOfFour).ClosePools(seed);
            Assert.Equal(3, day.Competition.Rounds[0].Closed!.Promoted);
            Assert.Equal([1, 2, 3], Numbers(day.Competition.Rounds[0].GoOn).Order());
        }
    }

    [Fact]
    public void By_lot_the_number_asked_for_goes_on()
    {
        var formula = TwoOfFour with { Pools = TwoOfFour.Pools with { TiesAtCut = TiesAtCut.Lot } };
        Assert.Equal(2, CycleOfThree(formula).ClosePools().Competition.Rounds[0].Closed!.Promoted);
        Assert.Equal(TiesAtCut.Lot, new PoolFormula().TiesAtCut);
    }

    [Fact]
    public void Those_tied_ahead_of_the_cut_do_not_widen_it()
    {
        var formula = TwoOfFour with { Pools = TwoOfFour.Pools with { Promote = new Promotion { Count = 3 } } };
        Assert.Equal(3, CycleOfThree(formula).ClosePools().Competition.Rounds[0].Closed!.Promoted);
    }

    [Fact]
    public void A_correction_that_ends_the_tie_sets_the_cut_anew()
    {
        var day = CycleOfThree(TwoOfFour).ClosePools();
        var third = N(day.Competition.Rounds[0].Closed!.Ranking[2].EntrantId);
        var asked = Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Correction(third, 4, 5, 2, later: null));
        Assert.Contains($"Fencer {third} does not go on.", Expect.Consequences(asked));
        day.Keep(day.Correction(third, 4, 5, 2, LaterDraws.Keep));
        Assert.Equal(2, day.Competition.Rounds[0].Closed!.Promoted);
        Assert.DoesNotContain(E(third), day.Competition.Rounds[0].GoOn);
    }

    [Fact]
    public void A_correction_that_makes_a_tie_lets_all_of_it_go_on()
    {
        var day = CycleOfThree(TwoOfFour, thirdAgainstLast: 2).ClosePools();
        Assert.Equal(2, day.Competition.Rounds[0].Closed!.Promoted);
        Assert.Contains("Fencer 3 goes on.", Expect.Consequences(Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Correction(3, 4, 5, 1, later: null))));
        day.Keep(day.Correction(3, 4, 5, 1, LaterDraws.Keep));
        Assert.Equal(3, day.Competition.Rounds[0].Closed!.Promoted);
    }

    [Fact]
    public void Seeded_by_all_rounds_victories_and_touches_of_both_count()
    {
        // First round: 1, 2, 3, 4 with 3, 2, 1 and 0 victories. Second: 4, 3, 2, 1 with 3, 2, 1 and 0.
        var day = Of(4, AllRounds).DrawPools()
            .Wins(1, 2, 5, 0).Wins(1, 3, 5, 0).Wins(1, 4, 5, 0).Wins(2, 3, 5, 3).Wins(2, 4, 5, 3).Wins(3, 4, 5, 3)
            .ClosePools().DrawPools()
            .Wins(4, 3, 5, 3).Wins(4, 2, 5, 3).Wins(4, 1, 5, 4).Wins(3, 2, 5, 3).Wins(3, 1, 5, 4).Wins(2, 1, 5, 4)
            .ClosePools();
        // Three victories each; indicators by hand: 1 has +15 -3, and 2, 3 and 4 have -1 -3, -5 +1 and -9 +5.
        Assert.Equal([4, 3, 2, 1], Numbers(day.Competition.Rounds[1].GoOn));
        Assert.Equal([1, 2, 3, 4], Numbers(day.DrawTableau(seed: 7).Competition.Tableau!.Seeds).Order());
        Assert.Equal(1, N(day.Competition.Tableau!.Seeds[0]));
        Assert.Equal(7, day.Competition.Tableau.DrawSeed);
        Assert.Equal((3, 6, 27, 15), Total(day, 1));
        Assert.Equal((3, 6, 21, 25), Total(day, 4));
    }

    [Fact]
    public void Equals_over_all_rounds_are_seeded_by_lot()
    {
        // In both rounds 1, 2 and 3 beat each other in turn, by the same scores.
        var day = CycleOfThree(AllRounds).ClosePools().DrawPools();
        Cycle(day, 1).ClosePools();
        var orders = Enumerable.Range(0, 60).Select(seed => string.Join(' ', Numbers(TableauDecider.Seeds(day.Competition, new(seed))))).ToArray();
        Assert.Equal(6, orders.Distinct().Count());
        Assert.All(orders, order => Assert.EndsWith(" 4", order, StringComparison.Ordinal));
    }

    [Fact]
    public void Whoever_is_exempt_is_ahead_and_whoever_was_cut_is_not_in_it()
    {
        var formula = AllRounds with { Pools = AllRounds.Pools with { Exempt = 1, Promote = new Promotion { Count = 3 } } };
        var day = Of(6, formula).DrawPools().FenceAll().ClosePools().DrawPools().FenceAll().ClosePools().DrawTableau();
        Assert.Equal([1, 2, 3, 4], Numbers(day.Competition.Tableau!.Seeds));
        Assert.Equal([5, 6], Numbers(day.FenceAll().Classification.Skip(4).Select(c => c.EntrantId)));
    }

    [Fact]
    public void A_single_round_seeds_by_itself_and_needs_no_lot()
    {
        var formula = AllRounds with { Pools = AllRounds.Pools with { Rounds = 1 } };
        var day = CycleOfThree(formula).ClosePools(seed: 3).DrawTableau();
        Assert.Equal(day.Competition.Rounds[0].GoOn.AsEnumerable(), day.Competition.Tableau!.Seeds);
        Assert.Null(day.Competition.Tableau.DrawSeed);
    }

    [Fact]
    public void A_correction_of_an_earlier_round_changes_the_seeds_and_says_so()
    {
        var day = Of(4, AllRounds).DrawPools().FenceAll().ClosePools().DrawPools().FenceAll().ClosePools();
        Assert.Equal(
            "The tableau will be seeded by this round too.",
            Expect.Consequences(Expect.Refused(RefusalReason.CorrectionHasConsequences, day.Correction(3, 1, 5, 0, later: null, round: 1)))[^1]);
        day.Keep(day.Correction(3, 1, 5, 0, LaterDraws.Keep, round: 1)).Keep(day.Correction(2, 1, 5, 0, LaterDraws.Keep, round: 1));
        // Victories are now 4, 5, 3 and 0.
        Assert.Equal([2, 1, 3, 4], Numbers(day.DrawTableau().Competition.Tableau!.Seeds));
    }

    [Fact]
    public void What_seeds_the_tableau_is_settled_until_it_is_drawn()
    {
        var day = Of(4, AllRounds).DrawPools().FenceAll().ClosePools().DrawPools().FenceAll().ClosePools();
        var byLast = AllRounds with { Pools = AllRounds.Pools with { SeedingBy = SeedingBy.LastRound } };
        day.Keep(EntryDecider.ChangeFormula(day.Competition, byLast)).DrawTableau();
        Expect.Refused(RefusalReason.EntriesClosed, EntryDecider.ChangeFormula(day.Competition, AllRounds));
        var cut = byLast with { Pools = byLast.Pools with { TiesAtCut = TiesAtCut.PromoteAll } };
        Expect.Refused(RefusalReason.EntriesClosed, EntryDecider.ChangeFormula(day.Competition, cut));
    }

    /// <summary>1, 2 and 3 beat each other in turn by one score; all of them beat 4.</summary>
    private static CompetitionDay CycleOfThree(Formula formula, int thirdAgainstLast = 1) => Cycle(Of(4, formula).DrawPools(), thirdAgainstLast);

    private static CompetitionDay Cycle(CompetitionDay day, int thirdAgainstLast) => day
        .Wins(1, 2, 5, 3).Wins(2, 3, 5, 3).Wins(3, 1, 5, 3).Wins(1, 4, 5, 1).Wins(2, 4, 5, 1).Wins(3, 4, 5, thirdAgainstLast);

    private static (int, int, int, int) Total(CompetitionDay day, int number)
    {
        var (victories, bouts, scored, received) = TableauDecider.OverAllRounds(day.Competition)[E(number)];
        return (victories, bouts, scored, received);
    }

    [Fact]
    public void Where_nobody_is_cut_there_is_no_tie_at_the_cut()
    {
        var formula = new Formula { Pools = new PoolFormula { TiesAtCut = TiesAtCut.PromoteAll } };
        Assert.Equal(4, CycleOfThree(formula).ClosePools().Competition.Rounds[0].Closed!.Promoted);
    }
}
