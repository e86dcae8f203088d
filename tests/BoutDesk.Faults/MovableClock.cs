namespace BoutDesk.Faults;

/// <summary>
/// The time of day for the service and its PostgreSQL, by libfaketime where that is installed (Debian: faketime).
/// Elsewhere jumps of the clock are not tried.
/// </summary>
internal sealed class MovableClock : IDisposable
{
    private static readonly string[] Libraries =
    [
        "/usr/lib/x86_64-linux-gnu/faketime/libfaketimeMT.so.1",
        "/usr/lib/aarch64-linux-gnu/faketime/libfaketimeMT.so.1",
        "/usr/lib64/faketime/libfaketimeMT.so.1",
    ];

    private readonly string? library = Array.Find(Libraries, File.Exists);
    private readonly string file = Path.GetTempFileName();

    public MovableClock()
    {
        // PostgreSQL runs as another user.
        File.SetUnixFileMode(file, File.GetUnixFileMode(file) | UnixFileMode.GroupRead | UnixFileMode.OtherRead);
        Move(TimeSpan.Zero);
    }

    public bool CanBeMoved => library is not null;

    /// <summary>Makes a process to be started, and what it starts, go by this clock.</summary>
    public void Give(IDictionary<string, string?> environment)
    {
        if (library is not null)
        {
            Tidy();
            environment["LD_PRELOAD"] = library;
            environment["FAKETIME_TIMESTAMP_FILE"] = file;
            environment["FAKETIME_CACHE_DURATION"] = "1";
            // What measures durations goes on, as it does when the time of a real machine is set.
            environment["FAKETIME_DONT_FAKE_MONOTONIC"] = "1";
        }
    }

    /// <summary>Puts the clock ahead of the real one, or behind it.</summary>
    public void Move(TimeSpan by) => File.WriteAllText(file, FormattableString.Invariant($"{by.TotalSeconds:+0;-0}"));

    public void Dispose()
    {
        File.Delete(file);
        Tidy();
    }

    /// <summary>
    /// Deletes what the library has left of processes that were killed: it is named after the process, and the next one of
    /// that number may run as a user who must not open it.
    /// </summary>
    private static void Tidy()
    {
        const string Shared = "/dev/shm";
        foreach (var left in Directory.Exists(Shared) ? Directory.GetFiles(Shared, "*faketime_*") : [])
        {
            if (!Directory.Exists($"/proc/{left[(left.LastIndexOf('_') + 1)..]}"))
            {
                File.Delete(left);
            }
        }
    }
}
