using System.Diagnostics;
using System.Globalization;

namespace BoutDesk.Api.PrivatePostgres;

/// <summary>The server process that a cluster's postmaster.pid names; it need not be running any more.</summary>
/// <param name="ProcessId">The process number.</param>
/// <param name="Port">The TCP port it listens or listened on.</param>
internal sealed record Postmaster(int ProcessId, int Port)
{
    /// <summary>Whether a process of that number runs and is PostgreSQL.</summary>
    public bool IsAlive
    {
        get
        {
            try
            {
                using var process = Process.GetProcessById(ProcessId);
                // A killed server stays as a zombie, without memory, until its parent takes note; some containers never do.
                return process.ProcessName is "postgres" or "postmaster" && process.WorkingSet64 > 0;
            }
            catch (Exception e) when (e is ArgumentException or InvalidOperationException)
            {
                return false;
            }
        }
    }

    /// <summary>Reads the postmaster.pid of a cluster; null if there is none, or none complete.</summary>
    public static Postmaster? Of(string cluster)
    {
        try
        {
            // Process number, folder, start time, port, ... (PostgreSQL source, pidfile.h).
            var lines = File.ReadAllLines(Path.Combine(cluster, "postmaster.pid"));
            return lines.Length > 3
                && int.TryParse(lines[0], CultureInfo.InvariantCulture, out var processId)
                && int.TryParse(lines[3], CultureInfo.InvariantCulture, out var port)
                ? new Postmaster(processId, port)
                : null;
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            return null;
        }
    }
}
