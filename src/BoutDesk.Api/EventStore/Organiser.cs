using Marten;
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

    // In no identifier.
    private const char At = '@';

    public Organiser(OrganiserDatabases databases, [ServiceKey] string key)
    {
        var parts = key.Split(At);
        (Id, Database) = (parts[0], databases.Named(parts.ElementAtOrDefault(1)));
    }

    public string Id { get; }

    /// <summary>Where its data are.</summary>
    public OrganiserDatabase Database { get; }

    /// <summary>Under what key the container has what belongs to an organiser. One that is moved to another database begins anew there.</summary>
    /// <param name="id">The organiser.</param>
    /// <param name="database">The name of its database, or null for that of the service.</param>
    public static string Key(string id, string? database) => database is null ? id : $"{id}{At}{database}";

    /// <summary>Opens the organiser's data for reading.</summary>
    public IQuerySession Read()
    {
        if (Database.Standbys.Take() is not { } standby)
        {
            return Database.Store.QuerySession(Id);
        }

        var options = Marten.Services.SessionOptions.ForConnection(standby);
        options.TenantId = Id;
        return Database.Store.QuerySession(options);
    }

    /// <summary>Opens the organiser's data for writing within a transaction, which the caller commits.</summary>
    public IDocumentSession WriteWithin(NpgsqlTransaction transaction)
    {
        var options = Marten.Services.SessionOptions.ForTransaction(transaction, shouldAutoCommit: false);
        options.TenantId = Id;
        options.Tracking = DocumentTracking.None;
        return Database.Store.OpenSession(options);
    }

    /// <summary>Opens the organiser's data for commands, of which each says who gives it.</summary>
    public IDocumentSession Write() => Database.Store.LightweightSession(Id);

    /// <summary>Opens the organiser's data for a command, with who gives it.</summary>
    public IDocumentSession Write(string by)
    {
        var session = Write();
        session.LastModifiedBy = by;
        return session;
    }
}
