using System.Collections.Concurrent;
using BoutDesk.Domain;
using Marten;
using Marten.Services;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// Knows when something was last kept in each competition, before whoever did it is told: what was read after asking and
/// is kept for others is in force as long as the answer stays the same. It hears of this service's own writes only, so it
/// is of use where there is no other on the same database.
/// </summary>
internal sealed class LatestChanges : DocumentSessionListenerBase
{
    private readonly ConcurrentDictionary<(string Organiser, string Id), long> latest = new();
    private readonly ConcurrentDictionary<(string Organiser, string Id), long> latestOfItself = new();
    private long changes;

    public LatestChanges(IConfiguration configuration) => Suffice = IsOnlyNode(configuration);

    /// <summary>Whether this service is told that there is no other on its database.</summary>
    public static bool IsOnlyNode(IConfiguration configuration) => configuration.GetValue("BoutDesk:OnlyNode", false);

    /// <summary>Whether nobody else writes to the database.</summary>
    public bool Suffice { get; }

    /// <summary>A number that grows with each change in a competition or of its tournament; 0 when there was none since the start.</summary>
    /// <param name="organiser">The organiser.</param>
    /// <param name="id">The competition, or what belongs to it.</param>
    public long Of(string organiser, string id) =>
        Math.Max(latest.GetValueOrDefault((organiser, Identifiers.TournamentOf(id))), latest.GetValueOrDefault((organiser, CompetitionOf(id))));

    /// <summary>The same for the competition alone, without what is done to its bouts and equipment.</summary>
    /// <param name="organiser">The organiser.</param>
    /// <param name="competitionId">The competition.</param>
    public long OfItself(string organiser, string competitionId) => latestOfItself.GetValueOrDefault((organiser, competitionId));

    public override Task AfterCommitAsync(IDocumentSession session, IChangeSet commit, CancellationToken token)
    {
        foreach (var stream in commit.GetStreams())
        {
            var now = Interlocked.Increment(ref changes);
            var id = CompetitionOf(stream.Key!);
            Note(latest, (session.TenantId, id), now);
            if (id == stream.Key)
            {
                Note(latestOfItself, (session.TenantId, id), now);
            }
        }

        return Task.CompletedTask;
    }

    private static void Note(ConcurrentDictionary<(string Organiser, string Id), long> changed, (string Organiser, string Id) what, long now) =>
        changed.AddOrUpdate(what, static (_, now) => now, static (_, before, now) => Math.Max(before, now), now);

    // What belongs to no competition stands for itself.
    private static string CompetitionOf(string id) => Identifiers.CompetitionOf(id) ?? id;
}
