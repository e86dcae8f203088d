using System.Collections.Concurrent;
using System.Globalization;
using Marten;
using Npgsql;
using NpgsqlTypes;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// Lets reads of what is public be answered by a standby, where <c>BoutDesk:ReadFromStandbys</c> allows it, as long as the
/// standby has what the reader must not miss: what he has written himself, and what this service's feed has told.
/// </summary>
/// <remarks>
/// All of that is told by one number, the position in the primary's write-ahead log. An answer to a write carries it in a
/// header and in a cookie, either of which a later read brings back.
/// </remarks>
internal sealed class Standbys : IAsyncDisposable
{
    /// <summary>The header of answers to writes, and of reads that must not be older.</summary>
    public const string Header = "BoutDesk-Position";

    private const string Cookie = "boutdesk-seen";

    // A standby that has not come far enough is not asked again at once, and one that has may be another soon.
    private static readonly TimeSpan Shortest = TimeSpan.FromMilliseconds(20);
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(1);

    private readonly NpgsqlMultiHostDataSource? servers;
    private readonly TimeProvider clock;
    private readonly ConcurrentDictionary<string, (long Position, long At)> replayed = new();
    private readonly AsyncLocal<Turn?> turn = new();
    private long written;
    private long told;

    public Standbys(string connectionString, IConfiguration configuration, TimeProvider clock)
    {
        this.clock = clock;
        if (configuration.GetValue("BoutDesk:ReadFromStandbys", false) && Servers.AreSeveral(connectionString) && !LatestChanges.IsOnlyNode(configuration))
        {
            servers = Servers.OfReads(connectionString);
        }
    }

    /// <summary>Notes that something was written here, after its commit.</summary>
    /// <param name="primary">A session of the primary.</param>
    public async Task WrittenAsync(IQuerySession primary)
    {
        if (servers is not null)
        {
            Raise(ref written, await PositionAsync(primary, CancellationToken.None));
        }
    }

    /// <summary>Notes that the feed tells of something here, before it does.</summary>
    /// <param name="primary">A session of the primary.</param>
    /// <param name="cancellation">When to give up.</param>
    public async Task ToldAsync(IQuerySession primary, CancellationToken cancellation)
    {
        if (servers is not null)
        {
            Raise(ref told, await PositionAsync(primary, cancellation));
        }
    }

    /// <summary>Says in the answer to a write what the client must not read older than.</summary>
    public void Say(HttpContext http)
    {
        if (servers is not null)
        {
            var position = Interlocked.Read(ref written).ToString("x", CultureInfo.InvariantCulture);
            http.Response.Headers[Header] = position;
            http.Response.Cookies.Append(Cookie, position, new CookieOptions { HttpOnly = true, SameSite = SameSiteMode.Lax, Secure = http.Request.IsHttps, IsEssential = true });
        }
    }

    /// <summary>Answers a request; the first session that is opened for it reads from a standby, if one has what the client has seen.</summary>
    public async ValueTask<object?> AnswerAsync(HttpRequest request, Func<ValueTask<object?>> answer) =>
        servers is not null && SeenBy(request) is { } seen ? await ReadAsync(seen, async () => await answer(), request.HttpContext.RequestAborted) : await answer();

    /// <summary>Reads for all who look; the first session that is opened for it reads from a standby, if one has what the feed has told.</summary>
    public Task<T> ReadAsync<T>(Func<Task<T>> read) => servers is null ? read() : ReadAsync(0, read, CancellationToken.None);

    /// <summary>The connection to a standby on which is to be read, or null. It is given once, and is then the taker's.</summary>
    public NpgsqlConnection? Take() => turn.Value?.Take();

    public async ValueTask DisposeAsync()
    {
        if (servers is not null)
        {
            await servers.DisposeAsync();
        }
    }

    private async Task<T> ReadAsync<T>(long seen, Func<Task<T>> read, CancellationToken cancellation)
    {
        await using var mine = new Turn(await OpenAsync(Math.Max(seen, Interlocked.Read(ref told)), cancellation));
        turn.Value = mine;
        try
        {
            return await read();
        }
        catch (Exception) when (mine.IsTaken && !cancellation.IsCancellationRequested)
        {
            // The standby went away, or what it replays stood against the read: the primary answers.
            return await read();
        }
    }

    /// <summary>The position that the client has seen: 0 when it cannot have written anything, null when that is not known.</summary>
    private static long? SeenBy(HttpRequest request)
    {
        var shown = request.Headers[Header].ToString() is { Length: > 0 } header ? header : request.Cookies[Cookie];
        return shown is null
            ? request.Headers.Authorization.Count > 0 ? null : 0
            : long.TryParse(shown, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out var position) ? position : null;
    }

    private async Task<NpgsqlConnection?> OpenAsync(long needed, CancellationToken cancellation)
    {
        NpgsqlConnection? connection = null;
        try
        {
            connection = await servers!.OpenConnectionAsync(TargetSessionAttributes.Standby, cancellation);
            if (await HasAsync(connection, needed, cancellation))
            {
                return connection;
            }
        }
        catch (NpgsqlException)
        {
            // There is none just now; the primary answers as well.
        }

        if (connection is not null)
        {
            await connection.DisposeAsync();
        }

        return null;
    }

    private async Task<bool> HasAsync(NpgsqlConnection standby, long needed, CancellationToken cancellation)
    {
        var host = string.Create(CultureInfo.InvariantCulture, $"{standby.Host}:{standby.Port}");
        if (replayed.TryGetValue(host, out var last))
        {
            var age = clock.GetElapsedTime(last.At);
            if (age < Shortest || (age < Longest && last.Position >= needed))
            {
                return last.Position >= needed;
            }
        }

        var at = clock.GetTimestamp();
        await using var ask = new NpgsqlCommand("select pg_last_wal_replay_lsn()", standby);
        // Null where nothing was replayed yet.
        var position = await ask.ExecuteScalarAsync(cancellation) is NpgsqlLogSequenceNumber known ? (long)(ulong)known : 0;
        replayed[host] = (position, at);
        return position >= needed;
    }

    private static async Task<long> PositionAsync(IQuerySession primary, CancellationToken cancellation) =>
        (long)(ulong)NpgsqlLogSequenceNumber.Parse((await primary.QueryAsync<string>("select pg_current_wal_insert_lsn()::text", cancellation))[0]);

    private static void Raise(ref long position, long to)
    {
        for (var before = Interlocked.Read(ref position); before < to; before = Interlocked.Read(ref position))
        {
            Interlocked.CompareExchange(ref position, to, before);
        }
    }

    private sealed class Turn(NpgsqlConnection? connection) : IAsyncDisposable
    {
        public bool IsTaken { get; private set; }

        public NpgsqlConnection? Take()
        {
            var taken = Interlocked.Exchange(ref connection, null);
            IsTaken |= taken is not null;
            return taken;
        }

        public ValueTask DisposeAsync() => Take()?.DisposeAsync() ?? ValueTask.CompletedTask;
    }
}
