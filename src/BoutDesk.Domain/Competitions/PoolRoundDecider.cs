using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Domain.Competitions;

/// <summary>What the desk may set for one draw of a pool round.</summary>
/// <param name="PoolSize">The largest pool wanted, or null for the formula's.</param>
/// <param name="PoolCount">The number of pools wanted instead, or null.</param>
/// <param name="Seed">The seed of all lots.</param>
public sealed record PoolRoundRequest(int? PoolSize, int? PoolCount, DrawSeed Seed);

/// <summary>What shall happen to later draws when a result of a closed round is corrected.</summary>
public enum LaterDraws
{
    /// <summary>They stand; only the ranking changes.</summary>
    Keep,

    /// <summary>They are scrapped, to be drawn anew.</summary>
    Scrap,
}

/// <summary>Decides on pool rounds: draw, closing, correction. Pure.</summary>
public static class PoolRoundDecider
{
    /// <summary>
    /// Draws the next pool round: who is present in the order of the initial seeding, or of the ranking of the round
    /// before; the exempt set apart; the rest dealt into pools.
    /// </summary>
    /// <remarks>
    /// When check-in is used at all, everybody must be checked in or marked absent first. When nobody was, the
    /// competition is taken to do without, and all who were entered are drawn.
    /// </remarks>
    public static Decision Draw(Competition competition, PoolRoundRequest request)
    {
        if (competition.OpenRound is { } open)
        {
            return new Refusal(RefusalReason.AlreadyDone, $"Pool round {open.Number} is drawn already. Close it to go on, or scrap it to draw it again.");
        }

        if (competition.Tableau is not null)
        {
            return new Refusal(RefusalReason.AlreadyDone, $"The tableau is drawn already. Scrap it before another pool round is drawn.");
        }

        var round = competition.Rounds.Length + 1;
        if (round > competition.Formula.Pools.Rounds)
        {
            return new Refusal(
                RefusalReason.AlreadyDone,
                $"The formula has {competition.Formula.Pools.Rounds} pool round(s), and they are fenced. Draw the tableau.");
        }

        ImmutableArray<string> order;
        if (round == 1)
        {
            if (WhyCheckInIsOpen(competition) is { } refusal)
            {
                return refusal;
            }

            order = [.. InitialSeeding.Draw(Present(competition), request.Seed.SeedingLots()).Select(e => e.Id)];
        }
        else
        {
            var gone = competition.Gone;
            order = [.. competition.Rounds[^1].GoOn.Where(id => !gone.Contains(id))];
        }

        var exempt = Exempt(competition, order);
        var fencers = order[exempt..];
        if (fencers.Length < 3)
        {
            return new Refusal(RefusalReason.TooFewFencers, $"A pool needs at least 3 fencers, but {fencers.Length} would be drawn. Check in more, or set the formula to no pool round.");
        }

        PoolPlan plan;
        try
        {
            plan = request.PoolCount is { } count
                ? PoolPlan.ForCount(fencers.Length, count)
                : PoolPlan.ForSize(fencers.Length, request.PoolSize ?? competition.Formula.Pools.Size);
        }
        catch (ArgumentException unplannable)
        {
            return Refusal.Invalid(request.PoolCount is null ? "poolSize" : "poolCount", unplannable);
        }

        var draw = competition.Draws + 1;
        var separateBy = competition.Formula.Pools.SeparateBy;
        var composition = PoolDraw.Compose(
            [.. fencers.Select(id => new PoolFencer(id, Affiliations(competition.Entrant(id)!.Details, separateBy)))],
            plan.PoolCount,
            request.Seed);
        ImmutableArray<DrawnPool> pools =
        [
            .. composition.Pools.Select((ids, i) => new DrawnPool(Identifiers.Pool(competition.Id, draw, i + 1), i + 1, ids)),
        ];
        var drawn = new PoolRoundDrawn(
            round,
            draw,
            request.Seed.Value,
            order[..exempt],
            fencers,
            pools,
            [.. separateBy.Select((kind, i) => new Separation(kind, composition.Conflicts[i], composition.LowerBound[i]))]);

        var rules = competition.Formula.Pools.BoutRules(competition.Weapon);
        return Decision.Accept(
        [
            new Fact(competition.Id, drawn),
            .. pools.SelectMany(pool => Programme(competition, pool, round, rules)),
        ]);
    }

    /// <summary>Scraps the draw of the last pool round, as long as no bout of it has begun.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="round">The round.</param>
    /// <param name="reason">Why.</param>
    /// <param name="bouts">The bouts of the round.</param>
    public static Decision Scrap(Competition competition, int round, string reason, IReadOnlyCollection<Bout> bouts)
    {
        if (round != competition.Rounds.Length || competition.OpenRound is null)
        {
            return new Refusal(RefusalReason.StepMissing, $"Only the last round can be scrapped, and only while it is open.");
        }

        return WhyBegun(bouts) is { } begun
            ? begun
            : Decision.Accept(
            [
                new Fact(competition.Id, new PoolRoundScrapped(round, reason)),
                .. bouts.Select(b => new Fact(b.Id, new BoutStruck(reason))),
            ]);
    }

    /// <summary>
    /// Closes a round whose bouts are all decided or annulled: ranks everybody who finished it, draws lots among those
    /// tied, says who goes on, confirms results that only touches tell, and seals the bouts, so that a result that comes
    /// later is refused.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="round">The round.</param>
    /// <param name="bouts">The bouts of the round.</param>
    /// <param name="seed">The seed of the lots.</param>
    public static Decision Close(Competition competition, int round, IReadOnlyCollection<Bout> bouts, DrawSeed seed)
    {
        if (competition.Round(round) is not { } current)
        {
            return new Refusal(RefusalReason.StepMissing, $"Pool round {round} is not drawn yet. Draw it first.");
        }

        if (current.Closed is not null)
        {
            return new Refusal(RefusalReason.AlreadyDone, $"Pool round {round} is closed already.");
        }

        var open = bouts.Where(b => b.Status is not (BoutStatus.Decided or BoutStatus.Annulled)).Select(b => b.Id).ToImmutableArray();
        if (open.Length > 0)
        {
            return new Refusal(RefusalReason.BoutsOpen, $"{open.Length} bout(s) of the round have no result yet. Finish them, or let fencers who left withdraw.") { Concerns = open };
        }

        var ranking = Ranked(RoundRanking.Draw(Tallies(competition, current, bouts), seed.Lots()));
        return Decision.Accept(
        [
            new Fact(competition.Id, new PoolRoundClosed(round, seed.Value, ranking, competition.Formula.Pools.Promoted(ranking))),
            .. bouts.Where(b => b is { Status: BoutStatus.Decided, Declared: null }).Select(b => new Fact(b.Id, new ResultRecorded(b.Score, b.Winner!.Value))),
            .. bouts.Select(b => new Fact(b.Id, new BoutSealed())),
        ]);
    }

    /// <summary>
    /// Corrects a result of a closed round. Unless the desk says what shall happen to later draws, the correction is
    /// refused with the list of what it would change.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="bout">The bout to correct.</param>
    /// <param name="score">The touches.</param>
    /// <param name="winner">The winner.</param>
    /// <param name="reason">Why.</param>
    /// <param name="later">What shall happen to later draws, or null to be asked.</param>
    /// <param name="roundBouts">All bouts of the round.</param>
    /// <param name="laterBouts">The bouts of later rounds and of the tableau.</param>
    /// <param name="seed">The seed of lots among those newly tied.</param>
    public static Decision CorrectClosed(
        Competition competition,
        Bout bout,
        Score score,
        Side winner,
        string reason,
        LaterDraws? later,
        IReadOnlyCollection<Bout> roundBouts,
        IReadOnlyCollection<Bout> laterBouts,
        DrawSeed seed)
    {
        var decision = BoutDecider.RecordResult(bout with { Sealed = false }, score, winner, Authority.Desk, reason);
        if (decision.Facts is not [var correction])
        {
            return decision;
        }

        var round = competition.Round(bout.Round!.Value)!;
        var corrected = Bout.Evolve(bout, bout.Id, (IBoutEvent)correction.Event);
        Bout[] after = [.. roundBouts.Select(b => b.Id == bout.Id ? corrected : b)];
        var ranking = Revised(competition, round, after, seed);
        var promoted = competition.Formula.Pools.Promoted(ranking);
        var revised = new RankingRevised(round.Number, bout.Id, seed.Value, ranking, promoted, reason);

        if (later is null)
        {
            return new Refusal(
                RefusalReason.CorrectionHasConsequences,
                $"The round is closed, and this correction changes its ranking. Look at the list, then repeat it with later set to keep (later draws stand) or scrap (they are drawn anew).")
                { Consequences = Consequences(competition, round, revised) };
        }

        var scrapped = new List<Fact>();
        if (later == LaterDraws.Scrap)
        {
            if (WhyBegun(laterBouts) is { } begun)
            {
                return begun with { Sentence = $"{begun.Concerns.Length} bout(s) have begun, so the draw stands. Repeat the correction with later set to keep." };
            }

            if (competition.Tableau is not null)
            {
                scrapped.Add(new Fact(competition.Id, new TableauScrapped(reason)));
            }

            for (var number = competition.Rounds.Length; number > round.Number; number--)
            {
                scrapped.Add(new Fact(competition.Id, new PoolRoundScrapped(number, reason)));
            }

            scrapped.AddRange(laterBouts.Select(b => new Fact(b.Id, new BoutStruck(reason))));
        }

        return Decision.Accept([.. decision.Facts, .. scrapped, new Fact(competition.Id, revised)]);
    }

    /// <summary>The tallies of everybody in a round who has not left, in the order of the draw.</summary>
    public static IEnumerable<(string EntrantId, Tally Tally)> Tallies(Competition competition, PoolRound round, IEnumerable<Bout> bouts)
    {
        var gone = round.Closed is null ? competition.Gone : [];
        var tallies = new Dictionary<string, Tally>();
        foreach (var bout in bouts)
        {
            foreach (var side in new[] { Side.Left, Side.Right })
            {
                var entrantId = bout.SeatOf(side).EntrantId!;
                tallies[entrantId] = tallies.GetValueOrDefault(entrantId).With(bout, side);
            }
        }

        var ranked = round.Closed is { } closed ? closed.Ranking.Select(r => r.EntrantId) : round.Drawn.Seeding;
        return ranked.Where(id => !gone.Contains(id)).Select(id => (id, tallies.GetValueOrDefault(id)));
    }

    /// <summary>How many fencers the next pool round would have: who is present or went on, the exempt left out.</summary>
    public static int ToBeDrawn(Competition competition)
    {
        string[] order = competition.Rounds.IsEmpty
            ? [.. Present(competition).Select(e => e.Id)]
            : [.. competition.Rounds[^1].GoOn.Where(id => !competition.Gone.Contains(id))];
        return order.Length - Exempt(competition, order);
    }

    /// <summary>Who is neither checked in nor marked absent; nobody where check-in is not used.</summary>
    public static IEnumerable<Entrant> Unsettled(Competition competition) =>
        CheckInUsed(competition) ? competition.Entrants.Where(e => e.Status == EntrantStatus.Entered) : [];

    /// <summary>Who is present, in the order of entry.</summary>
    internal static IEnumerable<Entrant> Present(Competition competition) => CheckInUsed(competition)
        ? competition.Entrants.Where(e => e.Status == EntrantStatus.CheckedIn)
        : competition.Entrants.Where(e => e.Status == EntrantStatus.Entered);

    /// <summary>Why the first draw has to wait for the check-in, or null.</summary>
    internal static Refusal? WhyCheckInIsOpen(Competition competition)
    {
        var unseen = Unsettled(competition).Select(e => e.Id).ToImmutableArray();
        return unseen.Length > 0
            ? new Refusal(RefusalReason.CheckInOpen, $"{unseen.Length} entrant(s) are neither checked in nor marked absent. Settle them first.") { Concerns = unseen }
            : null;
    }

    /// <summary>Why a draw stands, because a bout of it has begun, or null.</summary>
    internal static Refusal? WhyBegun(IEnumerable<Bout> bouts)
    {
        var begun = bouts.Where(b => !b.Untouched).Select(b => b.Id).ToImmutableArray();
        return begun.Length > 0
            ? new Refusal(RefusalReason.BoutsBegun, $"{begun.Length} bout(s) have begun, so the draw stands.") { Concerns = begun }
            : null;
    }

    /// <summary>Whoever is exempt is so from the first round and enters with the tableau, or is ranked ahead from then on.</summary>
    private static int Exempt(Competition competition, IReadOnlyCollection<string> order) => competition.Rounds.IsEmpty
        ? Math.Min(competition.Formula.Pools.Exempt, order.Count)
        : competition.Rounds[^1].Drawn.Exempt.Count(order.Contains);

    private static bool CheckInUsed(Competition competition) =>
        competition.Entrants.Any(e => e.Status is EntrantStatus.CheckedIn or EntrantStatus.Absent);

    /// <summary>What a fencer is kept apart from others by, in the order given.</summary>
    internal static ImmutableArray<string?> Affiliations(EntrantDetails details, ImmutableArray<AffiliationKind> separateBy) =>
        [.. separateBy.Select(kind => kind == AffiliationKind.Club ? details.Club : details.Country)];

    /// <summary>The bouts of a pool in the order in which they are fenced: who is on the left, and who on the right.</summary>
    internal static ImmutableArray<(string Left, string Right)> OrderOfBouts(Competition competition, DrawnPool pool)
    {
        var clubs = pool.Fencers
            .Select((id, i) => (Position: i + 1, competition.Entrant(id)!.Details.Club))
            .Where(f => f.Club is not null)
            .GroupBy(f => f.Club!.ToUpperInvariant(), f => f.Position)
            .Where(g => g.Count() > 1)
            .Select(g => (IReadOnlyList<int>)[.. g]);
        return [.. BoutOrder.For(pool.Fencers.Length, [.. clubs]).Select(pairing => (pool.Fencers[pairing.Left - 1], pool.Fencers[pairing.Right - 1]))];
    }

    private static IEnumerable<Fact> Programme(Competition competition, DrawnPool pool, int round, BoutRules rules) =>
        OrderOfBouts(competition, pool).Select((bout, i) => new Fact(
            Identifiers.PoolBout(pool.Id, i + 1),
            new BoutProgrammed(
                competition.Id,
                pool.Id,
                round,
                TableOf: null,
                Stage: null,
                Order: i + 1,
                rules,
                new Seat(bout.Left),
                new Seat(bout.Right),
                WinnerTo: null,
                LoserTo: null)));

    private static ImmutableArray<RankedFencer> Ranked(ImmutableArray<Standing<string>> standings) =>
        [.. standings.Select(s => new RankedFencer(s.Fencer, s.Place, s.Tally, s.Tied))];

    /// <summary>
    /// The ranking after a correction. Lots once drawn stand: fencers tied before and still tied keep their order, and
    /// a lot decides only where whoever is newly tied comes between them.
    /// </summary>
    private static ImmutableArray<RankedFencer> Revised(Competition competition, PoolRound round, IReadOnlyCollection<Bout> bouts, DrawSeed seed)
    {
        var before = round.Closed!.Ranking.ToDictionary(r => r.EntrantId, r => r.Place);
        var ranking = StandingsTable.Rank(Tallies(competition, round, bouts)).ToArray();
        var lots = seed.Lots();
        for (var start = 0; start < ranking.Length;)
        {
            var end = start + 1;
            while (end < ranking.Length && ranking[end].Place == ranking[start].Place)
            {
                end++;
            }

            // Still in the order of the ranking before, which those who shared a place there keep among themselves.
            var inOrder = ranking[start..end].GroupBy(s => before[s.Fencer]).ToDictionary(g => g.Key, g => new Queue<Standing<string>>(g));
            lots.Shuffle(ranking.AsSpan(start, end - start));
            for (; start < end; start++)
            {
                ranking[start] = inOrder[before[ranking[start].Fencer]].Dequeue();
            }
        }

        return Ranked([.. ranking]);
    }

    private static ImmutableArray<FormattableString> Consequences(Competition competition, PoolRound round, RankingRevised revised)
    {
        var lines = ImmutableArray.CreateBuilder<FormattableString>();
        var before = round.Closed!.Ranking;
        for (var i = 0; i < before.Length; i++)
        {
            if (before[i].EntrantId != revised.Ranking[i].EntrantId)
            {
                lines.Add($"Rank {i + 1}: {Name(revised.Ranking[i].EntrantId)} instead of {Name(before[i].EntrantId)}.");
            }
        }

        var goOnBefore = before.Take(round.Closed.Promoted).Select(r => r.EntrantId).ToHashSet();
        var goOnAfter = revised.Ranking.Take(revised.Promoted).Select(r => r.EntrantId).ToHashSet();
        lines.AddRange(goOnAfter.Except(goOnBefore).Select(id => (FormattableString)$"{Name(id)} goes on."));
        lines.AddRange(goOnBefore.Except(goOnAfter).Select(id => (FormattableString)$"{Name(id)} does not go on."));
        if (lines.Count == 0)
        {
            lines.Add($"Victories and touches change, but no rank does.");
        }

        if (competition.Rounds.Length > round.Number)
        {
            lines.Add($"Pool round {round.Number + 1} was drawn from this ranking.");
        }

        if (competition.Tableau is not null)
        {
            lines.Add($"The tableau was drawn from this ranking.");
        }
        else if (competition.Rounds.Length > round.Number && competition.Formula.Pools.SeedingBy == SeedingBy.AllRounds)
        {
            lines.Add($"The tableau will be seeded by this round too.");
        }

        return lines.ToImmutable();

        string Name(string entrantId) => competition.Entrant(entrantId)!.Details.Name;
    }
}
