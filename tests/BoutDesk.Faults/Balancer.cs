using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;

namespace BoutDesk.Faults;

/// <summary>nginx in front of the services, with the settings that come with the service.</summary>
internal sealed partial class Balancer : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);
    private static readonly string Settings = Path.GetFullPath(Path.Combine(AppContext.BaseDirectory, "../../../../../deploy/nginx.conf"));

    private readonly string folder;
    private readonly Process process;

    private Balancer(string folder, Process process, int port) =>
        (this.folder, this.process, Address) = (folder, process, new Uri(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{port}")));

    /// <summary>Where the phones go.</summary>
    public Uri Address { get; }

    /// <summary>Starts it and waits until it answers.</summary>
    /// <exception cref="InvalidOperationException">It is not installed, or does not start.</exception>
    public static async Task<Balancer> StartAsync(IReadOnlyList<Service> services)
    {
        var program = Array.Find(["/usr/sbin/nginx", "/usr/bin/nginx", "/usr/local/sbin/nginx"], File.Exists)
            ?? throw new InvalidOperationException("The fail-over run needs nginx in front of the services. Install it (Debian: nginx-light).");
        var folder = await OrdinaryUser.MakeFolderAsync("boutdesk-nginx-");
        var port = FreePort.Find();
        var next = 0;
        var settings = Server().Replace(await File.ReadAllTextAsync(Settings), _ => services[next++].Address.Authority);
        settings = Listen().Replace(settings, string.Create(CultureInfo.InvariantCulture, $"listen 127.0.0.1:{port};"));
        var file = Path.Combine(folder, "nginx.conf");
        await File.WriteAllTextAsync(file, $$"""
            daemon off;
            pid {{folder}}/pid;
            events { worker_connections 1000; }
            http {
                access_log off;
                client_body_temp_path {{folder}};
                proxy_temp_path {{folder}};
                fastcgi_temp_path {{folder}};
                uwsgi_temp_path {{folder}};
                scgi_temp_path {{folder}};
            {{settings}}
            }
            """);
        var balancer = new Balancer(folder, OrdinaryUser.Start(program, folder, "-p", folder, "-c", file, "-e", Path.Combine(folder, "log")), port);
        using var client = new HttpClient { BaseAddress = balancer.Address };
        for (var waited = Stopwatch.StartNew(); !await AnswersAsync(client); await Task.Delay(50))
        {
            if (balancer.process.HasExited || waited.Elapsed > Patience)
            {
                throw new InvalidOperationException($"nginx did not start: {await File.ReadAllTextAsync(Path.Combine(folder, "log"))}");
            }
        }

        return balancer;
    }

    public async ValueTask DisposeAsync()
    {
        using (var stop = Process.Start("kill", ["-TERM", process.Id.ToString(CultureInfo.InvariantCulture)]))
        {
            await stop.WaitForExitAsync();
        }

        await process.WaitForExitAsync();
        process.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    private static async Task<bool> AnswersAsync(HttpClient client)
    {
        try
        {
            using var answer = await client.GetAsync(new Uri("/health/live", UriKind.Relative));
            return answer.IsSuccessStatusCode;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }

    [GeneratedRegex(@"(?<=\bserver )127\.0\.0\.1:\d+")]
    private static partial Regex Server();

    [GeneratedRegex(@"\blisten \d+;")]
    private static partial Regex Listen();
}
