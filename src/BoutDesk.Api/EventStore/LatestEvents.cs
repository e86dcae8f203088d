using JasperFx.Events;
using Npgsql;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// Remembers the last events that this service has kept or heard of, and by them finds out whether a server that has taken
/// the primary's place lacks something of what this service knows.
/// </summary>
internal sealed class LatestEvents
{
    // More than is kept in the seconds until another server is noticed.
    private const int Remembered = 5000;

    private readonly Lock gate = new();
    private readonly Queue<(long Number, Guid Id)> events = [];

    public void Note(IEnumerable<IEvent> happened)
    {
        lock (gate)
        {
            foreach (var one in happened)
            {
                events.Enqueue((one.Sequence, one.Id));
            }

            while (events.Count > Remembered)
            {
                events.Dequeue();
            }
        }
    }

    /// <summary>How many of them the server does not have.</summary>
    public async Task<int> MissingAsync(NpgsqlConnection server, CancellationToken cancellation)
    {
        (long Number, Guid Id)[] known;
        lock (gate)
        {
            known = [.. events.Distinct()];
        }

        // By the number, which is the key; the same number can have been given to another event.
        await using var count = new NpgsqlCommand(
            "select count(*) from unnest($1, $2) as known(number, id) join boutdesk.mt_events e on e.seq_id = known.number and e.id = known.id", server);
        count.Parameters.Add(new NpgsqlParameter { Value = known.Select(k => k.Number).ToArray() });
        count.Parameters.Add(new NpgsqlParameter { Value = known.Select(k => k.Id).ToArray() });
        return known.Length - (int)(long)(await count.ExecuteScalarAsync(cancellation))!;
    }
}
