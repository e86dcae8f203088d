using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Several pool rounds: each is drawn from the ranking of the one before.</summary>
public class SeveralRoundsTests
{
    private static readonly Formula TwoRounds = new() { Pools = new PoolFormula { Rounds = 2, Promote = new Promotion { Count = 4 } } };

    [Fact]
    public void The_second_round_is_drawn_from_those_who_go_on_in_the_order_of_the_ranking()
    {
        // Entered unranked, so that only the first round can give this order.
        var day = Ranked(new int?[6], TwoRounds).DrawPools().FenceAll().ClosePools().DrawPools();
        Assert.Equal(2, day.Competition.Rounds[1].Number);
        Assert.Equal([1, 2, 3, 4], Numbers(day.Competition.Rounds[1].Drawn.Seeding));
        Assert.Equal(6, day.InPlay.Count);
        Assert.All(day.InPlay.Values, b => Assert.Equal(2, b.Round));
    }

    [Fact]
    public void The_tableau_waits_for_every_round_and_is_seeded_by_the_last()
    {
        var day = Of(6, TwoRounds);
        Expect.Refused(RefusalReason.StepMissing, day.TableauDraw());
        day.DrawPools();
        Expect.Refused(RefusalReason.StepMissing, day.TableauDraw());
        day.FenceAll().ClosePools();
        Expect.Refused(RefusalReason.StepMissing, day.TableauDraw());
        day.DrawPools()
            .Wins(4, 1, 5, 0).Wins(4, 2, 5, 0).Wins(4, 3, 5, 0).Wins(3, 1, 5, 0).Wins(3, 2, 5, 0).Wins(2, 1, 5, 0)
            .ClosePools().DrawTableau();
        Assert.Equal([4, 3, 2, 1], Numbers(day.Competition.Tableau!.Seeds));
    }

    [Fact]
    public void Who_is_exempt_skips_every_round_and_stays_ahead()
    {
        var formula = TwoRounds with { Pools = TwoRounds.Pools with { Exempt = 1 } };
        var day = Of(7, formula).DrawPools().FenceAll().ClosePools().DrawPools();
        Assert.Equal([1], Numbers(day.Competition.Rounds[1].Drawn.Exempt));
        Assert.Equal([2, 3, 4, 5], Numbers(day.Competition.Rounds[1].Drawn.Seeding));
        Assert.Equal([1, 2, 3, 4, 5], Numbers(day.FenceAll().ClosePools().DrawTableau().Competition.Tableau!.Seeds));
    }

    [Fact]
    public void Who_leaves_between_the_rounds_is_not_drawn_and_keeps_his_rank()
    {
        var day = Of(6, TwoRounds).DrawPools().FenceAll().ClosePools().Leaves(2).DrawPools();
        Assert.Equal([1, 3, 4], Numbers(day.Competition.Rounds[1].Drawn.Seeding));
        day.FenceAll().ClosePools();
        Assert.Equal([1, 3, 4, 2, 5, 6], Numbers(day.Classification.Select(c => c.EntrantId)));
    }

    [Fact]
    public void An_exempt_fencer_who_leaves_is_no_longer_ahead_in_the_next_round()
    {
        var formula = TwoRounds with { Pools = TwoRounds.Pools with { Exempt = 2 } };
        var day = Of(8, formula).DrawPools().FenceAll().ClosePools().Leaves(1).DrawPools();
        Assert.Equal([2], Numbers(day.Competition.Rounds[1].Drawn.Exempt));
        Assert.Equal([3, 4, 5, 6], Numbers(day.Competition.Rounds[1].Drawn.Seeding));
    }

    [Fact]
    public void Those_cut_later_are_placed_ahead_of_those_cut_earlier()
    {
        var formula = new Formula { Pools = new PoolFormula { Rounds = 2, Promote = new Promotion { Percent = 50 } } };
        var day = Of(8, formula).DrawPools(count: 1).FenceAll().ClosePools().DrawPools().FenceAll().ClosePools().DrawTableau().FenceAll();
        Assert.Equal([1, 2, 3, 4, 5, 6, 7, 8], Numbers(day.Classification.Select(c => c.EntrantId)));
        Assert.Equal([null, null, 2, 2, 1, 1, 1, 1], day.Classification.Select(c => c.Round));
        Assert.Equal([1, 2, null, null, null, null, null, null], day.Classification.Select(c => c.Table));
    }

    [Fact]
    public void The_second_round_is_scrapped_and_drawn_anew()
    {
        var day = Of(6, TwoRounds).DrawPools().FenceAll().ClosePools().DrawPools();
        string[] before = [.. day.InPlay.Keys];
        day.Keep(PoolRoundDecider.Scrap(day.Competition, 2, "wrong strips", [.. day.InPlay.Values]));
        Assert.Single(day.Competition.Rounds);
        Assert.NotNull(day.Competition.Rounds[0].Closed);
        day.DrawPools();
        Assert.Equal(2, day.Competition.Rounds[1].Number);
        Assert.Equal(3, day.Competition.Rounds[1].Drawn.Draw);
        Assert.Empty(before.Intersect(day.InPlay.Keys));
    }

    [Fact]
    public void When_too_few_are_left_for_the_next_round_the_formula_is_cut_down_to_the_rounds_fenced()
    {
        var day = Of(6, TwoRounds).DrawPools().FenceAll().ClosePools().Leaves(1).Leaves(2);
        Expect.Refused(RefusalReason.TooFewFencers, day.PoolDraw());
        Expect.Refused(RefusalReason.StepMissing, day.TableauDraw());
        var formula = day.Competition.Formula;
        day.Keep(EntryDecider.ChangeFormula(day.Competition, formula with { Pools = formula.Pools with { Rounds = 1 } }));
        Assert.Equal([3, 4], Numbers(day.DrawTableau().Competition.Tableau!.Seeds));
    }
}
