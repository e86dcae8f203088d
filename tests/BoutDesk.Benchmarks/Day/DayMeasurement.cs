using System.Globalization;
using System.Text.Json;

namespace BoutDesk.Benchmarks.Day;

/// <summary>
/// Measures what a person at the desk waits for: the first start, later starts, and a whole competition sent by one
/// client, one request after the other. As a reference the same PostgreSQL is given as many durable one-row inserts.
/// </summary>
internal static class DayMeasurement
{
    private const int Entrants = 64;
    private const int LaterStarts = 3;
    private const int LaterCompetitions = 3;

    /// <summary>Runs the measurement; 0 when it was carried out, 1 when there is no service to measure.</summary>
    public static async Task<int> RunAsync()
    {
        if (!ServiceProcess.IsBuilt)
        {
            await Console.Error.WriteLineAsync($"There is no {ServiceProcess.Program}. Run this with -c Release, which builds it.");
            return 1;
        }

        using var folder = new MeasuringFolder("boutdesk-day-");
        await MeasureAsync(folder.DataFolder);
        return 0;
    }

    private static async Task MeasureAsync(string dataFolder)
    {
        var report = new Report(await Machine.ThisAsync());
        double first;
        await using (var service = await ServiceProcess.StartAsync(dataFolder))
        {
            first = service.SecondsToReady;
        }

        var later = new List<double>();
        for (var start = 1; start < LaterStarts; start++)
        {
            await using var service = await ServiceProcess.StartAsync(dataFolder);
            later.Add(service.SecondsToReady);
        }

        await using var running = await ServiceProcess.StartAsync(dataFolder);
        later.Add(running.SecondsToReady);
        await using var inserts = await DurableInserts.OpenAsync(dataFolder);
        report.PostgreSql = inserts.ServerVersion;
        report.Add("first start to ready, database made", first);
        report.Add($"later start to ready, median of {LaterStarts}", Median(later));

        var tournament = await CompetitionDay.OpenTournamentAsync(running.Client);
        var cold = await tournament.RunAsync(Entrants);
        var reference = await inserts.RunAsync(cold.Writes);
        var warm = new List<CompetitionDay.Result>();
        for (var i = 0; i < LaterCompetitions; i++)
        {
            warm.Add(await tournament.RunAsync(Entrants));
        }

        reference = (reference + await inserts.RunAsync(cold.Writes)) / 2;
        var median = warm.OrderBy(one => one.Seconds).ElementAt(LaterCompetitions / 2);
        report.Add($"{Entrants} entrants, CSV to classification, first after a start", cold.Seconds, cold.Writes, cold.Reads);
        report.Add($"{Entrants} entrants, CSV to classification, median of {LaterCompetitions} more", median.Seconds, median.Writes, median.Reads);
        report.Add("  of it, the median write", median.MedianWrite);
        report.Add("  of it, the slowest write", median.SlowestWrite);
        report.Add("reference: as many one-row inserts, each committed", reference, cold.Writes);
        report.AddRatio("competition (median) to reference", median.Seconds / reference);
        report.Print();
    }

    private static double Median(List<double> values) => values.Order().ElementAt(values.Count / 2);

    /// <summary>What was measured, as a table for people and as lines of JSON for programs.</summary>
    private sealed class Report(Machine machine)
    {
        private readonly List<Line> lines = [];

        public string? PostgreSql { get; set; }

        public void Add(string measured, double seconds, int? writes = null, int? reads = null) =>
            lines.Add(new Line(measured, seconds, writes, reads, null));

        public void AddRatio(string measured, double ratio) => lines.Add(new Line(measured, null, null, null, ratio));

        public void Print()
        {
            Console.WriteLine($"""

                {machine}; PostgreSQL {PostgreSql}

                | measured | seconds | POST, PUT | GET |
                | --- | ---: | ---: | ---: |
                """);
            foreach (var line in lines)
            {
                var figure = line.Seconds?.ToString("0.000", CultureInfo.InvariantCulture)
                    ?? string.Create(CultureInfo.InvariantCulture, $"{line.Ratio:0.0} times");
                Console.WriteLine($"| {line.Measured.TrimStart()} | {figure} | {line.Writes} | {line.Reads} |");
            }

            Console.WriteLine();
            foreach (var line in lines)
            {
                Console.WriteLine(JsonSerializer.Serialize(
                    new { measured = line.Measured.Trim(), line.Seconds, line.Ratio, line.Writes, line.Reads, machine, PostgreSql }, JsonSerializerOptions.Web));
            }
        }

        private sealed record Line(string Measured, double? Seconds, int? Writes, int? Reads, double? Ratio);
    }
}
