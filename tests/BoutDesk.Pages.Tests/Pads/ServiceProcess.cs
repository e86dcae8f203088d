using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Text;
using BoutDesk.Api.PrivatePostgres;
using Xunit;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>The service as users start it: a process of its own with a private PostgreSQL, which can be killed.</summary>
public sealed class ServiceProcess : IAsyncLifetime
{
    private const string DeskPass = "desk-pass-of-the-tests-0123456789";

    private readonly string folder = Path.Combine(Path.GetTempPath(), "boutdesk-tests-" + Guid.NewGuid().ToString("N"));
    private readonly Uri address = new(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{FreePort()}"));
    private readonly StringBuilder output = new();
    private Process process = null!;

    public Task InitializeAsync() => StartAsync();

    public async Task DisposeAsync()
    {
        if (!process.HasExited)
        {
            using var stop = Process.Start("kill", ["-TERM", process.Id.ToString(CultureInfo.InvariantCulture)]);
            await stop.WaitForExitAsync();
            await process.WaitForExitAsync();
        }

        process.Dispose();
        if (Postmaster.Of(Path.Combine(folder, "cluster")) is { IsAlive: true } left)
        {
            Kill(left.ProcessId);
        }

        Directory.Delete(folder, recursive: true);
    }

    /// <summary>A client with the desk pass, or without one.</summary>
    public HttpClient Client(bool withPass = true)
    {
        var client = new HttpClient { BaseAddress = address, Timeout = TimeSpan.FromSeconds(30) };
        if (withPass)
        {
            client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", DeskPass);
        }

        return client;
    }

    /// <summary>Kills the service (SIGKILL); its PostgreSQL goes on.</summary>
    public async Task KillAsync()
    {
        process.Kill();
        await process.WaitForExitAsync();
        process.Dispose();
    }

    /// <summary>Starts the service and waits until it is ready.</summary>
    public async Task StartAsync()
    {
        var start = new ProcessStartInfo("dotnet", ["exec", Path.Combine(AppContext.BaseDirectory, "BoutDesk.Api.dll"), "--urls", address.ToString()])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = AppContext.BaseDirectory,
        };
        start.Environment["BoutDesk__DataFolder"] = folder;
        start.Environment["BoutDesk__DeskPass"] = DeskPass;
        process = Process.Start(start)!;
        process.OutputDataReceived += (_, line) => Note(line.Data);
        process.ErrorDataReceived += (_, line) => Note(line.Data);
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();

        using var client = Client(withPass: false);
        await UntilAsync(async () =>
        {
            Assert.False(process.HasExited, "The service has ended.");
            try
            {
                using var answer = await client.GetAsync("/health/ready");
                return answer.IsSuccessStatusCode;
            }
            catch (HttpRequestException)
            {
                return false;
            }
        });
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }

    private static void Kill(int processId)
    {
        using var killed = Process.GetProcessById(processId);
        killed.Kill();
    }

    private void Note(string? line)
    {
        lock (output)
        {
            output.AppendLine(line);
        }
    }

    private async Task UntilAsync(Func<Task<bool>> reached)
    {
        var waiting = Stopwatch.StartNew();
        while (!await reached())
        {
            if (waiting.Elapsed > TimeSpan.FromMinutes(1))
            {
                lock (output)
                {
                    Assert.Fail("Waited a minute. The service said:\n" + output);
                }
            }

            await Task.Delay(20);
        }
    }
}
