using BoutDesk.Api.EventStore;
using JasperFx.Events.Daemon;
using Npgsql;

namespace BoutDesk.Api.Feed;

/// <summary>
/// Notices when the database's clock is put back, and lets the store's daemon begin anew. An append that was broken off
/// leaves a number of the sequence unused, and the daemon goes on without it once it has been missing for some seconds by
/// that clock: one that saw it missing at a later time would hold the feed back until that time comes again.
/// </summary>
internal sealed partial class ClockWatch : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(1);

    // Less than that the way to the database and back can make of itself.
    private static readonly TimeSpan Slack = TimeSpan.FromSeconds(1);

    private readonly Organiser organiser;
    private readonly IProjectionCoordinator daemon;
    private readonly ILogger<ClockWatch> logger;

    public ClockWatch([FromKeyedServices(Organiser.Home)] Organiser organiser, IProjectionCoordinator daemon, ILogger<ClockWatch> logger)
    {
        this.organiser = organiser;
        this.daemon = daemon;
        this.logger = logger;
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Every);
        DateTimeOffset? last = null;
        while (await timer.WaitForNextTickAsync(stoppingToken))
        {
            try
            {
                var now = await DatabaseTimeAsync(stoppingToken);
                if (last - now is { } back && back > Slack)
                {
                    PutBack(back);
                    // On some machines it takes a moment until every process reads the new time.
                    await timer.WaitForNextTickAsync(stoppingToken);
                    await timer.WaitForNextTickAsync(stoppingToken);
                    await daemon.StopAsync(stoppingToken);
                    await daemon.StartAsync(stoppingToken);
                }

                last = now;
            }
            catch (NpgsqlException)
            {
                // The store does not answer, which others say; its clock is looked at again when it does.
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                // It must not take the service down, and it is tried again, since the step is not noted yet.
                NotBegunAnew(e);
            }
        }
    }

    private async Task<DateTimeOffset> DatabaseTimeAsync(CancellationToken cancellation)
    {
        await using var connection = organiser.Connection();
        await connection.OpenAsync(cancellation);
        await using var command = new NpgsqlCommand("select clock_timestamp()", connection);
        return new DateTimeOffset((DateTime)(await command.ExecuteScalarAsync(cancellation))!);
    }

    [LoggerMessage(Level = LogLevel.Warning, Message = "The database's clock was put back by {By}. The feed is followed anew.")]
    private partial void PutBack(TimeSpan by);

    [LoggerMessage(Level = LogLevel.Error, Message = "The feed could not be followed anew, trying on.")]
    private partial void NotBegunAnew(Exception reason);
}
