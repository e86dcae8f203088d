using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Planning;

internal static class PlanRoutes
{
    public static void MapPlans(this IEndpointRouteBuilder app) =>
        app.MapGroup("/api/tournaments/{tournamentId}/plan").WithTags("Planning").MapPost("", PlanAsync).Needs(PassKind.Desk)
            .Does(
                "planDay",
                "Plan the day: when each competition is fenced on which strips, and when the day ends",
                "From the entries and the formulas, and from what the body says of the hall. Nothing is kept: the same body gives the same plan, as long as the entries are the same. A bound says how much earlier a plan could end at best, and whatIf when it would end if something were otherwise.")
            .Produces<PlanView>(200).Writes();

    /// <summary>The competitions of a tournament, in the order of the programme.</summary>
    public static async Task<Competition[]> CompetitionsAsync(IQuerySession session, Tournament tournament, CancellationToken cancellation) =>
        [.. (await session.LoadManyAsync<Competition>(cancellation, [.. tournament.Competitions])).OrderBy(c => tournament.Competitions.IndexOf(c.Id))];

    private static async Task<IResult> PlanAsync(string tournamentId, PlanDay body, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Tournament>(tournamentId, cancellation) is not { } tournament)
        {
            return Problem.NotFound("tournament");
        }

        var (plan, problem) = DayPlanning.Of(tournament, await CompetitionsAsync(session, tournament, cancellation), body);
        return problem is not null ? problem : Results.Json(plan, JsonSetup.Options);
    }
}
