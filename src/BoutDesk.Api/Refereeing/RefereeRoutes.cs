using BoutDesk.Api.Entries;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Refereeing;

/// <summary>The referees of a tournament by name. Their names are read out in the hall, so that reads are public.</summary>
internal static class RefereeRoutes
{
    public static void MapReferees(this IEndpointRouteBuilder app)
    {
        var list = app.MapGroup("/api/tournaments/{tournamentId}/referees").WithTags("Refereeing");
        list.MapPost("", AddAsync).Needs(PassKind.Desk)
            .Does(
                "addReferees",
                "List a referee (JSON) or several (CSV)",
                "CSV has a header row with the same names as the JSON fields, in UTF-8, with comma, semicolon or tab; several weapons or breaks stand in one field, blanks between. All rows are taken or none, unless partial=true; dryRun=true only checks.")
            .Accepts<ListReferee>("application/json", "text/csv")
            .Produces<ImportReport>(200)
            .Produces<RefereeView>(201)
            .Writes(409);
        list.MapGet("", ListAsync)
            .Does("listReferees", "The referees of a tournament, in the order in which they were listed").Lists<RefereeView>(404);

        var one = app.MapGroup("/api/referees/{refereeId}").WithTags("Refereeing");
        one.MapGet("", GetAsync).Does("getReferee", "One referee").Shows<RefereeView>(404);
        one.MapPut("", CorrectAsync).Needs(PassKind.Desk)
            .Does("correctReferee", "Correct the details of a referee", "What he is appointed for stays his.").Produces<RefereeView>(200).Writes(409, 412);
        one.MapPost("/away", (string refereeId, HttpContext http, Commands commands) => ChangeAsync(refereeId, http, commands, RefereeDecider.SendAway)).Needs(PassKind.Desk)
            .Does("sendRefereeAway", "Say that a referee is not to be asked at present", "What he is appointed for stays his, until somebody else is appointed. Once more changes nothing.").Produces<RefereeView>(200).Writes(409, 412);
        one.MapPost("/back", (string refereeId, HttpContext http, Commands commands) => ChangeAsync(refereeId, http, commands, RefereeDecider.BringBack)).Needs(PassKind.Desk)
            .Does("bringRefereeBack", "Say that a referee can be asked again", "Once more changes nothing.").Produces<RefereeView>(200).Writes(409, 412);
    }

    private static async Task<IResult> AddAsync(string tournamentId, HttpContext http, Commands commands, bool dryRun = false, bool partial = false)
    {
        if (OneOrList.IsList(http.Request))
        {
            return await ImportAsync(tournamentId, http, commands, dryRun, partial);
        }

        var body = await OneOrList.OneAsync<ListReferee>(http);
        if (body is null)
        {
            return Problem.Invalid("$", $"A referee is needed.");
        }

        var errors = new FieldErrors();
        var details = body.ToDetails(errors);
        return await commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Tournament>(tournamentId) is not { } tournament)
            {
                return Problem.NotFound("tournament");
            }

            var problems = RefereeDecider.CheckReferees(tournament, [details]).Select(p => p.Problem).ToArray();
            if (errors.Count == 0 && problems is [{ Reason: not RefusalReason.InvalidValue } listed])
            {
                return listed;
            }

            if (WithProblems(errors, problems) is { } problem)
            {
                return problem;
            }

            var decision = RefereeDecider.List(tournament, [details]);
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            var referee = ledger.Now<Tournament>(tournamentId).Referees[^1];
            return Answer.Created($"/api/referees/{referee.Id}", RefereeView.Of(referee, forDesk: true));
        });
    }

    private static async Task<IResult> ImportAsync(string tournamentId, HttpContext http, Commands commands, bool dryRun, bool partial)
    {
        var (list, unreadable) = RefereeList.Read(await OneOrList.ListAsync(http));
        if (list is null)
        {
            return unreadable!;
        }

        return await commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Tournament>(tournamentId) is not { } tournament)
            {
                return Problem.NotFound("tournament");
            }

            var wrong = RefereeDecider.CheckReferees(tournament, [.. list.Rows.Select(r => r.Details)]);
            var wrongRows = wrong.Select(w => w.Row).ToHashSet();
            RefereeDetails[] good = [.. list.Rows.Where((_, i) => !wrongRows.Contains(i)).Select(r => r.Details)];
            return OneOrList.Take(
                ledger,
                RefereeDecider.List(tournament, good),
                good.Length,
                list.Problems.Concat(wrong.Select(w => new RowProblem(list.Rows[w.Row].Line, w.Problem.Field ?? string.Empty, w.Problem.Sentence))),
                list.Ignored,
                (dryRun, partial),
                rejected => $"Nobody was listed, because {rejected} row(s) are wrong. Mend them and send the list again, or send it with partial=true to take the others.");
        });
    }

    internal static async Task<IResult> ListAsync(
        string tournamentId, int? limit, string? after, HttpContext http, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Tournament>(tournamentId, cancellation) is not { } tournament)
        {
            return Problem.NotFound("tournament");
        }

        var forDesk = http.IsDeskFor(tournamentId);
        return new FreshList<RefereeView>(
            [.. tournament.Referees.Select(r => RefereeView.Of(r, forDesk))], r => r.Id, new Page(limit, after), $"{tournament.Name} referees");
    }

    private static async Task<IResult> GetAsync(string refereeId, HttpContext http, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        // An identifier that begins with its hyphen names no tournament, and the store takes no empty one.
        var tournament = Identifiers.TournamentOf(refereeId) is { Length: > 0 } id ? await session.LoadAsync<Tournament>(id, cancellation) : null;
        return tournament?.Referee(refereeId) is { } referee
            ? new Fresh<RefereeView>(RefereeView.Of(referee, http.IsDeskFor(refereeId)))
            : Problem.NotFound("referee");
    }

    private static Task<IResult> CorrectAsync(string refereeId, ListReferee body, HttpContext http, Commands commands)
    {
        var errors = new FieldErrors();
        var details = body.ToDetails(errors);
        return WithProblems(errors, details.Problems()) is { } problem
            ? Task.FromResult<IResult>(problem)
            : ChangeAsync(refereeId, http, commands, (tournament, referee) => RefereeDecider.Correct(tournament, referee, details));
    }

    private static Task<IResult> ChangeAsync(string refereeId, HttpContext http, Commands commands, Func<Tournament, Referee, Decision> decide) =>
        commands.RunAsync(http, async ledger =>
        {
            var tournamentId = Identifiers.TournamentOf(refereeId);
            if (tournamentId.Length == 0 || await ledger.FindAsync<Tournament>(tournamentId) is not { } tournament || tournament.Referee(refereeId) is not { } referee)
            {
                return Problem.NotFound("referee");
            }

            if (ETags.Mismatch(http.Request, RefereeView.Of(referee, forDesk: true), RefereeView.Of(referee, forDesk: false)) is { } stale)
            {
                return stale;
            }

            var decision = decide(tournament, referee);
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            return Answer.Ok(RefereeView.Of(ledger.Now<Tournament>(tournamentId).Referee(refereeId)!, forDesk: true)).WithVersion();
        });

    private static Problem? WithProblems(FieldErrors errors, IEnumerable<Refusal> problems)
    {
        foreach (var wrong in problems)
        {
            errors.Add(wrong.Field!, wrong.Sentence);
        }

        return errors.ToProblem();
    }
}
