using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using Marten.Events.Daemon.Coordination;

namespace BoutDesk.Api.Organisers;

/// <summary>
/// Opens the databases that organisers have of their own, follows the feed of each, and lets go of those that no organiser
/// has any more. One that is away keeps nobody else waiting: it is looked for until it is found, and what is asked of its
/// organisers meanwhile is answered that the store is away.
/// </summary>
internal sealed partial class OwnDatabases : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(1);

    // So that after a start all are served from the first request, where all are there.
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    private readonly Dictionary<string, IHostedService[]> followed = [];
    private readonly Dictionary<string, string> failed = [];
    private readonly OrganiserBook book;
    private readonly OrganiserDatabases databases;
    private readonly IServiceProvider services;
    private readonly bool onlyNode;
    private readonly TimeProvider clock;
    private readonly ILogger<OwnDatabases> logger;
    private Task first = Task.CompletedTask;

    public OwnDatabases(
        OrganiserBook book, OrganiserDatabases databases, IServiceProvider services, LatestChanges changes, TimeProvider clock, ILogger<OwnDatabases> logger)
    {
        this.book = book;
        this.databases = databases;
        this.services = services;
        onlyNode = changes.Suffice;
        this.clock = clock;
        this.logger = logger;
    }

    public override async Task StartAsync(CancellationToken cancellationToken)
    {
        first = LookAsync(cancellationToken);
        await Task.WhenAny(first, Task.Delay(Patience, clock, cancellationToken));
        await base.StartAsync(cancellationToken);
    }

    public override async Task StopAsync(CancellationToken cancellationToken)
    {
        await base.StopAsync(cancellationToken);
        foreach (var name in followed.Keys.ToArray())
        {
            await LeaveAsync(name);
        }
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await first;
        using var timer = new PeriodicTimer(Every, clock);
        while (await timer.WaitForNextTickAsync(stoppingToken))
        {
            await LookAsync(stoppingToken);
        }
    }

    private async Task LookAsync(CancellationToken cancellation)
    {
        var wanted = book.Others.Select(o => o.Database).OfType<string>().ToHashSet();
        foreach (var name in followed.Keys.Except(wanted).ToArray())
        {
            await LeaveAsync(name);
        }

        var opened = await Task.WhenAll(wanted.Except(followed.Keys).Select(name => TryAsync(name, cancellation)));
        foreach (var (name, feed) in opened)
        {
            if (feed is not null)
            {
                followed[name] = feed;
            }
        }
    }

    private async Task<(string Name, IHostedService[]? Feed)> TryAsync(string name, CancellationToken cancellation)
    {
        try
        {
            var feed = await FollowAsync(databases.Named(name), cancellation);
            Found(name);
            lock (failed)
            {
                failed.Remove(name);
            }

            return (name, feed);
        }
        catch (Exception failure) when (!cancellation.IsCancellationRequested)
        {
            await databases.Named(name).CloseAsync();
            var why = StartFailure.Explain(failure, OrganiserDatabases.Setting(name)) ?? failure.ToString();
            lock (failed)
            {
                // It is tried each second, and told of once.
                if (failed.GetValueOrDefault(name) != why)
                {
                    failed[name] = why;
                    NotFound(name, why);
                }
            }

            return (name, null);
        }
    }

    /// <summary>What follows the feed of a database, and runs.</summary>
    private async Task<IHostedService[]> FollowAsync(OrganiserDatabase database, CancellationToken cancellation)
    {
        await databases.OpenAsync(database, cancellation);
        await Opening.WarmUpAsync(database, cancellation);
        await Opening.GiveUpAnswersAsync(database, book.Others.Where(o => o.Database == database.Name).Select(o => o.Id), clock, cancellation);
        var daemon = ActivatorUtilities.CreateInstance<ProjectionCoordinator>(services, database.Store);
        List<IHostedService> feed = [daemon, ActivatorUtilities.CreateInstance<FeedWatch>(services, database, daemon)];
        if (!onlyNode)
        {
            feed.Add(ActivatorUtilities.CreateInstance<FeedFollower>(services, database));
        }

        foreach (var part in feed)
        {
            await part.StartAsync(cancellation);
        }

        return [.. feed];
    }

    private async Task LeaveAsync(string name)
    {
        followed.Remove(name, out var feed);
        try
        {
            foreach (var part in feed!.Reverse())
            {
                await part.StopAsync(CancellationToken.None);
            }
        }
        catch (Exception failure)
        {
            // It must not take the service down; what is left of it ends with the connections.
            NotLeft(name, failure);
        }

        await databases.Named(name).CloseAsync();
    }

    [LoggerMessage(Level = LogLevel.Information, Message = "The database {Name} is open.")]
    private partial void Found(string name);

    [LoggerMessage(Level = LogLevel.Error, Message = "The feed of the database {Name} could not be left in order.")]
    private partial void NotLeft(string name, Exception reason);

    [LoggerMessage(Level = LogLevel.Warning, Message = "The organisers in the database {Name} are not served just now, trying on. {Why}")]
    private partial void NotFound(string name, string why);
}
