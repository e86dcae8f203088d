using System.Collections.Immutable;
using BoutDesk.Api.Board;
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
        var people = state is null ? [] : People(state).ToArray();
        if (people.FirstOrDefault(p => p.Id == id) is not { Id: not null } who)
        {
            await pages.SendAsync(http, null);
            return;
        }

        await pages.SendAsync(http, WebPage.Of<DeskErase>(
            ("State", state),
            ("Address", kind + id),
            ("Name", who.Name),
            ("Others", people.Where(p => p.Id != id && p.Person == who.Person).Select(p => (p.Id, p.Where)).ToImmutableArray()),
            ("Back", Identifiers.CompetitionOf(id) is { } competition ? $"/desk/competitions/{competition}/entries" : $"/desk/tournaments/{state!.Tournament.Id}/referees"),
            ("Position", position)));
    }

    private static IEnumerable<(string Id, string Person, string Name, string Where)> People(TournamentState state) =>
        state.Competitions.SelectMany(c => c.Competition.Entrants.Select(e => (e.Id, e.Details.Person(), e.Details.Name, T("entered in {0}", c.Competition.Name))))
            .Concat(state.Tournament.Referees.Select(r => (r.Id, r.Details.Person(), r.Details.Name, T("listed as a referee"))));
}
