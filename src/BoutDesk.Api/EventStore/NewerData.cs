using Npgsql;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// Keeps a service away from data of a newer version, whose events it does not know: before anything is touched it looks
/// at the names of all events that a version which opened this store could write.
/// </summary>
internal static class NewerData
{
    private const string Table = "boutdesk.event_names";

    /// <summary>Refuses a store with events of kinds that this version does not know.</summary>
    /// <exception cref="StartException">There are some.</exception>
    public static async Task CheckAsync(string connectionString, CancellationToken cancellation)
    {
        await using var connection = new NpgsqlConnection(Servers.ToPrimary(connectionString));
        await connection.OpenAsync(cancellation);
        if (!await IsThereAsync(connection, cancellation))
        {
            return;
        }

        if (await UnknownAsync(connection, 0, long.MaxValue, cancellation) is { } unknown)
        {
            throw new StartException(
                $"The data was written by a newer version of BoutDesk: it holds events of the kind {unknown}, which this version does not know. "
                + "Start that version or a newer one, or restore a backup from before. Nothing was changed.");
        }
    }

    /// <summary>A kind of event after one number of the sequence and up to another that this version does not know; null if there is none.</summary>
    public static async Task<string?> UnknownAsync(NpgsqlConnection connection, long after, long upTo, CancellationToken cancellation)
    {
        // A newer version that was only looked at has written none of them, and is no reason to refuse.
        await using var look = new NpgsqlCommand(
            $"select type from boutdesk.mt_events where seq_id > $1 and seq_id <= $2 and type in (select name from {Table} except select unnest($3)) limit 1", connection);
        look.Parameters.Add(new NpgsqlParameter<long> { TypedValue = after });
        look.Parameters.Add(new NpgsqlParameter<long> { TypedValue = upTo });
        look.Parameters.Add(new NpgsqlParameter { Value = EventNames.All.Values.ToArray() });
        return (string?)await look.ExecuteScalarAsync(cancellation);
    }

    /// <summary>Notes what this version can write.</summary>
    public static async Task NoteAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        await using var make = new NpgsqlCommand($"create table if not exists {Table} (name text primary key)", connection);
        await make.ExecuteNonQueryAsync(cancellation);
        await using var note = new NpgsqlCommand($"insert into {Table} select unnest($1) on conflict do nothing", connection);
        note.Parameters.Add(new NpgsqlParameter { Value = EventNames.All.Values.ToArray() });
        await note.ExecuteNonQueryAsync(cancellation);
    }

    private static async Task<bool> IsThereAsync(NpgsqlConnection connection, CancellationToken cancellation)
    {
        await using var look = new NpgsqlCommand($"select to_regclass('{Table}') is not null", connection);
        return (bool)(await look.ExecuteScalarAsync(cancellation))!;
    }
}
