using System.Data;
using System.IO.Compression;
using System.Text;
using System.Text.Json;
using BoutDesk.Api.Archives;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Http;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using BoutDesk.Domain.Tournaments;
using Marten;
using Npgsql;

namespace BoutDesk.Api.Organisers;

/// <summary>What is in a file, or was read from it.</summary>
/// <param name="Organiser">The organiser, open.</param>
/// <param name="Tournaments">How many tournaments it has.</param>
/// <param name="Events">How many events they have.</param>
/// <param name="Passes">How many passes.</param>
/// <param name="Answers">How many answers are kept for repeats.</param>
internal sealed record OrganiserContent(OrganiserRecord Organiser, int Tournaments, int Events, int Passes, int Answers);

/// <summary>
/// Everything of an organiser in one file: a zip of the log of each tournament as it is in its archive, the passes and the
/// answers kept for repeats. The states follow from the logs and are not in it.
/// </summary>
internal sealed class OrganiserFile
{
    private const string ContentName = "organiser.json", PassesName = "passes.jsonl", AnswersName = "answers.jsonl", LogFolder = "tournaments/";
    private const int AnswersAtOnce = 500;

    private readonly ISerializer serializer;
    private readonly OrganiserOffice office;

    public OrganiserFile(ISerializer serializer, OrganiserOffice office)
    {
        this.serializer = serializer;
        this.office = office;
    }

    /// <summary>Writes everything of an organiser, as of one moment.</summary>
    /// <exception cref="OrganiserException">It has something that would not be in the file.</exception>
    public async Task<OrganiserContent> WriteAsync(OrganiserRecord record, Stream file)
    {
        var organiser = await office.OpenAsync(record);
        await using var connection = organiser.Database.Connection();
        await connection.OpenAsync();
        await using var moment = await connection.BeginTransactionAsync(IsolationLevel.RepeatableRead);
        await using var session = organiser.WriteWithin(moment);
        await using var zip = await ZipArchive.CreateAsync(file, ZipArchiveMode.Create, leaveOpen: true, Encoding.UTF8);

        var tournaments = await session.Query<Tournament>().OrderBy(t => t.Id).Select(t => t.Id).ToListAsync();
        var events = 0;
        foreach (var id in tournaments)
        {
            var log = await EventLog.WriteAsync(session, serializer, id, CancellationToken.None);
            await using var entry = await zip.CreateEntry($"{LogFolder}{id}.jsonl").OpenAsync();
            await entry.WriteAsync(log);
            events += log.Count((byte)'\n');
        }

        if (await session.Events.QueryAllRawEvents().CountAsync() != events)
        {
            throw new OrganiserException($"There are events of {record.Id} that belong to none of its tournaments, so the file would not be whole. Nothing was exported; tell the maintainers of the program.");
        }

        var passes = await PutAsync(zip, PassesName, session.Query<PassRecord>().OrderBy(p => p.Id));
        var answers = await PutAsync(zip, AnswersName, session.Query<KeptAnswer>().OrderBy(a => a.Id));
        var content = new OrganiserContent(record with { Closed = false, Database = null }, tournaments.Count, events, passes, answers);
        await using (var last = await zip.CreateEntry(ContentName).OpenAsync())
        {
            await last.WriteAsync(Encoding.UTF8.GetBytes(serializer.ToJson(content)));
        }

        return content;
    }

    /// <summary>Takes the organiser of a file in, all or nothing.</summary>
    /// <param name="file">The file, which can be read at any place.</param>
    /// <param name="id">The identifier that it is to have here, or null for the one it had.</param>
    /// <param name="name">The name that it is to have here, or null for the one it had.</param>
    /// <param name="hosts">The host names that it is to have here; none for those it had.</param>
    /// <param name="database">The database that it is to have of its own here, or null for that of the service.</param>
    /// <exception cref="OrganiserException">The file is damaged, or the organiser cannot be here.</exception>
    public async Task<OrganiserContent> ReadAsync(Stream file, string? id, string? name, string[] hosts, string? database)
    {
        try
        {
            await using var zip = await ZipArchive.CreateAsync(file, ZipArchiveMode.Read, leaveOpen: true, Encoding.UTF8);
            var content = One<OrganiserContent>(await UnpackAsync(zip, ContentName));
            if (content.Organiser is not { Id: not null, Name: not null, Hosts: not null } there)
            {
                throw new InvalidDataException();
            }

            var here = there with
            {
                Id = id ?? there.Id,
                Name = name?.Trim() ?? there.Name,
                Hosts = hosts.Length > 0 ? hosts : [.. there.Hosts.Select(OrganiserOffice.HostName)],
                Database = database,
            };
            await office.AddAsync(here, (organiser, transaction) => FillAsync(zip, content, organiser, transaction));
            return content with { Organiser = here };
        }
        catch (Exception damaged) when (damaged is InvalidDataException or JsonException or DecoderFallbackException or NotSupportedException)
        {
            throw new OrganiserException("The file is no export of an organiser, or it is damaged. Nothing was kept. Export it again.");
        }
    }

    /// <summary>Moves an organiser to another database, by way of such a file.</summary>
    /// <param name="id">The organiser.</param>
    /// <param name="database">The database it is to have of its own, or null for that of the service.</param>
    /// <param name="anew">Whether what is there of it already is deleted first.</param>
    /// <exception cref="OrganiserException">It cannot be moved; it is where it was.</exception>
    public async Task<OrganiserContent> MoveAsync(string id, string? database, bool anew)
    {
        OrganiserContent? content = null;
        await office.MoveAsync(id, database, anew, async (record, organiser, transaction) =>
        {
            await using var file = Create(Path.Combine(Path.GetTempPath(), Path.GetRandomFileName()), FileAccess.ReadWrite, FileOptions.DeleteOnClose);
            content = await WriteAsync(record, file);
            file.Position = 0;
            await using var zip = await ZipArchive.CreateAsync(file, ZipArchiveMode.Read, leaveOpen: true, Encoding.UTF8);
            await FillAsync(zip, content, organiser, transaction);
        });
        return content!;
    }

    /// <summary>A new file that only its owner can read: it holds personal data and hashes of passes.</summary>
    public static FileStream Create(string path, FileAccess access = FileAccess.Write, FileOptions how = FileOptions.None)
    {
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = access, Share = FileShare.Delete, Options = how };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        }

        return new FileStream(path, options);
    }

    private async Task FillAsync(ZipArchive zip, OrganiserContent content, Organiser organiser, NpgsqlTransaction transaction)
    {
        var (tournaments, events) = (0, 0);
        foreach (var entry in zip.Entries.Where(e => e.FullName.StartsWith(LogFolder, StringComparison.Ordinal)))
        {
            var (log, problem) = EventLog.Read(await UnpackAsync(zip, entry.FullName), serializer);
            if ((problem ?? await log!.KeepWithinAsync(organiser, transaction)) is { } wrong)
            {
                throw new OrganiserException($"{entry.FullName} in the file: {Texts.Said(wrong.Detail)}");
            }

            (tournaments, events) = (tournaments + 1, events + log!.Count);
        }

        // Answers are given up by how much has happened since, which is counted anew here.
        var position = await organiser.Database.Store.Advanced.ProjectionProgressFor(FeedSubscription.Shard);
        var passes = Lines<PassRecord>(await UnpackAsync(zip, PassesName)).ToArray();
        var answers = Lines<KeptAnswer>(await UnpackAsync(zip, AnswersName)).Select(a => a with { Position = position }).ToArray();
        await InsertAsync(organiser, transaction, passes);
        foreach (var some in answers.Chunk(AnswersAtOnce))
        {
            await InsertAsync(organiser, transaction, some);
        }

        if ((tournaments, events, passes.Length, answers.Length) != (content.Tournaments, content.Events, content.Passes, content.Answers))
        {
            throw new InvalidDataException();
        }
    }

    private static async Task InsertAsync<T>(Organiser organiser, NpgsqlTransaction transaction, T[] documents)
        where T : notnull
    {
        await using var session = organiser.WriteWithin(transaction);
        session.Insert(documents);
        await session.SaveChangesAsync();
    }

    private async Task<int> PutAsync<T>(ZipArchive zip, string name, IQueryable<T> documents)
        where T : notnull
    {
        var count = 0;
        await using var entry = await zip.CreateEntry(name).OpenAsync();
        await foreach (var document in documents.ToAsyncEnumerable())
        {
            await entry.WriteAsync(Encoding.UTF8.GetBytes(serializer.ToJson(document) + "\n"));
            count++;
        }

        return count;
    }

    private IEnumerable<T> Lines<T>(string text) => text.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(One<T>);

    private T One<T>(string json)
    {
        using var stream = new MemoryStream(Encoding.UTF8.GetBytes(json));
        return serializer.FromJson<T>(stream) ?? throw new InvalidDataException();
    }

    private static async Task<string> UnpackAsync(ZipArchive zip, string name)
    {
        var entry = zip.GetEntry(name) ?? throw new InvalidDataException();
        await using var unpacked = await entry.OpenAsync();
        using var buffer = new MemoryStream();
        await unpacked.CopyToAsync(buffer);
        return EventLog.TextOf(entry, buffer);
    }
}
