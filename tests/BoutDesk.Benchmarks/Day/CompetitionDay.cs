using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json.Nodes;

namespace BoutDesk.Benchmarks.Day;

/// <summary>Sends whole competitions of one tournament as a desk does, one request after the other.</summary>
internal sealed class CompetitionDay
{
    private readonly HttpClient desk;
    private readonly string tournamentId;
    private readonly List<double> writes = [];
    private int reads;

    private CompetitionDay(HttpClient desk, string tournamentId)
    {
        this.desk = desk;
        this.tournamentId = tournamentId;
    }

    /// <summary>Opens the tournament, which is not measured.</summary>
    public static async Task<CompetitionDay> OpenTournamentAsync(HttpClient desk)
    {
        var opened = await SendAsync(desk, HttpMethod.Post, "/api/tournaments", JsonContent.Create(
            new { name = "Measured Open", venue = "Measuring Hall", startsOn = "2026-11-28", timeZone = "Europe/Paris" }));
        return new CompetitionDay(desk, Id(opened));
    }

    /// <summary>
    /// Fences one competition with the default formula: entry list in CSV, a check-in for each entrant, pools, a result
    /// for each bout, tableau, a result for each bout, classification.
    /// </summary>
    public async Task<Result> RunAsync(int entrants)
    {
        writes.Clear();
        reads = 0;
        var watch = Stopwatch.StartNew();
        var competition = await WriteAsync(HttpMethod.Post, $"/api/tournaments/{tournamentId}/competitions", JsonContent.Create(
            new { name = "Measured foil", weapon = "foil", category = "mixed", ageGroup = "senior" }));
        var at = $"/api/competitions/{Id(competition)}";
        await WriteAsync(HttpMethod.Post, $"{at}/entrants", new StringContent(EntryList(entrants), Encoding.UTF8, "text/csv"));
        foreach (var entrant in (await ReadAsync($"{at}/entrants")).AsArray())
        {
            await WriteAsync(HttpMethod.Post, $"/api/entrants/{Id(entrant)}/check-in");
        }

        var round = await WriteAsync(HttpMethod.Post, $"{at}/pool-rounds", JsonContent.Create(new { drawSeed = 1 }));
        foreach (var pool in round["pools"]!.AsArray())
        {
            foreach (var bout in (await ReadAsync($"/api/pools/{Id(pool)}"))["bouts"]!.AsArray())
            {
                await ResultAsync(bout, 5);
            }
        }

        await WriteAsync(HttpMethod.Post, $"{at}/pool-rounds/1/close");
        await WriteAsync(HttpMethod.Post, $"{at}/tableau");
        while (await OpenBoutsAsync($"{at}/tableau") is { Length: > 0 } bouts)
        {
            foreach (var bout in bouts)
            {
                await ResultAsync(bout, 15);
            }
        }

        var classified = (await ReadAsync($"{at}/classification")).AsArray().Count;
        var seconds = watch.Elapsed.TotalSeconds;
        return classified == entrants
            ? new Result(seconds, writes.Count, reads, writes.Order().ElementAt(writes.Count / 2), writes.Max())
            : throw new InvalidOperationException($"{classified} of {entrants} fencers were classified.");
    }

    private async Task<JsonNode[]> OpenBoutsAsync(string tableau) =>
    [
        .. (await ReadAsync(tableau))["rounds"]!.AsArray()
            .SelectMany(table => table!["bouts"]!.AsArray())
            .OfType<JsonNode>()
            .Where(bout => bout["status"]!.GetValue<string>() == "open"),
    ];

    private async Task ResultAsync(JsonNode? bout, int touches) => await WriteAsync(
        HttpMethod.Put, $"/api/bouts/{Id(bout)}/result", JsonContent.Create(new { left = touches, right = touches - 2, winner = "left" }));

    private async Task<JsonNode> WriteAsync(HttpMethod method, string path, HttpContent? content = null)
    {
        var watch = Stopwatch.StartNew();
        var answer = await SendAsync(desk, method, path, content);
        writes.Add(watch.Elapsed.TotalSeconds);
        return answer;
    }

    private Task<JsonNode> ReadAsync(string path)
    {
        reads++;
        return SendAsync(desk, HttpMethod.Get, path, null);
    }

    private static async Task<JsonNode> SendAsync(HttpClient desk, HttpMethod method, string path, HttpContent? content)
    {
        using var request = new HttpRequestMessage(method, path) { Content = content };
        if (method != HttpMethod.Get)
        {
            // As every client should, so that what a repeat costs is in the figures.
            request.Headers.Add("Idempotency-Key", Guid.NewGuid().ToString());
        }

        using var answer = await desk.SendAsync(request);
        var text = await answer.Content.ReadAsStringAsync();
        return answer.IsSuccessStatusCode
            ? JsonNode.Parse(text)!
            : throw new InvalidOperationException($"{method} {path} was answered {(int)answer.StatusCode}: {text}");
    }

    private static string EntryList(int count)
    {
        var csv = new StringBuilder("familyName,givenName,club,country,ranking\n");
        for (var rank = 1; rank <= count; rank++)
        {
            csv.Append(CultureInfo.InvariantCulture, $"Fencer{rank:000},Robin,Club {rank % 9},FRA,{rank}\n");
        }

        return csv.ToString();
    }

    private static string Id(JsonNode? node) => node!["id"]!.GetValue<string>();

    /// <summary>How one competition went.</summary>
    /// <param name="Seconds">From the opening of the competition to its classification.</param>
    /// <param name="Writes">How many POST and PUT requests.</param>
    /// <param name="Reads">How many GET requests.</param>
    /// <param name="MedianWrite">Seconds that the client waited for the median write.</param>
    /// <param name="SlowestWrite">Seconds that it waited for the slowest.</param>
    public sealed record Result(double Seconds, int Writes, int Reads, double MedianWrite, double SlowestWrite);
}
