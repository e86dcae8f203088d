using System.Collections.Immutable;
using BoutDesk.Api.Board;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Api.LoanKit;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.LoanKit;

namespace BoutDesk.Api.Desk;

/// <summary>The pages of the loan kit.</summary>
internal static class LoanKitPages
{
    public static void MapLoanKitPages(this RouteGroupBuilder desk)
    {
        desk.MapGet("/tournaments/{tournamentId}/loan-kit", PageAsync).Needs(PassKind.Desk);
        desk.MapGet("/tournaments/{tournamentId}/loan-kit/sheet", SheetAsync).Needs(PassKind.Desk);
    }

    private static async Task PageAsync(
        string tournamentId, string? who, string? to, HttpContext http, DeskPages pages, BoardStates states, Organiser organiser, FeedHub hub)
    {
        var position = hub.Position;
        if (await states.TournamentAsync(tournamentId) is not { } state)
        {
            await pages.SendAsync(http, null);
            return;
        }

        var wanted = who?.Trim() ?? string.Empty;
        var found = wanted.Length == 0 ? [] : FencerSearch.Of(state, wanted);
        if (found is [var only])
        {
            http.Response.Redirect($"/desk/tournaments/{tournamentId}/loan-kit?to={only.Entrant.Id}");
            return;
        }

        var fencer = state.Competitions.Where(c => to is not null && c.Entrants.ContainsKey(to)).Select(c => new FoundFencer(c, c.Entrants[to!])).FirstOrDefault();
        await pages.SendAsync(http, WebPage.Of<DeskLoanKit>(
            ("State", state),
            ("Kit", await KitAsync(organiser, tournamentId, http.RequestAborted)),
            ("Who", wanted),
            ("Found", found.Select(f => new FoundFencer(f.State, f.Entrant)).ToArray()),
            ("To", fencer),
            ("Position", position)));
    }

    private static async Task SheetAsync(string tournamentId, HttpContext http, DeskPages pages, BoardStates states, Organiser organiser, TimeProvider clock) =>
        await pages.SendAsync(http, await states.TournamentAsync(tournamentId) is { } state
            ? WebPage.Of<LoanKitSheet>(
                ("Tournament", state.Tournament),
                ("Kit", await KitAsync(organiser, tournamentId, http.RequestAborted)),
                ("Now", state.Tournament.TimeAt(clock.GetUtcNow())))
            : null);

    private static async Task<ImmutableArray<KitView>> KitAsync(Organiser organiser, string tournamentId, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await KitRoutes.ViewsAsync(session, await session.LoadAsync<LoanStore>(Identifiers.LoanStore(tournamentId), cancellation), cancellation);
    }
}
