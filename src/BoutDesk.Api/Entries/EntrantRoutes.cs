using System.Collections.Immutable;
using BoutDesk.Api.Equipment;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using Marten;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Mvc;

namespace BoutDesk.Api.Entries;

internal static class EntrantRoutes
{
    private const int ImportLimit = 5 * 1024 * 1024;

    public static void MapEntrants(this IEndpointRouteBuilder app)
    {
        var list = app.MapGroup("/api/competitions/{competitionId}/entrants").WithTags("Entrants");
        list.MapPost("", EnterAsync).Needs(PassKind.Desk)
            .Does(
                "enterFencers",
                "Enter a fencer (JSON) or a whole entry list (CSV)",
                "CSV has a header row with the same names as the JSON fields, in UTF-8, with comma, semicolon or tab. All rows are taken or none, unless partial=true; dryRun=true only checks.")
            .Accepts<EnterFencer>("application/json", "text/csv")
            .Produces<ImportReport>(200)
            .Produces<EntrantView>(201)
            .Writes(409)
            .WithMetadata(new RequestSizeLimitAttribute(ImportLimit));
        list.MapGet("", ListAsync)
            .Does("listEntrants", "All entrants in the order of entry, with check-in and equipment").Lists<EntrantView>(404).Kept();

        var one = app.MapGroup("/api/entrants/{entrantId}").WithTags("Entrants");
        one.MapGet("", GetAsync).Does("getEntrant", "One entrant").Shows<EntrantView>(404).Kept();
        one.MapPut("", CorrectAsync).Needs(PassKind.Desk)
            .Does("correctEntrant", "Correct the details of an entry", "The ranking counts for draws still to come.")
            .Produces<EntrantView>(200).Writes(409, 412);
        one.MapPost("/check-in", CheckInAsync).Needs(PassKind.Desk)
            .Does("checkIn", "Check an entrant in").Produces<EntrantView>(200).Writes(409, 412);
        one.MapDelete("/check-in", TakeCheckInBackAsync).Needs(PassKind.Desk)
            .Does("takeBackCheckIn", "Take a check-in back", "For a mistake, until the draw: the entrant was not seen yet.").Produces<EntrantView>(200).Writes(409, 412);
        one.MapPost("/absent", (string entrantId, HttpContext http, Commands commands) => LeaveAsync(entrantId, Leaving.Absent, null, http, commands)).Needs(PassKind.Desk)
            .Does("markAbsent", "Mark an entrant absent", "In an open pool all of his bouts are annulled.").Produces<LeavingView>(200).Writes(409, 412);
        one.MapPost("/withdraw", (string entrantId, WithdrawEntrant body, HttpContext http, Commands commands) => LeaveAsync(entrantId, Leaving.Withdrawn, body.Reason, http, commands, body.Cause)).Needs(PassKind.Desk)
            .Does("withdraw", "Let an entrant withdraw", "In an open pool all of his bouts are annulled, for the opponents too. In the elimination the next opponent goes on, and the fencer keeps his place.")
            .Produces<LeavingView>(200).Writes(409, 412);
        one.MapPost("/exclude", (string entrantId, GiveReason body, HttpContext http, Commands commands) => LeaveAsync(entrantId, Leaving.Excluded, body.Reason, http, commands)).Needs(PassKind.Desk)
            .Does("exclude", "Exclude an entrant", "As withdrawing, but the fencer gets no place.").Produces<LeavingView>(200).Writes(409, 412);
        one.MapPost("/reinstate", ReinstateAsync).Needs(PassKind.Desk)
            .Does("reinstate", "Bring an entrant back who left by mistake", "What had been fenced counts again.").Produces<EntrantView>(200).Writes(409, 412);
    }

    private static async Task<IResult> EnterAsync(
        string competitionId, HttpContext http, Commands commands, bool dryRun = false, bool partial = false)
    {
        if (OneOrList.IsList(http.Request))
        {
            return await ImportAsync(competitionId, http, commands, dryRun, partial);
        }

        // The larger limit of this address is for lists.
        if (http.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit)
        {
            limit.MaxRequestBodySize = Limits.BodyBytes;
        }

        var body = await OneOrList.OneAsync<EnterFencer>(http);
        if (body is null)
        {
            return Problem.Invalid("$", $"A fencer is needed.");
        }

        var details = body.ToDetails();
        return await commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
            {
                return Problem.NotFound("competition");
            }

            var problems = EntryDecider.CheckEntries(competition, [details]).Select(p => p.Problem).ToArray();
            if (problems.FirstOrDefault(p => p.Reason == RefusalReason.DuplicateEntrant) is { } duplicate && problems.Length == 1)
            {
                return duplicate;
            }

            var errors = new FieldErrors();
            foreach (var wrong in problems)
            {
                errors.Add(wrong.Field!, wrong.Sentence);
            }

            if (errors.ToProblem() is { } problem)
            {
                return problem;
            }

            var decision = EntryDecider.Enter(competition, [details]);
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            var entrant = ledger.Now<Competition>(competitionId).Entrants[^1];
            return Answer.Created($"/api/entrants/{entrant.Id}", EntrantView.Of(entrant, null, forDesk: true));
        });
    }

    private static async Task<IResult> ImportAsync(string competitionId, HttpContext http, Commands commands, bool dryRun, bool partial)
    {
        var (list, unreadable) = EntryList.Read(await OneOrList.ListAsync(http));
        if (list is null)
        {
            return unreadable!;
        }

        return await commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
            {
                return Problem.NotFound("competition");
            }

            var wrong = EntryDecider.CheckEntries(competition, [.. list.Rows.Select(r => r.Details)]);
            var wrongRows = wrong.Select(w => w.Row).ToHashSet();
            EntrantDetails[] good = [.. list.Rows.Where((_, i) => !wrongRows.Contains(i)).Select(r => r.Details)];
            return OneOrList.Take(
                ledger,
                EntryDecider.Enter(competition, good),
                good.Length,
                list.Problems.Concat(wrong.Select(w => new RowProblem(list.Rows[w.Row].Line, w.Problem.Field ?? string.Empty, w.Problem.Sentence))),
                list.Ignored,
                (dryRun, partial),
                rejected => $"Nobody was entered, because {rejected} row(s) are wrong. Mend them and send the list again, or send it with partial=true to take the others.");
        });
    }

    internal static async Task<IResult> ListAsync(
        string competitionId, int? limit, string? after, HttpContext http, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Competition>(competitionId, cancellation) is not { } competition)
        {
            return Problem.NotFound("competition");
        }

        var equipment = await EquipmentBook.OfAsync(session, competitionId, cancellation);
        var forDesk = http.IsDeskFor(competitionId);
        var views = competition.Entrants.Select(e => EntrantView.Of(e, equipment.GetValueOrDefault(e.Id), forDesk));
        return new FreshList<EntrantView>([.. views], e => e.Id, new Page(limit, after), $"{competition.Name} entrants");
    }

    private static async Task<IResult> GetAsync(string entrantId, HttpContext http, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await CompetitionOfAsync(session, entrantId, cancellation) is not { } competition || competition.Entrant(entrantId) is not { } entrant)
        {
            return Problem.NotFound("entrant");
        }

        var equipment = await session.LoadAsync<EquipmentRecord>(Identifiers.EquipmentRecord(entrantId), cancellation);
        return new Fresh<EntrantView>(EntrantView.Of(entrant, equipment, http.IsDeskFor(entrantId)));
    }

    private static Task<IResult> CorrectAsync(string entrantId, EnterFencer body, HttpContext http, Commands commands) =>
        ChangeAsync(entrantId, http, commands, (_, competition, entrant) => Task.FromResult(EntryDecider.Correct(competition, entrant, body.ToDetails())));

    private static Task<IResult> CheckInAsync(string entrantId, HttpContext http, Commands commands) =>
        ChangeAsync(entrantId, http, commands, (_, competition, entrant) => Task.FromResult(EntryDecider.CheckIn(competition, entrant)));

    private static Task<IResult> TakeCheckInBackAsync(string entrantId, HttpContext http, Commands commands) =>
        ChangeAsync(entrantId, http, commands, (_, competition, entrant) => Task.FromResult(EntryDecider.TakeCheckInBack(competition, entrant)));

    private static Task<IResult> LeaveAsync(
        string entrantId, Leaving leaving, string? reason, HttpContext http, Commands commands, WithdrawalCause? cause = null) =>
        Reasons.Problem(reason, needed: leaving != Leaving.Absent) is { } problem
            ? Task.FromResult<IResult>(problem)
            : ChangeAsync(
                entrantId,
                http,
                commands,
                async (ledger, competition, entrant) => EntryDecider.Leave(
                    competition, entrant, leaving, reason ?? "absent", await StageBoutsAsync(ledger, competition), cause),
                (competition, decision, view) => new LeavingView(view, LeavingConsequences.Of(competition, entrantId, decision)));

    private static Task<IResult> ReinstateAsync(string entrantId, ReinstateEntrant body, HttpContext http, Commands commands) =>
        Reasons.Problem(body.Reason, needed: true) is { } problem
            ? Task.FromResult<IResult>(problem)
            : ChangeAsync(entrantId, http, commands, async (ledger, competition, entrant) => EntryDecider.Reinstate(
                competition, entrant, body.Reason, await StageBoutsAsync(ledger, competition), body.Later));

    private static Task<IResult> ChangeAsync(
        string entrantId,
        HttpContext http,
        Commands commands,
        Func<Ledger, Competition, Entrant, Task<Decision>> decide,
        Func<Competition, Decision, EntrantView, EntrantView>? withMore = null) =>
        commands.RunAsync(http, async ledger =>
        {
            if (Identifiers.CompetitionOf(entrantId) is not { } competitionId
                || await ledger.FindAsync<Competition>(competitionId) is not { } competition
                || competition.Entrant(entrantId) is not { } entrant)
            {
                return Problem.NotFound("entrant");
            }

            var equipment = await ledger.Session.LoadAsync<EquipmentRecord>(Identifiers.EquipmentRecord(entrantId));
            if (ETags.Mismatch(http.Request, EntrantView.Of(entrant, equipment, forDesk: true), EntrantView.Of(entrant, equipment, forDesk: false)) is { } stale)
            {
                return stale;
            }

            var decision = await decide(ledger, competition, entrant);
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            var view = EntrantView.Of(ledger.Now<Competition>(competitionId).Entrant(entrantId)!, equipment, forDesk: true);
            var answer = Answer.Ok(view).WithVersion();
            return withMore is null ? answer : answer with { Body = withMore(competition, decision, view) };
        });

    /// <summary>The bouts that leaving or coming back can touch: those of the open pool round, or of the tableau.</summary>
    private static Task<Dictionary<string, Bout>> StageBoutsAsync(Ledger ledger, Competition competition)
    {
        if (competition.OpenRound is { Number: var number })
        {
            return ledger.BoutsAsync(b => b.CompetitionId == competition.Id && b.Round == number && !b.Struck);
        }

        return competition.Tableau is null
            ? Task.FromResult(new Dictionary<string, Bout>())
            : ledger.BoutsAsync(b => b.CompetitionId == competition.Id && b.TableOf != null && !b.Struck);
    }

    private static async Task<Competition?> CompetitionOfAsync(IQuerySession session, string id, CancellationToken cancellation) =>
        Identifiers.CompetitionOf(id) is { } competitionId ? await session.LoadAsync<Competition>(competitionId, cancellation) : null;
}
