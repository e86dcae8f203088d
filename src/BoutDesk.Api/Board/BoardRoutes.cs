using System.Globalization;
using System.Net;
using BoutDesk.Api.Organisers;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Timetables;
using BoutDesk.Domain;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Board;

/// <summary>The addresses of the board. Nothing here needs a pass, a script or the internet.</summary>
internal static class BoardRoutes
{
    public static void MapBoard(this IEndpointRouteBuilder app)
    {
        var board = app.MapGroup(string.Empty).ExcludeFromDescription();
        board.MapGet("/", HomeAsync);
        board.MapGet("/tournaments/{tournamentId}", TournamentAsync);
        board.MapGet("/tournaments/{tournamentId}/fencers", FindAsync);
        board.MapGet("/screen/{tournamentId}", ScreenAsync);
        board.MapGet("/entrants/{entrantId}", FencerAsync);
        board.MapGet("/bring/{weapon}", (string weapon, HttpContext http, BoardPages pages) => pages.SendOnceAsync(http, BringPage.Of(weapon)));

        var competition = board.MapGroup("/competitions/{competitionId}");
        competition.MapGet(string.Empty, (string competitionId, HttpContext http, BoardPages pages, ForecastBook book) =>
            pages.SendAsync(http, competitionId, competitionId, async (state, position) =>
                About<CompetitionPage>(state, position, ("Forecast", await book.ForPageAsync(state.Tournament.Id)))));
        competition.MapGet("/pools/{round:int}", PoolsAsync);
        competition.MapGet("/ranking", RankingAsync);
        competition.MapGet("/tableau", TableauAsync);
        competition.MapGet("/classification", (string competitionId, HttpContext http, BoardPages pages) =>
            pages.SendAsync(http, competitionId + "/classification", competitionId, (state, position) => About<ClassificationPage>(state, position)));
        competition.MapGet("/entrants", (string competitionId, HttpContext http, BoardPages pages) =>
            pages.SendAsync(http, competitionId + "/entrants", competitionId, (state, position) => About<FencersPage>(state, position)));
    }

    private static Task HomeAsync(
        HttpContext http, BoardPages pages, BoardStates states, ForecastBook book, TimeProvider clock, OrganiserOfRequest organiser, OrganiserBook organisers)
    {
        var elsewhere = organiser.Record is null && organisers.Others.Any();
        // The demo is for the one at home, and whoever asks at another host name cannot start it.
        var onThisMachine = organiser.Record is null && !elsewhere && IsThisMachine(http.Request.Host.Host);
        return pages.SendAsync(http, $"/ {elsewhere} {onThisMachine}", async position =>
        {
            var tournaments = await states.TournamentsAsync();
            var current = OfTheDay(tournaments, DateOnly.FromDateTime(clock.GetLocalNow().DateTime));
            return WebPage.Of<HomePage>(
                ("Current", current is null ? null : await states.TournamentAsync(current.Id)),
                ("Forecast", current is null ? null : await book.ForPageAsync(current.Id)),
                ("Others", tournaments.Where(t => t != current).ToArray()),
                ("Elsewhere", elsewhere),
                ("OnThisMachine", onThisMachine),
                ("Position", position));
        });
    }

    private static bool IsThisMachine(string host) =>
        host.Equals("localhost", StringComparison.OrdinalIgnoreCase) || (IPAddress.TryParse(host, out var address) && IPAddress.IsLoopback(address));

    private static Task TournamentAsync(string tournamentId, HttpContext http, BoardPages pages, BoardStates states, ForecastBook book) =>
        pages.SendAsync(http, tournamentId, async position =>
            await states.TournamentAsync(tournamentId) is { } state
                ? WebPage.Of<TournamentPage>(("State", state), ("Forecast", await book.ForPageAsync(tournamentId)), ("Position", position))
                : null);

    private static async Task FindAsync(string tournamentId, string? name, HttpContext http, BoardPages pages, BoardStates states, Feed.FeedHub hub)
    {
        var position = hub.Position;
        var wanted = name?.Trim() ?? string.Empty;
        await pages.SendOnceAsync(http, await states.TournamentAsync(tournamentId) is { } state
            ? WebPage.Of<FindPage>(("State", state), ("Name", wanted.Length > 80 ? wanted[..80] : wanted), ("Position", position))
            : null);
    }

    private static Task ScreenAsync(string tournamentId, HttpContext http, BoardPages pages, BoardStates states)
    {
        var number = Number(http, "slide") ?? 1;
        return pages.SendAsync(http, Text($"{tournamentId}/screen/{number}"), async position =>
        {
            if (await states.TournamentAsync(tournamentId) is not { } state)
            {
                return null;
            }

            // The screen turns on while competitions begin and end, so a number that is no longer there is no mistake.
            var slides = Slide.Of(state);
            var index = (number - 1) % slides.Length;
            return WebPage.Of<ScreenPage>(
                ("Tournament", state.Tournament), ("Slide", slides[index]), ("Number", index + 1), ("Count", slides.Length), ("Position", position));
        });
    }

    private static Task FencerAsync(string entrantId, HttpContext http, BoardPages pages, ForecastBook book) =>
        Identifiers.CompetitionOf(entrantId) is not { } competitionId
            ? pages.SendMissingAsync(http)
            : pages.SendAsync(http, entrantId, competitionId, async (state, position) =>
                state.Entrants.GetValueOrDefault(entrantId) is { } entrant
                    ? About<FencerPage>(state, position, ("Entrant", entrant), ("Forecast", await book.ForPageAsync(state.Tournament.Id)))
                    : null);

    private static Task PoolsAsync(string competitionId, int round, HttpContext http, BoardPages pages)
    {
        var part = Number(http, "part") ?? 1;
        return pages.SendAsync(http, Text($"{competitionId}/pools/{round}/{part}"), competitionId, (state, position) =>
            state.Competition.Round(round) is { } drawn && (part - 1) * PoolsPage.PoolsInPart < drawn.Drawn.Pools.Length
                ? About<PoolsPage>(state, position, ("Round", drawn), ("Part", part))
                : null);
    }

    private static Task RankingAsync(string competitionId, HttpContext http, BoardPages pages)
    {
        var number = Number(http, "round");
        return pages.SendAsync(http, Text($"{competitionId}/ranking/{number}"), competitionId, (state, position) =>
            (number is { } wanted ? state.Competition.Round(wanted) : state.LastRound) is { } round
                ? About<RankingPage>(state, position, ("Round", round))
                : null);
    }

    private static Task TableauAsync(string competitionId, string? follow, HttpContext http, BoardPages pages)
    {
        var quarter = Number(http, "quarter") is int and <= 4 and var given ? given : (int?)null;
        var followed = string.IsNullOrEmpty(follow) ? null : follow;
        return pages.SendAsync(http, Text($"{competitionId}/tableau/{quarter}/{followed}"), competitionId, (state, position) =>
            state.Competition.Tableau is { } tableau && (followed is null || tableau.Seeds.Contains(followed))
                ? About<TableauPage>(state, position, ("Quarter", quarter), ("Follow", followed))
                : null);
    }

    private static WebPage About<T>(CompetitionState state, long position, params IEnumerable<(string Name, object? Value)> more)
        where T : Microsoft.AspNetCore.Components.IComponent =>
        WebPage.Of<T>([("State", state), ("Position", position), .. more]);

    /// <summary>The tournament that has begun last, or else the one that begins first.</summary>
    private static Tournament? OfTheDay(IReadOnlyList<Tournament> latestFirst, DateOnly today) =>
        latestFirst.FirstOrDefault(t => t.StartsOn <= today) ?? (latestFirst is [.., var last] ? last : null);

    /// <summary>A number from 1 of the query; what is no such number counts as left out.</summary>
    private static int? Number(HttpContext http, string name) =>
        int.TryParse(http.Request.Query[name], NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number is >= 1 and < 10_000 ? number : null;

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
