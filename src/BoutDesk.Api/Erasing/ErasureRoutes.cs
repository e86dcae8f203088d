using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Erasing;

/// <summary>Erasing the data of a person who asks for it, while what was fenced stays.</summary>
internal static class ErasureRoutes
{
    private const int MostOthers = 50;

    private const string About =
        "For a person who asks for it. Names, club, country, ranking, hand, year of birth, hours, measurements, notes and reasons are erased from the store, its log and all later archives, also texts in which the name occurs; draws, results, places and verdicts stay, under a number that names nobody. It cannot be undone. Backups and archives that were made before, printed sheets and devices keep what they have. Local data protection law decides what must be done. Sent again it erases what was added since.";

    public static void MapErasure(this IEndpointRouteBuilder app)
    {
        app.MapPost("/api/entrants/{entrantId}/erasure", (string entrantId, ErasePerson? body, HttpContext http, Commands commands, PersonalData data) => EraseAsync(entrantId, "entrant", body, http, commands, data))
            .Needs(PassKind.Desk).WithTags("Entrants")
            .Does("eraseEntrant", "Erase the personal data of an entrant", About).Produces<ErasedView>(200).Writes(409);
        app.MapPost("/api/referees/{refereeId}/erasure", (string refereeId, ErasePerson? body, HttpContext http, Commands commands, PersonalData data) => EraseAsync(refereeId, "referee", body, http, commands, data))
            .Needs(PassKind.Desk).WithTags("Refereeing")
            .Does("eraseReferee", "Erase the personal data of a referee", About).Produces<ErasedView>(200).Writes(409);
    }

    private static Task<IResult> EraseAsync(string id, string what, ErasePerson? body, HttpContext http, Commands commands, PersonalData data)
    {
        var others = body?.AlsoAs ?? [];
        var errors = new FieldErrors();
        if (others.Length > MostOthers)
        {
            errors.Add("alsoAs", $"Give at most {MostOthers}.");
        }

        errors.Items("alsoAs", others);
        return errors.ToProblem() is { } problem
            ? Task.FromResult<IResult>(problem)
            : commands.RunAloneAsync(http, async ledger =>
            {
                var tournamentId = Identifiers.TournamentOf(id);
                var people = await data.PeopleAsync(tournamentId);
                if (!people.ContainsKey(id))
                {
                    return Problem.NotFound(what);
                }

                if (others.FirstOrDefault(other => !people.ContainsKey(other)) is { } unknown)
                {
                    return Problem.Invalid("alsoAs", $"There is no entrant or referee {unknown} in this tournament.");
                }

                string[] ids = [.. others.Prepend(id).Distinct()];
                var looksLike = people.Where(p => !ids.Contains(p.Key) && ids.Any(erased => people[erased] == p.Value)).Select(p => p.Key);
                var (rewritten, untold, announcements) = await data.EraseAsync(tournamentId, ids);
                foreach (var erased in untold)
                {
                    _ = Identifiers.CompetitionOf(erased) is { } competition
                        ? await ledger.FindAsync<Competition>(competition) as object
                        : await ledger.FindAsync<Tournament>(tournamentId);
                }

                if (announcements.Length > 0)
                {
                    await ledger.FindAsync<Tournament>(tournamentId);
                }

                ledger.Keep(Decision.Accept(
                [
                    .. untold.Select(erased => Identifiers.CompetitionOf(erased) is { } competition
                        ? new Fact(competition, new EntrantErased(erased))
                        : new Fact(tournamentId, new RefereeErased(erased))),
                    .. announcements.Select(announcement => new Fact(tournamentId, new AnnouncementTakenDown(announcement))),
                ]));
                return Answer.Ok(new ErasedView([.. ids], rewritten, [.. looksLike]));
            });
    }
}
