using Marten;
using Npgsql;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// Where several services work on one database, commands of all of them pass this gate side by side; what must be alone
/// closes it for all of them. It is a lock of PostgreSQL, so that it opens by itself when a service dies.
/// </summary>
internal sealed class CommandGate
{
    // "boutdesk" in ASCII; locks of this kind are known by a number within the database.
    private const long Number = 0x626F75746465736B;

    private readonly LatestChanges changes;
    private readonly Organiser organiser;

    public CommandGate(LatestChanges changes, [FromKeyedServices(Organiser.Home)] Organiser organiser) =>
        (this.changes, this.organiser) = (changes, organiser);

    /// <summary>Passes until the session's transaction ends, which begins here. Where there is no other service nothing is done.</summary>
    public async Task PassAsync(IDocumentSession session, CancellationToken cancellation)
    {
        if (changes.Suffice)
        {
            return;
        }

        await session.BeginTransactionAsync(cancellation);
        await using var pass = Lock("pg_advisory_xact_lock_shared");
        await session.ExecuteAsync(pass, cancellation);
    }

    /// <summary>Closes the gate until what is given back is disposed. Commands under way are waited for.</summary>
    public async Task<IAsyncDisposable?> CloseAsync(CancellationToken cancellation)
    {
        if (changes.Suffice)
        {
            return null;
        }

        var connection = organiser.Connection();
        try
        {
            await connection.OpenAsync(cancellation);
            // It ends with the connection, and the lock with it.
            var transaction = await connection.BeginTransactionAsync(cancellation);
            await using var close = Lock("pg_advisory_xact_lock");
            (close.Connection, close.Transaction) = (connection, transaction);
            await close.ExecuteNonQueryAsync(cancellation);
            return connection;
        }
        catch
        {
            await connection.DisposeAsync();
            throw;
        }
    }

    private static NpgsqlCommand Lock(string function) => new($"select {function}($1)") { Parameters = { new NpgsqlParameter<long> { TypedValue = Number } } };
}
