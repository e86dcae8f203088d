using BoutDesk.Api.Board;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using BoutDesk.Api.Refereeing;

namespace BoutDesk.Api.Desk;

/// <summary>The page of the referees.</summary>
internal static class RefereePages
{
    public static void MapRefereePages(this RouteGroupBuilder desk) =>
        desk.MapGet("/tournaments/{tournamentId}/referees", PageAsync).Needs(PassKind.Desk);

    private static async Task PageAsync(
        string tournamentId, HttpContext http, DeskPages pages, BoardStates states, Organiser organiser, TimeProvider clock, FeedHub hub)
    {
        var position = hub.Position;
        if (await states.TournamentAsync(tournamentId) is not { } state)
        {
            await pages.SendAsync(http, null);
            return;
        }

        await using var session = organiser.Read();
        var book = await RefereeBooks.ReadAsync(session, state.Tournament, clock.GetUtcNow(), current: null, http.RequestAborted);
        await pages.SendAsync(http, WebPage.Of<DeskReferees>(("State", state), ("Book", book), ("Position", position)));
    }
}
