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

    public CommandGate(LatestChanges changes, Organiser organiser) => (this.changes, this.organiser) = (changes, organiser);

    /// <summary>Passes until the session's transaction ends, which begins here. Where there is no other service nothing is done.</summary>
    public async Task PassAsync(IDocumentSession session, CancellationToken cancellation)
    {
        if (changes.Suffice)
        {
            return;
        }

        await session.BeginTransactionAsync(cancellation);
        await using var pass = new NpgsqlCommand("select pg_advisory_xact_lock_shared($1)") { Parameters = { new NpgsqlParameter<long> { TypedValue = Number } } };
        await session.ExecuteAsync(pass, cancellation);
    }

    /// <summary>Closes the gate until what is given back is disposed. Commands under way are waited for.</summary>
    public async Task<IAsyncDisposable?> CloseAsync(CancellationToken cancellation)
    {
        if (changes.Suffice)
        {
            return null;
        }

        var closed = new Closed(organiser.Connection());
        try
        {
            await closed.LockAsync(cancellation);
            return closed;
        }
        catch
        {
            await closed.DisposeAsync();
            throw;
        }
    }

    private sealed class Closed(NpgsqlConnection connection) : IAsyncDisposable
    {
        private NpgsqlTransaction? transaction;

        public async Task LockAsync(CancellationToken cancellation)
        {
            await connection.OpenAsync(cancellation);
            transaction = await connection.BeginTransactionAsync(cancellation);
            await using var close = new NpgsqlCommand("select pg_advisory_xact_lock($1)", connection, transaction) { Parameters = { new NpgsqlParameter<long> { TypedValue = Number } } };
            await close.ExecuteNonQueryAsync(cancellation);
        }

        public async ValueTask DisposeAsync()
        {
            if (transaction is not null)
            {
                await transaction.DisposeAsync();
            }

            await connection.DisposeAsync();
        }
    }
}
