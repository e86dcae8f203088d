using System.Diagnostics;
using System.Net.Http.Json;
using System.Text.Json.Nodes;

namespace BoutDesk.Benchmarks.Day;

/// <summary>Sends whole competitions of one tournament as a desk does, one request after the other.</summary>
internal sealed class CompetitionDay
{
    private readonly HttpClient desk;
    private readonly List<double> writes = [];
    private int reads;

    private CompetitionDay(HttpClient desk, string tournamentId)
    {
        this.desk = desk;
        TournamentId = tournamentId;
    }

    /// <summary>The tournament.</summary>
    public string TournamentId { get; }

    /// <summary>Opens the tournament, which is not measured.</summary>
    public static async Task<CompetitionDay> OpenTournamentAsync(HttpClient desk) => new(desk, await desk.OpenTournamentAsync());

    /// <summary>
    /// Fences one competition with the default formula: entry list in CSV, a check-in for each entrant, pools, a result
    /// for each bout, tableau, a result for each bout, classification.
    /// </summary>
    public async Task<Result> RunAsync(int entrants)
    {
        writes.Clear();
        reads = 0;
        var watch = Stopwatch.StartNew();
        var competition = await WriteAsync(HttpMethod.Post, $"/api/tournaments/{TournamentId}/competitions", JsonContent.Create(
            new { name = "Measured foil", weapon = "foil", category = "mixed", ageGroup = "senior" }));
        var at = $"/api/competitions/{competition.Id()}";
        await WriteAsync(HttpMethod.Post, $"{at}/entrants", Requests.EntryList(entrants, clubs: 9));
        foreach (var entrant in (await ReadAsync($"{at}/entrants")).AsArray())
        {
            await WriteAsync(HttpMethod.Post, $"/api/entrants/{entrant.Id()}/check-in");
        }

        var round = await WriteAsync(HttpMethod.Post, $"{at}/pool-rounds", JsonContent.Create(new { drawSeed = 1 }));
        foreach (var pool in round["pools"]!.AsArray())
        {
            foreach (var bout in (await ReadAsync($"/api/pools/{pool.Id()}"))["bouts"]!.AsArray())
            {
                await ResultAsync(bout, 5);
            }
        }

        await WriteAsync(HttpMethod.Post, $"{at}/pool-rounds/1/close");
        await WriteAsync(HttpMethod.Post, $"{at}/tableau");
        while ((await ReadAsync($"{at}/tableau")).OpenBouts() is { Length: > 0 } bouts)
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

    private async Task ResultAsync(JsonNode? bout, int touches) => await WriteAsync(
        HttpMethod.Put, $"/api/bouts/{bout.Id()}/result", JsonContent.Create(new { left = touches, right = touches - 2, winner = "left" }));

    private async Task<JsonNode> WriteAsync(HttpMethod method, string path, HttpContent? content = null)
    {
        var watch = Stopwatch.StartNew();
        var answer = await desk.SendAsync(method, path, content);
        writes.Add(watch.Elapsed.TotalSeconds);
        return answer;
    }

    private Task<JsonNode> ReadAsync(string path)
    {
        reads++;
        return desk.SendAsync(HttpMethod.Get, path);
    }

    /// <summary>How one competition went.</summary>
    /// <param name="Seconds">From the opening of the competition to its classification.</param>
    /// <param name="Writes">How many POST and PUT requests.</param>
    /// <param name="Reads">How many GET requests.</param>
    /// <param name="MedianWrite">Seconds that the client waited for the median write.</param>
    /// <param name="SlowestWrite">Seconds that it waited for the slowest.</param>
    public sealed record Result(double Seconds, int Writes, int Reads, double MedianWrite, double SlowestWrite);
}
