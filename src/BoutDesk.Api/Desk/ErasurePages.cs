using System.Collections.Immutable;
using BoutDesk.Api.Board;
using BoutDesk.Api.Erasing;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Desk;

/// <summary>The pages on which personal data are erased.</summary>
internal static class ErasurePages
{
    public static void MapErasurePages(this RouteGroupBuilder desk)
    {
        desk.MapGet("/entrants/{entrantId}/erase", (string entrantId, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub) =>
            PageAsync("/entrants/", entrantId, http, pages, states, hub)).Needs(PassKind.Desk);
        desk.MapGet("/referees/{refereeId}/erase", (string refereeId, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub) =>
            PageAsync("/referees/", refereeId, http, pages, states, hub)).Needs(PassKind.Desk);
    }

    private static async Task PageAsync(string kind, string id, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub)
    {
        var position = hub.Position;
        var state = Identifiers.TournamentOf(id) is { Length: > 0 } tournamentId ? await states.TournamentAsync(tournamentId) : null;
        ListedPerson[] people = state is null ? [] : [.. PersonalData.People(state.Tournament, state.Competitions.Select(c => c.Competition))];
        if (Array.Find(people, p => p.Id == id) is not { } who)
        {
            await pages.SendAsync(http, null);
            return;
        }

        await pages.SendAsync(http, WebPage.Of<DeskErase>(
            ("State", state),
            ("Address", kind + id),
            ("Name", who.Name),
            ("Others", people.Where(p => p.Id != id && p.Person == who.Person).Select(p => (p.Id, p.Competition is { } name ? T("entered in {0}", name) : T("listed as a referee"))).ToImmutableArray()),
            ("Back", Identifiers.CompetitionOf(id) is { } competition ? $"/desk/competitions/{competition}/entries" : $"/desk/tournaments/{state!.Tournament.Id}/referees"),
            ("Position", position)));
    }
}
