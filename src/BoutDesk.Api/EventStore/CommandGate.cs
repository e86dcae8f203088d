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
    private readonly OrganiserDatabase database;

    public CommandGate(LatestChanges changes, OrganiserDatabase database) => (this.changes, this.database) = (changes, database);

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

        var connection = database.Connection();
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

    /// <summary>
    /// Saves what is left to be saved, so that it is not lost with the server: where PostgreSQL is told to wait for a
    /// standby it has it then, and with it everything that the session has read.
    /// </summary>
    /// <exception cref="UnconfirmedException">It was kept, but the standby does not have it yet.</exception>
    public async Task SaveAsync(IDocumentSession session)
    {
        var streams = session.PendingChanges.Streams().ToArray();
        if (changes.Suffice)
        {
            await session.SaveChangesAsync(CancellationToken.None);
            database.Events.Note(streams.SelectMany(stream => stream.Events));
            return;
        }

        await session.BeginTransactionAsync(CancellationToken.None);
        if (!session.PendingChanges.Operations().Any() && streams.All(stream => stream.Events.Count == 0))
        {
            // A commit that has written nothing waits for nobody.
            session.QueueSqlCommand("select pg_logical_emit_message(true, 'boutdesk', '')");
        }

        await ConfirmedAsync(session.Connection, () => session.SaveChangesAsync(CancellationToken.None));
        database.Events.Note(streams.SelectMany(stream => stream.Events));
        await database.Standbys.WrittenAsync(session);
    }

    /// <summary>Commits a transaction, so that what it holds is not lost with the server, in the same way.</summary>
    /// <exception cref="UnconfirmedException">It was kept, but the standby does not have it yet.</exception>
    public static Task CommitAsync(NpgsqlTransaction transaction) => ConfirmedAsync(transaction.Connection!, () => transaction.CommitAsync(CancellationToken.None));

    private static async Task ConfirmedAsync(NpgsqlConnection connection, Func<Task> commit)
    {
        // When a command has taken too long the client has it cancelled; the wait of a commit ends then, with a warning and
        // as if all were well.
        var warned = false;
        connection.Notice += Hear;
        try
        {
            await commit();
        }
        finally
        {
            connection.Notice -= Hear;
        }

        if (warned)
        {
            throw new UnconfirmedException();
        }

        void Hear(object sender, NpgsqlNoticeEventArgs told) => warned |= told.Notice.InvariantSeverity == "WARNING";
    }

    private static NpgsqlCommand Lock(string function) => new($"select {function}($1)") { Parameters = { new NpgsqlParameter<long> { TypedValue = Number } } };
}

/// <summary>What was kept is on one server only, though PostgreSQL is told to wait for another. Whether it stays is not certain.</summary>
internal sealed class UnconfirmedException() : Exception("The standby has not confirmed in time what was kept.");
