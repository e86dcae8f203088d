using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Xunit;
using static BoutDesk.Domain.Competitions.LeavingRule;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Who leaves, at every stage, in every way, under the settings that matter: what follows, and the way back.</summary>
public class LeavingRulesTests
{
    private static readonly Formula Plain = new();
    private static readonly Formula TwoRounds = new() { Pools = new PoolFormula { Rounds = 2, Promote = new Promotion { Count = 4 } } };
    private static readonly Formula OneExempt = new() { Pools = new PoolFormula { Exempt = 1, Promote = new Promotion { Count = 4 } } };
    private static readonly Formula NoPools = new() { Pools = new PoolFormula { Rounds = 0 } };

    private static readonly Formula Third = NoPools with { Elimination = new EliminationFormula { ThirdPlace = ThirdPlace.Bout } };
    private static readonly Formula Repechage = NoPools with { Elimination = new EliminationFormula { RepechageFrom = 8, RepechageInto = 4 } };
    private static readonly Formula EveryPlace = NoPools with { Elimination = new EliminationFormula { FencedPlaces = 1024, ThirdPlace = ThirdPlace.Bout } };

    /// <summary>A stage with the number of the fencer who leaves, and what follows if he is not excluded.</summary>
    private static readonly Dictionary<string, (Func<CompetitionDay> Day, int Leaver, LeavingRule[] Rules)> Stages = new()
    {
        ["before the draw"] = (() => Of(6, Plain), 2, [NotDrawn]),
        ["drawn, nothing fenced"] = (() => Of(6, Plain).DrawPools(), 2, [PoolBoutsAnnulled, NoRankWithoutARound]),
        ["a pool half fenced"] = (() => Of(4, Plain).DrawPools().Wins(1, 2, 5, 3).Wins(3, 4, 5, 1), 2, [PoolBoutsAnnulled, NoRankWithoutARound]),
        ["a pool fenced to the end"] = (() => Of(4, Plain).DrawPools().FenceAll(), 2, [PoolBoutsAnnulled, NoRankWithoutARound]),
        ["exempt, during the pools"] = (() => Of(6, OneExempt).DrawPools(), 1, [ExemptAheadOfTheCut]),
        ["exempt, before the tableau"] = (() => Of(6, OneExempt).DrawPools().FenceAll().ClosePools(), 1, [ExemptAheadOfTheCut]),
        ["between two rounds"] = (() => Of(6, TwoRounds).DrawPools().FenceAll().ClosePools(), 2, [RankKept]),
        ["in the second round"] = (() => Of(6, TwoRounds).DrawPools().FenceAll().ClosePools().DrawPools(), 2, [PoolBoutsAnnulled, RankOfTheRoundBefore]),
        ["cut, during the second round"] = (() => Of(6, TwoRounds).DrawPools().FenceAll().ClosePools().DrawPools(), 6, [RankKept]),
        ["between pools and tableau"] = (() => Of(6, Plain).DrawPools().FenceAll().ClosePools(), 2, [RankKept]),
        ["tableau drawn"] = (() => Of(8, NoPools).DrawTableau(), 1, [OpponentGoesOn, PlaceKept]),
        ["in a bout"] = (() => Touched(Of(8, NoPools).DrawTableau(), 1, 8), 1, [OpponentGoesOn, PlaceKept]),
        ["waiting for the opponent"] = (() => Of(8, NoPools).DrawTableau().Wins(1, 8, 15, 3), 1, [OpponentGoesOn, PlaceKept]),
        ["beaten"] = (() => Of(8, NoPools).DrawTableau().Wins(8, 1, 15, 3), 1, [PlaceKept]),
        ["beaten, with a bout for third to fence"] = (() => Of(4, Third).DrawTableau().Wins(4, 1, 15, 3), 1, [OpponentGoesOn, PlaceKept]),
        ["beaten, in the repechage"] = (() => Of(8, Repechage).DrawTableau().Wins(8, 1, 15, 3).Wins(4, 5, 15, 3), 1, [OpponentGoesOn, PlaceKept]),
        ["beaten, every place fenced"] = (() => Of(8, EveryPlace).DrawTableau().Wins(8, 1, 15, 3), 1, [OpponentGoesOn, PlaceKept]),
        ["a finalist"] = (() => Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3), 1, [OpponentGoesOn, PlaceKept]),
        ["all is fenced"] = (() => Of(4, NoPools).DrawTableau().FenceAll(), 1, [PlaceKept]),
    };

    public static TheoryData<string, Leaving> Cases
    {
        get
        {
            var cases = new TheoryData<string, Leaving>();
            foreach (var stage in Stages.Keys)
            {
                foreach (var leaving in Enum.GetValues<Leaving>())
                {
                    cases.Add(stage, leaving);
                }
            }

            return cases;
        }
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void What_follows_is_named_by_its_rule_and_taken_back_when_the_fencer_comes_back(string stage, Leaving leaving)
    {
        var (begin, leaver, rules) = Stages[stage];
        var day = begin();
        var before = Lines(day);

        var decision = Expect.Accepted(day.Leaving(leaver, leaving));
        var consequences = LeavingConsequences.Of(day.Competition, E(leaver), decision);
        Assert.Equal(leaving == Leaving.Excluded ? [.. rules[..^1], ExcludedHasNoPlace] : rules, consequences.Select(c => c.Rule).Distinct());
        Assert.All(consequences, c => Assert.EndsWith(".", FormattableString.Invariant(c.What), StringComparison.Ordinal));

        day.Keep(decision);
        Assert.NotEqual(before, Lines(day));
        Expect.Nothing(day.Leaving(leaver, leaving));
        Assert.Empty(LeavingConsequences.Of(day.Competition, E(leaver), day.Leaving(leaver, leaving)));
        Assert.Equal(before, Lines(day.Returns(leaver)));
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void The_place_is_the_one_that_was_named(string stage, Leaving leaving)
    {
        var (begin, leaver, rules) = Stages[stage];
        var day = begin().Leaves(leaver, leaving);
        if (day.Competition.Stage == Stage.Entries && leaving == Leaving.Absent)
        {
            // Who is marked absent tells that there is a check-in.
            day.ChecksIn([.. Numbers(day.Competition.Entrants.Select(e => e.Id)).Where(n => n != leaver)]);
        }

        while (day.Competition.Tableau is null)
        {
            if (day.Competition.OpenRound is not null)
            {
                day.FenceAll().ClosePools();
            }
            else if (day.Competition.Rounds.Length < day.Competition.Formula.Pools.Rounds)
            {
                day.DrawPools();
            }
            else
            {
                day.DrawTableau();
            }
        }

        day.FenceAll();
        Assert.True(Classification.IsFinal(day.Competition, [.. day.Tableau.Values]));
        var line = day.Classification.SingleOrDefault(c => c.EntrantId == E(leaver));
        if (leaving == Leaving.Excluded || rules[^1] is NotDrawn or NoRankWithoutARound)
        {
            Assert.Null(line);
            return;
        }

        Assert.NotNull(line);
        Assert.Equal(rules[^1] == PlaceKept, line.Table is not null);
        if (rules[^1] != PlaceKept)
        {
            Assert.All(day.Competition.Tableau!.Seeds, id => Assert.True(day.Classification.Single(c => c.EntrantId == id).Place < line.Place));
        }

        if (rules[^1] == RankOfTheRoundBefore)
        {
            Assert.Equal(1, line.Round);
        }
    }

    [Fact]
    public void Both_fencers_of_a_final_are_excluded_and_those_of_the_semi_finals_move_up()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3);
        day.Keep(day.BlackCard(1, opponent: 2)).Leaves(2, Leaving.Excluded);
        Assert.True(Classification.IsFinal(day.Competition, [.. day.Tableau.Values]));
        Assert.Equal([(1, 3), (1, 4)], day.Classification.Select(c => (c.Place, N(c.EntrantId))));
    }

    [Fact]
    public void Both_fencers_of_a_semi_final_are_excluded_and_the_other_finalist_wins()
    {
        var day = Of(4, NoPools).DrawTableau();
        day.Keep(day.BlackCard(1, opponent: 4)).Leaves(4, Leaving.Excluded).Wins(2, 3, 15, 3);
        Assert.Equal([(1, 2), (2, 3)], day.Classification.Select(c => (c.Place, N(c.EntrantId))));
        day.Returns(4);
        Assert.Equal(BoutStatus.Open, day.Between(2, 4).Status);
    }

    [Fact]
    public void Of_two_finalists_who_withdraw_the_one_who_was_there_last_wins()
    {
        var day = Of(4, NoPools).DrawTableau().Wins(1, 4, 15, 3).Wins(2, 3, 15, 3).Leaves(1).Leaves(2);
        Assert.Equal([(1, 2), (2, 1), (3, 3), (3, 4)], day.Classification.Select(c => (c.Place, N(c.EntrantId))));
    }

    [Fact]
    public void A_final_that_neither_can_fence_has_no_winner_and_two_seconds()
    {
        // 4 lost and left; then it turns out that 4 had won. 2, the other finalist, has left too.
        var day = Of(4, NoPools).DrawTableau().Wins(2, 3, 15, 3).Leaves(2).Wins(1, 4, 15, 14).Leaves(4);
        day.Keep(day.Result(4, 1, 15, 14));
        Assert.Equal([(2, 2), (2, 4), (3, 1), (3, 3)], day.Classification.Select(c => (c.Place, N(c.EntrantId))).OrderBy(p => p));
        Assert.True(Classification.IsFinal(day.Competition, [.. day.Tableau.Values]));
    }

    [Fact]
    public void A_fencer_without_a_bout_that_counts_comes_ahead_of_one_who_lost_by_touches()
    {
        // By the arithmetic: ratio 0 as the other, and indicator 0 instead of a negative one.
        var day = Of(6, Plain).DrawPools(count: 2);
        var pools = day.Competition.Rounds[0].Drawn.Pools.Select(p => Numbers(p.Fencers)).ToArray();
        var ranking = Numbers(day.Leaves(pools[0][1]).Leaves(pools[0][2]).FenceAll().ClosePools().Competition.Rounds[0].Closed!.Ranking.Select(r => r.EntrantId));
        Assert.Equal(4, ranking.Length);
        Assert.True(Array.IndexOf(ranking, pools[0][0]) < Array.IndexOf(ranking, pools[1].Max()));
        Assert.True(Array.IndexOf(ranking, pools[0][0]) > Array.IndexOf(ranking, pools[1].Min()));
    }

    [Fact]
    public void A_black_card_in_the_tableau_sends_the_opponent_on_by_the_same_rule_as_leaving_does()
    {
        var day = Of(4, NoPools).DrawTableau();
        Assert.Equal(
            [OpponentGoesOn, ExcludedHasNoPlace],
            LeavingConsequences.Of(day.Competition, E(1), Expect.Accepted(day.BlackCard(1, opponent: 4))).Select(c => c.Rule));
    }

    [Fact]
    public void An_event_names_the_rule_by_which_it_ends_a_bout_because_somebody_left()
    {
        var black = new CardShown(Side.Left, Card.Black, "violence", new Score(0, 0));
        Assert.Equal(PoolBoutsAnnulled, LeavingConsequences.RuleOf(new BoutAnnulled(E(1), "hurt"), inPool: true));
        Assert.Equal(OpponentGoesOn, LeavingConsequences.RuleOf(new FencerOut(Side.Left, "hurt"), inPool: false));
        Assert.Equal(OpponentGoesOn, LeavingConsequences.RuleOf(new SeatTaken(Side.Left, new Seat(E(1), Out: true)), inPool: false));
        Assert.Equal(OpponentGoesOn, LeavingConsequences.RuleOf(black, inPool: false));
        // In a pool the bout is annulled by an event of its own.
        Assert.Null(LeavingConsequences.RuleOf(black, inPool: true));
        Assert.Null(LeavingConsequences.RuleOf(black with { Card = Card.Red }, inPool: false));
        Assert.Null(LeavingConsequences.RuleOf(new SeatTaken(Side.Left, new Seat(E(1))), inPool: false));
    }

    [Fact]
    public void A_result_confirmed_after_a_black_card_stays_until_the_desk_corrects_it()
    {
        var day = Of(4, NoPools).DrawTableau();
        day.Keep(day.BlackCard(1, opponent: 4));
        var bout = day.Between(1, 4);
        day.Keep(day.After(BoutDecider.RecordResult(bout, bout.Score, bout.Winner!.Value, Authority.Referee, null))).Returns(1);
        Assert.False(day.Entrant(1).Gone);
        Assert.Equal(BoutStatus.Decided, day.Between(1, 4).Status);
        Assert.Equal(BoutStatus.Waiting, day.Tableau.Values.Single(b => b.TableOf == 2).Status);
        day.Keep(day.Result(1, 4, 15, 3));
        Assert.Contains(day.Tableau.Values, b => b.TableOf == 2 && b.SideOf(E(1)) is not null);
    }

    [Fact]
    public void The_cause_of_a_withdrawal_is_kept_and_changes_nothing_else()
    {
        var day = Of(4, Plain).DrawPools();
        foreach (var cause in Enum.GetValues<WithdrawalCause>())
        {
            var decision = EntryDecider.Leave(day.Competition, day.Entrant(2), Leaving.Withdrawn, "as announced", day.InPlay, cause);
            Assert.Equal(new EntrantWithdrew(E(2), "as announced", cause), decision.Facts[0].Event);
            Assert.Equal(day.Leaving(2).Facts[1..].AsEnumerable(), decision.Facts[1..]);
            Assert.Equal(cause, day.Keep(decision).Entrant(2).Cause);
            Assert.Null(day.Returns(2).Entrant(2).Cause);
        }
    }

    [Fact]
    public void An_annulled_bout_of_a_closed_round_is_not_promised_to_come_back()
    {
        var day = Of(5, Plain).DrawPools().FenceAll().Leaves(2).ClosePools();
        var bout = day.RoundBouts(1).Values.First(b => b.Status == BoutStatus.Annulled);
        var refusal = Expect.Refused(RefusalReason.BoutAnnulled, BoutDecider.RecordResult(bout, new Score(5, 0), Side.Left, Authority.Desk, "late"));
        Assert.DoesNotContain("Reinstate", refusal.Message, StringComparison.Ordinal);
    }

    private static CompetitionDay Touched(CompetitionDay day, int one, int other) =>
        day.Keep(day.After(BoutDecider.ScoreTouch(day.Between(one, other), TouchSide.Left, null)));

    /// <summary>Everything that can be seen of a competition, but for how often it was changed.</summary>
    private static string[] Lines(CompetitionDay day) =>
    [
        .. day.Competition.Entrants.Select(e => e.ToString()),
        .. day.Classification.Select(c => c.ToString()),
        .. day.Bouts.OrderBy(b => b.Key).Select(b => $"{b.Key} {b.Value.Status} {b.Value.Left} {b.Value.Right} {b.Value.Score} {b.Value.Winner} {b.Value.Declared}"),
    ];
}
