using Marten;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// The organiser whose data a request is about. Everything in the store belongs to one; a service that was not told
/// otherwise has a single organiser and needs no set-up.
/// </summary>
internal sealed class Organiser
{
    private readonly IDocumentStore store;

    public Organiser(IDocumentStore store) => this.store = store;

    public string Id { get; } = "home";

    /// <summary>Opens the organiser's data for reading.</summary>
    public IQuerySession Read() => store.QuerySession(Id);

    /// <summary>Opens the organiser's data for a command, with who gives it.</summary>
    public IDocumentSession Write(string by)
    {
        var session = store.LightweightSession(Id);
        session.LastModifiedBy = by;
        return session;
    }
}
