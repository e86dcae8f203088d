using System.Collections.Immutable;
using BoutDesk.Api.Elimination;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Refereeing;

/// <summary>Who referees which pool or bout.</summary>
internal static class AppointmentRoutes
{
    public static void MapAppointments(this IEndpointRouteBuilder app)
    {
        var competition = app.MapGroup("/api/competitions/{competitionId}").WithTags("Refereeing");
        competition.MapGet("/referees", GetAsync)
            .Does("getAppointments", "Who referees what in a competition, and what each referee has to do").Shows<CompetitionReferees>(404);
        competition.MapPost("/pool-rounds/{round:int}/referees", AssignPoolsAsync).Needs(PassKind.Desk)
            .Does(
                "assignPoolReferees",
                "Assign referees to the pools of the open round that have none",
                "Never to fencers of their own club, nor of their own country where countries are kept apart; by weapon, level, hours and breaks; nobody who is away, fences or has something else to referee. As many pools as possible get one, those who have refereed least go first, and high levels are kept for later. What nobody could be found for is answered with the reason. keep=false assigns pools anew that have not begun.")
            .Produces<AssignedReferees>(200).Writes(409, 412);
        competition.MapPost("/tableau/referees", AssignTableauAsync).Needs(PassKind.Desk)
            .Does(
                "assignTableauReferees",
                "Assign referees to the bouts of the tableau whose fencers are known",
                "As for pools, in the order of calling; later tables get higher levels. Bouts beyond those that are fenced at once may have the same referees.")
            .Produces<AssignedReferees>(200).Writes(409, 412);
        app.MapGroup("/api/pools/{poolId}").WithTags("Refereeing").MapPut("/referee", AppointToPoolAsync).Needs(PassKind.Desk)
            .Does("appointPoolReferee", "Appoint the referee of a pool by hand, or nobody", "Against a rule only with a reason.").Produces<AppointmentView>(200).Writes(409, 412);
        app.MapGroup("/api/bouts/{boutId}").WithTags("Refereeing").MapPut("/referee", AppointToBoutAsync).Needs(PassKind.Desk)
            .Does("appointBoutReferee", "Appoint the referee of a bout of the tableau by hand, or nobody", "Against a rule only with a reason.").Produces<AppointmentView>(200).Writes(409, 412);
    }

    private static async Task<IResult> GetAsync(string competitionId, HttpContext http, Organiser organiser, TimeProvider clock, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Competition>(competitionId, cancellation) is not { } competition)
        {
            return Problem.NotFound("competition");
        }

        var tournament = (await session.LoadAsync<Tournament>(competition.TournamentId, cancellation))!;
        var book = await RefereeBooks.ReadAsync(session, tournament, clock.GetUtcNow(), competition, cancellation);
        var forDesk = http.IsDeskFor(competitionId);
        return new Fresh<CompetitionReferees>(new CompetitionReferees(
            [.. competition.Appointments.Select(a => AppointmentView.Of(book, tournament, competition, a.At, forDesk))],
            [.. tournament.Referees.Select(r => RefereeLoad.Of(book, competition, r))]));
    }

    private static Task<IResult> AssignPoolsAsync(
        string competitionId, int round, AssignReferees? body, HttpContext http, Commands commands, TimeProvider clock)
    {
        var (request, problem) = (body ?? new AssignReferees()).Read();
        return problem is not null
            ? Task.FromResult<IResult>(problem)
            : ChangeAsync(competitionId, http, commands, clock, (ledger, tournament, competition, book) =>
                competition.Round(round) is null
                    ? Problem.NotFound("pool round")
                    : Answered(ledger, tournament, competition, book, AppointmentDecider.AssignPools(book, competition, round, request)));
    }

    private static Task<IResult> AssignTableauAsync(string competitionId, AssignReferees? body, HttpContext http, Commands commands, TimeProvider clock)
    {
        var (request, problem) = (body ?? new AssignReferees()).Read();
        return problem is not null
            ? Task.FromResult<IResult>(problem)
            : ChangeAsync(competitionId, http, commands, clock, (ledger, tournament, competition, book) =>
            {
                var strips = tournament.Strips.Length;
                return Answered(ledger, tournament, competition, book, AppointmentDecider.AssignTableau(
                    book,
                    competition,
                    InOrderOfCalling(book, competition, clock.GetUtcNow(), strips),
                    request with { AtOnce = request.AtOnce ?? (strips > 0 ? strips : null) }));
            });
    }

    private static Task<IResult> AppointToPoolAsync(string poolId, AppointReferee body, HttpContext http, Commands commands, TimeProvider clock) =>
        AppointAsync(poolId, "pool", (competition, _) => competition.Pool(poolId) is not null, body, http, commands, clock);

    private static Task<IResult> AppointToBoutAsync(string boutId, AppointReferee body, HttpContext http, Commands commands, TimeProvider clock) =>
        Identifiers.PoolOf(boutId) is null
            ? AppointAsync(boutId, "bout", (_, book) => AppointmentView.TableauBout(book, boutId) is not null, body, http, commands, clock)
            : commands.RunAsync(http, async ledger => await ledger.Session.LoadAsync<Bout>(boutId) is null
                ? Problem.NotFound("bout")
                : new Refusal(RefusalReason.StepMissing, $"The bouts of a pool are refereed by whoever has the pool. Appoint a referee for the pool."));

    private static Task<IResult> AppointAsync(
        string at,
        string what,
        Func<Competition, RefereeBook, bool> isThere,
        AppointReferee body,
        HttpContext http,
        Commands commands,
        TimeProvider clock)
    {
        var errors = new FieldErrors();
        errors.Text("despite", body.Despite, 200, needed: false);
        if (errors.ToProblem() is { } problem)
        {
            return Task.FromResult<IResult>(problem);
        }

        var despite = string.IsNullOrWhiteSpace(body.Despite) ? null : body.Despite.Trim();
        return Identifiers.CompetitionOf(at) is not { } competitionId
            ? Task.FromResult<IResult>(Problem.NotFound(what))
            : ChangeAsync(
                competitionId,
                http,
                commands,
                clock,
                (ledger, tournament, competition, book) =>
                {
                    if (!isThere(competition, book))
                    {
                        return Problem.NotFound(what);
                    }

                    var referee = body.RefereeId is { } id ? tournament.Referee(id) : null;
                    if (referee is null && body.RefereeId is not null)
                    {
                        return Problem.Invalid("refereeId", $"Is no referee of this tournament. Take the identifier from the list of referees.");
                    }

                    var decision = AppointmentDecider.Appoint(book, competition, at, referee, despite);
                    if (decision.Refusal is { } refusal)
                    {
                        return refusal;
                    }

                    ledger.Keep(decision);
                    return Answer.Ok(AppointmentView.Of(book, tournament, ledger.Now<Competition>(competition.Id), at, forDesk: true));
                },
                what);
    }

    private static Task<IResult> ChangeAsync(
        string competitionId,
        HttpContext http,
        Commands commands,
        TimeProvider clock,
        Func<Ledger, Tournament, Competition, RefereeBook, Outcome> decide,
        string what = "competition") =>
        commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
            {
                return Problem.NotFound(what);
            }

            if (ETags.Mismatch(http.Request, competition.Version) is { } stale)
            {
                return stale;
            }

            var tournament = (await ledger.Session.LoadAsync<Tournament>(competition.TournamentId))!;
            var book = await RefereeBooks.ReadAsync(ledger.Session, tournament, clock.GetUtcNow(), competition, http.RequestAborted);
            return decide(ledger, tournament, competition, book);
        });

    private static Outcome Answered(
        Ledger ledger, Tournament tournament, Competition competition, RefereeBook book, (Decision Decision, AssignedDuties Duties) assigned)
    {
        if (assigned.Decision.Refusal is { } refusal)
        {
            return refusal;
        }

        ledger.Keep(assigned.Decision);
        var now = ledger.Now<Competition>(competition.Id);
        return Answer.Ok(new AssignedReferees(
            [.. assigned.Duties.Covered.Select(d => AppointmentView.Of(book, tournament, now, d.At, forDesk: true))],
            [.. assigned.Duties.Uncovered.Select(d => UncoveredView.Of(book, tournament, now, d))]));
    }

    /// <summary>The bouts of the tableau in which somebody fences, and then those that are called, in their order.</summary>
    private static ImmutableArray<string> InOrderOfCalling(RefereeBook book, Competition competition, DateTimeOffset now, int strips)
    {
        if (competition.Tableau is not { } drawn)
        {
            return [];
        }

        Bout[] tableau = [.. book.TableauOf(competition)];
        return
        [
            .. tableau.Where(b => b.Status == BoutStatus.Fencing).OrderByDescending(b => b.TableOf).ThenBy(b => b.Order).Select(b => b.Id),
            .. CallingOrder.Of(SeededTableau.Of(drawn, tableau), now, CallingRoutes.Rules(null, null, strips > 0 ? strips : null)).Select(call => call.BoutId),
        ];
    }
}
