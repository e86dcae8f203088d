using System.Globalization;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json.Nodes;

namespace BoutDesk.Benchmarks.Day;

/// <summary>What measurements ask of the service.</summary>
internal static class Requests
{
    /// <summary>Sends a request as every client should: a write with an Idempotency-Key, so that what a repeat costs is in the figures.</summary>
    /// <exception cref="InvalidOperationException">It was refused; the message says why.</exception>
    public static async Task<JsonNode> SendAsync(this HttpClient client, HttpMethod method, string path, HttpContent? content = null)
    {
        using var request = new HttpRequestMessage(method, path) { Content = content };
        if (method != HttpMethod.Get)
        {
            request.Headers.Add("Idempotency-Key", Guid.NewGuid().ToString());
        }

        using var answer = await client.SendAsync(request);
        var text = await answer.Content.ReadAsStringAsync();
        return answer.IsSuccessStatusCode
            ? JsonNode.Parse(text)!
            : throw new InvalidOperationException($"{method} {path} was answered {(int)answer.StatusCode}: {text}");
    }

    /// <summary>Opens a tournament, and gives its identifier.</summary>
    public static async Task<string> OpenTournamentAsync(this HttpClient desk)
    {
        var opened = await desk.SendAsync(HttpMethod.Post, "/api/tournaments", JsonContent.Create(
            new { name = "Measured Open", venue = "Measuring Hall", startsOn = "2026-11-28", timeZone = "Europe/Paris" }));
        return opened.Id();
    }

    /// <summary>An entry list in CSV.</summary>
    public static HttpContent EntryList(int count, int clubs)
    {
        var csv = new StringBuilder("familyName,givenName,club,country,ranking\n");
        for (var rank = 1; rank <= count; rank++)
        {
            csv.Append(CultureInfo.InvariantCulture, $"Fencer{rank:000},Robin,Club {rank % clubs},FRA,{rank}\n");
        }

        return new StringContent(csv.ToString(), Encoding.UTF8, "text/csv");
    }

    /// <summary>The bouts of a tableau, as it was answered, that can be fenced now.</summary>
    public static JsonNode[] OpenBouts(this JsonNode tableau) =>
    [
        .. tableau["rounds"]!.AsArray()
            .SelectMany(table => table!["bouts"]!.AsArray())
            .OfType<JsonNode>()
            .Where(bout => bout["status"]!.GetValue<string>() == "open"),
    ];

    /// <summary>The identifier of what was answered.</summary>
    public static string Id(this JsonNode? node) => node!["id"]!.GetValue<string>();
}
