using System.Globalization;
using BoutDesk.Api.EventStore;
using JasperFx;
using JasperFx.Events.Daemon;
using Npgsql;

namespace BoutDesk.Api.Feed;

/// <summary>
/// Lets the store's daemon begin anew where it would stand still by itself, and the feed with it.
/// When the database's clock is put back: an append that was broken off leaves a number of the sequence unused, and the
/// daemon goes on without it once it has been missing for some seconds by that clock; one that saw it missing at a later
/// time would hold the feed back until that time comes again. And when what it was doing as the database went away, or as
/// another service took the feed over, has ended for it in a way that it does not come back from. It is also who notices
/// that another server has taken the primary's place without all that this service knows, and ends the service then.
/// </summary>
internal sealed partial class FeedWatch : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(1);

    // Less than that the way to the database and back can make of itself.
    private static readonly TimeSpan Slack = TimeSpan.FromSeconds(1);

    // After a passing failure the daemon begins anew by itself in half of that.
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(10);

    private readonly OrganiserDatabase database;
    private readonly IProjectionCoordinator daemon;
    private readonly Ending ending;
    private readonly TimeProvider clock;
    private readonly ILogger<FeedWatch> logger;

    public FeedWatch(OrganiserDatabase database, IProjectionCoordinator daemon, Ending ending, TimeProvider clock, ILogger<FeedWatch> logger)
    {
        this.database = database;
        this.daemon = daemon;
        this.ending = ending;
        this.clock = clock;
        this.logger = logger;
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Every);
        DateTimeOffset? last = null;
        string? timeline = null;
        (long Position, long Since) moved = (-1, 0);
        while (await timer.WaitForNextTickAsync(stoppingToken))
        {
            try
            {
                await using var connection = database.Connection();
                await connection.OpenAsync(stoppingToken);
                var (now, position, upTo, current) = await LookAsync(connection, stoppingToken);
                if (timeline is not null && timeline != current)
                {
                    await EndWithoutAllAsync(connection, stoppingToken);
                }

                timeline = current;
                if (last - now is { } back && back > Slack)
                {
                    PutBack(back);
                    // On some machines it takes a moment until every process reads the new time.
                    await timer.WaitForNextTickAsync(stoppingToken);
                    await timer.WaitForNextTickAsync(stoppingToken);
                    await BeginAnewAsync(stoppingToken);
                }

                last = now;
                if (position != moved.Position || position >= upTo)
                {
                    moved = (position, clock.GetTimestamp());
                }

                if (HasEnded() || clock.GetElapsedTime(moved.Since) > Longest)
                {
                    StandsStill(position);
                    await BeginAnewAsync(stoppingToken);
                    moved = (position, clock.GetTimestamp());
                }
            }
            catch (NpgsqlException)
            {
                // The store does not answer, which others say; it is looked at again when it does.
                moved = (moved.Position, clock.GetTimestamp());
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                // It must not take the service down, and it is tried again, since nothing is noted yet.
                NotBegunAnew(e);
            }
        }
    }

    /// <summary>
    /// Whether what follows the feed here has ended and would not begin again when it is this service's turn: it does when
    /// another has noted more meanwhile, as happens when both follow for a moment.
    /// </summary>
    private bool HasEnded() => daemon.DaemonForMainDatabase().CurrentAgents().Any(agent => agent.Status == AgentStatus.Stopped);

    private async Task BeginAnewAsync(CancellationToken cancellation)
    {
        await daemon.StopAsync(cancellation);
        await daemon.StartAsync(cancellation);
    }

    /// <summary>
    /// After a promotion of a standby that did not have everything, what this service remembers never was: it shows what
    /// is gone, and takes numbers that are given out anew for those it has told already.
    /// </summary>
    private async Task EndWithoutAllAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        if (await database.Events.MissingAsync(connection, cancellation) is > 0 and var missing)
        {
            ending.Begin(string.Create(
                CultureInfo.InvariantCulture,
                $"A server has taken the primary's place that lacks {missing} of the last events, which had been acknowledged or told. Compare the sheets in the halls."));
        }
    }

    /// <summary>The database's time, how far the feed has come, up to where it could go, and the timeline of the server, which a promotion changes.</summary>
    private static async Task<(DateTimeOffset Now, long Position, long UpTo, string Timeline)> LookAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        await using var command = new NpgsqlCommand(
            """
            select clock_timestamp(),
                coalesce((select last_seq_id from boutdesk.mt_event_progression where name = $1), 0),
                coalesce((select last_seq_id from boutdesk.mt_event_progression where name = 'HighWaterMark'), 0),
                left(pg_walfile_name(pg_current_wal_insert_lsn()), 8)
            """,
            connection);
        command.Parameters.Add(new NpgsqlParameter<string> { TypedValue = FeedSubscription.Shard.Identity });
        await using var found = await command.ExecuteReaderAsync(cancellation);
        await found.ReadAsync(cancellation);
        return (found.GetFieldValue<DateTimeOffset>(0), found.GetInt64(1), found.GetInt64(2), found.GetString(3));
    }

    [LoggerMessage(Level = LogLevel.Warning, Message = "The database's clock was put back by {By}. The feed is followed anew.")]
    private partial void PutBack(TimeSpan by);

    [LoggerMessage(Level = LogLevel.Warning, Message = "The feed does not go on by itself after {Position}. It is followed anew.")]
    private partial void StandsStill(long position);

    [LoggerMessage(Level = LogLevel.Error, Message = "The feed could not be followed anew, trying on.")]
    private partial void NotBegunAnew(Exception reason);
}
