using System.Collections.Immutable;
using System.IO.Compression;
using System.IO.Hashing;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using JasperFx.Events;
using JasperFx.Events.Daemon;
using Marten;
using Npgsql;

namespace BoutDesk.Api.Archives;

/// <summary>All events of a tournament, in the order in which they were kept.</summary>
internal sealed class EventLog
{
    /// <summary>The name of the log within an archive.</summary>
    public const string FileName = "events.jsonl";

    private static readonly ImmutableDictionary<string, Type> Types = EventNames.All.ToImmutableDictionary(e => e.Value, e => e.Key);
    private static readonly JsonSerializerOptions Lines = new(JsonSerializerDefaults.Web) { RespectNullableAnnotations = true, RespectRequiredConstructorParameters = true };

    private readonly ImmutableArray<Kept> events;

    private EventLog(string tournamentId, ImmutableArray<Kept> events)
    {
        TournamentId = tournamentId;
        this.events = events;
    }

    /// <summary>The tournament.</summary>
    public string TournamentId { get; }

    /// <summary>How many events it has.</summary>
    public int Count => events.Length;

    /// <summary>Writes the log of a tournament: an event a line.</summary>
    public static async Task<byte[]> WriteAsync(IQuerySession session, ISerializer serializer, string tournamentId, CancellationToken cancellation)
    {
        var within = tournamentId + "-";
        var events = await session.Events.QueryAllRawEvents()
            .Where(e => e.StreamKey == tournamentId || e.StreamKey!.StartsWith(within))
            .OrderBy(e => e.Sequence).ToListAsync(cancellation);
        using var buffer = new MemoryStream();
        foreach (var e in events)
        {
            var line = new Line(e.StreamKey!, e.Version, EventNames.Of(e.Data), e.Timestamp.ToUniversalTime(), e.UserName, JsonNode.Parse(serializer.ToJson(e.Data))!.AsObject());
            buffer.Write(JsonSerializer.SerializeToUtf8Bytes(line, Lines));
            buffer.Write("\n"u8);
        }

        return buffer.ToArray();
    }

    /// <summary>Reads the log out of an archive, or says what is wrong with it. Of everything else in it nothing is read.</summary>
    public static async Task<(EventLog? Log, Problem? Problem)> ReadAsync(MemoryStream archive, IReadOnlyStoreOptions options, CancellationToken cancellation)
    {
        string text;
        try
        {
            await using var zip = await ZipArchive.CreateAsync(archive, ZipArchiveMode.Read, leaveOpen: true, Encoding.UTF8, cancellation);
            if (zip.GetEntry(FileName) is not { } entry)
            {
                return (null, Unreadable($"The file holds no {FileName}. Send an archive as the service gave it out."));
            }

            // The length that the file states is not to be trusted: what is unpacked is counted.
            await using var unpacked = await entry.OpenAsync(cancellation);
            using var buffer = new MemoryStream();
            var chunk = new byte[81920];
            int read;
            while ((read = await unpacked.ReadAsync(chunk, cancellation)) > 0)
            {
                if (buffer.Length + read > ArchiveRoutes.MostBytes)
                {
                    return (null, Unreadable($"The log in the archive is larger than {ArchiveRoutes.MostBytes / 1024 / 1024} MiB, which no tournament has."));
                }

                buffer.Write(chunk, 0, read);
            }

            text = TextOf(entry, buffer);
        }
        catch (Exception damaged) when (damaged is InvalidDataException or DecoderFallbackException or NotSupportedException)
        {
            return (null, Unreadable($"The file is no zip archive, or it is damaged. Send an archive as the service gave it out."));
        }

        return Read(text, options.Serializer());
    }

    /// <summary>
    /// Keeps it, all or nothing, in the same order and with the same times. The states follow from it, as they did before.
    /// </summary>
    /// <returns>Why nothing was kept, or null.</returns>
    /// <exception cref="UnconfirmedException">It was kept now or before, but the standby does not have it yet.</exception>
    public async Task<Problem?> KeepAsync(Organiser organiser)
    {
        await using var connection = organiser.Database.Connection();
        await connection.OpenAsync();
        await using var transaction = await connection.BeginTransactionAsync();
        if (await KeepWithinAsync(organiser, transaction) is { } problem)
        {
            if (problem.Kind == ProblemKinds.AlreadyHere)
            {
                // That says as much as that it was kept.
                await using var session = organiser.Write("archive");
                await organiser.Database.Gate.SaveAsync(session);
            }

            return problem;
        }

        await CommandGate.CommitAsync(transaction);
        return null;
    }

    /// <summary>The same within a transaction, which is to be committed only when nothing is wrong.</summary>
    public async Task<Problem?> KeepWithinAsync(Organiser organiser, NpgsqlTransaction transaction)
    {
        try
        {
            foreach (var run in Runs())
            {
                await using var session = organiser.WriteWithin(transaction);
                foreach (var stream in run.GroupBy(e => e.Stream))
                {
                    var first = stream.First().Version == 1;
                    object[] wrapped = [.. stream.Select(e => Wrapped(session, e))];
                    _ = first ? session.Events.StartStream(stream.Key, wrapped) : session.Events.Append(stream.Key, wrapped);
                }

                await session.SaveChangesAsync();
            }
        }
        catch (Marten.Exceptions.ExistingStreamIdCollisionException)
        {
            return new Problem(ProblemKinds.AlreadyHere, $"The tournament of this archive is here already. It was not touched.");
        }
        catch (ApplyEventException)
        {
            return Unreadable($"The log of the archive contradicts itself: an event cannot follow those before it. Nothing was kept. Take the archive from its service again.");
        }
        catch (Marten.Exceptions.MartenCommandException refused) when (refused.InnerException is PostgresException { SqlState: ['2', '2', ..] })
        {
            // Class 22, data that is none, such as a text with the character 0.
            return Unreadable($"The log of the archive holds something that cannot be kept. Nothing was kept. Take the archive from its service again.");
        }

        if (!await HoldsTogetherAsync(organiser, transaction))
        {
            return Unreadable($"The log of the archive contradicts itself: its entries do not fit together. Nothing was kept. Take the archive from its service again.");
        }

        return null;
    }

    /// <summary>
    /// Whether a page can be made of it. Each event may follow the one before it, and yet speak of a fencer who was never
    /// entered; one such tournament would spoil the pages that show all of them.
    /// </summary>
    private async Task<bool> HoldsTogetherAsync(Organiser organiser, NpgsqlTransaction transaction)
    {
        await using var session = organiser.WriteWithin(transaction);
        var tournament = (await session.LoadAsync<Tournament>(TournamentId))!;
        var competitions = await session.LoadManyAsync<Competition>(tournament.Competitions);
        try
        {
            foreach (var competition in competitions)
            {
                var bouts = await session.Query<Bout>().Where(b => b.CompetitionId == competition.Id && !b.Struck).ToListAsync();
                _ = LeftToFence.Of(competition, bouts, entrant => entrant.Details.Person(), [], DateTimeOffset.UnixEpoch);
            }

            return competitions.Count == tournament.Competitions.Length
                && competitions.All(c => c.TournamentId == TournamentId && c.Entrants.All(e => e.Details.Problems().IsEmpty))
                && tournament.Referees.All(r => r.Details.Problems().IsEmpty);
        }
        catch (Exception impossible) when (impossible is KeyNotFoundException or NullReferenceException or InvalidOperationException or ArgumentException)
        {
            return false;
        }
    }

    private static IEvent Wrapped(IDocumentSession session, Kept kept)
    {
        var wrapped = session.Events.BuildEvent(kept.Data);
        // Numbered by the store only once it is kept, but the states that follow from it carry the number.
        wrapped.Version = kept.Version;
        // Whatever the offset it was written with: the store takes no other.
        wrapped.Timestamp = kept.At.ToUniversalTime();
        wrapped.UserName = kept.By;
        return wrapped;
    }

    /// <summary>
    /// Cuts it where a stream comes up again: what is saved at once is saved stream by stream, and the order over all of
    /// them is to stay.
    /// </summary>
    private IEnumerable<List<Kept>> Runs()
    {
        var run = new List<Kept>();
        var seen = new HashSet<string>();
        foreach (var kept in events)
        {
            if (run.Count > 0 && run[^1].Stream != kept.Stream && !seen.Add(kept.Stream))
            {
                yield return run;
                run = [];
                seen.Clear();
            }

            seen.Add(kept.Stream);
            run.Add(kept);
        }

        yield return run;
    }

    /// <summary>What an entry of a zip says.</summary>
    /// <param name="entry">The entry.</param>
    /// <param name="unpacked">All that was unpacked of it.</param>
    /// <exception cref="InvalidDataException">It is not what was packed.</exception>
    /// <exception cref="DecoderFallbackException">It is no text.</exception>
    public static string TextOf(ZipArchiveEntry entry, MemoryStream unpacked)
    {
        var content = unpacked.ToArray();
        // Which the framework does not look at: a name with one wrong letter would be taken in.
        return Crc32.HashToUInt32(content) == entry.Crc32
            ? new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(content)
            : throw new InvalidDataException();
    }

    /// <summary>Reads a log, or says what is wrong with it.</summary>
    public static (EventLog? Log, Problem? Problem) Read(string log, ISerializer serializer)
    {
        var lines = log.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        var events = ImmutableArray.CreateBuilder<Kept>(lines.Length);
        var versions = new Dictionary<string, long>();
        foreach (var (i, text) in lines.Index())
        {
            Line line;
            object data;
            try
            {
                line = JsonSerializer.Deserialize<Line>(text, Lines) ?? throw new JsonException();
                if (!Types.TryGetValue(line.Name, out var type))
                {
                    return (null, Wrong(i, $"'{line.Name}' is no event that this service knows. Take a newer edition of the service."));
                }

                using var json = new MemoryStream(Encoding.UTF8.GetBytes(line.Data.ToJsonString()));
                data = serializer.FromJson(type, json);
                // A list that is missing shows only when the event is written again, as all that were ever stored can be.
                _ = serializer.ToJson(data);
            }
            catch (Exception unreadable) when (unreadable is JsonException or NotSupportedException or ArgumentException or FormatException or InvalidOperationException)
            {
                return (null, Wrong(i, "It cannot be read."));
            }

            var tournament = events.Count == 0 ? line.Stream : events[0].Stream;
            if (!BelongsTo(line.Stream, tournament, data))
            {
                return (null, Wrong(i, $"'{line.Stream}' does not belong to the tournament, or the event not to it."));
            }

            if (versions.GetValueOrDefault(line.Stream) + 1 != line.Version)
            {
                return (null, Wrong(i, $"Event {versions.GetValueOrDefault(line.Stream) + 1} of '{line.Stream}' is missing before it."));
            }

            versions[line.Stream] = line.Version;
            events.Add(new Kept(line.Stream, line.Version, line.At, line.By, data));
        }

        return events is [{ Data: TournamentOpened }, ..]
            ? (new EventLog(events[0].Stream, events.ToImmutable()), null)
            : (null, Unreadable($"The log does not begin with the opening of a tournament. Send an archive as the service gave it out."));
    }

    private static bool BelongsTo(string stream, string tournament, object data) =>
        Identifiers.TournamentOf(stream) == tournament
        && data switch
        {
            ITournamentEvent => stream == tournament,
            ILoanEvent => stream == Identifiers.LoanStore(tournament),
            ICompetitionEvent => Identifiers.CompetitionOf(stream) is null && stream != tournament && stream != Identifiers.LoanStore(tournament),
            IBoutEvent or IEquipmentEvent => Identifiers.CompetitionOf(stream) is not null,
            _ => false,
        };

    private static Problem Wrong(int line, string why) => Unreadable($"Line {line + 1} of the log in the archive is wrong. {why} Nothing was kept.");

    private static Problem Unreadable(FormattableString why) => new(ProblemKinds.UnreadableArchive, why);

    private sealed record Line(string Stream, long Version, string Name, DateTimeOffset At, string? By, JsonObject Data);

    private sealed record Kept(string Stream, long Version, DateTimeOffset At, string? By, object Data);
}
