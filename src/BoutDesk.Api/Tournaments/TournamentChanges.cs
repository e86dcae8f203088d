using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Tournaments;

/// <summary>Changes of a tournament that a client can make depend on the version it has read.</summary>
internal static class TournamentChanges
{
    /// <summary>Runs a change, unless there is no such tournament or If-Match names another version than the one in force.</summary>
    public static Task<IResult> ChangeTournamentAsync(this Commands commands, HttpContext http, string tournamentId, Func<Ledger, Tournament, Task<Outcome>> change) =>
        commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Tournament>(tournamentId) is not { } tournament)
            {
                return Problem.NotFound("tournament");
            }

            return ETags.Mismatch(http.Request, tournament.Version) is { } stale ? stale : await change(ledger, tournament);
        });
}
