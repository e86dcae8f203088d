using System.IO.Compression;
using System.Text;
using BoutDesk.Api.Competitions;
using BoutDesk.Api.Elimination;
using BoutDesk.Api.Entries;
using BoutDesk.Api.Equipment;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.LoanKit;
using BoutDesk.Api.Passes;
using BoutDesk.Api.Pools;
using BoutDesk.Api.Refereeing;
using BoutDesk.Domain;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using Marten;
using Microsoft.Extensions.Caching.Memory;

namespace BoutDesk.Api.Archives;

/// <summary>A tournament taken in from an archive.</summary>
/// <param name="TournamentId">The tournament.</param>
/// <param name="Events">How many events it has.</param>
internal sealed record ImportedArchive(string TournamentId, int Events);

/// <summary>A whole tournament out as one file, and in again.</summary>
internal static class ArchiveRoutes
{
    /// <summary>The most bytes that an archive may have, and its log when it is unpacked.</summary>
    public const int MostBytes = 50 * 1024 * 1024;

    private const string About = """
        A tournament as kept by BoutDesk.

        events.jsonl  everything that happened, one event a line, in order. A service takes the tournament in again from it.
        the folders   the lists of each competition, in CSV for a spreadsheet and in JSON for a program.
        loan kit      who has borrowed what, where the tournament has loan kit.

        This file holds personal data, years of birth, reasons for leaving and who borrowed kit among them, and much of it may be of minors.
        Keep it as safe as the service itself, give it to nobody who does not need it, and delete it when your law says so.
        """;

    public static void MapArchives(this IEndpointRouteBuilder app)
    {
        app.MapGet("/api/tournaments/{tournamentId}/archive", GetAsync).Needs(PassKind.Desk).WithTags("Tournaments")
            .Does("getArchive", "The whole tournament as one archive", "A zip file with the lists of each competition in CSV and JSON, and the log of all events, from which a service can take the tournament in again. It holds personal data, but no pass.")
            .Produces<byte[]>(200, Formats.Zip).Produces(304).Refuses(401, 403, 404);
        // The same for a browser at the desk, whose pass goes with the desk's own addresses only.
        app.MapGet("/desk/tournaments/{tournamentId}/archive", GetAsync).Needs(PassKind.Desk).ExcludeFromDescription();
        app.MapPost("/api/archives", ImportAsync).Needs(PassKind.Desk).WithTags("Tournaments")
            .WithMetadata(new RequestSizeLimit(MostBytes))
            .Does("importArchive", "Take a tournament in from its archive", "Everything is as it was: the same identifiers, times and answers, and it can be fenced on. All or nothing; refused when the tournament is here already. Needs a desk pass of the organiser. Sent again it is refused, since the tournament is here then.")
            .Accepts<object>(Formats.Zip).Produces<ImportedArchive>(201).Refuses(400, 401, 403, 409, 413, 415);
    }

    private static async Task<IResult> GetAsync(
        string tournamentId, HttpContext http, Organiser organiser, CompetitionShelf competitions, IMemoryCache cache, IDocumentStore store)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Tournament>(tournamentId, http.RequestAborted) is not { } tournament)
        {
            return Problem.NotFound("tournament");
        }

        var log = await EventLog.WriteAsync(session, store.Options.Serializer(), tournamentId, http.RequestAborted);
        // Files of the tournament's day, whenever they are fetched: the same history gives the same bytes.
        var day = new DateTimeOffset(tournament.StartsOn, TimeOnly.MinValue, TimeSpan.Zero);
        using var buffer = new MemoryStream();
        await using (var zip = await ZipArchive.CreateAsync(buffer, ZipArchiveMode.Create, leaveOpen: true, Encoding.UTF8, http.RequestAborted))
        {
            await PutAsync(zip, day, "README.txt", Encoding.UTF8.GetBytes(About.ReplaceLineEndings("\r\n")));
            await PutAsync(zip, day, EventLog.FileName, log);
            foreach (var competition in (await session.LoadManyAsync<Competition>(http.RequestAborted, [.. tournament.Competitions])).OrderBy(c => tournament.Competitions.IndexOf(c.Id)))
            {
                var folder = $"{tournament.Competitions.IndexOf(competition.Id) + 1} {FileNames.Safe(competition.Name)}";
                foreach (var (name, list) in Lists(competition, http, organiser, competitions, cache))
                {
                    await PutAsync(zip, day, $"{folder}/{name}", await list);
                }
            }

            if (!tournament.Referees.IsEmpty)
            {
                await PutAsync(zip, day, "referees", await RefereeRoutes.ListAsync(tournamentId, null, null, http, organiser, http.RequestAborted));
            }

            if (await session.LoadAsync<LoanStore>(Identifiers.LoanStore(tournamentId), http.RequestAborted) is not null)
            {
                await PutAsync(zip, day, "loan kit", await KitRoutes.ListAsync(tournamentId, null, null, null, organiser, http.RequestAborted));
            }
        }

        http.Response.Headers.ContentDisposition = FileNames.Attachment(tournament.Name, "zip");
        // All that is in it follows from the log.
        await ETags.SendAsync(http, buffer.ToArray(), Formats.Zip, ETags.Of(log));
        return Results.Empty;
    }

    private static IEnumerable<(string Name, Task<IResult> List)> Lists(
        Competition competition, HttpContext http, Organiser organiser, CompetitionShelf competitions, IMemoryCache cache)
    {
        var (id, cancellation) = (competition.Id, http.RequestAborted);
        yield return ("competition", CompetitionRoutes.GetAsync(id, organiser, cancellation));
        yield return ("entrants", EntrantRoutes.ListAsync(id, null, null, http, organiser, cancellation));
        yield return ("equipment", EquipmentRoutes.ListAsync(id, null, null, organiser, cancellation));
        yield return ("seeding", PoolRoutes.SeedingAsync(id, null, null, organiser, cancellation));
        foreach (var round in competition.Rounds.Select(r => r.Number))
        {
            yield return ($"pools {round}", PoolRoutes.RoundFencersAsync(id, round, null, null, organiser, competitions, cancellation));
            yield return ($"pool bouts {round}", PoolRoutes.RoundBoutsAsync(id, round, null, null, organiser, competitions, cancellation));
            yield return ($"standings {round}", PoolRoutes.RoundStandingsAsync(id, round, null, null, organiser, competitions, cache, cancellation));
        }

        yield return ("tableau bouts", TableauRoutes.BoutsAsync(id, null, null, organiser, competitions, cancellation));
        yield return ("classification", CompetitionRoutes.ClassificationAsync(id, null, null, organiser, cancellation));
    }

    /// <summary>Puts a list in, unless there is none yet.</summary>
    private static async Task PutAsync(ZipArchive zip, DateTimeOffset day, string name, IResult list)
    {
        if (list is ITakenAway taken)
        {
            await PutAsync(zip, day, name + ".json", taken.Json());
            if (taken.SpreadsheetFile() is { } csv)
            {
                await PutAsync(zip, day, name + ".csv", csv);
            }
        }
    }

    private static async Task PutAsync(ZipArchive zip, DateTimeOffset day, string name, byte[] content)
    {
        var entry = zip.CreateEntry(name);
        entry.LastWriteTime = day;
        await using var stream = await entry.OpenAsync();
        await stream.WriteAsync(content);
    }

    private static async Task<IResult> ImportAsync(HttpContext http, Organiser organiser, CommandGate gate, Standbys standbys, IDocumentStore store)
    {
        if (http.Request.GetTypedHeaders().ContentType?.MediaType.ToString() is not Formats.Zip)
        {
            throw new BadHttpRequestException("No archive.", StatusCodes.Status415UnsupportedMediaType);
        }

        using var file = new MemoryStream();
        await http.Request.Body.CopyToAsync(file, http.RequestAborted);
        var (log, unreadable) = await EventLog.ReadAsync(file, store.Options, http.RequestAborted);
        if (log is null)
        {
            return unreadable!;
        }

        // Once it is being kept the client's hanging up no longer matters.
        if (await log.KeepAsync(organiser, gate) is { } refused)
        {
            return refused;
        }

        await using var session = organiser.Read();
        await standbys.WrittenAsync(session);
        standbys.Say(http);
        return Results.Created($"/api/tournaments/{log.TournamentId}", new ImportedArchive(log.TournamentId, log.Count));
    }

    private sealed class RequestSizeLimit(long bytes) : Microsoft.AspNetCore.Http.Metadata.IRequestSizeLimitMetadata
    {
        public long? MaxRequestBodySize => bytes;
    }
}
