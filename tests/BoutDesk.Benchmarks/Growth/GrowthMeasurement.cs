using System.Globalization;
using System.Text.Json;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Benchmarks.Hall;
using BoutDesk.Benchmarks.Ratios;

namespace BoutDesk.Benchmarks.Growth;

/// <summary>
/// Measures what a touch and the main reads cost as a competition and as the store grows, one request after the other. A
/// touch comes in before every read, so that no answer is one that was kept.
/// </summary>
internal static class GrowthMeasurement
{
    private const int WarmUp = 80;
    private const int Rounds = 200;
    private const int UsualEntrants = 64;

    private const string Entrants = "entrants", Tournaments = "tournaments";

    private static readonly string[] All = [Entrants, Tournaments];
    private static readonly int[] EntrantSizes = [20, 200, 1_000];
    private static readonly int[] TournamentSizes = [1, 100, 10_000];
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);

    /// <summary>Runs all, or the parts that are named, and draws the chart into the file that is named last, else into growth.svg; 0 when it was carried out.</summary>
    public static async Task<int> RunAsync(params string[] named)
    {
        if (!ServiceProcess.IsBuilt)
        {
            await Console.Error.WriteLineAsync($"There is no {ServiceProcess.Program}. Run this with -c Release, which builds it.");
            return 1;
        }

        var chart = named is [.., var last] && ChartFile.IsPicture(last) ? last : null;
        var parts = chart is null ? named : named[..^1];
        if (parts.Except(All).FirstOrDefault() is { } unknown)
        {
            await Console.Error.WriteLineAsync(
                $"There is no part {unknown}. There are {string.Join(" and ", All)}; both are measured when none is named. After them a file may be named, which ends in .svg or .png.");
            return 1;
        }

        chart = Path.GetFullPath(chart ?? "growth.svg");
        if (!Directory.Exists(Path.GetDirectoryName(chart)))
        {
            await Console.Error.WriteLineAsync($"There is no folder for {chart}.");
            return 1;
        }

        var machine = await Machine.ThisAsync();
        Console.WriteLine($"\n{machine}\n{Rounds} times each, after {WarmUp} to warm up");
        var grown = new List<GrowthPart>();
        foreach (var part in parts.Length == 0 ? All : parts)
        {
            grown.Add(part == Entrants ? await EntrantsAsync(machine) : await TournamentsAsync(machine));
            Print(grown[^1]);
        }

        GrowthChart.Draw(grown, chart);
        Console.WriteLine($"\nThe chart is in {chart}.");
        return 0;
    }

    /// <summary>One tournament in the store, each time larger.</summary>
    private static async Task<GrowthPart> EntrantsAsync(Machine machine)
    {
        var sizes = new List<RoundTimes>();
        foreach (var entrants in EntrantSizes)
        {
            using var folder = new MeasuringFolder("boutdesk-growth-");
            sizes.Add(await MeasureAsync(folder.DataFolder, entrants));
            Tell(Entrants, entrants, sizes[^1], machine);
        }

        return Part(Entrants, "Entrants of a competition, one tournament in the store", "entrants", EntrantSizes, sizes);
    }

    /// <summary>One tournament of usual size, among ever more.</summary>
    private static async Task<GrowthPart> TournamentsAsync(Machine machine)
    {
        var sizes = new List<RoundTimes>();
        using (var folder = new MeasuringFolder("boutdesk-growth-"))
        {
            sizes.Add(await MeasureAsync(folder.DataFolder, UsualEntrants));
            Tell(Tournaments, TournamentSizes[0], sizes[^1], machine);
        }

        using var filled = new MeasuringFolder("boutdesk-growth-");
        SmallTournaments? small = null;
        var there = 0;
        foreach (var tournaments in TournamentSizes[1..])
        {
            await using (var service = await ServiceProcess.StartWithoutLimitsAsync(filled.DataFolder))
            {
                if (small is null)
                {
                    small = await SmallTournaments.FenceFirstAsync(service.Client, new MeasuredStore(filled.DataFolder));
                    there = 1;
                }

                // One less, for the tournament that is measured.
                await small.AddAsync(tournaments - 1 - there, service.Client);
            }

            sizes.Add(await MeasureAsync(filled.DataFolder, UsualEntrants));
            there = tournaments;
            Tell(Tournaments, tournaments, sizes[^1], machine);
        }

        return Part(Tournaments, $"Tournaments in the store, {UsualEntrants} entrants in a competition", "tournaments", TournamentSizes, sizes);
    }

    /// <summary>Starts the service on that folder, opens a tournament and measures it.</summary>
    private static async Task<RoundTimes> MeasureAsync(string dataFolder, int entrants)
    {
        await using var service = await ServiceProcess.StartWithoutLimitsAsync(dataFolder);
        var tournament = await MeasuredTournament.OpenAsync(service.Client, entrants);
        await new MeasuredStore(dataFolder).FollowedUpAsync();
        await using var inserts = await DurableInserts.OpenAsync(dataFolder);
        using var ofPhones = await RawConnection.OpenAsync(service.Address);
        using var ofReader = await RawConnection.OpenAsync(service.Address);
        var inPools = new ScoringPhone(ofPhones, tournament.PoolBouts, MeasuredTournament.TouchesOfABout);
        var inTableau = new ScoringPhone(ofPhones, tournament.TableauBouts, MeasuredTournament.TouchesOfABout);

        using var viewing = new HttpClient { BaseAddress = service.Address, Timeout = Timeout.InfiniteTimeSpan };
        using var stop = new CancellationTokenSource();
        var viewer = new Viewer();
        var begun = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var following = viewer.FollowAsync(viewing, tournament.Id, begun, stop.Token);
        await begun.Task;

        // As every browser and every phone asks; the desk shows its pass besides.
        const string Packed = "Accept-Encoding: gzip, br\r\n";
        var withPass = $"{Packed}Authorization: {service.Client.DefaultRequestHeaders.Authorization}\r\n";
        var reads = new[]
        {
            new Read("standings of a pool", $"/api/pools/{tournament.PoolId}/standings", Packed, inPools),
            new Read("pool sheet", $"/api/pools/{tournament.PoolId}", Packed, inPools),
            new Read("list of the entrants", $"/api/competitions/{tournament.InPoolsId}/entrants", Packed, inPools),
            new Read("tableau", $"/api/competitions/{tournament.InTableauId}/tableau", Packed, inTableau),
            new Read("board of the tournament", $"/tournaments/{tournament.Id}", Packed, inPools, OnceTold: true),
            new Read("overview at the desk", $"/desk/tournaments/{tournament.Id}", withPass, inPools, OnceTold: true),
        };
        var nothing = RawConnection.Request("GET", "/health/live");
        var times = new RoundTimes([.. reads.Select(read => read.Name)]);
        var touches = 0;
        for (var round = -WarmUp; round < Rounds; round++)
        {
            if (round == 0)
            {
                times.Clear();
            }

            foreach (var (read, ofRead) in reads.Zip(times.Reads))
            {
                await times.Touch.AddAsync(() => AnsweredAsync(read.After.ScoreAsync()));
                touches++;
                if (read.OnceTold)
                {
                    await ToldAsync(viewer, touches);
                }

                await ofRead.Times.AddAsync(() => AnsweredAsync(ofReader.AskAsync(read.Request)));
            }

            await times.Insert.AddAsync(inserts.InsertAsync);
            await times.Nothing.AddAsync(() => AnsweredAsync(ofReader.AskAsync(nothing)));
        }

        await stop.CancelAsync();
        await following;
        return times;
    }

    private static async Task AnsweredAsync(Task<int> status)
    {
        if (await status is not 200 and var other)
        {
            throw new InvalidOperationException($"A request of the measurement was answered {other}.");
        }
    }

    /// <summary>Waits until the feed has told of so many touches: a page is the one that was kept until then.</summary>
    private static async Task ToldAsync(Viewer viewer, int touches)
    {
        var begin = TimeProvider.System.GetTimestamp();
        while (viewer.Told.Count < touches)
        {
            if (TimeProvider.System.GetElapsedTime(begin) > Patience)
            {
                throw new InvalidOperationException("The feed did not tell of a touch.");
            }

            await Task.Delay(2);
        }
    }

    private static GrowthPart Part(string name, string title, string unit, IReadOnlyList<int> sizes, IReadOnlyList<RoundTimes> times) => new(
        name, title, unit, sizes,
        [.. times[0].All.Select((figure, i) => new GrowthFigure(figure.Name, figure.IsReference, [.. sizes.Zip(times, (size, at) => (size, at.All[i].Times))]))]);

    private static void Print(GrowthPart part)
    {
        Console.WriteLine();
        Console.WriteLine($"| ms: median, 95 of 100 within | {string.Join(" | ", part.Sizes.Select(size => size == 1 ? $"1 {part.Unit.TrimEnd('s')}" : string.Create(CultureInfo.InvariantCulture, $"{size:#,0} {part.Unit}")))} |");
        Console.WriteLine($"| --- |{string.Concat(part.Sizes.Select(_ => " ---: |"))}");
        foreach (var figure in part.Figures)
        {
            var cells = figure.At.Select(at => string.Create(CultureInfo.InvariantCulture, $"{at.Times.Within(0.5):0.0}, {at.Times.Within(0.95):0.0}"));
            Console.WriteLine($"| {(figure.IsReference ? "reference: " : "")}{figure.Name} | {string.Join(" | ", cells)} |");
        }
    }

    private static void Tell(string part, int size, RoundTimes times, Machine machine)
    {
        foreach (var (name, reference, of) in times.All)
        {
            Console.Error.WriteLine(JsonSerializer.Serialize(new { part, size, name, reference, medianMs = of.Within(0.5), p95Ms = of.Within(0.95), machine }, JsonSerializerOptions.Web));
        }
    }

    /// <summary>One of the reads.</summary>
    /// <param name="Name">What is read.</param>
    /// <param name="Request">The request as it goes over the line.</param>
    /// <param name="After">The phone that scores the touch before.</param>
    /// <param name="OnceTold">Whether the touch is in it as soon as the feed has told of it, and not as soon as it is answered.</param>
    private sealed record Read(string Name, byte[] Request, ScoringPhone After, bool OnceTold)
    {
        public Read(string name, string path, string headers, ScoringPhone after, bool OnceTold = false)
            : this(name, RawConnection.Request("GET", path, headers), after, OnceTold)
        {
        }
    }

    /// <summary>The times of the rounds at one size: in each a touch before every read, the reads, and one of each reference.</summary>
    private sealed class RoundTimes(IReadOnlyList<string> reads)
    {
        public Times Touch { get; } = new();

        public IReadOnlyList<(string Name, Times Times)> Reads { get; } = [.. reads.Select(name => (name, new Times()))];

        public Times Insert { get; } = new();

        public Times Nothing { get; } = new();

        public IReadOnlyList<(string Name, bool IsReference, Times Times)> All =>
        [
            ("touch", false, Touch),
            .. Reads.Select(read => (read.Name, false, read.Times)),
            ("a row inserted by Npgsql", true, Insert),
            ("an answer without content", true, Nothing),
        ];

        public void Clear()
        {
            foreach (var (_, _, times) in All)
            {
                times.Clear();
            }
        }
    }
}
