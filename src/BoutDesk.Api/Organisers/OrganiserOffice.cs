using System.Globalization;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Passes;
using Marten;
using Npgsql;

namespace BoutDesk.Api.Organisers;

/// <summary>Something that an operator asked for is not done; the message says why and what to do.</summary>
internal sealed class OrganiserException(string message) : Exception(message);

/// <summary>Makes, changes, closes and deletes organisers. Services on the same database learn of it within <see cref="OrganiserBook.Noticed"/>.</summary>
internal sealed class OrganiserOffice
{
    private const int LongestId = 40;

    private readonly OrganiserDatabases databases;
    private readonly TimeProvider clock;
    private readonly IDocumentStore store;

    public OrganiserOffice(OrganiserDatabases databases, TimeProvider clock)
    {
        this.databases = databases;
        this.clock = clock;
        store = databases.Home.Store;
    }

    /// <summary>All but the one at home, by identifier.</summary>
    public async Task<IReadOnlyList<OrganiserRecord>> ListAsync()
    {
        await using var session = store.QuerySession();
        return await session.Query<OrganiserRecord>().OrderBy(o => o.Id).ToListAsync();
    }

    /// <summary>An organiser.</summary>
    /// <exception cref="OrganiserException">There is none of that identifier.</exception>
    public async Task<OrganiserRecord> FindAsync(string id)
    {
        await using var session = store.QuerySession();
        return await FindAsync(session, id);
    }

    /// <summary>Makes one, with nothing but a desk pass.</summary>
    /// <returns>The desk pass, which is kept nowhere.</returns>
    /// <exception cref="OrganiserException">Identifier or host name will not do, or belongs to another.</exception>
    public async Task<string> CreateAsync(string id, string name, string[] hosts, string? database)
    {
        var record = new OrganiserRecord { Id = id, Name = name.Trim(), Hosts = hosts, Database = database };
        var pass = PassRecord.NewPass();
        await AddAsync(record, async (organiser, transaction) =>
        {
            await using var session = organiser.WriteWithin(transaction);
            session.Insert(PassRecord.Desk(PassRecord.FirstDesk, pass, "configuration", clock.GetUtcNow()));
            await session.SaveChangesAsync();
        });
        return pass;
    }

    /// <summary>
    /// Adds an organiser with what belongs to it, all or nothing. Where it has a database of its own and this is broken off
    /// at the very end, there is an organiser without anything, which can be deleted.
    /// </summary>
    /// <exception cref="OrganiserException">Identifier, host name or database will not do, or belongs to another.</exception>
    public async Task AddAsync(OrganiserRecord record, Func<Organiser, NpgsqlTransaction, Task> fill)
    {
        Check(record);
        var organiser = await OpenAsync(record);
        await using var connection = organiser.Database.Connection();
        await connection.OpenAsync();
        await using var there = await connection.BeginTransactionAsync();
        await WithinAsync(async (session, transaction) =>
        {
            if (await session.LoadAsync<OrganiserRecord>(record.Id) is not null)
            {
                throw new OrganiserException($"There is an organiser {record.Id} already. It was not touched; choose another identifier.");
            }

            await RefuseTakenAsync(session, record);
            if (await IsInAsync(there, record.Id))
            {
                throw new OrganiserException($"There is something of an organiser {record.Id} in its database already, which is that of another service. It was not touched; choose another identifier or database.");
            }

            session.Insert(record);
            await session.SaveChangesAsync();
            await fill(organiser, record.Database is null ? transaction : there);
        });
        await there.CommitAsync();
    }

    /// <summary>An organiser with its database, where it has one of its own brought up to date.</summary>
    /// <exception cref="OrganiserException">The database does not answer, or is not named in the configuration.</exception>
    public async Task<Organiser> OpenAsync(OrganiserRecord record)
    {
        var organiser = new Organiser(databases, Organiser.Key(record.Id, record.Database));
        if (organiser.Database.IsOpen)
        {
            return organiser;
        }

        try
        {
            await databases.OpenAsync(organiser.Database, CancellationToken.None);
            return organiser;
        }
        catch (Exception failure) when (StartFailure.Explain(failure, OrganiserDatabases.Setting(record.Database!)) is { } explanation)
        {
            throw new OrganiserException(explanation);
        }
    }

    /// <summary>Changes what an organiser is called and where it is asked for; all that belongs to it stays.</summary>
    /// <param name="id">The organiser.</param>
    /// <param name="name">Its new name, or null for the one that it has.</param>
    /// <param name="hosts">All of its host names from now on; none for those that it has.</param>
    /// <returns>The organiser as it was, and as it is.</returns>
    /// <exception cref="OrganiserException">There is none of that identifier, or name or host name will not do.</exception>
    public async Task<(OrganiserRecord Was, OrganiserRecord Now)> ChangeAsync(string id, string? name, string[] hosts)
    {
        (OrganiserRecord Was, OrganiserRecord Now)? changed = null;
        await WithinAsync(async (session, _) =>
        {
            var was = await FindAsync(session, id);
            var now = was with { Name = name?.Trim() ?? was.Name, Hosts = hosts.Length > 0 ? hosts : was.Hosts };
            Check(now);
            await RefuseTakenAsync(session, now);
            session.Store(now);
            await session.SaveChangesAsync();
            changed = (was, now);
        });
        return changed!.Value;
    }

    /// <summary>Lets nothing of an organiser be changed, or lets it again, and returns when every service knows.</summary>
    /// <exception cref="OrganiserException">There is none of that identifier.</exception>
    public async Task CloseAsync(string id, bool closed)
    {
        await WithinAsync(async (session, _) =>
        {
            session.Store(await FindAsync(session, id) with { Closed = closed });
            await session.SaveChangesAsync();
        });
        await Task.Delay(OrganiserBook.Noticed, clock);
    }

    /// <summary>
    /// Moves an organiser to another database. It is closed meanwhile, and services go over by themselves: nobody meets it
    /// half moved. Broken off at any moment it is whole in the one database or in the other.
    /// </summary>
    /// <param name="id">The organiser.</param>
    /// <param name="database">The database it is to have of its own, or null for that of the service.</param>
    /// <param name="anew">Whether what is there of it already was left by a move that was broken off, and goes first.</param>
    /// <param name="copy">Copies everything of the organiser as it is recorded into the other place.</param>
    /// <exception cref="OrganiserException">There is none of that identifier, or one of the databases will not do.</exception>
    public async Task MoveAsync(string id, string? database, bool anew, Func<OrganiserRecord, Organiser, NpgsqlTransaction, Task> copy)
    {
        var record = await FindAsync(id);
        var moved = record with { Database = database };
        Check(moved);
        if (record.Database == database)
        {
            throw new OrganiserException($"{id} is in that database already. Name another with --database, or none for that of the service.");
        }

        var (from, to) = (await OpenAsync(record), await OpenAsync(moved));
        await using var connection = to.Database.Connection();
        await connection.OpenAsync();
        await using var there = await connection.BeginTransactionAsync();
        if (anew)
        {
            await EmptyAsync(there, id);
        }
        else if (await IsInAsync(there, id))
        {
            throw new OrganiserException($"There is something of {id} there already, left by a move that was broken off, or of another service. It was not touched. If it was left, say so with --anew, and it is deleted there first.");
        }

        if (!record.Closed)
        {
            await CloseAsync(id, closed: true);
        }

        try
        {
            await copy(record, to, there);
            await there.CommitAsync();
            await WithinAsync(async (session, _) =>
            {
                session.Store(await FindAsync(session, id) with { Database = database });
                await session.SaveChangesAsync();
            });
            // Until then some are still shown what is in the old place.
            await Task.Delay(OrganiserBook.Noticed, clock);
            await EmptyAsync(from);
            if (record.Database is not null)
            {
                await DropUnusedAsync(from.Database);
            }
        }
        finally
        {
            if (!record.Closed)
            {
                await CloseAsync(id, closed: false);
            }
        }
    }

    /// <summary>
    /// Deletes an organiser and everything that belongs to it, all or nothing. One that is open is closed first. Of a
    /// database that nobody is in any more the tables go too.
    /// </summary>
    /// <exception cref="OrganiserException">There is none of that identifier, or its database does not answer.</exception>
    public async Task DeleteAsync(string id)
    {
        var record = await FindAsync(id);
        var organiser = await OpenAsync(record);
        if (!record.Closed)
        {
            // What a service keeps for it after this would belong to nobody.
            await CloseAsync(id, closed: true);
        }

        await WithinAsync(async (session, transaction) =>
        {
            if (record.Database is null)
            {
                await EmptyAsync(transaction, id);
            }
            else
            {
                // Before the record goes: broken off between, it can be deleted again.
                await EmptyAsync(organiser);
            }

            session.Delete<OrganiserRecord>(id);
            await session.SaveChangesAsync();
        });
        if (record.Database is not null)
        {
            // Services have let go of it then.
            await Task.Delay(OrganiserBook.Noticed, clock);
            await DropUnusedAsync(organiser.Database);
        }
    }

    /// <summary>A host name as it stands in requests.</summary>
    /// <exception cref="OrganiserException">It is none.</exception>
    public static string HostName(string given)
    {
        try
        {
            var name = new IdnMapping().GetAscii(given.Trim().TrimEnd('.')).ToLowerInvariant();
            if (Uri.CheckHostName(name) is UriHostNameType.Dns or UriHostNameType.IPv4)
            {
                return name;
            }
        }
        catch (ArgumentException)
        {
            // No name of the internet, as said below.
        }

        throw new OrganiserException($"'{given}' is no host name. Give it without https:// and without a port, as in north.example.org.");
    }

    private static void Check(OrganiserRecord record)
    {
        if (record.Database is { } database && (database is not [>= 'a' and <= 'z', ..] || database.Length > LongestId || !database.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c)) || database == "boutdesk"))
        {
            throw new OrganiserException($"'{database}' cannot be the name of a database. Choose one of at most {LongestId} lower-case letters and digits that begins with a letter, other than boutdesk, and set its connection string as {OrganiserDatabases.Setting(database)}.");
        }

        if (record.Id is not { Length: > 0 and <= LongestId } id || !char.IsAsciiLetterLower(id[0]) || !id.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '-'))
        {
            throw new OrganiserException($"'{record.Id}' cannot be an identifier. Choose one of at most {LongestId} lower-case letters, digits and hyphens that begins with a letter, as in north.");
        }

        if (record.Id == Organiser.Home)
        {
            throw new OrganiserException($"{Organiser.Home} is the organiser that is always there. Choose another identifier.");
        }

        if (record.Name is not { Length: > 0 and <= 200 } || record.Name.Any(char.IsControl))
        {
            throw new OrganiserException("A name has from 1 to 200 characters, in one line. Give it with --name \"North Region\".");
        }

        if (record.Hosts.Length == 0)
        {
            throw new OrganiserException("An organiser is told from others by a host name of its own. Give one with --host north.example.org.");
        }
    }

    private static async Task RefuseTakenAsync(IQuerySession session, OrganiserRecord record)
    {
        foreach (var other in await session.Query<OrganiserRecord>().Where(o => o.Id != record.Id).ToListAsync())
        {
            if (other.Hosts.Intersect(record.Hosts).FirstOrDefault() is { } taken)
            {
                throw new OrganiserException($"The host name {taken} is that of the organiser {other.Id}. Give another with --host.");
            }
        }
    }

    private static async Task<OrganiserRecord> FindAsync(IQuerySession session, string id) =>
        await session.LoadAsync<OrganiserRecord>(id)
        ?? throw new OrganiserException(id == Organiser.Home
            ? $"{Organiser.Home} is the organiser that is always there. It can be exported, but not changed, closed or deleted."
            : $"There is no organiser {id}. The command 'organiser list' tells all of them.");

    private async Task EmptyAsync(Organiser organiser)
    {
        await using var connection = organiser.Database.Connection();
        await connection.OpenAsync();
        await using var transaction = await connection.BeginTransactionAsync();
        await EmptyAsync(transaction, organiser.Id);
        await transaction.CommitAsync();
    }

    private async Task EmptyAsync(NpgsqlTransaction transaction, string id)
    {
        foreach (var table in await TablesAsync(transaction))
        {
            await using var delete = new NpgsqlCommand($"delete from {table} where tenant_id = $1", transaction.Connection, transaction) { CommandTimeout = 0 };
            delete.Parameters.Add(new NpgsqlParameter { Value = id });
            await delete.ExecuteNonQueryAsync();
        }
    }

    /// <summary>Whether a database has anything of an organiser, or, without an identifier, of any.</summary>
    private async Task<bool> IsInAsync(NpgsqlTransaction transaction, string? id)
    {
        var any = (await TablesAsync(transaction)).Select(table => $"exists (select from {table} where $1 is null or tenant_id = $1)");
        await using var look = new NpgsqlCommand($"select {string.Join(" or ", any)}", transaction.Connection, transaction);
        look.Parameters.Add(new NpgsqlParameter<string?> { TypedValue = id, NpgsqlDbType = NpgsqlTypes.NpgsqlDbType.Text });
        return (bool)(await look.ExecuteScalarAsync())!;
    }

    private async Task DropUnusedAsync(OrganiserDatabase database)
    {
        await using var connection = database.Connection();
        await connection.OpenAsync();
        await using var transaction = await connection.BeginTransactionAsync();
        if (!await IsInAsync(transaction, null))
        {
            await using var drop = new NpgsqlCommand($"drop schema {store.Options.DatabaseSchemaName} cascade", connection, transaction);
            await drop.ExecuteNonQueryAsync();
            await transaction.CommitAsync();
        }
    }

    /// <summary>All tables with rows that belong to an organiser, events before the streams that they refer to.</summary>
    private async Task<List<string>> TablesAsync(NpgsqlTransaction transaction)
    {
        await using var look = new NpgsqlCommand(
            """
            select format('%I.%I', table_schema, table_name) from information_schema.columns join information_schema.tables using (table_schema, table_name)
            where table_schema = $1 and column_name = 'tenant_id' and table_type = 'BASE TABLE' order by table_name <> 'mt_events', table_name
            """,
            transaction.Connection,
            transaction);
        look.Parameters.Add(new NpgsqlParameter { Value = store.Options.DatabaseSchemaName });
        await using var reader = await look.ExecuteReaderAsync();
        var tables = new List<string>();
        while (await reader.ReadAsync())
        {
            tables.Add(reader.GetString(0));
        }

        return tables;
    }

    /// <summary>One transaction at a time changes the records.</summary>
    private async Task WithinAsync(Func<IDocumentSession, NpgsqlTransaction, Task> change)
    {
        await using var connection = store.Storage.Database.CreateConnection();
        await connection.OpenAsync();
        await using var transaction = await connection.BeginTransactionAsync();
        await using (var alone = new NpgsqlCommand($"lock table {store.Options.Schema.For<OrganiserRecord>()} in share row exclusive mode", connection, transaction))
        {
            await alone.ExecuteNonQueryAsync();
        }

        await using (var session = store.OpenSession(Marten.Services.SessionOptions.ForTransaction(transaction, shouldAutoCommit: false)))
        {
            await change(session, transaction);
        }

        await transaction.CommitAsync();
    }
}
