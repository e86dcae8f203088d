using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Desk;

/// <summary>
/// Measures how long the desk waits for its pages on a full day: eight competitions of fifty, all in their pools. Between
/// two pages a result comes in, so that no page is one that was kept.
/// </summary>
internal static class DeskMeasurement
{
    private const int Competitions = 8;
    private const int Entrants = 50;
    private const int Pages = 200;

    /// <summary>Runs the measurement; 0 when it was carried out, 1 when there is no service to measure.</summary>
    public static async Task<int> RunAsync()
    {
        if (!ServiceProcess.IsBuilt)
        {
            await Console.Error.WriteLineAsync($"There is no {ServiceProcess.Program}. Run this with -c Release, which builds it.");
            return 1;
        }

        var machine = await Machine.ThisAsync();
        using var folder = new MeasuringFolder("boutdesk-desk-");
        await using var service = await ServiceProcess.StartWithoutLimitsAsync(folder.DataFolder);
        var desk = service.Client;
        var (tournament, competition, pool, bouts) = await OpenAsync(desk);
        Console.WriteLine($"""

            {machine}
            {Competitions} competitions, {Competitions * Entrants} entrants, {Pages} times each

            | page | median ms | 95 % within ms |
            | --- | ---: | ---: |
            """);
        var wanted = new[]
        {
            ("the overview of the tournament", $"/desk/tournaments/{tournament}"),
            ("a pool round", $"/desk/competitions/{competition}/pools/1"),
            ("a pool to type in", $"/desk/pools/{pool}"),
            ("reference: an answer without content", "/health/live"),
        };
        foreach (var (name, path) in wanted)
        {
            var times = new List<double>();
            for (var i = 0; i < Pages + 10; i++)
            {
                await desk.SendAsync(HttpMethod.Put, $"/api/bouts/{bouts.Dequeue()}/result", JsonContent.Create(new { left = 5, right = i % 5, winner = "left" }));
                var watch = Stopwatch.StartNew();
                using var answer = await desk.GetAsync(new Uri(path, UriKind.Relative));
                await answer.EnsureSuccessStatusCode().Content.ReadAsByteArrayAsync();
                times.Add(watch.Elapsed.TotalMilliseconds);
            }

            // The first ten warm up.
            double[] counted = [.. times.Skip(10).Order()];
            var (median, most) = (counted[Pages / 2], counted[Pages * 95 / 100]);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {name} | {median:0.0} | {most:0.0} |"));
            Console.WriteLine(JsonSerializer.Serialize(new { page = name, medianMs = median, p95Ms = most, machine }, JsonSerializerOptions.Web));
        }

        return 0;
    }

    private static async Task<(string Tournament, string Competition, string Pool, Queue<string> Bouts)> OpenAsync(HttpClient desk)
    {
        var tournament = await desk.OpenTournamentAsync();
        var (competition, pool, bouts) = (string.Empty, string.Empty, new List<string[]>());
        for (var number = 1; number <= Competitions; number++)
        {
            competition = (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/competitions", JsonContent.Create(
                new { name = $"Measured foil {number}", weapon = "foil", category = "mixed", ageGroup = "senior" }))).Id();
            await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", Requests.EntryList(Entrants, clubs: 12));
            var round = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds", JsonContent.Create(new { drawSeed = 1 }));
            foreach (var id in round["pools"]!.AsArray().Select(Requests.Id))
            {
                pool = id;
                bouts.Add([.. (await desk.GetFromJsonAsync<JsonObject>($"/api/pools/{id}"))!["bouts"]!.AsArray().Select(Requests.Id)]);
            }
        }

        // The first bout of every pool, then the second, as they come in from the strips.
        return (tournament, competition, pool, new Queue<string>(Enumerable.Range(0, bouts.Max(b => b.Length)).SelectMany(i => bouts.Where(b => i < b.Length).Select(b => b[i]))));
    }
}
