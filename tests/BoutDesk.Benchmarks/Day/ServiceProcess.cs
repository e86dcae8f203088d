using System.Diagnostics;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;

namespace BoutDesk.Benchmarks.Day;

/// <summary>The service in a process of its own, with its private PostgreSQL in the given folder, or on one that is there.</summary>
internal sealed class ServiceProcess : IAsyncDisposable
{
    private const string DeskPass = "desk-pass-of-the-measurement";
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);
    private static readonly string[] WithoutLimits = ["--BoutDesk:RequestsPerSecond", "0", "--BoutDesk:WritesPerSecond", "0"];

    private readonly Process process;

    private ServiceProcess(Process process, HttpClient client, double secondsToReady)
    {
        this.process = process;
        Client = client;
        SecondsToReady = secondsToReady;
    }

    /// <summary>The service as built beside this program: the release build, whatever this one is.</summary>
    public static string Program { get; } =
        Path.GetFullPath(Path.Combine(AppContext.BaseDirectory, "../../../../../src/BoutDesk.Api/bin/Release/net10.0/BoutDesk.Api.dll"));

    /// <summary>Whether there is one.</summary>
    public static bool IsBuilt => File.Exists(Program);

    /// <summary>A client with the desk pass.</summary>
    public HttpClient Client { get; }

    /// <summary>The time from the start of the process to the first answer that it is ready.</summary>
    public double SecondsToReady { get; }

    /// <summary>Where it listens.</summary>
    public Uri Address => Client.BaseAddress!;

    /// <summary>The memory that the process has in use, in MiB.</summary>
    public double MemoryMiB
    {
        get
        {
            process.Refresh();
            return process.WorkingSet64 / (1024.0 * 1024);
        }
    }

    /// <summary>The number of the process.</summary>
    public int Id => process.Id;

    /// <summary>Waits until the service has worked out what it was asked for and rests, at most two minutes.</summary>
    public async Task RestAsync()
    {
        var watch = Stopwatch.StartNew();
        for (var used = ProcessorTime(); watch.Elapsed < Patience;)
        {
            await Task.Delay(1000);
            var now = ProcessorTime();
            if (now - used < TimeSpan.FromMilliseconds(150))
            {
                return;
            }

            used = now;
        }

        TimeSpan ProcessorTime()
        {
            process.Refresh();
            return process.TotalProcessorTime;
        }
    }

    /// <summary>Starts the service with a PostgreSQL of its own and waits until it is ready.</summary>
    /// <exception cref="InvalidOperationException">It ended, or was not ready in two minutes; the message holds what it wrote.</exception>
    public static Task<ServiceProcess> StartAsync(string dataFolder, params string[] settings) =>
        LaunchAsync(null, ["--BoutDesk:DataFolder", dataFolder, .. settings]);

    /// <summary>The same without limits on what one client may send, since here one client is a whole hall.</summary>
    public static Task<ServiceProcess> StartWithoutLimitsAsync(string dataFolder) => StartAsync(dataFolder, WithoutLimits);

    /// <summary>Starts a service, one of several perhaps, on a database that is there, without limits on what one client may send.</summary>
    /// <exception cref="InvalidOperationException">It ended, or was not ready in two minutes; the message holds what it wrote.</exception>
    public static Task<ServiceProcess> StartOnAsync(string connectionString, params string[] settings) => LaunchAsync(connectionString, [.. WithoutLimits, .. settings]);

    private static async Task<ServiceProcess> LaunchAsync(string? connectionString, string[] settings)
    {
        var address = $"http://127.0.0.1:{FreePort()}";
        var start = new ProcessStartInfo("dotnet", [Program, "--urls", address, "--BoutDesk:DeskPass", DeskPass, .. settings])
        {
            WorkingDirectory = Path.GetDirectoryName(Program),
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        // A database of one's own would be measured instead.
        start.Environment.Remove("ConnectionStrings__BoutDesk");
        if (connectionString is not null)
        {
            start.Environment["ConnectionStrings__BoutDesk"] = connectionString;
        }

        var client = new HttpClient { BaseAddress = new Uri(address) };
        client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", DeskPass);
        var watch = Stopwatch.StartNew();
        var process = Process.Start(start)!;
        var output = process.StandardOutput.ReadToEndAsync();
        var error = process.StandardError.ReadToEndAsync();
        while (!await IsReadyAsync(client))
        {
            if (process.HasExited || watch.Elapsed > Patience)
            {
                process.Kill(entireProcessTree: true);
                throw new InvalidOperationException($"The service did not become ready. {await output}{await error}");
            }

            await Task.Delay(10);
        }

        return new ServiceProcess(process, client, watch.Elapsed.TotalSeconds);
    }

    /// <summary>Stops the service, and its PostgreSQL with it.</summary>
    public async ValueTask DisposeAsync()
    {
        Client.Dispose();
        using (var terminate = Process.Start("kill", ["-TERM", $"{process.Id}"]))
        {
            await terminate.WaitForExitAsync();
        }

        await process.WaitForExitAsync();
        process.Dispose();
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
            return false; // Not listening yet.
        }
    }

    private static int FreePort()
    {
        using var probe = new TcpListener(IPAddress.Loopback, 0);
        probe.Start();
        return ((IPEndPoint)probe.LocalEndpoint).Port;
    }
}
