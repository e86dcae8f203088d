namespace BoutDesk.Api.Organisers;

/// <summary>An organiser beside the one at home: who runs tournaments here, with data that nobody else's requests reach.</summary>
internal sealed record OrganiserRecord
{
    /// <summary>What marks everything in the store that belongs to it.</summary>
    public required string Id { get; init; }

    /// <summary>Its name, for people.</summary>
    public required string Name { get; init; }

    /// <summary>The host names at which it is asked for: lower case, without port.</summary>
    public required string[] Hosts { get; init; }

    /// <summary>
    /// The name of the database that it is kept in, whose connection string stands in the configuration, so that no password
    /// is in the store; null for the database of the service, which also has this record.
    /// </summary>
    public string? Database { get; init; }

    /// <summary>Whether nothing of it is changed at the moment, because it is being moved.</summary>
    public bool Closed { get; init; }
}
