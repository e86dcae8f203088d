using BoutDesk.Api.Board;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using Microsoft.AspNetCore.Components;

namespace BoutDesk.Api.Desk;

/// <summary>The pages of the desk. Each takes a desk pass; who comes without one is sent to the door and back.</summary>
internal static class DeskRoutes
{
    public static void MapDesk(this IEndpointRouteBuilder app)
    {
        app.MapDeskDoor();
        var desk = app.MapGroup("/desk").ExcludeFromDescription();
        desk.MapGet("", HomeAsync).NeedsAnyDesk();
        desk.MapGet("/tournaments/{tournamentId}", TournamentAsync).Needs(PassKind.Desk);
        desk.MapCompetition("", (state, position) => About<DeskNow>(state, position));
    }

    /// <summary>Maps a page of a competition.</summary>
    /// <param name="desk">The pages of the desk.</param>
    /// <param name="address">The end of its address, behind that of the competition.</param>
    /// <param name="make">Makes the page, given the competition and the position of the feed; null when there is no such page.</param>
    private static void MapCompetition(this RouteGroupBuilder desk, string address, Func<CompetitionState, long, WebPage?> make) =>
        desk.MapGet("/competitions/{competitionId}" + address, async (string competitionId, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub) =>
        {
            var position = hub.Position;
            await pages.SendAsync(http, await states.CompetitionAsync(competitionId) is { } state ? make(state, position) : null);
        }).Needs(PassKind.Desk);

    private static WebPage About<T>(CompetitionState state, long position, params IEnumerable<(string Name, object? Value)> more)
        where T : IComponent => WebPage.Of<T>([("State", state), ("Position", position), .. more]);

    private static async Task HomeAsync(HttpContext http, DeskPages pages, BoardStates states)
    {
        if (http.Pass().TournamentId is { } only)
        {
            http.Response.Redirect("/desk/tournaments/" + only);
            return;
        }

        await pages.SendAsync(http, WebPage.Of<DeskHome>(("Tournaments", await states.TournamentsAsync())));
    }

    private static async Task TournamentAsync(string tournamentId, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub)
    {
        var position = hub.Position;
        await pages.SendAsync(http, await states.TournamentAsync(tournamentId) is { } state
            ? WebPage.Of<DeskTournament>(("State", state), ("Position", position))
            : null);
    }
}
