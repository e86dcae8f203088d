using System.Globalization;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Faults;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>
/// Measures a hosted service: many tournaments at the same hour, what each costs, what many more would need, two services
/// on one database against one, and reads of a standby against those of the primary.
/// </summary>
internal static class HallsMeasurement
{
    private const string Load = "load", Nodes = "nodes", Standby = "standby";

    private static readonly int[] UsualSizes = [1, 25, 50, 100, 200];

    // The largest number again, faster, since a machine that holds so many clients may be asked for more.
    private static readonly int[] Paces = [2, 4, 8];
    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(8), Length = TimeSpan.FromSeconds(25), Idle = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan FasterWarmUp = TimeSpan.FromSeconds(4), FasterLength = TimeSpan.FromSeconds(15);

    /// <summary>Runs all parts, or the one that is named, at the usual or the named numbers of tournaments, and draws into the file named last, else into halls.svg; 0 when it was carried out.</summary>
    public static async Task<int> RunAsync(params string[] named)
    {
        if (!ServiceProcess.IsBuilt)
        {
            await Console.Error.WriteLineAsync($"There is no {ServiceProcess.Program}. Run this with -c Release, which builds it.");
            return 1;
        }

        var chart = named is [.., var last] && ChartFile.IsPicture(last) ? last : null;
        string[] rest = chart is null ? named : named[..^1];
        var sizes = rest.Where(word => int.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out _)).Select(word => int.Parse(word, CultureInfo.InvariantCulture)).Order().Distinct().ToArray();
        var parts = rest.Where(word => !int.TryParse(word, NumberStyles.None, CultureInfo.InvariantCulture, out _)).ToArray();
        if (parts.Except([Load, Nodes, Standby]).FirstOrDefault() is { } unknown || sizes is [0, ..])
        {
            await Console.Error.WriteLineAsync(
                $"There are the parts {Load}, {Nodes} and {Standby}; all are measured when none is named. {Load} takes numbers of tournaments, from 1 on. Last a file may be named, which ends in .svg or .png.");
            return 1;
        }

        if (!OperatingSystem.IsLinux())
        {
            await Console.Error.WriteLineAsync("What processes use is read from /proc: run this on Linux.");
            return 1;
        }

        chart = Path.GetFullPath(chart ?? "halls.svg");
        if (!Directory.Exists(Path.GetDirectoryName(chart)))
        {
            await Console.Error.WriteLineAsync($"There is no folder for {chart}.");
            return 1;
        }

        var machine = await Machine.ThisAsync();
        if (parts.Length == 0 || parts.Contains(Load))
        {
            await using var server = await MeasuredServer.StartAsync();
            HallsReport.Begin(machine, server.Version);
            await LoadAsync(server, sizes.Length == 0 ? UsualSizes : sizes, machine, chart);
        }

        if (parts.Length == 0 || parts.Contains(Nodes))
        {
            await using var server = await MeasuredServer.StartAsync();
            HallsReport.Begin(machine, server.Version);
            var (one, two) = await NodeComparison.RunAsync(server);
            HallsReport.Nodes(one, two, machine);
        }

        if (parts.Length == 0 || parts.Contains(Standby))
        {
            await using var servers = await ServerPair.StartAsync();
            HallsReport.Begin(machine, ((string)await servers.Primary.ExecuteAsync("show server_version")).Split(' ')[0]);
            var (primary, standby) = await StandbyComparison.RunAsync(servers);
            HallsReport.Standby(primary, standby, machine);
        }

        return 0;
    }

    private static async Task LoadAsync(MeasuredServer server, int[] sizes, Machine machine, string chart)
    {
        await using var service = await ServiceProcess.StartOnAsync(server.ConnectionString);
        using var load = new LoadMeasurement(server, service);
        await Task.Delay(WarmUp);
        var idle = await load.IdleAsync(Idle);
        var (opening, figures) = (new List<Use>(), new List<LoadFigure>());
        HallsReport.BeginLoad();
        foreach (var size in sizes)
        {
            opening.Add(await load.OpenAsync(size));
            Add(await load.RunAsync(1, WarmUp, Length));
        }

        foreach (var pace in Paces.TakeWhile(_ => figures[^1].KeptPace))
        {
            Add(await load.RunAsync(pace, FasterWarmUp, FasterLength));
        }

        Console.WriteLine($"\nPace was kept with as much as {Sizes(figures.Where(figure => figure.KeptPace))} tournaments ask for, and not with {Sizes(figures.Where(figure => !figure.KeptPace))}.");
        HallsChart.Draw(figures, machine.Cores, chart);
        Console.WriteLine($"The chart is in {chart}.");
        if (figures.LastOrDefault(figure => figure is { Pace: 1, KeptPace: true }) is { } largest)
        {
            var cost = new TournamentCost(idle, opening, sizes[^1], largest);
            HallsReport.Cost(cost);
            HallsReport.Plan(1_000, cost);
            HallsReport.Plan(10_000, cost);
        }

        static string Sizes(IEnumerable<LoadFigure> of) => of.Any() ? string.Join(", ", of.Select(figure => figure.AsMuchAs)) : "any other";

        void Add(LoadFigure figure)
        {
            figures.Add(figure);
            HallsReport.Add(figure, machine);
        }
    }
}
