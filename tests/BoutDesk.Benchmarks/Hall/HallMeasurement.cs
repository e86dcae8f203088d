using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Hall;

/// <summary>
/// Measures a full hall: sixty phones score touches over a bad network while a thousand viewers follow the feed. Counts
/// what was lost or doubled, and how long after the phone had its answer each viewer was told.
/// </summary>
internal static class HallMeasurement
{
    private const int Viewers = 1000;
    private const int Phones = 60;
    private const int Competitions = 2;
    private const int PoolSize = 7;
    private const int Target = 5;
    private const int Seed = 20261125;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);

    /// <summary>Runs the measurement; 0 when nothing was lost or doubled.</summary>
    public static async Task<int> RunAsync()
    {
        if (!ServiceProcess.IsBuilt)
        {
            await Console.Error.WriteLineAsync($"There is no {ServiceProcess.Program}. Run this with -c Release, which builds it.");
            return 1;
        }

        var machine = await Machine.ThisAsync();
        using var folder = new MeasuringFolder("boutdesk-hall-");
        await using var service = await ServiceProcess.StartWithoutLimitsAsync(folder.DataFolder);
        var hall = await OpenAsync(service.Client);
        Console.WriteLine($"""

            {machine}
            {Viewers} viewers, {Phones} phones, all on this machine; seed {Seed}

            | touches a second | touches | sent again | lost | doubled | post to answer p50, p99 ms | answer to viewer p50, p99 ms |
            | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
            """);

        var wrong = 0;
        // The pace of a hall, and five times that. The first seconds warm the service up and are not counted.
        await MeasureAsync(service.Client, hall, touchesPerSecond: 20, seconds: 5);
        foreach (var pace in new[] { 4, 20 })
        {
            var result = await MeasureAsync(service.Client, hall, pace, seconds: 30);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {pace} | {result.Touches} | {result.Repeats} | {result.Lost} | {result.Doubled} | {result.PostP50:0}, {result.PostP99:0} | {result.ToldP50:0}, {result.ToldP99:0} |"));
            Console.WriteLine(JsonSerializer.Serialize(new { pace, viewers = Viewers, result, machine }, JsonSerializerOptions.Web));
            wrong += result.Lost + result.Doubled;
        }

        return wrong == 0 ? 0 : 1;
    }

    /// <summary>Opens competitions with a pool for each phone.</summary>
    private static async Task<OpenHall> OpenAsync(HttpClient desk)
    {
        var tournamentId = await desk.OpenTournamentAsync();
        var pools = new List<OpenPool>();
        for (var competition = 1; competition <= Competitions; competition++)
        {
            var opened = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournamentId}/competitions", JsonContent.Create(
                new { name = $"Measured foil {competition}", weapon = "foil", category = "mixed", ageGroup = "senior" }));
            var at = $"/api/competitions/{opened.Id()}";
            await desk.SendAsync(HttpMethod.Post, $"{at}/entrants", Requests.EntryList(Phones / Competitions * PoolSize, clubs: 40));
            var round = await desk.SendAsync(HttpMethod.Post, $"{at}/pool-rounds", JsonContent.Create(new { drawSeed = 1 }));
            foreach (var id in round["pools"]!.AsArray().Select(Requests.Id))
            {
                var given = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournamentId}/passes", JsonContent.Create(new { kind = "referee", pools = new[] { id } }));
                var pool = (await desk.GetFromJsonAsync<JsonObject>($"/api/pools/{id}"))!;
                pools.Add(new OpenPool(given["pass"]!.GetValue<string>(), new Queue<string>(pool["bouts"]!.AsArray().Select(Requests.Id))));
            }
        }

        return new OpenHall(tournamentId, pools);
    }

    private static async Task<Result> MeasureAsync(HttpClient desk, OpenHall hall, int touchesPerSecond, int seconds)
    {
        using var handler = new SocketsHttpHandler { PooledConnectionIdleTimeout = TimeSpan.FromMinutes(5) };
        using var viewing = new HttpClient(handler) { BaseAddress = desk.BaseAddress, Timeout = Timeout.InfiniteTimeSpan };
        using var stop = new CancellationTokenSource();
        var viewers = Enumerable.Range(0, Viewers).Select(_ => new Viewer()).ToArray();
        var following = new List<Task>();
        foreach (var viewer in viewers)
        {
            var begun = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
            following.Add(viewer.FollowAsync(viewing, hall.TournamentId, begun, stop.Token));
            await begun.Task;
        }

        var touches = touchesPerSecond * seconds;
        var perPhone = (int)Math.Ceiling((double)touches / Phones);
        var clients = hall.Pools.Select(pool => Client(desk.BaseAddress!, pool.Pass)).ToArray();
        var phones = hall.Pools.Select((pool, i) => new Phone(
            clients[i], [.. Enumerable.Range(0, (int)Math.Ceiling((double)perPhone / Target)).Select(_ => pool.Bouts.Dequeue())], Target, new Random(Seed + i))).ToArray();
        await Task.WhenAll(phones.Select((phone, i) => ScoreAsync(phone, perPhone, TimeSpan.FromSeconds((double)Phones / touchesPerSecond), (double)i / Phones)));

        var answered = phones.SelectMany(phone => phone.Answered).ToDictionary();
        for (var waited = Stopwatch.StartNew(); waited.Elapsed < Patience && viewers.Any(v => v.Told.Count < answered.Count);)
        {
            await Task.Delay(20);
        }

        await stop.CancelAsync();
        await Task.WhenAll(following);
        var delays = viewers
            .SelectMany(viewer => viewer.Told.Where(told => answered.ContainsKey(told.Key)).Select(told => Math.Max(0, Stopwatch.GetElapsedTime(answered[told.Key], told.Value).TotalMilliseconds)))
            .Order().ToArray();
        var waits = phones.SelectMany(phone => phone.Waits).Order().ToArray();
        var wrong = await WrongScoresAsync(desk, answered.Keys);
        foreach (var client in clients)
        {
            client.Dispose();
        }

        return new Result(
            answered.Count,
            phones.Sum(phone => phone.Repeats),
            wrong.Missing + viewers.Sum(viewer => answered.Keys.Count(touch => !viewer.Told.ContainsKey(touch))),
            wrong.TooMany + viewers.Sum(viewer => viewer.Doubled + viewer.Told.Keys.Count(touch => !answered.ContainsKey(touch))),
            At(waits, 0.5),
            At(waits, 0.99),
            At(delays, 0.5),
            At(delays, 0.99));
    }

    private static async Task ScoreAsync(Phone phone, int touches, TimeSpan every, double offset)
    {
        // Spread over the beat, so that the phones do not all post at one moment.
        var begin = Stopwatch.GetTimestamp();
        for (var touch = 0; touch < touches; touch++)
        {
            var due = every * (touch + offset) - Stopwatch.GetElapsedTime(begin);
            if (due > TimeSpan.Zero)
            {
                await Task.Delay(due);
            }

            await phone.ScoreAsync();
        }
    }

    /// <summary>Compares what the service has with what it has acknowledged.</summary>
    private static async Task<(int Missing, int TooMany)> WrongScoresAsync(HttpClient desk, IEnumerable<Touch> acknowledged)
    {
        var (missing, tooMany) = (0, 0);
        foreach (var bout in acknowledged.GroupBy(touch => touch.BoutId))
        {
            var score = (await desk.GetFromJsonAsync<JsonObject>($"/api/bouts/{bout.Key}"))!["score"]!["left"]!.GetValue<int>();
            missing += Math.Max(0, bout.Count() - score);
            tooMany += Math.Max(0, score - bout.Count());
        }

        return (missing, tooMany);
    }

    private static double At(double[] ordered, double share) => ordered[(int)Math.Min(ordered.Length - 1, Math.Floor(ordered.Length * share))];

    private static HttpClient Client(Uri address, string pass)
    {
        var client = new HttpClient { BaseAddress = address };
        client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", pass);
        return client;
    }

    private sealed record OpenHall(string TournamentId, List<OpenPool> Pools);

    private sealed record OpenPool(string Pass, Queue<string> Bouts);

    /// <summary>How one pace went.</summary>
    /// <param name="Touches">Touches acknowledged.</param>
    /// <param name="Repeats">Requests sent again after the phone had hung up.</param>
    /// <param name="Lost">Touches that are not in the score, or that a viewer was not told of.</param>
    /// <param name="Doubled">Touches that count twice, or that a viewer was told of twice.</param>
    /// <param name="PostP50">Milliseconds from the first sending to the answer, median.</param>
    /// <param name="PostP99">The same, 99 of 100 are faster.</param>
    /// <param name="ToldP50">Milliseconds from the answer to the phone to the telling of a viewer, median; nought when he was told first.</param>
    /// <param name="ToldP99">The same, 99 of 100 are faster.</param>
    private sealed record Result(int Touches, int Repeats, int Lost, int Doubled, double PostP50, double PostP99, double ToldP50, double ToldP99);
}
