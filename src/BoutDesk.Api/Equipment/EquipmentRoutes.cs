using BoutDesk.Api.Competitions;
using BoutDesk.Api.Entries;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Api.Tournaments;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Equipment;

internal static class EquipmentRoutes
{
    private const string Caution = "An aid to the armourer: the rule book in force and a qualified armourer decide, and who has failed or missing protection does not fence.";

    public static void MapEquipment(this IEndpointRouteBuilder app)
    {
        var one = app.MapGroup("/api/entrants/{entrantId}").WithTags("Equipment");
        one.MapPost("/equipment-checks", CheckAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("checkEquipment", "Record a check at the equipment table", $"With what was measured the verdict follows from the limits of the rules in force; the armourer's own goes first, and against a broken limit it needs a note. {Caution}")
            .Produces<InspectedView>(201).Writes();
        one.MapPost("/equipment-checks/rest", PassTheRestAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("passTheRest", "Pass everything that is needed and was not checked yet", $"What has failed stays so. {Caution}")
            .Produces<EquipmentView>(200).Writes();
        one.MapDelete("/equipment-checks/last", TakeBackAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("takeBackCheck", "Take the latest check back", "For a mistake. An item that was mended is checked again instead.")
            .Produces<EquipmentView>(200).Writes(409);
        one.MapGet("/equipment-checks", GetAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("getEquipment", "The equipment of an entrant as checked", Caution).Shows<EquipmentView>(401, 403, 404);
        one.MapPost("/equipment-waiver", WaiveAsync).Needs(PassKind.Desk)
            .Does("waiveEquipment", "Let an entrant fence although not everything has passed", "The reason is recorded. Protection that has failed is not waived. The desk answers for the rest by the rules in force.")
            .Produces<EquipmentView>(200).Writes(409);
        one.MapDelete("/equipment-waiver", TakeWaiverBackAsync).Needs(PassKind.Desk)
            .Does("takeWaiverBack", "No longer let an entrant fence without").Produces<EquipmentView>(200).Writes();

        var competition = app.MapGroup("/api/competitions/{competitionId}").WithTags("Equipment");
        competition.MapGet("/equipment", ListAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("listEquipment", "The equipment of all entrants as checked, to take away", Caution).Lists<EquipmentLine>(401, 403, 404);
        competition.MapPut("/equipment-gate", SetGateAsync).Needs(PassKind.Desk)
            .Does(
                "setEquipmentGate",
                "Settle what happens when a fencer is called whose equipment has not passed",
                "off: nothing. warn: it is said on pad and desk. block: a bout of the tableau is not put on a strip, and at the strip no bout is begun, until the check is passed or waived by the desk. What was fenced is always recorded.")
            .Produces<CompetitionView>(200).Writes(412);

        var tournament = app.MapGroup("/api/tournaments/{tournamentId}").WithTags("Equipment");
        tournament.MapGet("/equipment-table", TableAsync).Needs(PassKind.Desk, PassKind.Armourer)
            .Does("getEquipmentTable", "The queue at the equipment table, its pace, and what is missing for whom", Caution).Shows<EquipmentTableView>(401, 403, 404);
        tournament.MapGet("/equipment-rules", RulesAsync)
            .Does("getEquipmentRules", "The equipment rules in force: what must be there, and the limits with their sources", Caution).Shows<RulesInForce>(404);
        tournament.MapPut("/equipment-rules", BringRulesAsync).Needs(PassKind.Desk)
            .Does("bringEquipmentRules", "Bring equipment rules of one's own", "Those of a federation or an age group, in the form in which they are read. Checks that were made keep the verdicts they got.")
            .Produces<RulesInForce>(200).Writes(412);
        tournament.MapDelete("/equipment-rules", GiveRulesUpAsync).Needs(PassKind.Desk)
            .Does("giveEquipmentRulesUp", "Give the rules that were brought up for the usual ones").Produces<RulesInForce>(200).Writes(412);

        app.MapGroup("/api/bouts/{boutId}").WithTags("Equipment").MapGet("/equipment", OfBoutAsync).Needs(PassKind.Desk, PassKind.Armourer, PassKind.Referee)
            .Does("getBoutEquipment", "Whether the equipment of a bout's fencers stands against it", Caution).Shows<BoutEquipment>(401, 403, 404);
    }

    private static Task<IResult> CheckAsync(string entrantId, CheckEquipment body, HttpContext http, Commands commands, TimeProvider clock)
    {
        var errors = new FieldErrors();
        errors.Text("mark", body.Mark, 40, needed: false);
        errors.Text("note", body.Note, 200, needed: false);
        var at = When(body.At, clock, errors);
        var readings = MeasuredValues.Read(body.Measured, errors);
        if (errors.ToProblem() is { } unreadable)
        {
            return Task.FromResult<IResult>(unreadable);
        }

        var check = new CheckDetails(
            body.Item, readings, body.Verdict, body.Piece, body.Mark, body.Note, body.Opens, body.BladeSize, body.MadeFor);
        return ChangeAsync(entrantId, http, commands, Decide, ShowInspected);

        Outcome? Decide(Ledger ledger, Subject subject)
        {
            var wrong = new FieldErrors();
            foreach (var problem in EquipmentDecider.Problems(subject.Competition, subject.Rules, check))
            {
                wrong.Add(problem.Field!, problem.Sentence);
            }

            if (wrong.ToProblem() is { } invalid)
            {
                return invalid;
            }

            ledger.Keep(EquipmentDecider.Check(subject.RecordId, subject.Competition, subject.Rules, check, at));
            return null;
        }

        Answer ShowInspected(EquipmentView view, Subject subject)
        {
            var limits = Inspection.Of(subject.Rules, check.Item, subject.Competition.Weapon, check.Readings);
            var inspected = new InspectedView(view, view.Checks[^1].Verdict, [.. limits.Select(LimitView.Of)]);
            return Answer.Created($"/api/entrants/{entrantId}/equipment-checks", inspected);
        }
    }

    private static Task<IResult> PassTheRestAsync(string entrantId, PassTheRest? body, HttpContext http, Commands commands, TimeProvider clock)
    {
        var errors = new FieldErrors();
        errors.Text("mark", body?.Mark, 40, needed: false);
        var at = When(body?.At, clock, errors);
        return errors.ToProblem() is { } problem
            ? Task.FromResult<IResult>(problem)
            : ChangeAsync(entrantId, http, commands, s => EquipmentDecider.PassTheRest(s.Record, s.RecordId, s.Competition, s.Rules, body?.Mark, at));
    }

    private static Task<IResult> TakeBackAsync(string entrantId, HttpContext http, Commands commands) =>
        ChangeAsync(entrantId, http, commands, s => EquipmentDecider.TakeBack(s.Record));

    private static Task<IResult> WaiveAsync(string entrantId, GiveReason body, HttpContext http, Commands commands) =>
        Reasons.Problem(body.Reason, needed: true) is { } problem
            ? Task.FromResult<IResult>(problem)
            : ChangeAsync(entrantId, http, commands, s => EquipmentDecider.Waive(s.Record, s.RecordId, s.Competition, s.Rules, body.Reason.Trim()));

    private static Task<IResult> TakeWaiverBackAsync(string entrantId, HttpContext http, Commands commands) =>
        ChangeAsync(entrantId, http, commands, s => EquipmentDecider.TakeWaiverBack(s.Record));

    private static async Task<IResult> GetAsync(string entrantId, HttpContext http, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await SubjectOfAsync(session, entrantId, cancellation) is { } subject
            ? new Fresh<EquipmentView>(EquipmentView.Of(
                subject.Competition,
                subject.Entrant,
                subject.Rules,
                await session.LoadAsync<EquipmentRecord>(subject.RecordId, cancellation),
                http.IsDeskFor(entrantId)))
            : Problem.NotFound("entrant");
    }

    internal static async Task<IResult> ListAsync(
        string competitionId, int? limit, string? after, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Competition>(competitionId, cancellation) is not { } competition)
        {
            return Problem.NotFound("competition");
        }

        var rules = await EquipmentBook.RulesAsync(session, competition.TournamentId, cancellation);
        var records = await EquipmentBook.OfAsync(session, competitionId, cancellation);
        return new FreshList<EquipmentLine>(
            [.. competition.Entrants.Select(e => EquipmentLine.Of(competition, e, rules, records.GetValueOrDefault(e.Id)))],
            l => l.EntrantId,
            new Page(limit, after),
            $"{competition.Name} equipment");
    }

    private static Task<IResult> SetGateAsync(string competitionId, SetEquipmentGate body, HttpContext http, Commands commands) =>
        commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
            {
                return Problem.NotFound("competition");
            }

            if (ETags.Mismatch(http.Request, competition.Version) is { } stale)
            {
                return stale;
            }

            if (competition.EquipmentGate != body.Gate)
            {
                ledger.Keep(Decision.Accept(competitionId, new EquipmentGateSet(body.Gate)));
            }

            var now = ledger.Now<Competition>(competitionId);
            var stage = await CompetitionRoutes.StageAsync(ledger.Session, now, http.RequestAborted);
            return Answer.Ok(CompetitionView.Of(now, stage)).WithVersion(now.Version);
        });

    private static async Task<IResult> TableAsync(string tournamentId, Organiser organiser, TimeProvider clock, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Tournament>(tournamentId, cancellation) is not { } tournament)
        {
            return Problem.NotFound("tournament");
        }

        var competitions = await session.LoadManyAsync<Competition>(cancellation, [.. tournament.Competitions]);
        string[] ids = [.. tournament.Competitions];
        var records = await session.Query<EquipmentRecord>().Where(r => r.CompetitionId.IsOneOf(ids)).ToListAsync(cancellation);
        return new Fresh<EquipmentTableView>(EquipmentTableView.Of(tournament, competitions, records, clock.GetUtcNow()));
    }

    private static async Task<IResult> RulesAsync(string tournamentId, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await session.LoadAsync<Tournament>(tournamentId, cancellation) is { } tournament
            ? new Fresh<RulesInForce>(RulesInForce.Of(tournament), tournament.Version)
            : Problem.NotFound("tournament");
    }

    private static Task<IResult> BringRulesAsync(string tournamentId, EquipmentRules body, HttpContext http, Commands commands)
    {
        var errors = new FieldErrors();
        errors.Items("required", body.Required);
        errors.Items("limits", body.Limits);
        if (errors.ToProblem() is { } holes)
        {
            return Task.FromResult<IResult>(holes);
        }

        foreach (var wrong in body.Problems())
        {
            errors.Add(wrong.Field!, wrong.Sentence);
        }

        return errors.ToProblem() is { } problem
            ? Task.FromResult<IResult>(problem)
            : ChangeRulesAsync(tournamentId, http, commands, tournament => tournament.BringRules(body));
    }

    private static Task<IResult> GiveRulesUpAsync(string tournamentId, HttpContext http, Commands commands) =>
        ChangeRulesAsync(tournamentId, http, commands, tournament => tournament.GiveRulesUp());

    private static Task<IResult> ChangeRulesAsync(string tournamentId, HttpContext http, Commands commands, Func<Tournament, Decision> decide) =>
        commands.ChangeTournamentAsync(http, tournamentId, (ledger, tournament) =>
        {
            ledger.Keep(decide(tournament));
            var now = ledger.Now<Tournament>(tournamentId);
            return Task.FromResult<Outcome>(Answer.Ok(RulesInForce.Of(now)).WithVersion(now.Version));
        });

    private static async Task<IResult> OfBoutAsync(string boutId, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Bout>(boutId, cancellation) is not { } bout)
        {
            return Problem.NotFound("bout");
        }

        var competition = (await competitions.FindAsync(session, bout.CompetitionId))!;
        var unready = await EquipmentBook.UnreadyAsync(session, competition, EquipmentBook.FencersOf(bout), cancellation);
        return new Fresh<BoutEquipment>(BoutEquipment.Of(competition.EquipmentGate, bout, unready));
    }

    private static Task<IResult> ChangeAsync(string entrantId, HttpContext http, Commands commands, Func<Subject, Decision> decide) =>
        ChangeAsync(
            entrantId,
            http,
            commands,
            (ledger, subject) =>
            {
                var decision = decide(subject);
                if (decision.Refusal is { } refusal)
                {
                    return refusal;
                }

                ledger.Keep(decision);
                return null;
            },
            (view, _) => Answer.Ok(view));

    private static Task<IResult> ChangeAsync(
        string entrantId,
        HttpContext http,
        Commands commands,
        Func<Ledger, Subject, Outcome?> change,
        Func<EquipmentView, Subject, Answer> answer) =>
        commands.RunAsync(http, async ledger =>
        {
            if (await SubjectOfAsync(ledger.Session, entrantId, http.RequestAborted) is not { } subject)
            {
                return Problem.NotFound("entrant");
            }

            subject = subject with { Record = await ledger.FindAsync<EquipmentRecord>(subject.RecordId) };
            if (change(ledger, subject) is { } outcome)
            {
                return outcome;
            }

            var now = ledger.NowOrNull<EquipmentRecord>(subject.RecordId);
            var view = EquipmentView.Of(subject.Competition, subject.Entrant, subject.Rules, now, http.Pass().Kind == PassKind.Desk);
            return answer(view, subject);
        });

    private static async Task<Subject?> SubjectOfAsync(IQuerySession session, string entrantId, CancellationToken cancellation) =>
        Identifiers.CompetitionOf(entrantId) is { } competitionId
        && await session.LoadAsync<Competition>(competitionId, cancellation) is { } competition
        && competition.Entrant(entrantId) is { } entrant
            ? new Subject(competition, entrant, await EquipmentBook.RulesAsync(session, competition.TournamentId, cancellation), null)
            : null;

    /// <summary>When it was, which cannot lie ahead: a phone's clock that is fast would spoil the pace of the table.</summary>
    private static DateTimeOffset When(DateTimeOffset? told, TimeProvider clock, FieldErrors errors)
    {
        var now = clock.GetUtcNow();
        if (told > now.AddMinutes(5))
        {
            errors.Add("at", $"Lies ahead. Leave it out for what is checked now.");
        }

        return told is { } at && at < now ? at.ToUniversalTime() : now;
    }

    /// <summary>Whose equipment it is about, and the rules that it is held against.</summary>
    private sealed record Subject(Competition Competition, Entrant Entrant, EquipmentRules Rules, EquipmentRecord? Record)
    {
        public string RecordId => Identifiers.EquipmentRecord(Entrant.Id);
    }
}
