using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Api.Tournaments;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Planning;

internal static class PlanRoutes
{
    // Often enough for an eye, and rarely enough for a bad network.
    private static readonly TimeSpan TellEvery = TimeSpan.FromMilliseconds(200);

    public static void MapPlans(this IEndpointRouteBuilder app)
    {
        var plan = app.MapGroup("/api/tournaments/{tournamentId}/plan").WithTags("Planning");
        plan.MapPost("", PlanAsync).Needs(PassKind.Desk)
            .Does(
                "planDay",
                "Plan the day: when each competition is fenced on which strips, and when the day ends",
                "From the entries and the formulas, and from what the body says of the hall. Nothing is kept: the same body gives the same plan, as long as the entries are the same. A bound says how much earlier a plan could end at best and what sets it, whatIf when it would end if something were otherwise, relax what to change if the hall closes before. With prove an exact solver goes on from the search, where it is installed. Asked for text/event-stream, it tells how the search comes on; who has seen enough hangs up, and asks again with stopAfter for the best plan by then.")
            .Produces<PlanView>(200, Formats.Json, "text/event-stream").Writes(406);
        plan.MapGet("", KeptAsync)
            .Does("getPlan", "The plan that is kept, what it was made for, and which numbers have moved away from it").Shows<KeptPlanView>(404);
        plan.MapGet("/stages", StagesAsync)
            .Does("listPlanStages", "The stages of the plan that is kept, in the order of their beginning; none when no plan is kept").Lists<KeptStageView>(404);
        plan.MapPut("", KeepAsync).Needs(PassKind.Desk)
            .Does("keepPlan", "Plan the day and keep the plan", "The body is that of planDay, and the plan is the same. It stays as it is when entries change, and says in moved which numbers have; keep it anew for another.")
            .Produces<KeptPlanView>(200).Writes(412);
        plan.MapDelete("", GiveUpAsync).Needs(PassKind.Desk)
            .Does("givePlanUp", "Give up the plan that is kept").Produces(204).Writes(412);
    }

    /// <summary>The competitions of a tournament, in the order of the programme.</summary>
    public static async Task<Competition[]> CompetitionsAsync(IQuerySession session, Tournament tournament, CancellationToken cancellation) =>
        [.. (await session.LoadManyAsync<Competition>(cancellation, [.. tournament.Competitions])).OrderBy(c => tournament.Competitions.IndexOf(c.Id))];

    /// <summary>How a search comes on, as server-sent events, until it is at its end or nobody listens any more.</summary>
    public static IResult Follow(DayPlanning planning) => TypedResults.ServerSentEvents(TellAsync(planning));

    private static async IAsyncEnumerable<SseItem<PlanProgress>> TellAsync(DayPlanning planning, [EnumeratorCancellation] CancellationToken cancellation = default)
    {
        var told = TimeProvider.System.GetTimestamp();
        foreach (var come in planning.Progress())
        {
            cancellation.ThrowIfCancellationRequested();
            if (come.Tried == 0 || come.Done || TimeProvider.System.GetElapsedTime(told) >= TellEvery)
            {
                told = TimeProvider.System.GetTimestamp();
                yield return new SseItem<PlanProgress>(come, "progress");
                // Lets what was told go out before the search goes on.
                await Task.Yield();
            }
        }
    }

    /// <summary>Reads a tournament with its competitions, or says that there is none.</summary>
    public static async Task<(Tournament? Tournament, Competition[] Competitions)> ReadAsync(string tournamentId, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await session.LoadAsync<Tournament>(tournamentId, cancellation) is { } tournament
            ? (tournament, await CompetitionsAsync(session, tournament, cancellation))
            : (null, []);
    }

    private static async Task<IResult> PlanAsync(string tournamentId, PlanDay body, HttpContext http, Organiser organiser)
    {
        var (tournament, competitions) = await ReadAsync(tournamentId, organiser, http.RequestAborted);
        if (tournament is null)
        {
            return Problem.NotFound("tournament");
        }

        var (planning, problem) = DayPlanning.Of(tournament, competitions, body);
        return problem is not null ? problem
            : http.Request.GetTypedHeaders().Accept.Any(a => a.MediaType == "text/event-stream") ? Follow(planning!)
            : Results.Json(planning!.Plan(), JsonSetup.Options);
    }

    private static async Task<IResult> KeptAsync(string tournamentId, Organiser organiser, CancellationToken cancellation)
    {
        var (tournament, competitions) = await ReadAsync(tournamentId, organiser, cancellation);
        return tournament is null ? Problem.NotFound("tournament")
            : tournament.Plan is not { } plan ? new Problem(ProblemKinds.NotFound, $"No plan is kept for this day. Plan the day, and keep the plan.")
            : new Fresh<KeptPlanView>(KeptPlanView.Of(plan, competitions), tournament.Version);
    }

    private static async Task<IResult> StagesAsync(string tournamentId, int? limit, string? after, Organiser organiser, CancellationToken cancellation)
    {
        var (tournament, competitions) = await ReadAsync(tournamentId, organiser, cancellation);
        return tournament is null
            ? Problem.NotFound("tournament")
            : new FreshList<KeptStageView>(
                tournament.Plan is { } plan ? KeptPlanView.Of(plan, competitions).Stages : [],
                s => $"{s.CompetitionId} {s.Kind} {s.Round}",
                new Page(limit, after),
                $"{tournament.Name} plan");
    }

    private static Task<IResult> KeepAsync(string tournamentId, PlanDay body, HttpContext http, Commands commands) =>
        commands.ChangeTournamentAsync(http, tournamentId, async (ledger, tournament) =>
        {
            var competitions = await CompetitionsAsync(ledger.Session, tournament, http.RequestAborted);
            var (planning, problem) = DayPlanning.Of(tournament, competitions, body);
            if (problem is not null)
            {
                return problem;
            }

            ledger.Keep(tournament.KeepPlan(planning!.ToKeep()));
            var now = ledger.Now<Tournament>(tournamentId);
            return Answer.Ok(KeptPlanView.Of(now.Plan!, competitions)).WithVersion(now.Version);
        });

    private static Task<IResult> GiveUpAsync(string tournamentId, HttpContext http, Commands commands) =>
        commands.ChangeTournamentAsync(http, tournamentId, (ledger, tournament) =>
        {
            ledger.Keep(tournament.GivePlanUp());
            return Task.FromResult<Outcome>(new Answer(StatusCodes.Status204NoContent, null));
        });
}
