using System.Collections.Immutable;
using System.Security.Cryptography;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Tournaments;

/// <summary>A tournament to open.</summary>
/// <param name="Name">Its name, to 120 characters.</param>
/// <param name="Venue">Where it is held, to 120 characters.</param>
/// <param name="StartsOn">Its first day.</param>
/// <param name="TimeZone">The venue's time zone in the IANA database, such as Europe/Paris.</param>
internal sealed record OpenTournament(string Name, string Venue, DateOnly StartsOn, string TimeZone);

/// <summary>A strip to add, or what is right of one, corrected.</summary>
/// <param name="Name">What it is called in the hall, to 40 characters.</param>
/// <param name="Kind">What it is like, to 40 characters, such as podium or floor.</param>
/// <param name="Weapons">The weapons that can be fenced on it; left out or empty, all.</param>
internal sealed record AddStrip(string Name, string? Kind = null, ImmutableArray<Weapon>? Weapons = null)
{
    /// <summary>What is wrong with it, or null.</summary>
    public Problem? Problem()
    {
        var errors = new FieldErrors();
        errors.Text("name", Name, 40);
        errors.Text("kind", Kind, 40, needed: false);
        return errors.ToProblem();
    }
}

/// <summary>Something to announce.</summary>
/// <param name="Text">The text, to 300 characters, in one line.</param>
internal sealed record Announce(string Text);

/// <summary>A tournament.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Name">Its name.</param>
/// <param name="Venue">Where it is held.</param>
/// <param name="StartsOn">Its first day.</param>
/// <param name="TimeZone">The venue's time zone in the IANA database.</param>
/// <param name="Strips">Its strips, in the order in which they were added.</param>
/// <param name="Competitions">Its competitions, in the order of the programme.</param>
/// <param name="Announcements">What is announced just now, newest first.</param>
internal sealed record TournamentView(
    string Id,
    string Name,
    string Venue,
    DateOnly StartsOn,
    string TimeZone,
    ImmutableArray<Strip> Strips,
    ImmutableArray<string> Competitions,
    ImmutableArray<Announcement> Announcements)
{
    public static TournamentView Of(Tournament t) => new(t.Id, t.Name, t.Venue, t.StartsOn, t.TimeZone, t.Strips, t.Competitions, t.Announcements);
}

internal static class TournamentRoutes
{
    public static void MapTournaments(this IEndpointRouteBuilder app)
    {
        var group = app.MapGroup("/api/tournaments").WithTags("Tournaments");

        group.MapPost("", OpenAsync).Needs(PassKind.Desk)
            .Does("openTournament", "Open a tournament", "Needs a desk pass of the organiser, not of one tournament.")
            .Produces<TournamentView>(201).Writes();
        group.MapGet("", ListAsync)
            .Does("listTournaments", "All tournaments, latest first").Lists<TournamentView>();
        group.MapGet("/{tournamentId}", GetAsync)
            .Does("getTournament", "One tournament, with its strips and competitions").Shows<TournamentView>(404);
        group.MapPost("/{tournamentId}/strips", AddStripAsync).Needs(PassKind.Desk)
            .Does("addStrip", "Add a strip", "A strip is where bouts are fenced. Pools and bouts are put on it, and a referee's pass can be bound to it. With weapons it serves these only: the day plan and the forecast keep others off it, and they are not put on it.")
            .Produces<Strip>(201).Writes(409);
        group.MapPut("/{tournamentId}/strips/{stripId}", CorrectStripAsync).Needs(PassKind.Desk)
            .Does("correctStrip", "Correct a strip: its name, its kind, its weapons", "What is left out is taken away, as when a strip is added. What was put on it stays there, and a plan that is kept stays as it is.")
            .Produces<Strip>(200).Writes(409, 412);
        group.MapPost("/{tournamentId}/announcements", AnnounceAsync).Needs(PassKind.Desk)
            .Does("announce", "Announce something to everybody", "It is on top of the board until it is taken down.")
            .Produces<Announcement>(201).Writes();
        group.MapDelete("/{tournamentId}/announcements/{announcementId}", TakeDownAsync).Needs(PassKind.Desk)
            .Does("takeDownAnnouncement", "Take an announcement down", "Once more changes nothing.").Produces(204).Writes();
    }

    private static Task<IResult> OpenAsync(OpenTournament body, HttpContext http, Commands commands)
    {
        var errors = new FieldErrors();
        errors.Text("name", body.Name, 120);
        errors.Text("venue", body.Venue, 120);
        if (body.StartsOn.Year is < 2000 or > 2100)
        {
            errors.Add("startsOn", $"Must be a day of the years 2000 to 2100.");
        }

        if (!TimeZoneInfo.TryFindSystemTimeZoneById(body.TimeZone, out var zone) || !zone.HasIanaId)
        {
            errors.Add("timeZone", $"Must be a time zone of the IANA database, such as Europe/Paris.");
        }

        if (errors.ToProblem() is { } problem)
        {
            return Task.FromResult<IResult>(problem);
        }

        return commands.RunAsync(http, ledger =>
        {
            var id = NewId();
            ledger.Keep(Decision.Accept(id, new TournamentOpened(body.Name.Trim(), body.Venue.Trim(), body.StartsOn, body.TimeZone)));
            Outcome outcome = Answer.Created($"/api/tournaments/{id}", TournamentView.Of(ledger.Now<Tournament>(id)));
            return Task.FromResult(outcome);
        });
    }

    private static async Task<IResult> ListAsync(int? limit, string? after, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        var tournaments = await session.Query<Tournament>().ToListAsync(cancellation);
        var views = tournaments.OrderByDescending(t => t.StartsOn).ThenBy(t => t.Id, StringComparer.Ordinal).Select(TournamentView.Of);
        return new FreshList<TournamentView>([.. views], t => t.Id, new Page(limit, after), "tournaments");
    }

    private static async Task<IResult> GetAsync(string tournamentId, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await session.LoadAsync<Tournament>(tournamentId, cancellation) is { } tournament
            ? new Fresh<TournamentView>(TournamentView.Of(tournament), tournament.Version)
            : Problem.NotFound("tournament");
    }

    private static Task<IResult> AddStripAsync(string tournamentId, AddStrip body, HttpContext http, Commands commands)
    {
        if (body.Problem() is { } problem)
        {
            return Task.FromResult<IResult>(problem);
        }

        return commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Tournament>(tournamentId) is not { } tournament)
            {
                return Problem.NotFound("tournament");
            }

            var decision = tournament.AddStrip(body.Name.Trim(), body.Kind, body.Weapons ?? []);
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            return Answer.Created($"/api/tournaments/{tournamentId}", ledger.Now<Tournament>(tournamentId).Strips[^1]);
        });
    }

    private static Task<IResult> CorrectStripAsync(string tournamentId, string stripId, AddStrip body, HttpContext http, Commands commands) =>
        body.Problem() is { } problem
            ? Task.FromResult<IResult>(problem)
            : commands.ChangeTournamentAsync(http, tournamentId, (ledger, tournament) => Task.FromResult(CorrectStrip(ledger, tournament, stripId, body)));

    private static Outcome CorrectStrip(Ledger ledger, Tournament tournament, string stripId, AddStrip body)
    {
        if (tournament.Strip(stripId) is not { } strip)
        {
            return Problem.NotFound("strip");
        }

        var decision = tournament.CorrectStrip(strip, body.Name.Trim(), body.Kind, body.Weapons ?? []);
        if (decision.Refusal is { } refusal)
        {
            return refusal;
        }

        ledger.Keep(decision);
        return Answer.Ok(ledger.Now<Tournament>(tournament.Id).Strip(stripId)!);
    }

    private static Task<IResult> AnnounceAsync(string tournamentId, Announce body, HttpContext http, Commands commands)
    {
        var errors = new FieldErrors();
        errors.Text("text", body.Text, 300);
        return errors.ToProblem() is { } problem
            ? Task.FromResult<IResult>(problem)
            : commands.RunAsync(http, async ledger =>
            {
                if (await ledger.FindAsync<Tournament>(tournamentId) is not { } tournament)
                {
                    return Problem.NotFound("tournament");
                }

                ledger.Keep(tournament.Announce(body.Text.Trim()));
                return Answer.Created($"/api/tournaments/{tournamentId}", ledger.Now<Tournament>(tournamentId).Announcements[0]);
            });
    }

    private static Task<IResult> TakeDownAsync(string tournamentId, string announcementId, HttpContext http, Commands commands) =>
        commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Tournament>(tournamentId) is not { } tournament)
            {
                return Problem.NotFound("tournament");
            }

            ledger.Keep(tournament.TakeDown(announcementId));
            return new Answer(StatusCodes.Status204NoContent, null);
        });

    // Eight letters and digits that are not mistaken for one another when read out: 32^8 of them, and a clash is refused by the store.
    private static string NewId() => RandomNumberGenerator.GetString("abcdefghjkmnpqrstuvwxyz023456789", 8);
}
