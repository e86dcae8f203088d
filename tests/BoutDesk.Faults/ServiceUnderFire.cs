using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Headers;
using System.Reflection;
using Npgsql;

namespace BoutDesk.Faults;

/// <summary>The service as users start it, a process of its own with a private PostgreSQL, and all that can be done to it.</summary>
internal sealed class ServiceUnderFire : IAsyncDisposable
{
    private const string DeskPass = "desk-pass-of-the-fault-runs-0123456789";
    private const int LinesKept = 60;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    private readonly ConcurrentQueue<string> said = [];
    private readonly ConcurrentQueue<string> mistakes = [];
    private readonly SmallDisk disk;
    private readonly MovableClock clock;
    private Process? process;
    private bool isMistake;

    public ServiceUnderFire(SmallDisk disk, MovableClock clock, int port)
    {
        (this.disk, this.clock) = (disk, clock);
        Address = new Uri(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{port}"));
    }

    public Uri Address { get; }

    /// <summary>The last lines that the service wrote.</summary>
    public string LastWords => string.Join(Environment.NewLine, said);

    /// <summary>What the service wrote of its first mistakes: exceptions that it answered 500.</summary>
    public string Mistakes => string.Join(Environment.NewLine, mistakes);

    private string DataFolder => Path.Combine(disk.Folder, "data");

    private static string Service { get; } = Path.GetFullPath(Path.Combine(
        AppContext.BaseDirectory,
        $"../../../../../src/BoutDesk.Api/bin/{typeof(ServiceUnderFire).Assembly.GetCustomAttribute<AssemblyConfigurationAttribute>()!.Configuration}/net10.0/BoutDesk.Api.dll"));

    /// <summary>A client of the desk, past the bad network.</summary>
    public HttpClient Desk()
    {
        var desk = new HttpClient { BaseAddress = Address };
        desk.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", DeskPass);
        return desk;
    }

    /// <summary>Starts the service, and waits until it is ready if asked to.</summary>
    public async Task StartAsync(bool untilReady)
    {
        var start = new ProcessStartInfo("dotnet", ["exec", Service, "--urls", Address.ToString()])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = Path.GetDirectoryName(Service),
        };
        // A database of one's own would be put under fire instead.
        start.Environment.Remove("ConnectionStrings__BoutDesk");
        start.Environment["BoutDesk__DataFolder"] = DataFolder;
        start.Environment["BoutDesk__DeskPass"] = DeskPass;
        clock.Give(start.Environment);
        process = Process.Start(start)!;
        process.OutputDataReceived += (_, line) => Note(line.Data);
        process.ErrorDataReceived += (_, line) => Note(line.Data);
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        using var client = new HttpClient { BaseAddress = Address };
        for (var waited = Stopwatch.StartNew(); untilReady && !await IsReadyAsync(client); await Task.Delay(20))
        {
            if (process.HasExited || waited.Elapsed > Patience)
            {
                throw new InvalidOperationException($"The service did not become ready.\n{LastWords}");
            }
        }
    }

    /// <summary>Kills the service.</summary>
    public async Task KillServiceAsync()
    {
        process!.Kill();
        await process.WaitForExitAsync();
        process.Dispose();
    }

    /// <summary>Kills the server, which leaves its own processes to notice.</summary>
    public void KillPostgres() => Kill(PostmasterId());

    /// <summary>Kills everything at once.</summary>
    public async Task LosePowerAsync()
    {
        var server = PostmasterId();
        var children = File.ReadAllText($"/proc/{server}/task/{server}/children")
            .Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(id => int.Parse(id, CultureInfo.InvariantCulture)).ToArray();
        process!.Kill();
        Kill(server);
        foreach (var child in children)
        {
            Kill(child);
        }

        await process.WaitForExitAsync();
        process.Dispose();
    }

    /// <summary>Cuts the connections between service and server.</summary>
    public async Task CutStoreConnectionsAsync()
    {
        await using var connection = new NpgsqlConnection(ConnectionString());
        await connection.OpenAsync();
        await using var cut = new NpgsqlCommand("select pg_terminate_backend(pid) from pg_stat_activity where application_name = 'BoutDesk'", connection);
        await cut.ExecuteNonQueryAsync();
    }

    /// <summary>Takes a number of the events' sequence that no event will have, as an append does that is broken off.</summary>
    public async Task<long> WasteNumberAsync()
    {
        await using var connection = new NpgsqlConnection(ConnectionString());
        await connection.OpenAsync();
        await using var take = new NpgsqlCommand("select nextval('boutdesk.mt_events_sequence')", connection);
        return (long)(await take.ExecuteScalarAsync())!;
    }

    /// <summary>A connection to the private PostgreSQL. It is not pooled, so it does not outlive a kill.</summary>
    public string ConnectionString() => new NpgsqlConnectionStringBuilder
    {
        Host = "127.0.0.1",
        Port = int.Parse(File.ReadAllText(Path.Combine(DataFolder, "port")), CultureInfo.InvariantCulture),
        Database = "boutdesk",
        Username = "boutdesk",
        Password = File.ReadAllText(Path.Combine(DataFolder, "password")),
        Pooling = false,
    }.ConnectionString;

    public async ValueTask DisposeAsync()
    {
        if (process is { HasExited: false })
        {
            using var stop = Process.Start("kill", ["-TERM", process.Id.ToString(CultureInfo.InvariantCulture)]);
            await stop.WaitForExitAsync();
            await process.WaitForExitAsync();
        }

        process?.Dispose();
        // A service that failed leaves its server running.
        if (File.Exists(PostmasterFile))
        {
            Kill(PostmasterId());
            await Task.Delay(TimeSpan.FromSeconds(1));
        }
    }

    private string PostmasterFile => Path.Combine(DataFolder, "cluster", "postmaster.pid");

    private int PostmasterId() => int.Parse(File.ReadLines(PostmasterFile).First(), CultureInfo.InvariantCulture);

    private static void Kill(int id)
    {
        try
        {
            using var running = Process.GetProcessById(id);
            running.Kill();
        }
        catch (Exception gone) when (gone is ArgumentException or InvalidOperationException)
        {
            // It has ended by itself meanwhile.
        }
    }

    private static async Task<bool> IsReadyAsync(HttpClient client)
    {
        try
        {
            using var answer = await client.GetAsync(new Uri("/health/ready", UriKind.Relative));
            return answer.IsSuccessStatusCode;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }

    private void Note(string? line)
    {
        if (line is null)
        {
            return;
        }

        // A record begins with its level, and its further lines are indented.
        isMistake = line.StartsWith(' ') ? isMistake : line.StartsWith("fail: Microsoft.AspNetCore.Diagnostics", StringComparison.Ordinal);
        if (isMistake && mistakes.Count < LinesKept)
        {
            mistakes.Enqueue(line);
        }

        said.Enqueue(line);
        while (said.Count > LinesKept)
        {
            said.TryDequeue(out _);
        }
    }
}
