using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Runtime.Versioning;
using BoutDesk.Api.PrivatePostgres;
using Microsoft.Extensions.Logging.Abstractions;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.PrivatePostgres;

/// <summary>The life of a private cluster: starts, stops and accidents, with real servers in a temporary folder.</summary>
[UnsupportedOSPlatform("windows")]
public sealed class PrivateClusterTests : IDisposable
{
    private readonly string folder = Path.Combine(Path.GetTempPath(), "boutdesk-tests-" + Guid.NewGuid().ToString("N"));

    private string Data => Path.Combine(folder, "cluster");

    public void Dispose()
    {
        // After a failed test a server may be left.
        if (Postmaster.Of(Data) is { IsAlive: true } left)
        {
            Kill(left.ProcessId);
        }
        if (Directory.Exists(folder))
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public async Task A_restart_keeps_the_data_and_the_connection_string()
    {
        string connectionString;
        await using (var first = await StartAsync())
        {
            connectionString = first.ConnectionString;
            await ScoreABoutAsync(first);
        }
        Assert.Null(Postmaster.Of(Data));
        await using var second = await StartAsync();
        Assert.Equal(connectionString, second.ConnectionString);
        await AssertScoredAsync(second);
    }

    [Fact]
    public async Task A_server_that_dies_is_started_again_with_every_committed_row()
    {
        await using var cluster = await StartAsync();
        var (before, connectionString) = (cluster.ServerProcessId, cluster.ConnectionString);
        await ScoreABoutAsync(cluster);
        Kill(before);
        await UntilAsync(() => cluster.ServerProcessId != before);
        Assert.Equal(connectionString, cluster.ConnectionString);
        await AssertScoredAsync(cluster);
    }

    [Fact]
    public async Task The_server_of_a_killed_service_is_taken_over()
    {
        int server;
        using (var service = RunService(out server))
        {
            Kill(service.Id);
            await service.WaitForExitAsync();
        }
        await using (var cluster = await StartAsync())
        {
            Assert.Equal(server, cluster.ServerProcessId);
            await ScoreABoutAsync(cluster);
        }
        Assert.Null(Postmaster.Of(Data));
    }

    [Fact]
    public async Task A_service_and_a_server_killed_together_come_back()
    {
        using (var service = RunService(out var server))
        {
            Kill(service.Id);
            Kill(server);
            await service.WaitForExitAsync();
        }
        await using var cluster = await StartAsync();
        await ScoreABoutAsync(cluster);
    }

    [Fact]
    public async Task A_second_service_on_the_folder_is_refused_until_the_first_has_ended()
    {
        using var service = RunService(out _);
        var refused = await Assert.ThrowsAsync<PrivateClusterException>(StartAsync);
        Assert.Contains(folder, refused.Message, StringComparison.Ordinal);
        Assert.Contains("Use that one, stop it first, or set another data folder", refused.Message, StringComparison.Ordinal);
        Assert.True(Postmaster.Of(Data)!.IsAlive, "The first service's server was stopped.");
        service.StandardInput.Close();
        await service.WaitForExitAsync();
        Assert.Equal(0, service.ExitCode);
        await using var next = await StartAsync();
        await ScoreABoutAsync(next);
    }

    [Fact]
    public async Task A_first_start_killed_half_way_does_not_hinder_the_next()
    {
        using (var service = StartService())
        {
            // initdb writes this one early and needs some hundred milliseconds more.
            await UntilAsync(() => Directory.Exists(folder)
                && Directory.EnumerateFiles(folder, "PG_VERSION", SearchOption.AllDirectories).Any());
            Kill(service.Id);
            await service.WaitForExitAsync();
        }
        Assert.False(Directory.Exists(Data), "The service was killed too late to show anything.");
        await using var cluster = await StartAsync();
        await ScoreABoutAsync(cluster);
        Assert.Empty(Directory.EnumerateFiles(folder, "*.password"));
    }

    [Fact]
    public async Task A_process_number_given_to_another_process_meanwhile_does_not_hinder_the_start()
    {
        string[] left;
        await using (await StartAsync())
        {
            left = await File.ReadAllLinesAsync(Path.Combine(Data, "postmaster.pid"));
        }
        // The case after a power failure: a stale file, and its number runs as a process of the same user.
        var user = ServerUser.ForThisProcess();
        using var ended = new CancellationTokenSource();
        var other = user.RunAsync("sh", ["-c", $"echo $$ > '{folder}/log/other'; exec sleep 600"], folder, ended.Token);
        var written = Path.Combine(folder, "log", "other");
        await UntilAsync(() => File.Exists(written) && File.ReadAllText(written).Length > 0);
        left[0] = (await File.ReadAllTextAsync(written)).Trim();
        var stale = Path.Combine(Data, "postmaster.pid");
        await File.WriteAllLinesAsync(stale, left);
        await user.OwnAsync(folder, CancellationToken.None, stale);

        await using (var cluster = await StartAsync())
        {
            await ScoreABoutAsync(cluster);
        }
        Assert.False(other.IsCompleted, "The other process was ended.");
        await ended.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => other);
    }

    [Fact]
    public async Task Data_of_a_major_version_that_is_not_there_is_left_alone()
    {
        await using (await StartAsync())
        {
        }
        await File.WriteAllTextAsync(Path.Combine(Data, "PG_VERSION"), "99\n");
        var refused = await Assert.ThrowsAsync<PrivateClusterException>(StartAsync);
        Assert.StartsWith("PostgreSQL 99, which the data was made with, is not installed", refused.Message, StringComparison.Ordinal);
        Assert.Contains("Install PostgreSQL 99", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_port_taken_meanwhile_is_given_up_for_another_that_is_kept()
    {
        int PortOf(PrivateCluster cluster) => new NpgsqlConnectionStringBuilder(cluster.ConnectionString).Port;
        int first, second;
        await using (var cluster = await StartAsync())
        {
            first = PortOf(cluster);
        }
        using (var squatter = new TcpListener(IPAddress.Loopback, first))
        {
            squatter.Start();
            await using var cluster = await StartAsync();
            second = PortOf(cluster);
            await ScoreABoutAsync(cluster);
        }
        Assert.NotEqual(first, second);
        await using var third = await StartAsync();
        Assert.Equal(second, PortOf(third));
    }

    [Fact]
    public async Task A_lost_password_is_asked_for_and_not_replaced()
    {
        await using (await StartAsync())
        {
        }
        var file = Path.Combine(folder, "password");
        var kept = await File.ReadAllTextAsync(file);
        File.Delete(file);
        var missing = await Assert.ThrowsAsync<PrivateClusterException>(StartAsync);
        Assert.Contains(file, missing.Message, StringComparison.Ordinal);
        await File.WriteAllTextAsync(file, "another");
        var wrong = await Assert.ThrowsAsync<PrivateClusterException>(StartAsync);
        Assert.Contains("is not the one of the data", wrong.Message, StringComparison.Ordinal);
        Assert.Null(Postmaster.Of(Data));
        await File.WriteAllTextAsync(file, kept);
        await using var cluster = await StartAsync();
        await ScoreABoutAsync(cluster);
    }

    [Fact]
    public async Task A_folder_that_cannot_be_made_is_named()
    {
        Directory.CreateDirectory(folder);
        var file = Path.Combine(folder, "file");
        await File.WriteAllTextAsync(file, "");
        var options = new PrivateClusterOptions { DataFolder = Path.Combine(file, "data") };
        var refused = await Assert.ThrowsAsync<PrivateClusterException>(
            () => PrivateCluster.StartAsync(options, NullLogger.Instance, CancellationToken.None));
        Assert.StartsWith($"The data folder {options.DataFolder} cannot be used", refused.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("FATAL:  could not write lock file \"postmaster.pid\": No space left on device", "The disk is full: free some space")]
    [InlineData("initdb: error: could not create directory: Permission denied", "Give this user the right to write in /data")]
    [InlineData("could not bind IPv4 address \"127.0.0.1\": Address already in use", "Another program has taken the database's port")]
    [InlineData("anything else", "set ConnectionStrings:BoutDesk")]
    public void A_failure_says_what_to_do_next(string output, string advice)
    {
        var failure = PrivateClusterException.Because("It failed", output, "/data");
        Assert.StartsWith("It failed. " + advice, failure.Message.Replace("Look into /data/log, or use a PostgreSQL server of your own: ", "", StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.EndsWith(output, failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Old_logs_are_deleted()
    {
        await using (await StartAsync())
        {
        }
        var log = Path.Combine(folder, "log");
        for (var day = 1; day <= 9; day++)
        {
            await File.WriteAllTextAsync(Path.Combine(log, $"postgres-2001-01-0{day}-000000.log"), "");
        }
        await using var cluster = await StartAsync();
        var kept = Directory.EnumerateFiles(log, "postgres-*.log").Select(Path.GetFileName).ToList();
        Assert.DoesNotContain("postgres-2001-01-05-000000.log", kept);
        Assert.Contains("postgres-2001-01-09-000000.log", kept);
    }

    private Task<PrivateCluster> StartAsync() =>
        PrivateCluster.StartAsync(
            new PrivateClusterOptions { DataFolder = folder, FetchFrom = "http://127.0.0.1:1" }, NullLogger.Instance, CancellationToken.None);

    private Process StartService()
    {
        var start = new ProcessStartInfo("dotnet", ["exec", typeof(ServiceToKill).Assembly.Location, folder])
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
        };
        return Process.Start(start)!;
    }

    private Process RunService(out int server)
    {
        var service = StartService();
        server = int.Parse(service.StandardOutput.ReadLine()!, CultureInfo.InvariantCulture);
        return service;
    }

    private static void Kill(int processId)
    {
        using var process = Process.GetProcessById(processId);
        process.Kill();
    }

    private static async Task UntilAsync(Func<bool> reached)
    {
        using var tooLong = new CancellationTokenSource(TimeSpan.FromSeconds(30));
        while (!reached())
        {
            await Task.Delay(10, tooLong.Token);
        }
    }

    private static Task<string> ScoreABoutAsync(PrivateCluster cluster) =>
        AskAsync(cluster, "CREATE TABLE bout (touches int); INSERT INTO bout VALUES (5); SELECT 'done'");

    private static async Task AssertScoredAsync(PrivateCluster cluster) =>
        Assert.Equal("5", await AskAsync(cluster, "SELECT touches::text FROM bout"));

    internal static async Task<string> AskAsync(PrivateCluster cluster, string sql)
    {
        await using var connection = new NpgsqlConnection(cluster.ConnectionString + ";Pooling=false");
        await connection.OpenAsync();
        await using var command = new NpgsqlCommand(sql, connection);
        return (string)(await command.ExecuteScalarAsync())!;
    }
}
