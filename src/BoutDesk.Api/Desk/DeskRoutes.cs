using System.Collections.Immutable;
using System.Globalization;
using BoutDesk.Api.Board;
using BoutDesk.Api.Equipment;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Http;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using BoutDesk.Api.Planning;
using BoutDesk.Api.Timetables;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Tournaments;
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
        desk.MapCompetition("/entries", (state, position) => About<DeskEntries>(state, position));
        desk.MapCompetition("/check-in", (state, position) => About<DeskCheckIn>(state, position));
        desk.MapGet("/competitions/{competitionId}/equipment", EquipmentAsync).Needs(PassKind.Desk);
        desk.MapCompetition("/draw", (state, position) => About<DeskDraw>(state, position));
        desk.MapCompetition("/formula", (state, position) => About<DeskFormula>(state, position));
        desk.MapGet("/tournaments/{tournamentId}/set-up", SetUpAsync).Needs(PassKind.Desk);
        desk.MapGet("/competitions/{competitionId}/pools/{round:int}", RoundAsync).Needs(PassKind.Desk);
        desk.MapGet("/pools/{poolId}", PoolAsync).Needs(PassKind.Desk);
        desk.MapGet("/bouts/{boutId}", BoutAsync).Needs(PassKind.Desk);
        desk.MapGet("/competitions/{competitionId}/tableau", TableauAsync).Needs(PassKind.Desk);
        desk.MapGet("/competitions/{competitionId}/history", HistoryAsync).Needs(PassKind.Desk);
        desk.MapCompetition("/classification", (state, position) => About<DeskClassification>(state, position));
        desk.MapGet("/tournaments/{tournamentId}/plan", PlanAsync).Needs(PassKind.Desk);
        desk.MapGet("/tournaments/{tournamentId}/plan/search", SearchPlanAsync).Needs(PassKind.Desk);
        desk.MapGet("/tournaments/{tournamentId}/passes", PassesAsync).Needs(PassKind.Desk);
        desk.MapGet("/tournaments/{tournamentId}/announcements", AnnouncementsAsync).Needs(PassKind.Desk);
        desk.MapSheets();
        desk.MapLoanKitPages();
        desk.MapRefereePages();
        desk.MapErasurePages();
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

    private static async Task TournamentAsync(string tournamentId, HttpContext http, DeskPages pages, BoardStates states, ForecastBook book, FeedHub hub)
    {
        var position = hub.Position;
        await pages.SendAsync(http, await states.TournamentAsync(tournamentId) is { } state
            ? WebPage.Of<DeskTournament>(("State", state), ("Forecast", await book.ForPageAsync(tournamentId)), ("Position", position))
            : null);
    }

    private static async Task RoundAsync(
        string competitionId, int round, string? first, string? second, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub)
    {
        var position = hub.Position;
        await pages.SendAsync(http, await states.CompetitionAsync(competitionId) is { } state && state.Competition.Round(round) is { } drawn
            ? About<DeskRound>(state, position, ("Round", drawn), ("First", first), ("Second", second))
            : null);
    }

    private static async Task PoolAsync(string poolId, HttpContext http, DeskPages pages, BoardStates states, Organiser organiser, FeedHub hub)
    {
        var position = hub.Position;
        var state = Identifiers.CompetitionOf(poolId) is { } competitionId ? await states.CompetitionAsync(competitionId) : null;
        await pages.SendAsync(http, state?.Competition.Pool(poolId) is { } found
            ? About<DeskPool>(
                state,
                position,
                ("Round", found.Round),
                ("Pool", found.Pool),
                ("Unready", await UnreadyAsync(organiser, state, ToFence(state, poolId), http.RequestAborted)))
            : null);
    }

    private static string[] ToFence(CompetitionState state, string poolId) =>
        [.. state.PoolBouts(poolId).Where(b => b.Status == BoutStatus.Open).SelectMany(EquipmentBook.FencersOf).Distinct()];

    private static async Task BoutAsync(string boutId, HttpContext http, DeskPages pages, BoardStates states, DeskHistory history, Organiser organiser, FeedHub hub)
    {
        var position = hub.Position;
        var state = Identifiers.CompetitionOf(boutId) is { } competitionId ? await states.CompetitionAsync(competitionId) : null;
        await pages.SendAsync(http, state?.Bout(boutId) is { } bout
            ? About<DeskBout>(
                state,
                position,
                ("Bout", bout),
                ("Lines", await history.OfBoutAsync(state, boutId)),
                ("Unready", await UnreadyAsync(organiser, state, EquipmentBook.FencersOf(bout), http.RequestAborted)))
            : null);
    }

    private static async Task TableauAsync(
        string competitionId, HttpContext http, DeskPages pages, BoardStates states, Organiser organiser, TimeProvider clock, FeedHub hub)
    {
        var position = hub.Position;
        await pages.SendAsync(http, await states.CompetitionAsync(competitionId) is { } state
            ? About<DeskTableau>(
                state,
                position,
                ("Now", clock.GetUtcNow()),
                ("Unready", await UnreadyAsync(organiser, state, state.Competition.Tableau?.Seeds ?? [], http.RequestAborted)))
            : null);
    }

    private static async Task EquipmentAsync(string competitionId, HttpContext http, DeskPages pages, BoardStates states, Organiser organiser, FeedHub hub)
    {
        var position = hub.Position;
        await using var session = organiser.Read();
        await pages.SendAsync(http, await states.CompetitionAsync(competitionId) is { } state
            ? About<DeskEquipment>(state, position, ("Records", await EquipmentBook.OfAsync(session, competitionId, http.RequestAborted)))
            : null);
    }

    private static async Task<ImmutableArray<Unready>> UnreadyAsync(
        Organiser organiser, CompetitionState state, IReadOnlyCollection<string> entrantIds, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await EquipmentBook.UnreadyAsync(session, state.Competition, entrantIds, cancellation);
    }

    private static async Task HistoryAsync(string competitionId, long? before, HttpContext http, DeskPages pages, BoardStates states, DeskHistory history, FeedHub hub)
    {
        var position = hub.Position;
        if (await states.CompetitionAsync(competitionId) is not { } state)
        {
            await pages.SendAsync(http, null);
            return;
        }

        var (lines, older) = await history.OfCompetitionAsync(state, before);
        await pages.SendAsync(http, About<DeskPast>(state, position, ("Lines", lines), ("Older", older)));
    }

    private static async Task AnnouncementsAsync(string tournamentId, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub)
    {
        var position = hub.Position;
        await pages.SendAsync(http, await states.TournamentAsync(tournamentId) is { } state
            ? WebPage.Of<DeskAnnouncements>(("State", state), ("Position", position))
            : null);
    }

    private static async Task PlanAsync(string tournamentId, HttpContext http, DeskPages pages, Organiser organiser)
    {
        var (tournament, competitions) = await PlanRoutes.ReadAsync(tournamentId, organiser, http.RequestAborted);
        if (tournament is null)
        {
            await pages.SendAsync(http, null);
            return;
        }

        var wanted = Wanted(http.Request.Query, tournament, competitions);
        var (planning, problem) = DayPlanning.Of(tournament, competitions, wanted);
        await pages.SendAsync(http, WebPage.Of<DeskPlan>(
            ("Tournament", tournament),
            ("Competitions", competitions),
            ("Wanted", wanted),
            ("Plan", planning?.Plan()),
            ("Query", http.Request.QueryString.Value),
            ("Wrong", Sentences(problem))));
    }

    /// <summary>How a longer search for a plan comes on, for the script of its page.</summary>
    private static async Task<IResult> SearchPlanAsync(string tournamentId, HttpContext http, Organiser organiser)
    {
        var (tournament, competitions) = await PlanRoutes.ReadAsync(tournamentId, organiser, http.RequestAborted);
        if (tournament is null)
        {
            return Problem.NotFound("tournament");
        }

        var (planning, problem) = DayPlanning.Of(tournament, competitions, Wanted(http.Request.Query, tournament, competitions));
        return problem is not null ? problem : PlanRoutes.Follow(planning!);
    }

    private static FormattableString[] Sentences(Problem? problem) =>
        problem is null ? [] : problem.Errors is { } errors ? [.. errors.SelectMany(e => e.Value)] : [problem.Detail];

    /// <summary>What the form of the day plan asks for. What is no number is left to be refused with the field named.</summary>
    private static PlanDay Wanted(IQueryCollection query, Tournament tournament, IReadOnlyList<Competition> competitions)
    {
        var kept = query.Count == 0 ? tournament.Plan : null;
        var usual = kept?.For is { } compared ? new PlanWhatIf(compared.StripsFewer, compared.RefereesMissing, compared.LateEntries) : new PlanWhatIf();
        return new PlanDay(
            Text("opens") ?? Clock(kept?.OpensAt) ?? "09:00",
            Text("closes") ?? Clock(kept?.ClosesAt) ?? "18:00",
            Number("strips") ?? (kept?.For?.StripsByList == true ? null : kept?.Strips),
            Number("referees") ?? (kept?.For?.ByList == true ? null : kept?.Referees),
            (Text("breakFrom") ?? Clock(kept?.Closures.FirstOrDefault()?.From)) is { } from
                ? [new ClosedSpan(from, Text("breakTo") ?? Clock(kept?.Closures[0].To) ?? from)]
                : null,
            [.. competitions.Select((c, i) => Expected(c, i, kept?.For?.Fields.FirstOrDefault(f => f.CompetitionId == c.Id)))],
            Number("steps") ?? new PlanDay(string.Empty, string.Empty).Steps,
            StopAfter: Number("stopAfter"),
            Prove: Text("prove") is not null,
            WhatIf: new PlanWhatIf(Number("fewer") ?? usual.StripsFewer, Number("missing") ?? usual.RefereesMissing, Number("late") ?? usual.LateEntries),
            On: DateOnly.TryParseExact(Text("on"), "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var on) ? on
                : kept is null ? null : DateOnly.FromDateTime(kept.OpensAt.Date));

        ExpectedCompetition Expected(Competition competition, int i, PlannedField? before) => new(
            competition.Id,
            Number($"n{i + 1}") ?? (before is { Expected: true } ? before.Fencers : kept?.For?.LeftOut.Contains(competition.Id) == true ? 0 : null),
            Text($"from{i + 1}") ?? Clock(before?.NotBefore));

        static string? Clock(DateTimeOffset? moment) => moment is { } at ? PlanWords.Time(at) : null;

        string? Text(string name) => query[name].ToString() is { Length: > 0 } text ? text : null;

        int? Number(string name) => Text(name) is { } text ? int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : -1 : null;
    }

    private static async Task PassesAsync(
        string tournamentId, HttpContext http, DeskPages pages, BoardStates states, Organiser organiser, TimeProvider clock, FeedHub hub)
    {
        var (position, now) = (hub.Position, clock.GetUtcNow());
        await pages.SendAsync(http, await states.TournamentAsync(tournamentId) is { } state
            ? WebPage.Of<DeskPasses>(("State", state), ("Given", await PassLine.OfAsync(organiser, state, now)), ("Now", now), ("Position", position))
            : null);
    }

    private static async Task SetUpAsync(string tournamentId, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub)
    {
        var position = hub.Position;
        await pages.SendAsync(http, await states.TournamentAsync(tournamentId) is { } state
            ? WebPage.Of<DeskSetUp>(("State", state), ("Position", position))
            : null);
    }
}
