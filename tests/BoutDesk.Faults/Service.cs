using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Headers;
using System.Reflection;

namespace BoutDesk.Faults;

/// <summary>The service as users start it, a process of its own.</summary>
internal abstract class Service : IAsyncDisposable
{
    private const string DeskPass = "desk-pass-of-the-fault-runs-0123456789";
    private const int LinesKept = 60;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    private readonly string program;
    private readonly ConcurrentQueue<string> said = [];
    private readonly ConcurrentQueue<string> mistakes = [];
    private bool isMistake;

    /// <param name="port">Where it listens, on this machine only.</param>
    /// <param name="program">Another version's program; null is the one that was built with this run.</param>
    protected Service(int port, string? program = null) =>
        (Address, this.program) = (new Uri(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{port}")), program ?? Built);

    public Uri Address { get; }

    /// <summary>The last lines that the service wrote.</summary>
    public string LastWords => string.Join(Environment.NewLine, said);

    /// <summary>What the service wrote of its first mistakes: exceptions that it answered 500.</summary>
    public string Mistakes => string.Join(Environment.NewLine, mistakes);

    /// <summary>The process, once it was started.</summary>
    protected Process? Running { get; private set; }

    private static string Built { get; } = Path.GetFullPath(Path.Combine(
        AppContext.BaseDirectory,
        $"../../../../../src/BoutDesk.Api/bin/{typeof(Service).Assembly.GetCustomAttribute<AssemblyConfigurationAttribute>()!.Configuration}/net10.0/BoutDesk.Api.dll"));

    /// <summary>The folder of the program that was built with this run.</summary>
    public static string BuiltIn => Path.GetDirectoryName(Built)!;

    /// <summary>A client of the desk, straight at the service.</summary>
    public HttpClient Desk()
    {
        var desk = new HttpClient { BaseAddress = Address };
        desk.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", DeskPass);
        return desk;
    }

    /// <summary>A client without a pass, which keeps no cookies.</summary>
    public HttpClient Everybody() => new(new HttpClientHandler { UseCookies = false }) { BaseAddress = Address };

    /// <summary>Starts the service, and waits until it is ready if asked to.</summary>
    public async Task StartAsync(bool untilReady)
    {
        var start = new ProcessStartInfo("dotnet", ["exec", program, "--urls", Address.ToString()])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = Path.GetDirectoryName(program),
        };
        // A database of one's own would be put under fire instead.
        start.Environment.Remove("ConnectionStrings__BoutDesk");
        start.Environment["BoutDesk__DeskPass"] = DeskPass;
        Configure(start.Environment);
        Running = Process.Start(start)!;
        Running.OutputDataReceived += (_, line) => Note(line.Data);
        Running.ErrorDataReceived += (_, line) => Note(line.Data);
        Running.BeginOutputReadLine();
        Running.BeginErrorReadLine();
        using var client = new HttpClient { BaseAddress = Address };
        for (var waited = Stopwatch.StartNew(); untilReady && !await IsReadyAsync(client); await Task.Delay(20))
        {
            if (Running.HasExited || waited.Elapsed > Patience)
            {
                throw new InvalidOperationException($"The service did not become ready.\n{LastWords}");
            }
        }
    }

    /// <summary>Waits until the service has ended by itself, and gives its exit code.</summary>
    public async Task<int> EndedAsync()
    {
        using var patience = new CancellationTokenSource(Patience);
        await Running!.WaitForExitAsync(patience.Token);
        return Running.ExitCode;
    }

    /// <summary>Stops the service as a system does that shuts down.</summary>
    public virtual async ValueTask DisposeAsync()
    {
        if (Running is { HasExited: false })
        {
            using var stop = Process.Start("kill", ["-TERM", Running.Id.ToString(CultureInfo.InvariantCulture)]);
            await stop.WaitForExitAsync();
            await Running.WaitForExitAsync();
        }

        Running?.Dispose();
    }

    /// <summary>Says what the service is to be told by its environment.</summary>
    protected abstract void Configure(IDictionary<string, string?> environment);

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
