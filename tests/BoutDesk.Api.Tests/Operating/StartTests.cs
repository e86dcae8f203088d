using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using BoutDesk.Api.Tests.EventStore;
using Xunit;

namespace BoutDesk.Api.Tests.Operating;

/// <summary>What is said to whoever starts the service with something wrong: a sentence, not a stack trace, and exit code 1.</summary>
public class StartTests
{
    [Theory]
    [InlineData("ConnectionStrings__BoutDesk", "Host=localhost;Pasword=secret-of-the-test", "ConnectionStrings:BoutDesk cannot be read.")]
    [InlineData("ConnectionStrings__BoutDesk", "Host=127.0.0.1;Port=1;Username=nobody;Timeout=2", "The PostgreSQL of ConnectionStrings:BoutDesk does not answer.")]
    [InlineData("BoutDesk__RequestsPerSecond", "many", "'many' at 'BoutDesk:RequestsPerSecond'")]
    [InlineData("ASPNETCORE_URLS", "desk", "Invalid url: 'desk'")]
    [InlineData("ASPNETCORE_URLS", "http://192.0.2.1:5080", "This machine does not have that address.")]
    public async Task A_wrong_setting_is_named(string setting, string value, string said)
    {
        var (exitCode, output) = await StartAsync((setting, value));
        Assert.Equal(1, exitCode);
        Assert.Contains(said, output, StringComparison.Ordinal);
        Assert.DoesNotContain("secret-of-the-test", output, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_port_that_is_taken_is_named()
    {
        using var taken = new TcpListener(IPAddress.Loopback, 0);
        taken.Start();
        var (exitCode, output) = await StartAsync(("ASPNETCORE_URLS", $"http://127.0.0.1:{((IPEndPoint)taken.LocalEndpoint).Port}"));
        Assert.Equal(1, exitCode);
        Assert.Contains("Another program listens on that address already.", output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Data_of_a_newer_version_is_left_alone_unless_that_version_has_written_nothing_of_its_own()
    {
        await using var host = await DeskHost.StartAsync();
        await host.Desk.TournamentAsync();
        await host.RowsAsync("insert into boutdesk.event_names values ('wall-painted') returning 1");
        await host.RestartAsync();

        await host.RowsAsync("update boutdesk.mt_events set type = 'wall-painted' returning 1");
        var (exitCode, output) = await StartAsync(("ConnectionStrings__BoutDesk", host.ConnectionString));
        Assert.Equal(1, exitCode);
        Assert.Contains("The data was written by a newer version of BoutDesk: it holds events of the kind wall-painted", output, StringComparison.Ordinal);
    }

    /// <summary>Starts the service as it is installed, on a database of the test run unless the setting says otherwise.</summary>
    private static async Task<(int ExitCode, string Said)> StartAsync((string Name, string Value) setting)
    {
        var start = new ProcessStartInfo("dotnet", ["exec", Path.Combine(AppContext.BaseDirectory, "BoutDesk.Api.dll")])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = AppContext.BaseDirectory,
        };
        start.Environment["ConnectionStrings__BoutDesk"] = await PostgresForTests.FreshDatabaseAsync();
        start.Environment["ASPNETCORE_URLS"] = "http://127.0.0.1:0";
        start.Environment[setting.Name] = setting.Value;
        using var process = Process.Start(start)!;
        var output = process.StandardOutput.ReadToEndAsync();
        var error = process.StandardError.ReadToEndAsync();
        using var patience = new CancellationTokenSource(TimeSpan.FromMinutes(1));
        try
        {
            await process.WaitForExitAsync(patience.Token);
        }
        catch (OperationCanceledException)
        {
            process.Kill();
        }

        return (process.ExitCode, await output + await error);
    }
}
