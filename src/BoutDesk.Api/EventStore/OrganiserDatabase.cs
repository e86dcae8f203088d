using BoutDesk.Api.Feed;
using BoutDesk.Api.Http;
using Marten;
using Marten.Storage;
using Npgsql;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// A database that organisers are kept in, with what there is one of for each: positions in its feed and in its
/// write-ahead log mean nothing in another, and who waits for it holds up nobody who needs another.
/// </summary>
internal sealed class OrganiserDatabase : IAsyncDisposable
{
    private readonly Lazy<Opened>? always;
    private volatile Opened? opened;

    private OrganiserDatabase(LatestChanges changes, string? name)
    {
        Name = name;
        Gate = new CommandGate(changes, this);
        Turns = new CommandTurns(changes);
    }

    /// <summary>The one of the service, which is open as long as the service runs.</summary>
    public OrganiserDatabase(LatestChanges changes, Func<IDocumentStore> store, Standbys standbys, LatestEvents events)
        : this(changes, null) => always = new Lazy<Opened>(() => new Opened(store(), standbys, events));

    /// <summary>One beside it, which is not open yet.</summary>
    public OrganiserDatabase(string name, LatestChanges changes)
        : this(changes, name)
    {
    }

    /// <summary>Under what name its connection string stands in the configuration; null for the one of the service.</summary>
    public string? Name { get; }

    /// <summary>What happens in it, as it happens.</summary>
    public FeedHub Feed { get; } = new();

    public CommandGate Gate { get; }

    public CommandTurns Turns { get; }

    /// <summary>Whether it was found and is fit to be used. It may have gone away since.</summary>
    public bool IsOpen => always is not null || opened is not null;

    /// <summary>Its store.</summary>
    /// <exception cref="NotOpenException">It was not found yet.</exception>
    public IDocumentStore Store => Now.Store;

    /// <summary>Its standbys.</summary>
    /// <exception cref="NotOpenException">It was not found yet.</exception>
    public Standbys Standbys => Now.Standbys;

    /// <summary>The last events in it that this service knows.</summary>
    /// <exception cref="NotOpenException">It was not found yet.</exception>
    public LatestEvents Events => Now.Events;

    private Opened Now => always?.Value ?? opened ?? throw new NotOpenException(Name!);

    /// <summary>Lets it be used from now on.</summary>
    public void Open(IDocumentStore store, Standbys standbys, LatestEvents events) => opened = new Opened(store, standbys, events);

    /// <summary>Lets it be used no more, until it is opened anew.</summary>
    public async Task CloseAsync()
    {
        if (Interlocked.Exchange(ref opened, null) is { } before)
        {
            before.Store.Dispose();
            await before.Standbys.DisposeAsync();
        }
    }

    /// <summary>A connection to the server that takes writes, not open yet.</summary>
    public NpgsqlConnection Connection() => Store.Storage.Database.CreateConnection();

    /// <summary>Has the servers asked anew which of them takes writes, where there are several and what was known of them is out of date.</summary>
    public void AskServersAnew()
    {
        if (Store.Storage.Database is MartenDatabase { DataSource: NpgsqlMultiHostDataSource servers })
        {
            servers.ClearDatabaseStates();
        }
    }

    public async ValueTask DisposeAsync()
    {
        await CloseAsync();
        Turns.Dispose();
    }

    private sealed record Opened(IDocumentStore Store, Standbys Standbys, LatestEvents Events);
}

/// <summary>The database of an organiser was not found yet, or is not named in the configuration; the log says why.</summary>
internal sealed class NotOpenException(string name) : Exception($"The database {name} is not open.");
