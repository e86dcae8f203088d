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

    private readonly IDocumentStore store;
    private readonly Organiser organiser;
    private readonly OrganiserBook organisers;
    private readonly CommandGate gate;
    private readonly FeedHub hub;
    private readonly IConfiguration configuration;
    private readonly TimeProvider clock;
    private readonly ILogger<Opening> logger;

    public Opening(
        IDocumentStore store,
        [FromKeyedServices(Organiser.Home)] Organiser organiser,
        OrganiserBook organisers,
        CommandGate gate,
        FeedHub hub,
        IConfiguration configuration,
        TimeProvider clock,
        ILogger<Opening> logger)
    {
        this.store = store;
        this.organiser = organiser;
        this.organisers = organisers;
        this.gate = gate;
        this.hub = hub;
        this.configuration = configuration;
        this.clock = clock;
        this.logger = logger;
    }

    public async Task StartAsync(CancellationToken cancellationToken)
    {
        await using (var connection = organiser.Connection())
        {
            await connection.OpenAsync(cancellationToken);
            await NewerData.NoteAsync(connection, cancellationToken);
        }

        // One service after another, so that only one of those that start together makes the first pass.
        await using var alone = await gate.CloseAsync(cancellationToken);
        await using var session = organiser.Write("opening");
        await EnsureDeskPassAsync(session, cancellationToken);
        var position = await store.Advanced.ProjectionProgressFor(FeedSubscription.Shard, token: cancellationToken);
        var (tooOld, tooFarBack) = (clock.GetUtcNow() - AnswersKept, position - EventsSince);
        foreach (var id in organisers.Others.Select(o => o.Id).Append(Organiser.Home))
        {
            session.ForTenant(id).DeleteWhere<KeptAnswer>(a => a.At < tooOld && a.Position < tooFarBack);
        }

        await session.SaveChangesAsync(cancellationToken);

        hub.BeginAt(position);

        // The first use of a statement is the slow one; better now than at the first touch.
        await session.Events.FetchForWriting<Bout>("none", cancellationToken);
        await session.Query<Bout>().Where(b => b.PoolId == "none").ToListAsync(cancellationToken);
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
