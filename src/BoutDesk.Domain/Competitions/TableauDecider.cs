using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Domain.Competitions;

/// <summary>Decides on the tableau: draw, results that carry over to later bouts, corrections. Pure.</summary>
public static class TableauDecider
{
    /// <summary>
    /// Draws the tableau from the ranking of the last round or of all rounds together, exempt fencers ahead, or without
    /// pool rounds from the initial seeding. Who has left since is not drawn, and those behind move up. Byes are decided
    /// at once.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="seed">
    /// The seed of the lots; used without pool rounds, and among those equal over all rounds together.
    /// </param>
    public static Decision Draw(Competition competition, DrawSeed seed)
    {
        if (competition.Tableau is not null)
        {
            return new Refusal(RefusalReason.AlreadyDone, $"The tableau is drawn already. If no bout of it has begun, scrap it to draw it again.");
        }

        if (competition.OpenRound is { } open)
        {
            return new Refusal(RefusalReason.StepMissing, $"Pool round {open.Number} is still open. Close it first.");
        }

        var rounds = competition.Formula.Pools.Rounds;
        if (competition.Rounds.Length < rounds)
        {
            return new Refusal(RefusalReason.StepMissing, $"The formula has {rounds} pool round(s), and {competition.Rounds.Length} were fenced. Draw the next round first.");
        }

        if (rounds == 0 && PoolRoundDecider.WhyCheckInIsOpen(competition) is { } checkIn)
        {
            return checkIn;
        }

        var seeds = Seeds(competition, seed);
        if (seeds.Length < 2)
        {
            return new Refusal(RefusalReason.TooFewFencers, $"A tableau needs at least 2 fencers, but {seeds.Length} would be drawn.");
        }

        var draw = competition.Draws + 1;
        var drawn = new TableauDrawn(draw, rounds == 0 || SeededByAllRounds(competition) ? seed.Value : null, seeds);
        Fact[] facts = [new Fact(competition.Id, drawn), .. Programme(competition, drawn)];
        return Progression.Follow(ImmutableDictionary<string, Bout>.Empty, facts, competition.Gone, later: null);
    }

    /// <summary>The seeds of a tableau drawn now.</summary>
    public static ImmutableArray<string> Seeds(Competition competition, DrawSeed seed)
    {
        if (competition.Formula.Pools.Rounds == 0)
        {
            return [.. InitialSeeding.Draw(PoolRoundDecider.Present(competition), seed.SeedingLots()).Select(e => e.Id)];
        }

        var gone = competition.Gone;
        var goOn = competition.Rounds.Last().GoOn.Where(id => !gone.Contains(id)).ToImmutableArray();
        if (!SeededByAllRounds(competition))
        {
            return goOn;
        }

        var totals = OverAllRounds(competition);
        return
        [
            .. goOn.Where(id => !totals.ContainsKey(id)),
            .. RoundRanking.Draw(goOn.Where(totals.ContainsKey).Select(id => (id, totals[id])), seed.Lots()).Select(s => s.Fencer),
        ];
    }

    /// <summary>Victories, bouts and touches of everybody who was ranked in a pool round, added up over the rounds.</summary>
    /// <remarks>Common practice where several rounds are fenced; federations differ, hence <see cref="PoolFormula.SeedingBy"/>.</remarks>
    public static ImmutableDictionary<string, Tally> OverAllRounds(Competition competition) => competition.Rounds
        .SelectMany(r => r.Closed is { } closed ? closed.Ranking : [])
        .GroupBy(line => line.EntrantId)
        .ToImmutableDictionary(lines => lines.Key, lines => lines.Aggregate(default(Tally), (sum, line) => sum + line.Tally));

    /// <summary>Whether there is more than one round to add up.</summary>
    public static bool SeededByAllRounds(Competition competition) =>
        competition.Formula.Pools.SeedingBy == SeedingBy.AllRounds && competition.Rounds.Length > 1;

    /// <summary>Scraps the tableau, as long as no bout of it has begun.</summary>
    public static Decision Scrap(Competition competition, string reason, IReadOnlyCollection<Bout> bouts)
    {
        if (competition.Tableau is null)
        {
            return new Refusal(RefusalReason.StepMissing, $"No tableau is drawn, so there is none to scrap.");
        }

        return PoolRoundDecider.WhyBegun(bouts) is { } begun
            ? begun
            : Decision.Accept(
            [
                new Fact(competition.Id, new TableauScrapped(reason)),
                .. bouts.Select(b => new Fact(b.Id, new BoutStruck(reason))),
            ]);
    }

    /// <summary>
    /// Completes a decision on an elimination bout with what follows for later bouts.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="decision">What was decided for the bout.</param>
    /// <param name="bouts">The bout and all that follow from it.</param>
    /// <param name="later"><see cref="LaterDraws.Scrap"/> clears later bouts that have begun, if other fencers meet there now; they cannot be kept.</param>
    public static Decision Complete(
        Competition competition, Decision decision, IReadOnlyDictionary<string, Bout> bouts, LaterDraws? later) =>
        decision.Facts.IsEmpty
            ? decision
            : Progression.Follow(bouts, decision.Facts, competition.Gone, later);

    private static IEnumerable<Fact> Programme(Competition competition, TableauDrawn drawn)
    {
        var rules = competition.Formula.Elimination.BoutRules(competition.Weapon);
        return TableauPlan.For(drawn.Seeds.Length, competition.Formula.Elimination).Select(planned => new Fact(
            IdOf(planned.Key),
            new BoutProgrammed(
                competition.Id,
                PoolId: null,
                Round: null,
                planned.TableOf,
                planned.Stage,
                planned.Number,
                rules,
                planned.First is { } left ? SeatOf(left.Left) : Seat.Awaited,
                planned.First is { } right ? SeatOf(right.Right) : Seat.Awaited,
                LinkOf(planned.WinnerTo),
                LinkOf(planned.LoserTo))));

        string IdOf(string key) => Identifiers.TableauBout(competition.Id, drawn.Draw, key);

        SeatLink? LinkOf(SeatLink? link) => link is null ? null : link with { BoutId = IdOf(link.BoutId) };

        Seat SeatOf(int? seed) => seed is { } known ? new Seat(drawn.Seeds[known - 1]) : Seat.Nobody;
    }
}
