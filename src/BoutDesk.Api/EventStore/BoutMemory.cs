using System.Collections.Concurrent;
using BoutDesk.Domain.Bouts;
using Marten;
using Marten.Internal.Sessions;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// The bouts that are being fenced, as the last commit left each of them, so that the next touch need not read its bout
/// again. A command decided on one counts only if the store finds the bout at that version, and a refusal is told only
/// after the bout was read, so nothing depends on a copy's being the latest. Nothing changes a bout without its version
/// telling it but a move to another service and back, for which the organiser is closed. Where other services write to
/// the database nothing is remembered.
/// </summary>
internal sealed class BoutMemory
{
    private const int Most = 2000;
    private const int KeysOfABout = 8;

    private readonly ConcurrentDictionary<(string Organiser, string Id), Copy> copies = new();
    private readonly LatestChanges changes;
    private readonly TimeProvider clock;

    public BoutMemory(LatestChanges changes, TimeProvider clock) => (this.changes, this.clock) = (changes, clock);

    /// <summary>The bout as remembered; null where it is to be read, and with it the answer kept under the key.</summary>
    /// <param name="organiser">The organiser.</param>
    /// <param name="boutId">The bout.</param>
    /// <param name="key">What the command's key is kept under, or null.</param>
    public Bout? Find(string organiser, string boutId, string? key) =>
        copies.TryGetValue((organiser, boutId), out var copy) && (key is null || !copy.Keys.Contains(key)) ? copy.Bout : null;

    /// <summary>Lets a session that will append to the bout have it, as if it had read it.</summary>
    public static void Hand(IDocumentSession session, Bout bout) => Of(session)[bout.Id] = bout;

    /// <summary>Remembers a bout as the session has just saved it.</summary>
    /// <param name="session">The session.</param>
    /// <param name="boutId">The bout.</param>
    /// <param name="key">What the command's key is kept under, or null.</param>
    public void Keep(IDocumentSession session, string boutId, string? key)
    {
        if (!changes.Suffice || !Of(session).TryGetValue(boutId, out var bout))
        {
            return;
        }

        var name = (session.TenantId, boutId);
        var keys = copies.TryGetValue(name, out var before) ? before.Keys : [];
        copies[name] = new Copy(bout, clock.GetTimestamp(), key is null ? keys : [.. keys.TakeLast(KeysOfABout - 1), key]);
        if (copies.Count > Most)
        {
            foreach (var (oldest, _) in copies.OrderBy(c => c.Value.At).Take(copies.Count - (Most / 2)))
            {
                copies.TryRemove(oldest, out _);
            }
        }
    }

    /// <summary>Forgets a bout.</summary>
    public void Forget(string organiser, string boutId) => copies.TryRemove((organiser, boutId), out _);

    /// <summary>Forgets the bouts of all other organisers than these.</summary>
    public void ForgetAllBut(IReadOnlySet<string> organisers)
    {
        foreach (var (name, _) in copies.Where(c => !organisers.Contains(c.Key.Organiser)))
        {
            copies.TryRemove(name, out _);
        }
    }

    // Marten's own place for what a session has read; its inline projections look there before they read.
    private static Dictionary<string, Bout> Of(IDocumentSession session)
    {
        var read = ((QuerySession)session).ItemMap;
        if (read.GetValueOrDefault(typeof(Bout)) is not Dictionary<string, Bout> bouts)
        {
            session.UseIdentityMapFor<Bout>();
            read[typeof(Bout)] = bouts = [];
        }

        return bouts;
    }

    private sealed record Copy(Bout Bout, long At, string[] Keys);
}
