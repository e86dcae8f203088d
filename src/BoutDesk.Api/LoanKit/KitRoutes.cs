using System.Collections.Immutable;
using BoutDesk.Api.Entries;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.LoanKit;

/// <summary>Loan kit handed out and taken in. Who borrowed what concerns minors, so that reads need a pass too.</summary>
internal static class KitRoutes
{
    public static void MapLoanKit(this IEndpointRouteBuilder app)
    {
        var stock = app.MapGroup("/api/tournaments/{tournamentId}/loan-kit").WithTags("Loan kit");
        stock.MapPost("", AddAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does(
                "addKit",
                "Add loan kit: some of a kind (JSON) or a whole list (CSV)",
                "CSV has a header row with the same names as the JSON fields, in UTF-8, with comma, semicolon or tab. All rows are taken or none, unless partial=true; dryRun=true only checks.")
            .Accepts<AddKit>("application/json", "text/csv")
            .Produces<ImportReport>(200)
            .Produces<AddedKit>(201)
            .Writes(409);
        stock.MapGet("", ListAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("listKit", "The loan kit by number, with who has what", "Those items that are gone are left out, unless they are asked for. An aid: whether an item may be worn is for the rule book in force and a qualified armourer.")
            .Lists<KitView>(401, 403, 404);

        var one = app.MapGroup("/api/loan-kit/{itemId}").WithTags("Loan kit");
        one.MapGet("", GetAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("getKit", "One item, and who has it").Shows<KitView>(401, 403, 404);
        one.MapPut("", CorrectAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("correctKit", "Correct the details of an item", "Also while it is out.").Produces<KitView>(200).Writes(409, 412);
        one.MapDelete("", TakeOutAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("takeOutKit", "Take an item out of the stock for good", "Once more changes nothing.").Produces(204).Writes(409, 412);
        one.MapPost("/issue", IssueAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("issueKit", "Hand an item out", "To an entrant of any competition of the tournament. What is made for the other hand or another weapon is handed out with a warning.")
            .Produces<IssuedKit>(200).Writes(409, 412);
        one.MapDelete("/issue", TakeBackIssueAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("takeBackIssue", "Take back that an item was handed out", "For a mistake: it had not been.").Produces<KitView>(200).Writes(409, 412);
        one.MapPost("/return", ReturnAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("returnKit", "Take an item in again", "Good, to be mended, or retired.").Produces<KitView>(200).Writes(409, 412);
        one.MapDelete("/return", TakeBackReturnAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("takeBackReturn", "Take back that an item came back", "For a mistake, until it is mended or handed out again: whoever had it has it still.").Produces<KitView>(200).Writes(409, 412);
        one.MapPost("/mend", MendAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("mendKit", "Say that an item was mended", "It can be handed out again.").Produces<KitView>(200).Writes(409, 412);
    }

    private static async Task<IResult> AddAsync(string tournamentId, HttpContext http, Commands commands, bool dryRun = false, bool partial = false)
    {
        if (OneOrList.IsList(http.Request))
        {
            return await ImportAsync(tournamentId, http, commands, dryRun, partial);
        }

        var body = await OneOrList.OneAsync<AddKit>(http);
        if (body is null)
        {
            return Problem.Invalid("$", $"An item is needed.");
        }

        return await commands.RunAsync(http, async ledger =>
        {
            if (await ledger.Session.LoadAsync<Tournament>(tournamentId) is null)
            {
                return Problem.NotFound("tournament");
            }

            var errors = new FieldErrors();
            errors.Range("count", body.Count, 1, AddKit.MostAtOnce);
            if (errors.ToProblem() is { } miscounted)
            {
                return miscounted;
            }

            var store = await ledger.FindAsync<LoanStore>(Identifiers.LoanStore(tournamentId));
            var rows = body.ToDetails().Times(body.Count);
            // What is wrong with one of several is wrong with each.
            var problems = LoanDecider.CheckItems(store, rows).Where(p => p.Row == 0 || p.Problem.Reason != RefusalReason.InvalidValue).Select(p => p.Problem).ToArray();
            if (problems.FirstOrDefault(p => p.Reason != RefusalReason.InvalidValue) is { } taken && problems.All(p => p.Reason != RefusalReason.InvalidValue))
            {
                return taken;
            }

            foreach (var wrong in problems)
            {
                errors.Add(wrong.Field!, wrong.Sentence);
            }

            if (errors.ToProblem() is { } problem)
            {
                return problem;
            }

            var decision = LoanDecider.Add(tournamentId, store, rows);
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            var added = ledger.Now<LoanStore>(Identifiers.LoanStore(tournamentId)).Items[^rows.Length..];
            var borrowers = await KitBorrowers.OfAsync(ledger.Session, added, http.RequestAborted);
            return Answer.Created($"/api/tournaments/{tournamentId}/loan-kit", new AddedKit([.. added.Select(i => KitView.Of(i, borrowers))]));
        });
    }

    private static async Task<IResult> ImportAsync(string tournamentId, HttpContext http, Commands commands, bool dryRun, bool partial)
    {
        var (list, unreadable) = KitList.Read(await OneOrList.ListAsync(http));
        if (list is null)
        {
            return unreadable!;
        }

        return await commands.RunAsync(http, async ledger =>
        {
            if (await ledger.Session.LoadAsync<Tournament>(tournamentId) is null)
            {
                return Problem.NotFound("tournament");
            }

            var store = await ledger.FindAsync<LoanStore>(Identifiers.LoanStore(tournamentId));
            // A row that stands for several items is judged by all of them, and told of once.
            (int Row, KitDetails Details)[] items = [.. list.Rows.SelectMany((row, i) => row.Details.Times(row.Count).Select(details => (i, details)))];
            var wrong = LoanDecider.CheckItems(store, [.. items.Select(i => i.Details)]).Select(p => (items[p.Row].Row, p.Problem)).DistinctBy(p => (p.Row, p.Problem.Field)).ToArray();
            var wrongRows = wrong.Select(w => w.Row).ToHashSet();
            return OneOrList.Take(
                ledger,
                LoanDecider.Add(tournamentId, store, [.. items.Where(i => !wrongRows.Contains(i.Row)).Select(i => i.Details)]),
                list.Rows.Length - wrongRows.Count,
                list.Problems.Concat(wrong.Select(w => new RowProblem(list.Rows[w.Row].Line, w.Problem.Field ?? string.Empty, w.Problem.Sentence))),
                list.Ignored,
                (dryRun, partial),
                rejected => $"Nothing was added, because {rejected} row(s) are wrong. Mend them and send the list again, or send it with partial=true to take the others.");
        });
    }

    internal static async Task<IResult> ListAsync(
        string tournamentId, string? state, int? limit, string? after, Organiser organiser, CancellationToken cancellation)
    {
        if (state is not (null or "in" or "out" or "mend" or "gone"))
        {
            return Problem.Invalid("state", $"Must be in, out, mend or gone, or left out.");
        }

        await using var session = organiser.Read();
        if (await session.LoadAsync<Tournament>(tournamentId, cancellation) is not { } tournament)
        {
            return Problem.NotFound("tournament");
        }

        var store = await session.LoadAsync<LoanStore>(Identifiers.LoanStore(tournamentId), cancellation);
        var items = await ViewsAsync(session, store, cancellation);
        var wanted = items.Where(i => state is null ? i.State != KitState.Gone : string.Equals(i.State.ToString(), state, StringComparison.OrdinalIgnoreCase));
        return new FreshList<KitView>([.. wanted], i => i.Id, new Page(limit, after), $"{tournament.Name} loan kit");
    }

    /// <summary>All items that ever were, by number, with who has them.</summary>
    internal static async Task<ImmutableArray<KitView>> ViewsAsync(IQuerySession session, LoanStore? store, CancellationToken cancellation)
    {
        var items = store?.Items ?? [];
        var borrowers = await KitBorrowers.OfAsync(session, items, cancellation);
        return [.. items.Select(i => KitView.Of(i, borrowers))];
    }

    private static async Task<IResult> GetAsync(string itemId, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        var store = await session.LoadAsync<LoanStore>(Identifiers.LoanStore(Identifiers.TournamentOf(itemId)), cancellation);
        return store?.Item(itemId) is { } item
            ? new Fresh<KitView>(KitView.Of(item, await KitBorrowers.OfAsync(session, [item], cancellation)))
            : Problem.NotFound("item");
    }

    private static Task<IResult> CorrectAsync(string itemId, CorrectKit body, HttpContext http, Commands commands) =>
        ChangeAsync(itemId, http, commands, (store, item, _) => LoanDecider.Correct(store, item, body.ToDetails()));

    private static Task<IResult> TakeOutAsync(string itemId, HttpContext http, Commands commands) =>
        ChangeAsync(itemId, http, commands, LoanDecider.TakeOut, _ => new Answer(StatusCodes.Status204NoContent, null));

    private static Task<IResult> TakeBackIssueAsync(string itemId, HttpContext http, Commands commands) =>
        ChangeAsync(itemId, http, commands, (store, item, _) => LoanDecider.TakeBackIssue(store, item));

    private static Task<IResult> ReturnAsync(string itemId, ReturnKit body, HttpContext http, Commands commands)
    {
        var errors = new FieldErrors();
        errors.Text("note", body.Note, 200, needed: false);
        var note = string.IsNullOrWhiteSpace(body.Note) ? null : body.Note.Trim();
        return errors.ToProblem() is { } problem
            ? Task.FromResult<IResult>(problem)
            : ChangeAsync(itemId, http, commands, (store, item, _) => LoanDecider.Return(store, item, body.State, note));
    }

    private static Task<IResult> TakeBackReturnAsync(string itemId, HttpContext http, Commands commands) =>
        ChangeAsync(itemId, http, commands, (store, item, _) => LoanDecider.TakeBackReturn(store, item));

    private static Task<IResult> MendAsync(string itemId, HttpContext http, Commands commands) =>
        ChangeAsync(itemId, http, commands, LoanDecider.Mend);

    private static Task<IResult> IssueAsync(string itemId, IssueKit body, HttpContext http, Commands commands)
    {
        Competition? competition = null;
        Entrant? entrant = null;
        return ChangeAsync(
            itemId,
            http,
            commands,
            async (ledger, store, item, borrower) =>
            {
                // Entrants are never taken off a list, so that nothing has to be watched here.
                competition = Identifiers.TournamentOf(body.EntrantId) == Identifiers.TournamentOf(itemId) && Identifiers.CompetitionOf(body.EntrantId) is { } competitionId
                    ? await ledger.Session.LoadAsync<Competition>(competitionId)
                    : null;
                entrant = competition?.Entrant(body.EntrantId);
                return entrant is null
                    ? Refusal.Invalid("entrantId", $"Is no entrant of this tournament. Take the identifier from the list of entrants.")
                    : LoanDecider.Issue(store, item, entrant, borrower);
            },
            view => Answer.Ok(new IssuedKit(view, LoanDecider.Warnings(view.Details(), entrant!, competition!.Weapon))));
    }

    private static Task<IResult> ChangeAsync(
        string itemId, HttpContext http, Commands commands, Func<LoanStore, KitItem, Entrant?, Decision> decide, Func<KitView, Answer>? answer = null) =>
        ChangeAsync(itemId, http, commands, (_, store, item, borrower) => Task.FromResult(decide(store, item, borrower)), answer);

    /// <summary>Changes an item.</summary>
    /// <param name="itemId">The item.</param>
    /// <param name="http">The request.</param>
    /// <param name="commands">Carries it out.</param>
    /// <param name="decide">Decides, given the loan kit, the item, and who has it.</param>
    /// <param name="answer">What is answered; the item as it is then, if left out.</param>
    private static Task<IResult> ChangeAsync(
        string itemId,
        HttpContext http,
        Commands commands,
        Func<Ledger, LoanStore, KitItem, Entrant?, Task<Decision>> decide,
        Func<KitView, Answer>? answer = null) =>
        commands.RunAsync(http, async ledger =>
        {
            var storeId = Identifiers.LoanStore(Identifiers.TournamentOf(itemId));
            if (await ledger.FindAsync<LoanStore>(storeId) is not { } store || store.Item(itemId) is not { } item)
            {
                return Problem.NotFound("item");
            }

            var borrowers = await KitBorrowers.OfAsync(ledger.Session, [item], http.RequestAborted);
            if (ETags.Mismatch(http.Request, KitView.Of(item, borrowers)) is { } stale)
            {
                return stale;
            }

            var decision = await decide(ledger, store, item, borrowers.Find(item.BorrowerId)?.Entrant);
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            var after = ledger.Now<LoanStore>(storeId).Item(itemId)!;
            var view = KitView.Of(after, await KitBorrowers.OfAsync(ledger.Session, [after], http.RequestAborted));
            var versioned = Answer.Ok(view).WithVersion();
            return answer is null ? versioned : answer(view) with { ETag = versioned.ETag };
        });
}
