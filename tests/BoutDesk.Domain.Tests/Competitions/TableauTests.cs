using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Drawing the tableau, and the way of the winners through it.</summary>
public class TableauTests
{
    internal static readonly Formula NoPools = new() { Pools = new PoolFormula { Rounds = 0 } };

    internal static readonly Formula BoutForThird = NoPools with { Elimination = new EliminationFormula { ThirdPlace = ThirdPlace.Bout } };

    [Fact]
    public void It_is_seeded_by_the_ranking_of_the_pools()
    {
        var day = Of(4).DrawPools()
            .Wins(4, 1, 5, 0).Wins(4, 2, 5, 0).Wins(4, 3, 5, 0).Wins(3, 1, 5, 0).Wins(3, 2, 5, 0).Wins(2, 1, 5, 0)
            .ClosePools().DrawTableau();
        Assert.Equal([4, 3, 2, 1], Numbers(day.Competition.Tableau!.Seeds));
        Assert.Null(day.Competition.Tableau.DrawSeed);
        Assert.Equal(Stage.Elimination, day.Competition.Stage);
    }

    [Fact]
    public void Only_those_who_go_on_are_seeded_behind_the_exempt()
    {
        var formula = new Formula { Pools = new PoolFormula { Exempt = 2, Promote = new Promotion { Count = 3 } } };
        var day = Of(7, formula).DrawPools().FenceAll().ClosePools().DrawTableau();
        Assert.Equal([1, 2, 3, 4, 5], Numbers(day.Competition.Tableau!.Seeds));
    }

    [Fact]
    public void Without_pools_it_is_drawn_from_the_initial_seeding_and_the_lot_is_kept()
    {
        var orders = Enumerable.Range(0, 60).Select(seed => Draw(seed)).ToArray();
        Assert.All(orders, drawn => Assert.Equal([3, 1], Numbers(drawn.Seeds)[..2]));
        Assert.Equal(2, orders.Select(d => string.Join(' ', d.Seeds)).Distinct().Count());
        Assert.Equal(Enumerable.Range(0, 60).Select(s => (long?)s), orders.Select(d => d.DrawSeed));
        Assert.Equal(orders.Select(d => string.Join(' ', d.Seeds)), Enumerable.Range(0, 60).Select(seed => string.Join(' ', Draw(seed).Seeds)));

        static TableauDrawn Draw(long seed) => Ranked([2, 8, 1, 8], NoPools).DrawTableau(seed).Competition.Tableau!;
    }

    [Fact]
    public void Without_pools_check_in_comes_first_too()
    {
        var day = Of(4, NoPools).ChecksIn(1, 2, 3);
        Assert.Equal(E(4), Assert.Single(Expect.Refused(RefusalReason.CheckInOpen, day.TableauDraw()).Concerns));
        Assert.Equal([1, 2, 3], Numbers(day.Leaves(4, Leaving.Absent).DrawTableau().Competition.Tableau!.Seeds));
    }

    [Fact]
    public void It_waits_for_the_pools_is_drawn_once_and_needs_two()
    {
        var day = Of(3);
        Expect.Refused(RefusalReason.StepMissing, day.TableauDraw());
        day.DrawPools().FenceAll();
        Expect.Refused(RefusalReason.StepMissing, day.TableauDraw());
        day.ClosePools().DrawTableau();
        Expect.Refused(RefusalReason.AlreadyDone, day.TableauDraw());
        Expect.Refused(RefusalReason.TooFewFencers, Of(1, NoPools).TableauDraw());
        Expect.Refused(RefusalReason.TooFewFencers, Of(2, NoPools).Leaves(2).TableauDraw());
    }

    [Fact]
    public void Bouts_are_fenced_by_the_elimination_part_of_the_formula()
    {
        var formula = NoPools with { Elimination = new EliminationFormula { Touches = 10, Periods = 2, Minutes = 4 } };
        var day = Of(4, formula, Weapon.Sabre).DrawTableau();
        Assert.All(day.Tableau.Values, b => Assert.Equal(new BoutRules(Weapon.Sabre, 10, 2, 4), b.Rules));
        Assert.All(day.Tableau.Values, b => Assert.Equal((null, null), (b.PoolId, b.Round)));
    }

    [Fact]
    public void A_table_of_eight_is_put_on_the_programme_in_its_printed_order()
    {
        var day = Of(8, NoPools).DrawTableau();
        Assert.Equal([(1, 8), (5, 4), (3, 6), (7, 2)], Seated(day, tableOf: 8));
        Assert.Equal(7, day.Tableau.Count);
        Assert.All(day.Tableau.Values.Where(b => b.TableOf < 8), b => Assert.Equal(BoutStatus.Waiting, b.Status));
    }

    [Fact]
    public void A_bye_is_decided_at_once_and_its_fencer_seated_in_the_next_bout()
    {
        var day = Of(5, NoPools).DrawTableau();
        Assert.Equal([(1, null), (5, 4), (3, null), (2, null)], Seated(day, tableOf: 8));
        Assert.Equal([(1, null), (3, 2)], Seated(day, tableOf: 4));
        Assert.Equal([BoutStatus.Decided, BoutStatus.Open, BoutStatus.Decided, BoutStatus.Decided], Statuses(day, 8));
        Assert.Equal([BoutStatus.Waiting, BoutStatus.Open], Statuses(day, 4));
        Assert.Equal([BoutStatus.Waiting], Statuses(day, 2));
    }

    [Fact]
    public void A_winner_is_seated_in_the_next_bout_by_the_last_touch_or_by_the_result()
    {
        var day = Of(4, NoPools with { Elimination = new EliminationFormula { Touches = 2 } }).DrawTableau();
        day.Wins(1, 4, 2, 1);
        Assert.Equal([(1, null)], Seated(day, tableOf: 2));
        var semi = day.Between(2, 3);
        var touch = semi.SideOf(E(3)) == Side.Left ? TouchSide.Left : TouchSide.Right;
        day.Keep(day.After(BoutDecider.ScoreTouch(day.Between(2, 3), touch, null)));
        Assert.Equal([(1, null)], Seated(day, tableOf: 2));
        day.Keep(day.After(BoutDecider.ScoreTouch(day.Between(2, 3), touch, null)));
        Assert.Equal([(1, 3)], Seated(day, tableOf: 2));
    }

    [Fact]
    public void With_a_bout_for_third_the_losers_of_the_semi_finals_meet()
    {
        var day = Of(4, BoutForThird).DrawTableau().Wins(1, 4, 15, 7);
        var third = day.Tableau[Identifiers.TableauBout(Id, 1, "f3t2b1")];
        Assert.Equal((E(4), null), (third.Left.EntrantId, third.Right.EntrantId));
        day.Wins(3, 2, 15, 14);
        Assert.Equal(BoutStatus.Open, day.Between(4, 2).Status);
        Assert.Equal((TableauPart.Places, 3), (day.Between(4, 2).Stage!.Part, day.Between(4, 2).Stage!.FromPlace));
        Assert.Equal((TableauPart.Main, 1), (day.Between(1, 3).Stage!.Part, day.Between(1, 3).Stage!.FromPlace));
    }

    [Fact]
    public void With_three_fencers_the_bout_for_third_is_decided_without_fencing()
    {
        var day = Of(3, BoutForThird).DrawTableau().FenceAll();
        Assert.All(day.Tableau.Values, b => Assert.Equal(BoutStatus.Decided, b.Status));
        Assert.Equal([1, 2, 3], day.Classification.Select(c => c.Place));
    }

    [Fact]
    public void With_two_fencers_there_is_a_final_and_no_bout_for_third() =>
        Assert.Single(Of(2, BoutForThird).DrawTableau().Tableau);

    [Fact]
    public void It_can_be_scrapped_until_a_bout_has_begun_and_a_new_one_takes_no_old_identifier()
    {
        var day = Of(5, NoPools).DrawTableau();
        string[] before = [.. day.Tableau.Keys];
        day.Keep(Scrap(day));
        Assert.Equal(Stage.Entries, day.Competition.Stage);
        Assert.Empty(day.Tableau);
        Assert.All(before, id => Assert.Equal(BoutStatus.Annulled, day.Bouts[id].Status));
        day.DrawTableau();
        Assert.Empty(before.Intersect(day.Tableau.Keys));
        day.Wins(4, 5, 15, 1);
        Assert.Equal(day.Between(4, 5).Id, Assert.Single(Expect.Refused(RefusalReason.BoutsBegun, Scrap(day)).Concerns));
        Expect.Refused(RefusalReason.StepMissing, Scrap(Of(5)));
    }

    [Fact]
    public void Who_leaves_after_a_scrapped_draw_is_not_drawn_again()
    {
        var day = Of(5, NoPools).DrawTableau().Leaves(1);
        day.Keep(Scrap(day)).DrawTableau();
        Assert.Equal([2, 3, 4, 5], Numbers(day.Competition.Tableau!.Seeds));
    }

    private static Decision Scrap(CompetitionDay day) => TableauDecider.Scrap(day.Competition, "wrong list", [.. day.Tableau.Values]);

    private static IEnumerable<BoutStatus> Statuses(CompetitionDay day, int tableOf) =>
        day.Tableau.Values.Where(b => b.TableOf == tableOf).OrderBy(b => b.Order).Select(b => b.Status);

    private static IEnumerable<(int?, int?)> Seated(CompetitionDay day, int tableOf)
    {
        return day.Tableau.Values.Where(b => b.TableOf == tableOf).OrderBy(b => b.Order)
            .Select(b => (Number(b.Left), Number(b.Right)));

        static int? Number(Seat seat) => seat.EntrantId is { } id ? N(id) : null;
    }
}
