using System.Collections.Immutable;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Organisers;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Passes;

/// <summary>A pass to give out.</summary>
/// <param name="Kind">What it is for.</param>
/// <param name="Pools">For a referee: the pools whose bouts it scores.</param>
/// <param name="Strips">For a referee: the strips whose bouts it scores.</param>
/// <param name="Bouts">For a referee: single bouts that it scores.</param>
/// <param name="ExpiresAt">When it ends; null for never.</param>
internal sealed record GivePass(
    PassKind Kind, string[]? Pools = null, string[]? Strips = null, string[]? Bouts = null, DateTimeOffset? ExpiresAt = null);

/// <summary>A pass just given out. The pass itself is shown this once.</summary>
/// <param name="Id">The identifier, by which it is revoked.</param>
/// <param name="Kind">What it is for.</param>
/// <param name="Pass">The pass, to be sent as Authorization: Bearer.</param>
/// <param name="Url">The page to open with it.</param>
/// <param name="Code">The same address as a QR code, a picture in SVG, to be printed or shown.</param>
/// <param name="Pools">For a referee: the pools whose bouts it scores.</param>
/// <param name="Strips">For a referee: the strips whose bouts it scores.</param>
/// <param name="Bouts">For a referee: single bouts that it scores.</param>
/// <param name="ExpiresAt">When it ends; null for never.</param>
internal sealed record GivenPass(
    string Id,
    PassKind Kind,
    string Pass,
    string Url,
    string Code,
    ImmutableArray<string> Pools,
    ImmutableArray<string> Strips,
    ImmutableArray<string> Bouts,
    DateTimeOffset? ExpiresAt);

/// <summary>A pass as the desk sees it.</summary>
/// <param name="Id">The identifier, by which it is revoked.</param>
/// <param name="Kind">What it is for.</param>
/// <param name="Pools">For a referee: the pools whose bouts it scores.</param>
/// <param name="Strips">For a referee: the strips whose bouts it scores.</param>
/// <param name="Bouts">For a referee: single bouts that it scores.</param>
/// <param name="IssuedAt">When it was given out.</param>
/// <param name="IssuedBy">The pass that gave it out.</param>
/// <param name="ExpiresAt">When it ends; null for never.</param>
/// <param name="RevokedAt">When it was revoked, or null.</param>
internal sealed record PassView(
    string Id,
    PassKind Kind,
    ImmutableArray<string> Pools,
    ImmutableArray<string> Strips,
    ImmutableArray<string> Bouts,
    DateTimeOffset IssuedAt,
    string IssuedBy,
    DateTimeOffset? ExpiresAt,
    DateTimeOffset? RevokedAt);

internal static class PassRoutes
{
    public static void MapPasses(this IEndpointRouteBuilder app)
    {
        var group = app.MapGroup("/api/tournaments/{tournamentId}/passes").WithTags("Passes");

        group.MapPost("", GiveAsync).Needs(PassKind.Desk)
            .Does("givePass", "Give out a pass", "The answer holds the pass, once; only a hash of it is kept. The address carries it behind #, which browsers do not send, so that it gets into no log. The address begins as the desk's own, or as BoutDesk:Address of the configuration says.")
            .Produces<GivenPass>(201).Writes();
        group.MapGet("", ListAsync).Needs(PassKind.Desk)
            .Does("listPasses", "All passes of the tournament").Lists<PassView>(401, 403, 404);
        group.MapDelete("/{passId}", RevokeAsync).Needs(PassKind.Desk)
            .Does("revokePass", "Revoke a pass", "It is refused from now on. Once more changes nothing.")
            .Produces(204).Writes();
    }

    private static Task<IResult> GiveAsync(string tournamentId, GivePass body, HttpContext http, Commands commands, IConfiguration configuration, TimeProvider clock)
    {
        var (pools, strips, bouts) = (Scope(body.Pools), Scope(body.Strips), Scope(body.Bouts));
        var errors = new FieldErrors();
        if (body.Kind == PassKind.Referee ? pools.Length + strips.Length + bouts.Length == 0 : pools.Length + strips.Length + bouts.Length > 0)
        {
            errors.Add(
                "pools",
                body.Kind == PassKind.Referee
                    ? (FormattableString)$"A referee's pass names at least one pool, strip or bout."
                    : $"Only a referee's pass is bound to pools, strips or bouts.");
        }

        foreach (var (field, ids) in new[] { ("pools", pools), ("strips", strips), ("bouts", bouts) })
        {
            if (ids.Any(id => string.IsNullOrWhiteSpace(id) || id.Any(char.IsControl)))
            {
                errors.Add(field, $"Must hold identifiers, as the answers of the service give them.");
            }
        }

        if (body.ExpiresAt <= clock.GetUtcNow())
        {
            errors.Add("expiresAt", $"Must lie ahead.");
        }

        return errors.ToProblem() is { } problem
            ? Task.FromResult<IResult>(problem)
            : commands.RunAsync(http, async ledger =>
            {
                if (await ledger.Session.LoadAsync<Tournament>(tournamentId) is not { } tournament)
                {
                    return Problem.NotFound("tournament");
                }

                await CheckScopeAsync(ledger, tournament, pools, strips, bouts, errors);
                if (errors.ToProblem() is { } unknown)
                {
                    return unknown;
                }

                var given = Make(ledger, http, configuration, clock.GetUtcNow(), tournamentId, body.Kind, pools, strips, bouts, body.ExpiresAt);
                return Answer.Created($"/api/tournaments/{tournamentId}/passes", given);
            });
    }

    /// <summary>Makes a pass and keeps its hash; what it is bound to must be known to exist.</summary>
    internal static GivenPass Make(
        Ledger ledger,
        HttpContext http,
        IConfiguration configuration,
        DateTimeOffset now,
        string tournamentId,
        PassKind kind,
        ImmutableArray<string> pools,
        ImmutableArray<string> strips,
        ImmutableArray<string> bouts,
        DateTimeOffset? expiresAt)
    {
        var pass = PassRecord.NewPass();
        var record = new PassRecord
        {
            Id = $"{tournamentId}-pass-{Guid.CreateVersion7():n}",
            Hash = PassRecord.HashOf(pass),
            Kind = kind,
            TournamentId = tournamentId,
            Pools = pools,
            Strips = strips,
            Bouts = bouts,
            ExpiresAt = expiresAt?.ToUniversalTime(),
            IssuedAt = now,
            IssuedBy = http.Pass().Id,
        };
        ledger.Session.Insert(record);
        var page = kind switch
        {
            PassKind.Desk => "/desk",
            PassKind.Armourer => $"/equipment/{tournamentId}",
            _ => $"/strip/{tournamentId}",
        };
        var url = $"{Origin(http, configuration)}{page}#{pass}";
        return new GivenPass(record.Id, kind, pass, url, PassCode.Of(url), pools, strips, bouts, record.ExpiresAt);
    }

    private static async Task<IResult> ListAsync(string tournamentId, int? limit, string? after, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Tournament>(tournamentId, cancellation) is null)
        {
            return Problem.NotFound("tournament");
        }

        var passes = await session.Query<PassRecord>().Where(p => p.TournamentId == tournamentId).ToListAsync(cancellation);
        var views = passes.OrderBy(p => p.Id, StringComparer.Ordinal).Select(p =>
            new PassView(p.Id, p.Kind, p.Pools, p.Strips, p.Bouts, p.IssuedAt, p.IssuedBy, p.ExpiresAt, p.RevokedAt));
        return new FreshList<PassView>([.. views], p => p.Id, new Page(limit, after), $"passes {tournamentId}");
    }

    private static async Task<IResult> RevokeAsync(string tournamentId, string passId, HttpContext http, Organiser organiser, Commands commands, PassBook book, TimeProvider clock)
    {
        PassRecord? revoked = null;
        var result = await commands.RunAsync(http, async ledger =>
        {
            if (await ledger.Session.LoadAsync<PassRecord>(passId) is not { } record || record.TournamentId != tournamentId)
            {
                return Problem.NotFound("pass");
            }

            if (record.RevokedAt is null)
            {
                ledger.Session.Store(record with { RevokedAt = clock.GetUtcNow() });
                revoked = record;
            }

            return new Answer(StatusCodes.Status204NoContent, null);
        });

        // It is kept by now, and the answer not yet sent: whoever reads the answer can rely on it.
        if (revoked is not null)
        {
            book.Forget(organiser, revoked);
        }

        return result;
    }

    /// <summary>
    /// The desk may work at localhost, which is no address for a phone; then the configuration names one, of the organiser
    /// at home. Every other is asked for at a host name of its own.
    /// </summary>
    private static string Origin(HttpContext http, IConfiguration configuration) =>
        configuration["BoutDesk:Address"] is { Length: > 0 } address && http.RequestServices.GetRequiredService<OrganiserOfRequest>().Record is null
            ? address.TrimEnd('/')
            : $"{http.Request.Scheme}://{http.Request.Host}";

    private static ImmutableArray<string> Scope(string[]? ids) => [.. (ids ?? []).Distinct()];

    private static async Task CheckScopeAsync(
        Ledger ledger, Tournament tournament, ImmutableArray<string> pools, ImmutableArray<string> strips, ImmutableArray<string> bouts, FieldErrors errors)
    {
        foreach (var strip in strips.Where(id => tournament.Strips.All(s => s.Id != id)))
        {
            errors.Add("strips", $"{strip} is no strip of this tournament.");
        }

        foreach (var pool in pools)
        {
            var competition = Identifiers.CompetitionOf(pool) is { } id && Identifiers.TournamentOf(pool) == tournament.Id
                ? await ledger.Session.LoadAsync<Competition>(id)
                : null;
            if (competition?.Pool(pool) is null)
            {
                errors.Add("pools", $"{pool} is no pool of this tournament.");
            }
        }

        var known = await ledger.Session.LoadManyAsync<Bout>(bouts.Where(id => Identifiers.TournamentOf(id) == tournament.Id));
        foreach (var bout in bouts.Except(known.Select(b => b.Id)))
        {
            errors.Add("bouts", $"{bout} is no bout of this tournament.");
        }
    }
}
