using BoutDesk.Api.Board;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Http;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using Microsoft.AspNetCore.Components;

namespace BoutDesk.Api.Desk;

/// <summary>What is printed and pinned to the wall, each sheet a page that the browser prints.</summary>
internal static class SheetRoutes
{
    // Pools are printed the evening before and fenced the day after; a sheet found later opens nothing any more.
    private static readonly TimeSpan CodesHold = TimeSpan.FromDays(2);

    public static void MapSheets(this RouteGroupBuilder desk)
    {
        var sheets = desk.MapGroup("/competitions/{competitionId}/sheets");
        sheets.MapGet("", IndexAsync).Needs(PassKind.Desk);
        sheets.MapSheet<CheckInSheet>("/check-in", state => !state.Competition.Entrants.IsEmpty);
        sheets.MapSheet<EquipmentCards>("/equipment", state => state.Competition.Entrants.Any(e => !e.Gone));
        sheets.MapSheet<SlipSheets>("/slips", state => state.Competition.Tableau is not null);
        sheets.MapSheet<CallSheet>("/calls", state => state.Competition.Tableau is not null);
        sheets.MapSheet<TableauSheets>("/tableau", state => state.Competition.Tableau is not null);
        sheets.MapSheet<ClassificationSheet>("/classification", state => !state.Places.IsEmpty);
        sheets.MapRound<PoolCallSheet>("/calls/{round:int}", round => round.Closed is null);
        sheets.MapRound<RankingSheet>("/ranking/{round:int}", round => round.Closed is not null);
        sheets.MapGet("/pools/{round:int}", PoolsAsync).Needs(PassKind.Desk);
        sheets.MapPost("/pools/{round:int}/codes", CodesAsync).Needs(PassKind.Desk);
    }

    /// <summary>The bouts for which a slip can be printed: both fencers are known and nothing has happened.</summary>
    public static IEnumerable<Bout> Slips(CompetitionState state, DateTimeOffset now) =>
        DeskCalls.Of(state, now).Where(c => c.Bout.Untouched).Select(c => c.Bout);

    private static async Task IndexAsync(string competitionId, HttpContext http, DeskPages pages, BoardStates states, FeedHub hub)
    {
        var position = hub.Position;
        await pages.SendAsync(http, await states.CompetitionAsync(competitionId) is { } state
            ? WebPage.Of<DeskSheets>(("State", state), ("Position", position))
            : null);
    }

    private static void MapSheet<T>(this RouteGroupBuilder sheets, string address, Func<CompetitionState, bool> exists)
        where T : IComponent =>
        sheets.MapGet(address, async (string competitionId, HttpContext http, DeskPages pages, BoardStates states, TimeProvider clock) =>
            await pages.SendAsync(http, await states.CompetitionAsync(competitionId) is { } state && exists(state) ? Sheet<T>(state, clock) : null))
            .Needs(PassKind.Desk);

    private static void MapRound<T>(this RouteGroupBuilder sheets, string address, Func<PoolRound, bool> exists)
        where T : IComponent =>
        sheets.MapGet(address, async (string competitionId, int round, HttpContext http, DeskPages pages, BoardStates states, TimeProvider clock) =>
            await pages.SendAsync(http, await states.CompetitionAsync(competitionId) is { } state && state.Competition.Round(round) is { } drawn && exists(drawn)
                ? Sheet<T>(state, clock, ("Round", drawn))
                : null))
            .Needs(PassKind.Desk);

    /// <summary>The sheets of all pools of a round, or of one of them.</summary>
    private static async Task PoolsAsync(string competitionId, int round, int? pool, HttpContext http, DeskPages pages, BoardStates states, TimeProvider clock) =>
        await pages.SendAsync(http, await states.CompetitionAsync(competitionId) is { } state && state.Competition.Round(round) is { } drawn && Only(drawn, pool) is [_, ..] some
            ? Sheet<PoolSheets>(state, clock, ("Round", drawn), ("Pools", some))
            : null);

    private static DrawnPool[] Only(PoolRound round, int? pool) => [.. round.Drawn.Pools.Where(p => pool is null || p.Number == pool)];

    /// <summary>Gives out a referee's pass for each pool, or for one of them, and answers with the sheets that carry them.</summary>
    private static async Task CodesAsync(
        string competitionId, int round, int? pool, HttpContext http, DeskPages pages, BoardStates states, Commands commands, IConfiguration configuration, TimeProvider clock)
    {
        if (!DeskDoor.FromOurPages(http.Request))
        {
            http.Response.StatusCode = StatusCodes.Status403Forbidden;
            return;
        }

        if (await states.CompetitionAsync(competitionId) is not { } state || state.Competition.Round(round) is not { Closed: null } drawn
            || Only(drawn, pool) is not [_, ..] some)
        {
            await pages.SendAsync(http, null);
            return;
        }

        Dictionary<string, PoolCode>? codes = null;
        var refused = await commands.RunAsync(http, ledger =>
        {
            // Made anew whenever the store asks for another try.
            var now = clock.GetUtcNow();
            codes = some.ToDictionary(p => p.Id, p =>
            {
                var given = PassRoutes.Make(ledger, http, configuration, now, state.Tournament.Id, PassKind.Referee, [p.Id], [], [], now + CodesHold);
                return new PoolCode(given.Url, given.Code, given.ExpiresAt!.Value);
            });
            return Task.FromResult<Outcome>(new Answer(StatusCodes.Status201Created, null));
        });
        if (refused is Problem)
        {
            await refused.ExecuteAsync(http);
            return;
        }

        await pages.SendAsync(http, Sheet<PoolSheets>(state, clock, ("Round", drawn), ("Pools", some), ("Codes", codes)));
    }

    private static WebPage Sheet<T>(CompetitionState state, TimeProvider clock, params IEnumerable<(string Name, object? Value)> more)
        where T : IComponent =>
        WebPage.Of<T>([("State", state), ("Now", state.Tournament.TimeAt(clock.GetUtcNow())), .. more]);
}
