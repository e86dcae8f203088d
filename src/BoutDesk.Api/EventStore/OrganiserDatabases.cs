using System.Collections.Concurrent;
using BoutDesk.Api.Feed;
using Npgsql;

namespace BoutDesk.Api.EventStore;

/// <summary>The database of the service, in which organisers are unless told otherwise, and those beside it that some have of their own.</summary>
internal sealed class OrganiserDatabases : IAsyncDisposable
{
    // One that is out of reach must not keep the others waiting.
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(3);

    private readonly ConcurrentDictionary<string, OrganiserDatabase> own = new();
    private readonly string home;
    private readonly IConfiguration configuration;
    private readonly LatestChanges changes;
    private readonly TimeProvider clock;

    /// <param name="home">The one of the service.</param>
    /// <param name="connectionString">Where that is.</param>
    /// <param name="configuration">Names the others.</param>
    /// <param name="changes">Hears of every commit.</param>
    /// <param name="clock">The time.</param>
    public OrganiserDatabases(OrganiserDatabase home, string connectionString, IConfiguration configuration, LatestChanges changes, TimeProvider clock)
    {
        Home = home;
        this.home = connectionString;
        this.configuration = configuration;
        this.changes = changes;
        this.clock = clock;
    }

    /// <summary>The database of the service, with the records of all organisers.</summary>
    public OrganiserDatabase Home { get; }

    /// <summary>The database of that name, whether it is open or not.</summary>
    /// <param name="name">Its name, or null for that of the service.</param>
    public OrganiserDatabase Named(string? name) => name is null ? Home : own.GetOrAdd(name, _ => new OrganiserDatabase(name, changes));

    /// <summary>Looks for a database, brings its tables up to date and opens it. It has no feed until that is followed.</summary>
    /// <exception cref="StartException">It is not named in the configuration, or its data are of a newer version.</exception>
    public async Task OpenAsync(OrganiserDatabase database, CancellationToken cancellation)
    {
        var connectionString = ConnectionString(database.Name!);
        await CheckAsync(database.Name!, connectionString, cancellation);
        var standbys = new Standbys(connectionString, configuration, clock);
        var events = new LatestEvents();
        var store = MartenSetup.NewStore(connectionString, new FeedSubscription(database.Feed, changes, events, standbys), changes, changes.Suffice);
        try
        {
            await store.Storage.ApplyAllConfiguredChangesToDatabaseAsync();
            await using var connection = store.Storage.Database.CreateConnection();
            await connection.OpenAsync(cancellation);
            await NewerData.NoteAsync(connection, cancellation);
            database.Feed.BeginAnewAt(await store.Advanced.ProjectionProgressFor(FeedSubscription.Shard, token: cancellation));
        }
        catch
        {
            store.Dispose();
            await standbys.DisposeAsync();
            throw;
        }

        database.Open(store, standbys, events);
    }

    /// <summary>The setting that says where a database is.</summary>
    /// <param name="name">Its name.</param>
    public static string Setting(string name) => "ConnectionStrings:" + name;

    public async ValueTask DisposeAsync()
    {
        foreach (var database in own.Values.Append(Home))
        {
            await database.DisposeAsync();
        }
    }

    private static async Task CheckAsync(string name, string connectionString, CancellationToken cancellation)
    {
        using var soon = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        soon.CancelAfter(Patience);
        try
        {
            await NewerData.CheckAsync(connectionString, soon.Token);
        }
        catch (OperationCanceledException late) when (!cancellation.IsCancellationRequested)
        {
            throw new StartException(StartFailure.Explain(new TimeoutException(late.Message, late), Setting(name))!, late);
        }
    }

    private string ConnectionString(string name)
    {
        var setting = Setting(name);
        var given = configuration.GetConnectionString(name) is { Length: > 0 } text
            ? Database.Readable(setting, text)
            : throw new StartException($"{setting} is not set, which says where the database {name} is. Set it for every service and for this command, as in Host=localhost;Database={name};Username=boutdesk;Password=….");
        // Two feeds of one database would each take the other's place in it.
        return own.Keys.Where(other => other != name).Select(other => configuration.GetConnectionString(other)).Append(home).All(other => Place(other) != Place(given))
            ? given
            : throw new StartException($"{setting} is the place of another database that this service has. Name one that is used for nothing else.");
    }

    private static string? Place(string? connectionString)
    {
        try
        {
            var of = new NpgsqlConnectionStringBuilder(connectionString);
            return connectionString is null ? null : $"{of.Host} {of.Port} {of.Database}";
        }
        catch (ArgumentException)
        {
            // It is told of where it is to be opened.
            return null;
        }
    }
}
