using System.Data;
using BoutDesk.Api.EventStore;
using Marten;
using Npgsql;

namespace BoutDesk.Api.Feed;

/// <summary>
/// Feeds the hub where several services work on one database. The store's daemon runs in one of them only; how far it has
/// come stands in the database and is announced there, and what happened up to then is read from the store. So listeners
/// of every service are told the same, and those of the daemon's own lose nothing when it changes hands.
/// </summary>
internal sealed partial class FeedFollower : BackgroundService
{
    /// <summary>The channel of PostgreSQL's <c>NOTIFY</c>.</summary>
    public const string Channel = "boutdesk_feed";

    private const int Page = 500;

    // An announcement can be lost with a connection.
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(1);

    private readonly OrganiserDatabase database;
    private readonly FeedHub hub;
    private readonly Ending ending;
    private readonly ILogger<FeedFollower> logger;
    private long known;

    public FeedFollower(OrganiserDatabase database, Ending ending, ILogger<FeedFollower> logger)
    {
        this.database = database;
        hub = database.Feed;
        this.ending = ending;
        this.logger = logger;
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        known = hub.Position;
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                await FollowAsync(stoppingToken);
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                Lost(e.GetBaseException().Message);
                // A standby that has been promoted meanwhile is found by the next who asks, for commands too.
                database.AskServersAnew();
                await Task.Delay(Longest, stoppingToken);
            }
        }
    }

    private async Task FollowAsync(CancellationToken stopping)
    {
        await using var connection = database.Connection();
        await connection.OpenAsync(stopping);
        await ExecuteAsync(connection, $"listen {Channel}", stopping);
        try
        {
            while (true)
            {
                var upTo = await database.Store.Advanced.ProjectionProgressFor(FeedSubscription.Shard, token: stopping);
                await EndAtNewerDataAsync(connection, upTo, stopping);
                await AdvanceAsync(upTo, stopping);
                await connection.WaitAsync(Longest, stopping);
            }
        }
        finally
        {
            // The connection goes back to the others, who listen to nothing.
            if (connection.State == ConnectionState.Open)
            {
                await ExecuteAsync(connection, $"unlisten {Channel}", CancellationToken.None);
            }
        }
    }

    /// <summary>
    /// In the midst of an upgrade a newer service can keep what this version does not know. It must not write states any
    /// more then, since it would write them without that.
    /// </summary>
    private async Task EndAtNewerDataAsync(NpgsqlConnection connection, long upTo, CancellationToken stopping)
    {
        if (upTo <= known)
        {
            return;
        }

        if (await NewerData.UnknownAsync(connection, known, upTo, stopping) is { } unknown)
        {
            ending.Begin($"A newer version of BoutDesk has kept an event of the kind {unknown}, which this version does not know.");
            // What it says has to be told to nobody any more.
            await Task.Delay(Timeout.InfiniteTimeSpan, stopping);
        }

        known = upTo;
    }

    private async Task AdvanceAsync(long upTo, CancellationToken stopping)
    {
        for (var from = hub.Position; from < upTo; from = hub.Position)
        {
            await using var session = database.Store.QuerySession();
            var page = await session.Events.QueryAllRawEvents()
                .Where(e => e.AnyTenant() && e.Sequence > from && e.Sequence <= upTo)
                .OrderBy(e => e.Sequence)
                .Take(Page)
                .ToListAsync(stopping);
            database.Events.Note(page);
            await database.Standbys.ToldAsync(session, stopping);
            hub.Publish(page, from, page.Count < Page ? upTo : page[^1].Sequence);
        }
    }

    private static async Task ExecuteAsync(NpgsqlConnection connection, string statement, CancellationToken cancellation)
    {
        await using var command = new NpgsqlCommand(statement, connection);
        await command.ExecuteNonQueryAsync(cancellation);
    }

    [LoggerMessage(Level = LogLevel.Warning, Message = "The feed of the other services is not followed just now, trying on: {Why}")]
    private partial void Lost(string why);
}
