using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;
using Npgsql;

namespace BoutDesk.Benchmarks.Ratios;

/// <summary>PostgreSQL's own measuring program on the PostgreSQL of the service: a row of some 200 bytes, inserted by a prepared statement and committed.</summary>
internal static partial class PgBench
{
    /// <summary>Inserts a second by so many clients at once.</summary>
    /// <exception cref="InvalidOperationException">There is no pgbench, or it failed.</exception>
    public static async Task<double> InsertsPerSecondAsync(NpgsqlConnectionStringBuilder server, int clients, int seconds)
    {
        var script = Path.GetTempFileName();
        try
        {
            await File.WriteAllTextAsync(script, $"insert into reference (body) values ('{new string('x', 200)}');\n");
            var start = new ProcessStartInfo(
                Program(),
                ["--no-vacuum", "--protocol=prepared", $"--client={clients}", $"--jobs={Math.Min(2, clients)}", $"--time={seconds}", $"--file={script}"])
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
            };
            start.Environment["PGHOST"] = server.Host;
            start.Environment["PGPORT"] = server.Port.ToString(CultureInfo.InvariantCulture);
            start.Environment["PGDATABASE"] = server.Database;
            start.Environment["PGUSER"] = server.Username;
            start.Environment["PGPASSWORD"] = server.Password;
            using var process = Process.Start(start)!;
            var error = process.StandardError.ReadToEndAsync();
            var output = await process.StandardOutput.ReadToEndAsync();
            await process.WaitForExitAsync();
            return Rate().Match(output) is { Success: true } rate
                ? double.Parse(rate.Groups[1].Value, CultureInfo.InvariantCulture)
                : throw new InvalidOperationException($"pgbench failed: {await error}");
        }
        finally
        {
            File.Delete(script);
        }
    }

    private static string Program()
    {
        var folders = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator);
        var installed = Directory.Exists("/usr/lib/postgresql") ? Directory.GetDirectories("/usr/lib/postgresql").OrderDescending().Select(d => Path.Combine(d, "bin")) : [];
        return installed.Concat(folders).Select(folder => Path.Combine(folder, "pgbench")).FirstOrDefault(File.Exists)
            ?? throw new InvalidOperationException("There is no pgbench. Install PostgreSQL with its client programs (Debian: postgresql).");
    }

    [GeneratedRegex(@"tps = ([0-9.]+)")]
    private static partial Regex Rate();
}
