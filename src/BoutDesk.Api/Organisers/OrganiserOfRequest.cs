using BoutDesk.Api.EventStore;

namespace BoutDesk.Api.Organisers;

/// <summary>Which organiser a request is about. Outside a request that is the one at home.</summary>
internal sealed class OrganiserOfRequest
{
    /// <summary>Its record, or null for the one at home, which has none.</summary>
    public OrganiserRecord? Record { get; set; }

    /// <summary>Under what key the container has what belongs to it.</summary>
    public string Key => Record is null ? Organiser.Home : Organiser.Key(Record.Id, Record.Database);
}

/// <summary>Reaching the organiser of a request.</summary>
internal static class OrganiserOfRequestExtensions
{
    /// <summary>The name of the organiser that a request is about; null for the one at home, which has none.</summary>
    public static string? OrganiserName(this HttpContext http) => http.RequestServices.GetRequiredService<OrganiserOfRequest>().Record?.Name;
}
