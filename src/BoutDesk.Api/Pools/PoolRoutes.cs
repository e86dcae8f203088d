using System.Collections.Immutable;
using BoutDesk.Api.Bouts;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using Marten;
using Microsoft.Extensions.Caching.Memory;

namespace BoutDesk.Api.Pools;

internal static class PoolRoutes
{
    public static void MapPools(this IEndpointRouteBuilder app)
    {
        var rounds = app.MapGroup("/api/competitions/{competitionId}").WithTags("Pools");
        rounds.MapPost("/pool-rounds", DrawAsync).Needs(PassKind.Desk)
            .Does(
                "drawPoolRound",
                "Draw the next pool round",
                "Who is checked in goes in by ranking, equals by lot. When nobody was checked in or marked absent, all who are entered are drawn.")
            .Produces<PoolRoundView>(201).Writes(409);
        rounds.MapGet("/pool-rounds/{round:int}", GetRoundAsync)
            .Does("getPoolRound", "A pool round with its pools and the standings over all of them").Shows<PoolRoundView>(404).Kept();
        rounds.MapGet("/pool-rounds/{round:int}/standings", RoundStandingsAsync)
            .Does("getPoolRoundStandings", "The standings over all pools of a round, to take away").Lists<StandingView>(404).Kept();
        rounds.MapGet("/pool-rounds/{round:int}/fencers", RoundFencersAsync)
            .Does("listPoolRoundFencers", "Who is in which pool of a round, to take away").Lists<PoolFencerLine>(404).Kept();
        rounds.MapGet("/pool-rounds/{round:int}/bouts", RoundBoutsAsync)
            .Does("listPoolRoundBouts", "The bouts of all pools of a round with their results, to take away").Lists<PoolBoutLine>(404).Kept();
        rounds.MapDelete("/pool-rounds/{round:int}", ScrapAsync).Needs(PassKind.Desk)
            .Does("scrapPoolRound", "Scrap the draw of the last pool round", "Possible until a bout of it has begun, so that a late entry can be drawn in.")
            .Produces(204).Writes(409);
        rounds.MapPost("/pool-rounds/{round:int}/exchange", ExchangeAsync).Needs(PassKind.Desk)
            .Does(
                "exchangeFencers",
                "Exchange two fencers of different pools by hand",
                "Possible until a bout of their two pools has begun. dryRun=true only says what it would do. The same two once more brings back what was; If-Match with the ETag of the competition keeps a repeat from doing that.")
            .Produces<ExchangeView>(200).Writes(409, 412);
        rounds.MapPost("/pool-rounds/{round:int}/close", CloseAsync).Needs(PassKind.Desk)
            .Does("closePoolRound", "Close a pool round and rank it", "Refused with the bouts that are still open.")
            .Produces<ClosedRoundView>(200).Writes(409);
        rounds.MapGet("/seeding", SeedingAsync)
            .Does("getSeeding", "Before the pools the initial seeding, after them the seeding into the tableau").Lists<SeedView>(404).Kept();

        var pools = app.MapGroup("/api/pools/{poolId}").WithTags("Pools");
        pools.MapGet("", GetPoolAsync).Does("getPool", "One pool: fencers, bouts in order, standings").Shows<PoolView>(404).Kept();
        pools.MapGet("/standings", PoolStandingsAsync)
            .Does("getPoolStandings", "The standings of one pool, to take away").Lists<StandingView>(404).Kept();
        pools.MapGet("/bouts", PoolBoutsAsync)
            .Does("listPoolBouts", "The bouts of one pool with their results, to take away").Lists<PoolBoutLine>(404).Kept();
        pools.MapPut("/strip", AssignStripAsync).Needs(PassKind.Desk)
            .Does("assignPoolToStrip", "Put all bouts of a pool on a strip").Produces<PoolView>(200).Writes(409, 412);
    }

    private static Task<IResult> DrawAsync(string competitionId, DrawPoolRound? body, HttpContext http, Commands commands)
    {
        var errors = new FieldErrors();
        errors.Range("poolSize", body?.PoolSize, 3, 12);
        errors.Range("poolCount", body?.PoolCount, 1, 400);
        if (body is { PoolSize: not null, PoolCount: not null })
        {
            errors.Add("poolCount", $"Give either poolSize or poolCount, not both.");
        }

        if ((errors.ToProblem() ?? Lots.Problem(body?.DrawSeed)) is { } problem)
        {
            return Task.FromResult<IResult>(problem);
        }

        return commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
            {
                return Problem.NotFound("competition");
            }

            var decision = PoolRoundDecider.Draw(competition, new PoolRoundRequest(body?.PoolSize, body?.PoolCount, Lots.Seed(body?.DrawSeed)));
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            var now = ledger.Now<Competition>(competitionId);
            var drawn = now.Rounds[^1];
            Bout[] bouts = [.. decision.Facts.Where(f => f.Event is BoutProgrammed).Select(f => ledger.Now<Bout>(f.StreamId))];
            return Answer.Created(
                $"/api/competitions/{competitionId}/pool-rounds/{drawn.Number}", RoundView(now, drawn, bouts, RoundOutlook.InRound(now, drawn, bouts)));
        });
    }

    private static async Task<IResult> GetRoundAsync(string competitionId, int round, Organiser organiser, CompetitionShelf competitions, IMemoryCache cache, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await RoundOfAsync(session, competitions, competitionId, round, cancellation) is { } found
            ? new Fresh<PoolRoundView>(RoundView(organiser, found, cache))
            : Problem.NotFound("pool round");
    }

    internal static async Task<IResult> RoundStandingsAsync(
        string competitionId, int round, int? limit, string? after, Organiser organiser, CompetitionShelf competitions, IMemoryCache cache, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await RoundOfAsync(session, competitions, competitionId, round, cancellation) is { } found
            ? Standings(RoundView(organiser, found, cache).Standings, limit, after, $"{found.Competition.Name} round {round} standings")
            : Problem.NotFound("pool round");
    }

    internal static async Task<IResult> RoundFencersAsync(
        string competitionId, int round, int? limit, string? after, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await RoundOfAsync(session, competitions, competitionId, round, cancellation) is not var (competition, drawn, bouts))
        {
            return Problem.NotFound("pool round");
        }

        var lines = drawn.Drawn.Pools.SelectMany(pool =>
        {
            var strip = Strips.Of(bouts.Where(b => b.PoolId == pool.Id));
            return Fencers(competition, pool).Select(f => PoolFencerLine.Of(pool, strip, f));
        });
        return new FreshList<PoolFencerLine>([.. lines], l => l.EntrantId, new Page(limit, after), $"{competition.Name} round {round} pools");
    }

    internal static async Task<IResult> RoundBoutsAsync(
        string competitionId, int round, int? limit, string? after, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await RoundOfAsync(session, competitions, competitionId, round, cancellation) is var (competition, drawn, bouts)
            ? Bouts(competition, drawn.Drawn.Pools, bouts, limit, after, $"{competition.Name} round {round} bouts")
            : Problem.NotFound("pool round");
    }

    private static Task<IResult> ScrapAsync(string competitionId, int round, string? reason, HttpContext http, Commands commands) =>
        Reasons.Problem(reason, needed: false) is { } problem
            ? Task.FromResult<IResult>(problem)
            : WithRoundAsync(competitionId, round, http, commands, (ledger, competition, bouts) =>
            {
                var decision = PoolRoundDecider.Scrap(competition, round, reason ?? "drawn anew", bouts);
                if (decision.Refusal is { } refusal)
                {
                    return refusal;
                }

                ledger.Keep(decision);
                return new Answer(StatusCodes.Status204NoContent, null);
            });

    private static Task<IResult> ExchangeAsync(
        string competitionId, int round, ExchangeFencers body, HttpContext http, Commands commands, bool dryRun = false) =>
        WithRoundAsync(competitionId, round, http, commands, (ledger, competition, bouts) =>
        {
            if (!dryRun && ETags.Mismatch(http.Request, competition.Version) is { } stale)
            {
                return stale;
            }

            var (exchange, refused) = PoolExchange.Of(competition, competition.Round(round)!, body.First, body.Second);
            var decision = exchange?.Decide(competition, bouts) ?? refused!;
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            if (!dryRun)
            {
                ledger.Keep(decision);
            }

            return Answer.Ok(ExchangeView.Of(competition, round, exchange!));
        });

    private static Task<IResult> CloseAsync(string competitionId, int round, CloseRound? body, HttpContext http, Commands commands) =>
        Lots.Problem(body?.DrawSeed) is { } problem
            ? Task.FromResult<IResult>(problem)
            : WithRoundAsync(competitionId, round, http, commands, (ledger, competition, bouts) =>
            {
                var decision = PoolRoundDecider.Close(competition, round, bouts, Lots.Seed(body?.DrawSeed));
                if (decision.Refusal is { } refusal)
                {
                    return refusal;
                }

                ledger.Keep(decision);
                var now = ledger.Now<Competition>(competitionId);
                return Answer.Ok(ClosedRoundView.Of(now, now.Round(round)!.Closed!));
            });

    internal static async Task<IResult> SeedingAsync(string competitionId, int? limit, string? after, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await session.LoadAsync<Competition>(competitionId, cancellation) is { } competition
            ? new FreshList<SeedView>([.. Seeding(competition)], s => s.EntrantId, new Page(limit, after), $"{competition.Name} seeding")
            : Problem.NotFound("competition");
    }

    private static async Task<IResult> GetPoolAsync(string poolId, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await PoolOfAsync(session, competitions, poolId, cancellation) is var (competition, round, pool, bouts)
            ? new Fresh<PoolView>(PoolViewOf(competition, round, pool, bouts))
            : Problem.NotFound("pool");
    }

    private static async Task<IResult> PoolStandingsAsync(string poolId, int? limit, string? after, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await PoolOfAsync(session, competitions, poolId, cancellation) is var (competition, round, pool, bouts)
            ? Standings(PoolViewOf(competition, round, pool, bouts).Standings, limit, after, $"{NameOf(competition, round, pool)} standings")
            : Problem.NotFound("pool");
    }

    private static async Task<IResult> PoolBoutsAsync(string poolId, int? limit, string? after, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await PoolOfAsync(session, competitions, poolId, cancellation) is var (competition, round, pool, bouts)
            ? Bouts(competition, [pool], bouts, limit, after, $"{NameOf(competition, round, pool)} bouts")
            : Problem.NotFound("pool");
    }

    private static Task<IResult> AssignStripAsync(string poolId, AssignStrip body, HttpContext http, Commands commands) =>
        commands.RunAsync(http, async ledger =>
        {
            if (Identifiers.CompetitionOf(poolId) is not { } competitionId
                || await ledger.Session.LoadAsync<Competition>(competitionId) is not { } competition
                || competition.Pool(poolId) is not { } found)
            {
                return Problem.NotFound("pool");
            }

            if (await Strips.ProblemAsync(ledger, competition, body.StripId) is { } problem)
            {
                return problem;
            }

            var bouts = await ledger.BoutsAsync(b => b.PoolId == poolId);
            if (ETags.Mismatch(http.Request, PoolViewOf(competition, found.Round, found.Pool, bouts.Values)) is { } stale)
            {
                return stale;
            }

            ledger.Keep(Decision.Accept(bouts.Values.Where(b => b.StripId != body.StripId).Select(b => new Fact(b.Id, new StripAssigned(body.StripId)))));
            return Answer.Ok(PoolViewOf(competition, found.Round, found.Pool, [.. bouts.Keys.Select(ledger.Now<Bout>)])).WithVersion();
        });

    private static Task<IResult> WithRoundAsync(
        string competitionId, int round, HttpContext http, Commands commands, Func<Ledger, Competition, IReadOnlyCollection<Bout>, Outcome> decide) =>
        commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
            {
                return Problem.NotFound("competition");
            }

            if (competition.Round(round) is null)
            {
                return Problem.NotFound("pool round");
            }

            var bouts = await ledger.BoutsAsync(b => b.CompetitionId == competitionId && b.Round == round && !b.Struck);
            return decide(ledger, competition, bouts.Values);
        });

    private static async Task<(Competition Competition, PoolRound Round, IReadOnlyList<Bout> Bouts)?> RoundOfAsync(
        IQuerySession session, CompetitionShelf competitions, string competitionId, int round, CancellationToken cancellation)
    {
        if (await competitions.FindAsync(session, competitionId) is not { } competition || competition.Round(round) is not { } drawn)
        {
            return null;
        }

        var bouts = await session.Query<Bout>().Where(b => b.CompetitionId == competitionId && b.Round == round && !b.Struck).ToListAsync(cancellation);
        if (drawn.Drawn.Pools.Any(pool => bouts.All(b => b.PoolId != pool.Id)))
        {
            // Its draw was scrapped between the two reads.
            return null;
        }

        return (competition, drawn, bouts);
    }

    private static PoolRoundView RoundView(Organiser organiser, (Competition Competition, PoolRound Round, IReadOnlyList<Bout> Bouts) found, IMemoryCache cache)
    {
        var (competition, round, bouts) = found;
        return RoundView(competition, round, bouts, round.Closed is null ? PlacesPossible(organiser, competition, round, bouts, cache) : null);
    }

    /// <summary>
    /// The places still possible, searched for once for all who read the round between two changes of it. The bouts were
    /// read at one moment, and versions only grow, so their sum tells any state of them from any other.
    /// </summary>
    private static IReadOnlyDictionary<string, PlaceRange> PlacesPossible(
        Organiser organiser, Competition competition, PoolRound round, IReadOnlyCollection<Bout> bouts, IMemoryCache cache) =>
        cache.GetOrCreate((organiser.Id, competition.Id, round.Drawn.Draw, competition.Version, bouts.Sum(b => (long)b.Version)), kept =>
        {
            kept.SlidingExpiration = TimeSpan.FromMinutes(1);
            return RoundOutlook.InRound(competition, round, bouts);
        })!;

    private static async Task<(Competition Competition, PoolRound Round, DrawnPool Pool, IReadOnlyList<Bout> Bouts)?> PoolOfAsync(
        IQuerySession session, CompetitionShelf competitions, string poolId, CancellationToken cancellation)
    {
        if (Identifiers.CompetitionOf(poolId) is not { } competitionId
            || await competitions.FindAsync(session, competitionId) is not { } competition
            || competition.Pool(poolId) is not { } found)
        {
            return null;
        }

        var bouts = await session.Query<Bout>().Where(b => b.PoolId == poolId).ToListAsync(cancellation);
        return (competition, found.Round, found.Pool, bouts);
    }

    private static string NameOf(Competition competition, PoolRound round, DrawnPool pool) => $"{competition.Name} round {round.Number} pool {pool.Number}";

    private static FreshList<StandingView> Standings(ImmutableArray<StandingView> standings, int? limit, string? after, string name) =>
        new(standings, s => s.EntrantId, new Page(limit, after), name);

    private static FreshList<PoolBoutLine> Bouts(
        Competition competition, IEnumerable<DrawnPool> pools, IReadOnlyCollection<Bout> bouts, int? limit, string? after, string name) =>
        new(
            [.. pools.SelectMany(pool => bouts.Where(b => b.PoolId == pool.Id).OrderBy(b => b.Order).Select(b => PoolBoutLine.Of(competition, pool, b)))],
            b => b.Id,
            new Page(limit, after),
            name);

    /// <summary>The seeding as it is known now, best first.</summary>
    internal static IEnumerable<SeedView> Seeding(Competition competition)
    {
        var last = competition.Rounds.LastOrDefault();
        if (last is null)
        {
            var seeds = competition.Tableau?.Seeds.Select((id, i) => (Seed: i + 1, Tied: false, Entrant: competition.Entrant(id)!))
                ?? InitialSeeding.Provisional(competition.Entrants.Where(e => !e.Gone)).Select(s => s);
            return seeds.Select(s => SeedView.Of(s.Seed, s.Entrant, null, s.Tied));
        }

        if (last.Closed is not { } closed)
        {
            // Lots are drawn by now, so every seed is its own.
            return last.Drawn.Exempt.Concat(last.Drawn.Seeding).Select((id, i) => SeedView.Of(i + 1, competition.Entrant(id)!, null, false));
        }

        var gone = competition.Gone;
        var order = competition.Tableau?.Seeds ?? [.. last.GoOn.Where(id => !gone.Contains(id))];
        if (TableauDecider.SeededByAllRounds(competition))
        {
            return SeedingByAllRounds(competition, order);
        }

        return InOrder(competition, order, closed.Ranking.ToDictionary(r => r.EntrantId, r => (r.Tally, r.Tied)));
    }

    private static IEnumerable<SeedView> SeedingByAllRounds(Competition competition, ImmutableArray<string> order)
    {
        var totals = TableauDecider.OverAllRounds(competition);
        var exempt = order.Count(id => !totals.ContainsKey(id));
        var standings = StandingsTable.Rank(order.Where(totals.ContainsKey).Select(id => (id, totals[id]))).ToDictionary(s => s.Fencer);
        // Before the lots equals share a seed; in a tableau drawn already the order is the one drawn.
        return competition.Tableau is null
            ? order[..exempt].Select((id, i) => SeedView.Of(i + 1, competition.Entrant(id)!, null, false))
                .Concat(standings.Values.Select(s => SeedView.Of(exempt + s.Place, competition.Entrant(s.Fencer)!, s.Tally, s.Tied)))
            : InOrder(competition, order, standings.ToDictionary(s => s.Key, s => (s.Value.Tally, s.Value.Tied)));
    }

    /// <summary>Seeds in the order given, with what each fenced; exempt fencers have fenced nothing.</summary>
    private static IEnumerable<SeedView> InOrder(
        Competition competition, IEnumerable<string> order, Dictionary<string, (Tally Tally, bool Tied)> fenced) =>
        order.Select((id, i) => fenced.TryGetValue(id, out var line)
            ? SeedView.Of(i + 1, competition.Entrant(id)!, line.Tally, line.Tied)
            : SeedView.Of(i + 1, competition.Entrant(id)!, null, false));

    private static PoolRoundView RoundView(
        Competition competition, PoolRound round, IReadOnlyCollection<Bout> bouts, IReadOnlyDictionary<string, PlaceRange>? possible)
    {
        var byPool = bouts.ToLookup(b => b.PoolId);
        return new PoolRoundView(
            round.Number,
            round.Closed is not null,
            round.Drawn.DrawSeed,
            round.Drawn.Separation,
            round.Drawn.Exempt,
            [
                .. round.Drawn.Pools.Select(pool => new PoolSummary(
                    pool.Id,
                    pool.Number,
                    Strips.Of(byPool[pool.Id]),
                    Fencers(competition, pool),
                    byPool[pool.Id].Count(b => b.Status != BoutStatus.Annulled),
                    byPool[pool.Id].Count(b => b.Status is not (BoutStatus.Annulled or BoutStatus.Decided)))),
            ],
            round.Closed is { } closed
                ? StandingView.Of(competition, closed)
                // Who goes on is a share of those who are in the round now.
                : StandingView.Of(
                    competition, PoolRoundDecider.Tallies(competition, round, bouts), possible, competition.Formula.Pools.Promote.Of(possible!.Count)));
    }

    private static PoolView PoolViewOf(Competition competition, PoolRound round, DrawnPool pool, IReadOnlyCollection<Bout> bouts)
    {
        var position = pool.Fencers.Select((id, i) => (id, i)).ToDictionary(p => p.id, p => p.i + 1);
        return new PoolView(
            pool.Id,
            competition.Id,
            round.Number,
            pool.Number,
            round.Closed is not null,
            Strips.Of(bouts),
            Fencers(competition, pool),
            [
                .. bouts.OrderBy(b => b.Order).Select(b => new PoolBoutView(
                    b.Id, b.Order, position[b.Left.EntrantId!], position[b.Right.EntrantId!], b.Status, ScoreView.Of(b), b.Winner, b.Version)),
            ],
            StandingView.Of(
                competition,
                PoolRoundDecider.Tallies(competition, round, bouts).Where(t => position.ContainsKey(t.EntrantId)),
                round.Closed is null ? RoundOutlook.InPool(competition, pool, bouts) : null,
                promoted: null));
    }

    private static ImmutableArray<PoolFencerView> Fencers(Competition competition, DrawnPool pool) =>
    [
        .. pool.Fencers.Select((id, i) =>
        {
            var entrant = competition.Entrant(id)!;
            return new PoolFencerView(i + 1, id, entrant.Details.Name, entrant.Details.Club, entrant.Details.Country, entrant.Status);
        }),
    ];
}
