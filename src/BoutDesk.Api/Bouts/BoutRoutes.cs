using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Api.Equipment;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Bouts;

internal static class BoutRoutes
{
    private static readonly PassKind[] Scorers = [PassKind.Desk, PassKind.Referee];

    public static void MapBouts(this IEndpointRouteBuilder app)
    {
        var group = app.MapGroup("/api/bouts/{boutId}").WithTags("Bouts");

        group.MapGet("", GetAsync).Does("getBout", "One bout").Shows<BoutView>(404).Kept();
        group.MapGet("/history", HistoryAsync)
            .Does("getBoutHistory", "Who did what and when in a bout, first to last", "Where the bout does not count or was lost because a fencer left or was excluded, the rule is named, as in the answer of who leaves.").Lists<HistoryLine>(404);

        group.MapPut("/result", RecordResultAsync).Needs(Scorers)
            .Does(
                "recordResult",
                "Confirm or correct the result",
                "The same result again changes nothing. A result already there is corrected by the desk only, with If-Match naming the version that was read; when the stage was closed since, the answer lists what would change until later says what shall happen.")
            .Produces<BoutView>(200).Writes(409, 412, 428);
        group.MapDelete("/result", TakeBackResultAsync).Needs(PassKind.Desk)
            .Does(
                "takeBackResult",
                "Take a confirmed result back",
                "For a result that belongs to another bout. The bout is open again, with what was scored at the strip; in the elimination its fencers leave the later bouts. Needs If-Match.")
            .Produces<BoutView>(200).Writes(409, 412, 428);
        group.MapPost("/touches", (string boutId, ScoreTouch body, HttpContext http, Commands commands, TimeProvider clock) =>
                AtHaltAsync(
                    boutId, http, commands, body.At ?? clock.GetUtcNow(), bout => BoutDecider.ScoreTouch(bout, body.Side, body.At?.ToUniversalTime()), body.RemainingMs, begins: true))
            .Needs(Scorers)
            .Does("scoreTouch", "Score a touch", "A clock that runs is halted. At the strip the first is refused where the equipment of a fencer has not passed and the competition asks for it (equipment-gate). An épée double touch at a level score one short of the target is taken, but not counted.")
            .Produces<BoutView>(200).Writes(409, 412);
        group.TakesBack("/touches/last", BoutDecider.TakeBackTouch)
            .Does("takeBackTouch", "Take the last touch back").Produces<BoutView>(200).Writes(409, 412);
        group.MapPost("/cards", ShowCardAsync).Needs(Scorers)
            .Does("showCard", "Show a card", "Give the card, or the group of the offence, and the card follows from what the fencer has. A red card gives the opponent a touch. A black card excludes the fencer from the competition, with everything that follows.")
            .Produces<PenaltyView>(200).Writes(409, 412);
        group.TakesBack("/cards/last", BoutDecider.TakeBackCard)
            .Does("takeBackCard", "Take the last card back", "A black card is lifted by reinstating the fencer at the desk.").Produces<BoutView>(200).Writes(409, 412);
        group.MapPost("/time", (string boutId, HttpContext http, Commands commands, TimeProvider clock) =>
                AtHaltAsync(boutId, http, commands, clock.GetUtcNow(), BoutDecider.RunOutOfTime))
            .Needs(Scorers)
            .Does("runOutOfTime", "Say that the fencing time has run out", "It ends the period; in the last one the leader wins, or at a level score priority is due; in the minute after priority the fencer with priority wins.")
            .Produces<BoutView>(200).Writes(409, 412);
        group.TakesBack("/time/last", BoutDecider.TakeBackTime)
            .Does("takeBackTime", "Take back that time has run out", "Priority drawn since then falls away too.").Produces<BoutView>(200).Writes(409, 412);
        group.MapPost("/priority", DrawPriorityAsync).Needs(Scorers)
            .Does("drawPriority", "Draw priority at a level score").Produces<BoutView>(200).Writes(409, 412);
        group.TakesBack("/priority/last", BoutDecider.TakeBackPriority)
            .Does("takeBackPriority", "Take priority back, to draw it again").Produces<BoutView>(200).Writes(409, 412);
        group.MapPost("/breaks", TakeBreakAsync).Needs(Scorers)
            .Does("takeBreak", "Note that a fencer takes a break", "It is only noted: whether and how long is for the referee. The start of the clock ends it, and so does the next touch.")
            .Produces<BoutView>(200).Writes(409, 412);
        group.TakesBack("/breaks/last", BoutDecider.TakeBackBreak)
            .Does("takeBackBreak", "Take the last break back").Produces<BoutView>(200).Writes(409, 412);
        group.MapPost("/clock", HandleClockAsync).Needs(Scorers)
            .Does("handleClock", "Start, halt or set the clock", "So that board and phones agree, and another phone can go on. The clock decides nothing and is not needed.")
            .Produces<BoutView>(200).Writes(409, 412);
        group.TakesBack("/actions/last", BoutDecider.TakeBackLast)
            .Does("takeBackLast", "Take back what was recorded last", "A touch, a card, time, priority or a break; the clock stays. A black card is lifted by reinstating the fencer at the desk.")
            .Produces<BoutView>(200).Writes(409, 412);
        group.MapPut("/strip", AssignStripAsync).Needs(PassKind.Desk)
            .Does("assignBoutToStrip", "Put a bout on a strip", "That calls its fencers. In the tableau it is refused where the equipment of one has not passed and the competition asks for it (equipment-gate).").Produces<CalledView>(200).Writes(409, 412);
    }

    private static RouteHandlerBuilder TakesBack(this RouteGroupBuilder group, string address, Func<Bout, Decision> decide) =>
        group.MapDelete(address, (string boutId, HttpContext http, Commands commands) => ScoreAsync(boutId, http, commands, decide)).Needs(Scorers);

    private static async Task<IResult> GetAsync(string boutId, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Bout>(boutId, cancellation) is not { } bout)
        {
            return Problem.NotFound("bout");
        }

        var competition = await competitions.FindAsync(session, bout.CompetitionId);
        return new Fresh<BoutView>(BoutView.Of(bout, competition!), bout.Version);
    }

    private static async Task<IResult> HistoryAsync(
        string boutId, int? limit, string? after, HttpContext http, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Bout>(boutId, cancellation) is not { } bout)
        {
            return Problem.NotFound("bout");
        }

        var events = await session.Events.FetchStreamAsync(boutId, token: cancellation);
        var forDesk = http.IsDeskFor(boutId);
        HistoryLine[] lines =
        [
            .. events.Select(e => new HistoryLine(
                e.Version,
                e.Timestamp,
                e.UserName,
                EventNames.Of(e.Data),
                LeavingConsequences.RuleOf((IBoutEvent)e.Data, bout.InPool),
                Details(e.Data, forDesk))),
        ];
        return new FreshList<HistoryLine>(lines, l => l.Version.ToString(System.Globalization.CultureInfo.InvariantCulture), new Page(limit, after), $"history {boutId}");
    }

    /// <summary>The particulars of an event. Why somebody left can be a private matter, so reasons are for the desk.</summary>
    private static JsonObject Details(object happened, bool forDesk)
    {
        var details = JsonSerializer.SerializeToNode(happened, happened.GetType(), JsonSetup.Options)!.AsObject();
        if (!forDesk)
        {
            details.Remove("reason");
        }

        return details;
    }

    private static Task<IResult> RecordResultAsync(string boutId, RecordResult body, HttpContext http, Commands commands)
    {
        if (Reasons.Problem(body.Reason, needed: false) is { } problem)
        {
            return Task.FromResult<IResult>(problem);
        }

        var score = new Score(body.Left, body.Right);
        var authority = http.Pass().Kind == PassKind.Desk ? Authority.Desk : Authority.Referee;
        if (body.Later is not null && authority == Authority.Referee)
        {
            // It would reach bouts that the pass is not for.
            return Task.FromResult<IResult>(PassRules.Insufficient(http.Pass()));
        }

        return WithBoutAsync(boutId, http, commands, async (ledger, bout, competition) =>
        {
            if (BoutDecider.WhyInvalid(bout.Rules, score, body.Winner) is { } invalid)
            {
                return invalid;
            }

            var corrects = bout.Status == BoutStatus.Decided && !bout.Walkover && (bout.Score != score || bout.Winner != body.Winner);
            if (corrects && authority == Authority.Desk && !ETags.Given(http.Request))
            {
                return VersionNeeded();
            }

            if (!corrects || !bout.Sealed || authority == Authority.Referee)
            {
                return await CompleteAsync(ledger, competition, bout, BoutDecider.RecordResult(bout, score, body.Winner, authority, body.Reason), body.Later);
            }

            if (string.IsNullOrWhiteSpace(body.Reason))
            {
                return Problem.Invalid("reason", $"Say why a result of a closed round is corrected.");
            }

            // The ranking is a fact of the competition, so it is read as something this command changes.
            var changed = (await ledger.FindAsync<Competition>(competition.Id))!;
            var bouts = await ledger.BoutsAsync(b => b.CompetitionId == changed.Id && !b.Struck);
            return Refused(ledger, PoolRoundDecider.CorrectClosed(
                changed,
                bout,
                score,
                body.Winner,
                body.Reason,
                body.Later,
                [.. bouts.Values.Where(b => b.Round == bout.Round)],
                [.. bouts.Values.Where(b => b.TableOf is not null || b.Round > bout.Round)],
                Lots.NewSeed()));
        });
    }

    private static Task<IResult> TakeBackResultAsync(string boutId, string? reason, string? later, HttpContext http, Commands commands)
    {
        var problem = Reasons.Problem(reason, needed: false)
            ?? (later is null or "scrap" ? null : Problem.Invalid("later", $"Must be scrap, or left out."));
        return problem is not null
            ? Task.FromResult<IResult>(problem)
            : WithBoutAsync(boutId, http, commands, async (ledger, bout, competition) => ETags.Given(http.Request)
                ? await CompleteAsync(
                    ledger, competition, bout, BoutDecider.TakeBackResult(bout, reason ?? "typed in for the wrong bout"), later is null ? null : LaterDraws.Scrap)
                : VersionNeeded());
    }

    private static Problem VersionNeeded() => new(
        ProblemKinds.VersionNeeded,
        $"The bout has a result. Read it again, and send the correction with If-Match and the ETag of what you have read.");

    private static Task<IResult> ShowCardAsync(string boutId, ShowCard body, HttpContext http, Commands commands, TimeProvider clock)
    {
        if (body.Problem() is { } problem)
        {
            return Task.FromResult<IResult>(problem);
        }

        ImmutableArray<Consequence> consequences = [];
        return WithBoutAsync(boutId, http, commands, ShowAsync, view => new PenaltyView(view, consequences));

        async Task<Outcome?> ShowAsync(Ledger ledger, Bout bout, Competition competition)
        {
            var card = body.Card ?? Penalties.CardFor(bout.Actions, body.Side, body.Group!.Value);
            var now = clock.GetUtcNow();
            if (card != Card.Black)
            {
                var shown = BoutDecider.AtHalt(bout, null, now, halted => BoutDecider.ShowCard(halted, body.Side, card, body.Reason, body.Group));
                return await CompleteAsync(ledger, competition, bout, shown, null);
            }

            // The exclusion is a fact of the competition, so it is read as something this command changes.
            var changed = (await ledger.FindAsync<Competition>(bout.CompetitionId))!;
            var bouts = bout.InPool
                ? await ledger.BoutsAsync(b => b.CompetitionId == changed.Id && b.Round == bout.Round && !b.Struck)
                : await ledger.BoutsAsync(b => b.CompetitionId == changed.Id && b.TableOf != null && !b.Struck);
            var decision = BoutDecider.AtHalt(
                bout, null, now, halted => EntryDecider.ShowBlackCard(changed, halted, body.Side, body.Reason, bouts, body.Group));
            consequences = LeavingConsequences.Of(changed, bout.SeatOf(body.Side).EntrantId!, decision);
            return Refused(ledger, decision);
        }
    }

    private static Task<IResult> DrawPriorityAsync(string boutId, DrawPriority? body, HttpContext http, Commands commands, TimeProvider clock) =>
        Lots.Problem(body?.DrawSeed) is { } problem
            ? Task.FromResult<IResult>(problem)
            : AtHaltAsync(boutId, http, commands, clock.GetUtcNow(), bout => BoutDecider.DrawPriority(bout, body?.Side, Lots.Seed(body?.DrawSeed)));

    private static Task<IResult> TakeBreakAsync(string boutId, TakeBreak body, HttpContext http, Commands commands, TimeProvider clock)
    {
        var at = (body.At ?? clock.GetUtcNow()).ToUniversalTime();
        return AtHaltAsync(boutId, http, commands, at, bout => BoutDecider.TakeBreak(bout, body.Side, body.Kind, at));
    }

    private static Task<IResult> HandleClockAsync(string boutId, HandleClock body, HttpContext http, Commands commands, TimeProvider clock)
    {
        if (body.Action == ClockAction.Set && body.RemainingMs is null)
        {
            return Task.FromResult<IResult>(Problem.Invalid("remainingMs", $"Is needed to set the clock."));
        }

        var at = (body.At ?? clock.GetUtcNow()).ToUniversalTime();
        return ScoreAsync(
            boutId,
            http,
            commands,
            bout => body.Action switch
            {
                ClockAction.Start => BoutDecider.StartClock(bout, body.RemainingMs, at),
                ClockAction.Halt => BoutDecider.HaltClock(bout, body.RemainingMs, at),
                _ => BoutDecider.SetClock(bout, body.RemainingMs!.Value, at),
            },
            begins: body.Action == ClockAction.Start);
    }

    private static Task<IResult> AssignStripAsync(string boutId, AssignStrip body, HttpContext http, Commands commands)
    {
        BoutEquipment equipment = new(EquipmentGate.Off, false, []);
        return WithBoutAsync(boutId, http, commands, AssignAsync, view => new CalledView(view, equipment));

        async Task<Outcome?> AssignAsync(Ledger ledger, Bout bout, Competition competition)
        {
            if (await Strips.ProblemAsync(ledger, competition, body.StripId) is { } problem)
            {
                return problem;
            }

            var unready = await EquipmentBook.UnreadyAsync(ledger.Session, competition, EquipmentBook.FencersOf(bout), http.RequestAborted);
            equipment = BoutEquipment.Of(competition.EquipmentGate, bout, unready);
            // To put a bout of the tableau on a strip is to call its fencers; a pool is put there long before.
            if (body.StripId is not null && !bout.InPool && equipment.Hindered)
            {
                return EquipmentGates.Hinders(competition.EquipmentGate, unready)!;
            }

            if (bout.StripId != body.StripId)
            {
                ledger.Keep(Decision.Accept(bout.Id, new StripAssigned(body.StripId)));
            }

            return null;
        }
    }

    /// <summary>Why the fencers of a bout that has not begun are not called, or null.</summary>
    private static async Task<Refusal?> HinderedAsync(Ledger ledger, Bout bout, Competition competition) =>
        bout.Status == BoutStatus.Open && competition.EquipmentGate == EquipmentGate.Block
            ? EquipmentGates.Hinders(
                competition.EquipmentGate,
                await EquipmentBook.UnreadyAsync(ledger.Session, competition, EquipmentBook.FencersOf(bout), CancellationToken.None))
            : null;

    /// <summary>Something that a referee does at the strip; the desk only notes what was done there.</summary>
    private static Task<IResult> ScoreAsync(
        string boutId, HttpContext http, Commands commands, Func<Bout, Decision> decide, bool begins = false) =>
        WithBoutAsync(boutId, http, commands, async (ledger, bout, competition) =>
            begins && http.Pass().Kind == PassKind.Referee && await HinderedAsync(ledger, bout, competition) is { } hindered
                ? hindered
                : await CompleteAsync(ledger, competition, bout, decide(bout), null));

    /// <summary>Something that a referee does at the strip after "halt": a clock that runs is halted with it.</summary>
    private static Task<IResult> AtHaltAsync(
        string boutId, HttpContext http, Commands commands, DateTimeOffset at, Func<Bout, Decision> decide, int? remainingMs = null, bool begins = false) =>
        ScoreAsync(boutId, http, commands, bout => BoutDecider.AtHalt(bout, remainingMs, at.ToUniversalTime(), decide), begins);

    private static Task<IResult> WithBoutAsync(
        string boutId,
        HttpContext http,
        Commands commands,
        Func<Ledger, Bout, Competition, Task<Outcome?>> change,
        Func<BoutView, BoutView>? withMore = null) =>
        commands.RunAsync(http, async ledger =>
        {
            if (Identifiers.CompetitionOf(boutId) is not { } competitionId || await ledger.FindAsync<Bout>(boutId) is not { } bout)
            {
                return Problem.NotFound("bout");
            }

            if (!http.Pass().Covers(bout))
            {
                return PassRules.Insufficient(http.Pass());
            }

            if (ETags.Mismatch(http.Request, bout.Version) is { } stale)
            {
                return stale;
            }

            var competition = (await ledger.LookUpCompetitionAsync(competitionId))!;
            if (await change(ledger, bout, competition) is { } outcome)
            {
                return outcome;
            }

            var now = ledger.Now<Bout>(boutId);
            var view = BoutView.Of(now, competition);
            var answer = Answer.Ok(view).WithVersion(now.Version);
            return withMore is null ? answer : answer with { Body = withMore(view) };
        });

    /// <summary>Keeps a decision on a bout, and in the elimination what follows from it for later bouts.</summary>
    private static async Task<Outcome?> CompleteAsync(Ledger ledger, Competition competition, Bout bout, Decision decision, LaterDraws? later)
    {
        if (decision.Facts.IsEmpty || bout.InPool)
        {
            return Refused(ledger, decision);
        }

        var after = decision.Facts.Aggregate(bout, (before, fact) => Bout.Evolve(before, bout.Id, (IBoutEvent)fact.Event));
        if (after.Winner == bout.Winner)
        {
            return Refused(ledger, decision);
        }

        // Who left meanwhile must not be seated as if he were there, so the competition must be as it was read.
        competition = await ledger.DependOnAsync<Competition>(competition.Id);
        var bouts = new Dictionary<string, Bout> { [bout.Id] = bout };
        var ahead = new Queue<Bout>([bout]);
        while (ahead.TryDequeue(out var next))
        {
            foreach (var link in new[] { next.WinnerTo, next.LoserTo }.OfType<SeatLink>().Where(l => !bouts.ContainsKey(l.BoutId)))
            {
                bouts[link.BoutId] = (await ledger.FindAsync<Bout>(link.BoutId))!;
                ahead.Enqueue(bouts[link.BoutId]);
            }
        }

        return Refused(ledger, TableauDecider.Complete(competition, decision, bouts, later));
    }

    private static Outcome? Refused(Ledger ledger, Decision decision)
    {
        if (decision.Refusal is { } refusal)
        {
            return refusal;
        }

        ledger.Keep(decision);
        return null;
    }
}

/// <summary>Seeds of draws, as requests give them.</summary>
internal static class Lots
{
    /// <summary>A seed that nobody chose.</summary>
    public static DrawSeed NewSeed() => new(RandomNumberGenerator.GetInt32(int.MaxValue) * (1L << 22) + RandomNumberGenerator.GetInt32(1 << 22));

    public static DrawSeed Seed(long? given) => given is { } value ? new DrawSeed(value) : NewSeed();

    public static Problem? Problem(long? given) => given is < 0 or > DrawSeed.MaxValue
        ? Http.Problem.Invalid("drawSeed", $"Must be from 0 to {DrawSeed.MaxValue}.")
        : null;
}

/// <summary>Strips, as requests name them and bouts stand on them.</summary>
internal static class Strips
{
    /// <summary>The strip of these bouts, or null when they are on none, or on several.</summary>
    public static string? Of(IEnumerable<Bout> bouts) => bouts.Select(b => b.StripId).Distinct().ToArray() is [var only] ? only : null;

    /// <summary>Why the strip named cannot be used for a competition, or null.</summary>
    public static async Task<Problem?> ProblemAsync(Ledger ledger, Competition competition, string? stripId)
    {
        if (stripId is null)
        {
            return null;
        }

        var tournament = await ledger.Session.LoadAsync<Tournament>(competition.TournamentId);
        return tournament!.Strip(stripId) is not { } strip ? Problem.Invalid("stripId", $"Is no strip of this tournament. The tournament lists its strips.")
            : strip.Serves(competition.Weapon) ? null
            : Problem.Invalid("stripId", $"{strip.Name} does not serve the weapon of {competition.Name}. Choose another strip, or correct the weapons of this one.");
    }
}
