using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Standings;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using Xunit;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>
/// What holds for every competition, whoever leaves, returns, is excluded, and whatever is corrected or scrapped.
/// </summary>
public class WholeCompetitionLaws
{
    private const int Competitions = 40;

    [Property(MaxTest = Competitions)]
    public Property Every_bout_gets_decided() => AtTheEnd(day =>
    {
        Assert.All(day.Tableau.Values, b => Assert.Equal(BoutStatus.Decided, b.Status));
        Assert.All(
            day.Competition.Rounds.SelectMany(r => day.RoundBouts(r.Number).Values),
            b => Assert.Contains(b.Status, new[] { BoutStatus.Decided, BoutStatus.Annulled }));
        if (day.Competition.Tableau is null)
        {
            // Nothing was left to be fenced for.
            Assert.True(TableauDecider.Seeds(day.Competition, new(1)).Length < 2);
        }
        else
        {
            Assert.True(Classification.IsFinal(day.Competition, [.. day.Tableau.Values]));
        }
    });

    [Property(MaxTest = Competitions)]
    public Property Places_go_from_one_without_gaps_but_for_ties_and_nobody_has_two() => AtEveryMoment(day =>
    {
        var classification = day.Classification;
        // Of a bout that neither fencer could fence nobody has the place of its winner.
        if (day.Tableau.Values.Any(b => b is { Status: BoutStatus.Decided, Winner: null }))
        {
            Assert.Equal(classification.Select(c => c.Place).Order(), classification.Select(c => c.Place));
            return;
        }

        Assert.Equal(classification.Length, classification.Select(c => c.EntrantId).Distinct().Count());
        for (var i = 0; i < classification.Length; i++)
        {
            Assert.True(classification[i].Place == i + 1 || (i > 0 && classification[i].Place == classification[i - 1].Place));
        }
    });

    [Property(MaxTest = Competitions)]
    public Property All_who_finished_a_round_or_were_in_the_tableau_have_a_place_but_the_excluded() => AtEveryMoment(day =>
    {
        var excluded = day.Competition.Entrants.Where(e => e.Status == EntrantStatus.Excluded).Select(e => e.Id);
        var expected = day.Competition.Rounds.Where(r => r.Closed is not null)
            .SelectMany(r => r.Closed!.Ranking.Select(f => f.EntrantId).Concat(r.Drawn.Exempt))
            .Concat(day.Competition.Tableau?.Seeds ?? [])
            .Except(excluded);
        Assert.Equal(expected.Order(), day.Classification.Select(c => c.EntrantId).Order());
    });

    [Property(MaxTest = Competitions)]
    public Property In_the_tableau_places_are_those_of_the_calculator() => AtTheEnd(day =>
    {
        if (day.Competition.Tableau is not { } drawn
            || day.Competition.Entrants.Any(e => e.Status == EntrantStatus.Excluded)
            || day.Tableau.Values.Any(b => b.Winner is null))
        {
            return;
        }

        var formula = day.Competition.Formula.Elimination;
        // Two can meet again after a repechage, so the results are given in the order in which bouts follow one another.
        var results = TableauPlan.For(drawn.Seeds.Length, formula)
            .Select(planned => day.Tableau[Identifiers.TableauBout(day.Competition.Id, drawn.Draw, planned.Key)])
            .Where(b => b.Left.EntrantId is not null && b.Right.EntrantId is not null)
            .Select(b => new SeedResult(Seed(b.Left), Seed(b.Right), Seed(b.SeatOf(b.Winner!.Value))));
        var (places, refusal) = TableauPlaces.FromResults(drawn.Seeds.Length, [.. results], formula);
        Assert.Null(refusal);
        Assert.Equal(
            places.Select(p => (p.Place, drawn.Seeds[p.Run.Seed - 1])),
            day.Classification.Take(drawn.Seeds.Length).Select(c => (c.Place, c.EntrantId)));

        int Seed(Seat seat) => drawn.Seeds.IndexOf(seat.EntrantId!) + 1;
    });

    [Property(MaxTest = Competitions)]
    public Property In_every_pool_indicators_add_up_to_nought_and_victories_to_the_bouts_that_count() => AtEveryMoment(day =>
    {
        foreach (var round in day.Competition.Rounds.TakeLast(1))
        {
            var tallies = PoolRoundDecider.Tallies(day.Competition, round, day.RoundBouts(round.Number).Values).ToDictionary(t => t.EntrantId, t => t.Tally);
            foreach (var pool in round.Drawn.Pools)
            {
                var inPool = pool.Fencers.Where(tallies.ContainsKey).Select(id => tallies[id]).ToArray();
                Assert.Equal(0, inPool.Sum(t => t.Indicator));
                var counting = day.RoundBouts(round.Number).Values.Count(b => b.PoolId == pool.Id && b.Status == BoutStatus.Decided);
                Assert.Equal(counting, inPool.Sum(t => t.Victories));
                Assert.Equal(2 * counting, inPool.Sum(t => t.Bouts));
            }
        }
    });

    [Property(MaxTest = Competitions)]
    public Property In_every_pool_everybody_meets_everybody_once() => AtEveryMoment(day =>
    {
        foreach (var pool in day.Competition.Rounds.SelectMany(r => r.Drawn.Pools))
        {
            var pairs = day.Bouts.Values.Where(b => b.PoolId == pool.Id).Select(b => (b.Left.EntrantId!, b.Right.EntrantId!));
            var expected = pool.Fencers.SelectMany(a => pool.Fencers.Where(b => string.CompareOrdinal(a, b) < 0).Select(b => (a, b)));
            Assert.Equal(expected.Order(), pairs.Select(p => string.CompareOrdinal(p.Item1, p.Item2) < 0 ? p : (p.Item2, p.Item1)).Order());
        }
    });

    [Property(MaxTest = Competitions)]
    public Property The_ranking_of_a_closed_round_is_the_one_worked_out_from_its_facts() => AtTheEnd(day =>
    {
        foreach (var round in day.Competition.Rounds.Where(r => r.Closed is not null))
        {
            var ranking = round.Closed!.Ranking;
            var expected = FromFacts(day, round.Drawn.Pools);
            Assert.Equal(expected.Keys.Order(), ranking.Select(r => r.EntrantId).Order());
            Assert.All(ranking, r => Assert.Equal(expected[r.EntrantId], r.Tally));
            Assert.All(ranking, r => Assert.Equal(1 + expected.Values.Count(other => IsBetter(other, r.Tally)), r.Place));
            Assert.Equal(ranking.Select(r => r.Place).Order(), ranking.Select(r => r.Place));
        }
    });

    [Property(MaxTest = Competitions)]
    public Property Every_elimination_bout_agrees_with_the_bouts_before_it() => AtEveryMoment(day =>
    {
        foreach (var bout in day.Tableau.Values)
        {
            var loser = bout.Winner is { } winner ? bout.SeatOf(winner.Other()) : null;
            AssertSeated(bout.WinnerTo, bout, bout.Winner is { } w ? bout.SeatOf(w) : null);
            AssertSeated(bout.LoserTo, bout, loser);
        }

        void AssertSeated(SeatLink? link, Bout before, Seat? comes)
        {
            if (link is null)
            {
                return;
            }

            var seat = day.Bouts[link.BoutId].SeatOf(link.Side);
            Assert.Equal(comes?.EntrantId, seat.EntrantId);
            Assert.Equal(before.Status == BoutStatus.Decided && comes?.EntrantId is null, seat.Vacant);
        }
    });

    [Property(MaxTest = Competitions)]
    public Property No_bout_waits_for_a_fencer_who_has_left() => AtEveryMoment(day => Assert.All(
        day.InPlay.Values.Where(b => b.Status is BoutStatus.Waiting or BoutStatus.Open or BoutStatus.Fencing),
        b => Assert.All(new[] { b.Left, b.Right }, seat => Assert.True(
            seat.EntrantId is null || seat.Out || !day.Competition.Entrant(seat.EntrantId)!.Gone))));

    [Property(MaxTest = Competitions)]
    public Property No_bout_is_lost_for_having_left_by_a_fencer_who_is_back() => AtEveryMoment(day => Assert.All(
        day.InPlay.Values.SelectMany(b => new[] { b.Left, b.Right }).Where(seat => seat.Out),
        seat => Assert.True(day.Competition.Entrant(seat.EntrantId!)!.Gone)));

    [Property(MaxTest = Competitions)]
    public Property Touches_never_exceed_the_target() => AtEveryMoment(day => Assert.All(day.InPlay.Values, b =>
    {
        Assert.InRange(b.Score.Left, 0, b.Rules.Target);
        Assert.InRange(b.Score.Right, 0, b.Rules.Target);
        Assert.True(b.Score.Left < b.Rules.Target || b.Score.Right < b.Rules.Target);
    }));

    [Property(MaxTest = Competitions)]
    public Property Those_who_go_on_are_the_seeds_of_the_next_draw() => AtTheEnd(day =>
    {
        // Only draws made after the last correction of the round before must agree with its ranking.
        var revised = day.Facts.Any(f => f.Event is RankingRevised or EntrantReinstated);
        if (revised || day.Competition.Rounds.IsEmpty || day.Competition.Tableau is not { } drawn)
        {
            return;
        }

        var goOn = day.Competition.Rounds[^1].GoOn;
        Assert.Equal(goOn.Where(drawn.Seeds.Contains).Order(), drawn.Seeds.Order());
        if (!TableauDecider.SeededByAllRounds(day.Competition))
        {
            Assert.Equal(goOn.Where(drawn.Seeds.Contains), drawn.Seeds);
        }

        Assert.All(goOn.Except(drawn.Seeds), id => Assert.True(day.Competition.Entrant(id)!.Gone));
    });

    [Property(MaxTest = Competitions)]
    public Property Seeded_by_all_rounds_no_seed_has_less_to_show_than_the_next() => AtTheEnd(day =>
    {
        var revised = day.Facts.Any(f => f.Event is RankingRevised);
        if (revised || !TableauDecider.SeededByAllRounds(day.Competition) || day.Competition.Tableau is not { } drawn)
        {
            return;
        }

        var exempt = drawn.Seeds.TakeWhile(day.Competition.Rounds[^1].Drawn.Exempt.Contains).Count();
        var totals = drawn.Seeds[exempt..]
            .Select(id => day.Competition.Rounds.Select(r => FromFacts(day, r.Drawn.Pools).GetValueOrDefault(id)).Aggregate((sum, t) => sum + t))
            .ToArray();
        Assert.All(totals.Zip(totals.Skip(1)), pair => Assert.False(IsBetter(pair.Second, pair.First)));
    });

    [Property(MaxTest = Competitions)]
    public Property When_all_tied_at_the_cut_go_on_nobody_cut_is_tied_with_one_who_goes_on() => AtTheEnd(day =>
    {
        foreach (var closed in day.Competition.Rounds.Select(r => r.Closed).OfType<PoolRoundClosed>())
        {
            var (goOn, cut) = (closed.Ranking.Take(closed.Promoted).LastOrDefault(), closed.Ranking.Skip(closed.Promoted).FirstOrDefault());
            var atLeast = day.Competition.Formula.Pools.Promote.Of(closed.Ranking.Length);
            if (day.Competition.Formula.Pools.TiesAtCut == TiesAtCut.Lot)
            {
                Assert.Equal(atLeast, closed.Promoted);
                continue;
            }

            Assert.True(goOn is null || cut is null || IsBetter(goOn.Tally, cut.Tally));
            Assert.All(closed.Ranking.Take(closed.Promoted).Skip(atLeast), r => Assert.Equal(closed.Ranking[atLeast - 1].Place, r.Place));
        }
    });

    [Property(MaxTest = Competitions)]
    public Property Leaving_by_mistake_and_coming_back_leaves_everything_as_it_was() => AtEveryMoment(day =>
    {
        var present = day.Competition.Entrants.Where(e => !e.Gone).ToArray();
        // Whom it happens to and how is settled by how many facts there are, so that a failure can be repeated.
        if (present.Length == 0)
        {
            return;
        }

        var (entrant, leaving) = (present[day.Facts.Count % present.Length], (Leaving)(day.Facts.Count % 3));
        var gone = After(day.Competition, day.InPlay, EntryDecider.Leave(day.Competition, entrant, leaving, "mistaken", day.InPlay));
        var back = After(gone.Competition, gone.Bouts, EntryDecider.Reinstate(gone.Competition, gone.Competition.Entrant(entrant.Id)!, "a mistake", gone.Bouts, null));
        Assert.Equal(day.Competition.Entrants.AsEnumerable(), back.Competition.Entrants);
        Assert.Equal(Lines(day.InPlay), Lines(back.Bouts));
    });

    [Property(MaxTest = Competitions)]
    public Property Versions_count_the_facts_of_a_stream() => AtTheEnd(day =>
    {
        var counts = day.Facts.CountBy(f => f.StreamId).ToDictionary();
        Assert.Equal(counts[CompetitionDay.Id] + 1, day.Competition.Version);
        Assert.All(day.Bouts.Values, b => Assert.Equal(counts[b.Id], b.Version));
    });

    private static (Competition Competition, Dictionary<string, Bout> Bouts) After(
        Competition competition, IReadOnlyDictionary<string, Bout> bouts, Decision decision)
    {
        var now = bouts.ToDictionary();
        foreach (var fact in Expect.Accepted(decision).Facts)
        {
            if (fact.Event is ICompetitionEvent happened)
            {
                competition = Competition.Evolve(competition, competition.Id, happened);
            }
            else
            {
                now[fact.StreamId] = Bout.Evolve(now[fact.StreamId], fact.StreamId, (IBoutEvent)fact.Event);
            }
        }

        return (competition, now);
    }

    private static IEnumerable<string> Lines(IReadOnlyDictionary<string, Bout> bouts) => bouts.OrderBy(b => b.Key)
        .Select(b => $"{b.Key} {b.Value.Status} {b.Value.Left} {b.Value.Right} {b.Value.Score} {b.Value.Winner} {b.Value.Declared} {b.Value.Actions.Length} {string.Join(',', b.Value.AnnulledBy)}");

    private static Property AtTheEnd(Action<CompetitionDay> law) =>
        Prop.ForAll(CompetitionPlan.Any, plan => law(RandomCompetition.Hold(plan)));

    private static Property AtEveryMoment(Action<CompetitionDay> law) =>
        Prop.ForAll(CompetitionPlan.Any, plan => { RandomCompetition.Hold(plan, law); });

    /// <summary>
    /// The tallies of a round from the plain list of facts: the last result told of a bout counts, unless somebody who
    /// left it is still away.
    /// </summary>
    private static Dictionary<string, Tally> FromFacts(CompetitionDay day, IEnumerable<DrawnPool> pools)
    {
        var tallies = pools.SelectMany(p => p.Fencers).ToDictionary(id => id, _ => default(Tally));
        var left = new HashSet<string>();
        foreach (var stream in day.Facts.Where(f => f.Event is IBoutEvent).GroupBy(f => f.StreamId))
        {
            var events = stream.Select(f => f.Event).ToArray();
            if (events[0] is not BoutProgrammed { PoolId: { } poolId } programmed || pools.All(p => p.Id != poolId))
            {
                continue;
            }

            var away = new List<string>();
            foreach (var happened in events)
            {
                if (happened is BoutAnnulled annulled)
                {
                    away.Add(annulled.EntrantId);
                }
                else if (happened is BoutRestored restored)
                {
                    away.Remove(restored.EntrantId);
                }
            }

            left.UnionWith(away);
            if (away.Count > 0)
            {
                continue;
            }

            var (score, winner) = ResultTold(events, programmed.Rules);
            Count(Seated(Side.Left, programmed.Left), winner == Side.Left, score.Left, score.Right);
            Count(Seated(Side.Right, programmed.Right), winner == Side.Right, score.Right, score.Left);

            // An exchange by hand put somebody else there.
            string Seated(Side side, Seat drawn) => (events.OfType<SeatTaken>().LastOrDefault(taken => taken.Side == side)?.Seat ?? drawn).EntrantId!;
        }

        return tallies.Where(t => !left.Contains(t.Key)).ToDictionary();

        void Count(string entrantId, bool won, int scored, int received)
        {
            var (victories, bouts, before, against) = tallies[entrantId];
            tallies[entrantId] = new Tally(victories + (won ? 1 : 0), bouts + 1, before + scored, against + received);
        }
    }

    private static (Score Score, Side Winner) ResultTold(object[] events, BoutRules rules)
    {
        (Score, Side)? confirmed = null;
        var score = new Score(0, 0);
        Side? priority = null;
        foreach (var happened in events)
        {
            switch (happened)
            {
                case ResultRecorded result:
                    confirmed = (result.Score, result.Winner);
                    break;
                case ResultCorrected result:
                    confirmed = (result.Score, result.Winner);
                    break;
                case TouchScored touch:
                    score = touch.Score;
                    break;
                case TouchTakenBack touch:
                    score = touch.Score;
                    break;
                case CardShown card:
                    score = card.Score;
                    break;
                case CardTakenBack card:
                    score = card.Score;
                    break;
                case PriorityDrawn drawn:
                    priority = drawn.Side;
                    break;
                default:
                    break;
            }
        }

        Assert.InRange(Math.Max(score.Left, score.Right), 0, rules.Target);
        return confirmed ?? (score, score.Leader ?? priority!.Value);
    }

    private static bool IsBetter(Tally one, Tally other)
    {
        var (victories, otherVictories) = (one.Victories * Math.Max(other.Bouts, 1), other.Victories * Math.Max(one.Bouts, 1));
        return (victories, one.TouchesScored - one.TouchesReceived, one.TouchesScored)
            .CompareTo((otherVictories, other.TouchesScored - other.TouchesReceived, other.TouchesScored)) > 0;
    }
}
