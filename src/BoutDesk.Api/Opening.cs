using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Http;
using BoutDesk.Api.Organisers;
using BoutDesk.Api.Passes;
using BoutDesk.Domain.Bouts;
using Marten;

namespace BoutDesk.Api;

/// <summary>What has to be done before the first request: the first desk pass, and a look around the store.</summary>
internal sealed class Opening : IHostedService
{
    // A laptop's clock can be wrong by years, and a phone can come late with a repeat: an answer is given up only when
    // the calendar and what has happened since agree that it is old.
    private static readonly TimeSpan AnswersKept = TimeSpan.FromDays(30);
    private const long EventsSince = 100_000;

    private readonly Organiser organiser;
    private readonly OrganiserBook organisers;
    private readonly IConfiguration configuration;
    private readonly TimeProvider clock;
    private readonly ILogger<Opening> logger;

    public Opening(
        [FromKeyedServices(Organiser.Home)] Organiser organiser,
        OrganiserBook organisers,
        IConfiguration configuration,
        TimeProvider clock,
        ILogger<Opening> logger)
    {
        this.organiser = organiser;
        this.organisers = organisers;
        this.configuration = configuration;
        this.clock = clock;
        this.logger = logger;
    }

    public async Task StartAsync(CancellationToken cancellationToken)
    {
        var database = organiser.Database;
        await using (var connection = database.Connection())
        {
            await connection.OpenAsync(cancellationToken);
            await NewerData.NoteAsync(connection, cancellationToken);
        }

        // One service after another, so that only one of those that start together makes the first pass.
        await using (await database.Gate.CloseAsync(cancellationToken))
        {
            await using var session = organiser.Write("opening");
            await EnsureDeskPassAsync(session, cancellationToken);
            await session.SaveChangesAsync(cancellationToken);
        }

        database.Feed.BeginAt(await database.Store.Advanced.ProjectionProgressFor(FeedSubscription.Shard, token: cancellationToken));
        await GiveUpAnswersAsync(database, organisers.Others.Where(o => o.Database is null).Select(o => o.Id).Append(Organiser.Home), clock, cancellationToken);
        await WarmUpAsync(database, cancellationToken);
    }

    /// <summary>Gives up what was kept for repeats and is too old for any.</summary>
    /// <param name="database">The database.</param>
    /// <param name="organisers">The organisers in it.</param>
    /// <param name="clock">The time.</param>
    /// <param name="cancellation">When to give up.</param>
    public static async Task GiveUpAnswersAsync(OrganiserDatabase database, IEnumerable<string> organisers, TimeProvider clock, CancellationToken cancellation)
    {
        await using var alone = await database.Gate.CloseAsync(cancellation);
        await using var session = database.Store.LightweightSession();
        var (tooOld, tooFarBack) = (clock.GetUtcNow() - AnswersKept, database.Feed.Position - EventsSince);
        foreach (var id in organisers)
        {
            session.ForTenant(id).DeleteWhere<KeptAnswer>(a => a.At < tooOld && a.Position < tooFarBack);
        }

        await session.SaveChangesAsync(cancellation);
    }

    /// <summary>Uses the statements of a touch and a read: the first use is the slow one; better now than at the first touch.</summary>
    public static async Task WarmUpAsync(OrganiserDatabase database, CancellationToken cancellation)
    {
        await using var session = database.Store.LightweightSession(Organiser.Home);
        await session.Events.FetchForWriting<Bout>("none", cancellation);
        await session.Query<Bout>().Where(b => b.PoolId == "none").ToListAsync(cancellation);
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    private async Task EnsureDeskPassAsync(IDocumentSession session, CancellationToken cancellation)
    {
        const string Configured = "desk-configured";
        if (configuration["BoutDesk:DeskPass"] is { Length: > 0 } chosen)
        {
            if (chosen.Length < 20)
            {
                logger.LogWarning("The desk pass of the configuration has fewer than 20 characters. Choose a long, random one wherever others can reach this service.");
            }

            session.Store(DeskPass(Configured, chosen));
            return;
        }

        session.Delete<PassRecord>(Configured);
        if (!await session.Query<PassRecord>().AnyAsync(p => p.Kind == PassKind.Desk && p.TournamentId == null && p.Id != Configured, cancellation))
        {
            var pass = PassRecord.NewPass();
            session.Store(DeskPass(PassRecord.FirstDesk, pass));
            await Console.Out.WriteLineAsync($"""

                The desk pass, shown this once: {pass}
                Keep it: whoever has it runs the tournament. Lost it? Set BoutDesk:DeskPass to another.

                """);
        }
    }

    private PassRecord DeskPass(string id, string pass) => PassRecord.Desk(id, pass, "configuration", clock.GetUtcNow());
}
