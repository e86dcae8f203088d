using Marten;
using Marten.Storage;
using Npgsql;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// The organiser whose data a request is about. Everything in the store belongs to one, and nothing here reaches what
/// belongs to another; a service that was not told otherwise has a single organiser and needs no set-up.
/// </summary>
internal sealed class Organiser
{
    /// <summary>The organiser that is always there, and that is asked for at every host name which no other has.</summary>
    public const string Home = "home";

    private readonly IDocumentStore store;
    private readonly Standbys standbys;

    public Organiser(IDocumentStore store, Standbys standbys, [ServiceKey] string id) => (this.store, this.standbys, Id) = (store, standbys, id);

    public string Id { get; }

    /// <summary>Opens the organiser's data for reading.</summary>
    public IQuerySession Read()
    {
        if (standbys.Take() is not { } standby)
        {
            return store.QuerySession(Id);
        }

        var options = Marten.Services.SessionOptions.ForConnection(standby);
        options.TenantId = Id;
        return store.QuerySession(options);
    }

    /// <summary>A connection to the database with the organiser's data, not open yet.</summary>
    public NpgsqlConnection Connection() => store.Storage.Database.CreateConnection();

    /// <summary>Has the servers asked anew which of them takes writes, where the store has several and what was known of them is out of date.</summary>
    public void AskServersAnew()
    {
        if (store.Storage.Database is MartenDatabase { DataSource: NpgsqlMultiHostDataSource servers })
        {
            servers.ClearDatabaseStates();
        }
    }

    /// <summary>Opens the organiser's data for writing within a transaction, which the caller commits.</summary>
    public IDocumentSession WriteWithin(NpgsqlTransaction transaction)
    {
        var options = Marten.Services.SessionOptions.ForTransaction(transaction, shouldAutoCommit: false);
        options.TenantId = Id;
        options.Tracking = DocumentTracking.None;
        return store.OpenSession(options);
    }

    /// <summary>Opens the organiser's data for commands, of which each says who gives it.</summary>
    public IDocumentSession Write() => store.LightweightSession(Id);

    /// <summary>Opens the organiser's data for a command, with who gives it.</summary>
    public IDocumentSession Write(string by)
    {
        var session = Write();
        session.LastModifiedBy = by;
        return session;
    }
}
