using System.Globalization;
using System.Reflection;
using BoutDesk.Api.PrivatePostgres;
using Microsoft.Extensions.Logging.Abstractions;
using Npgsql;
using Testcontainers.PostgreSql;
using Xunit.Abstractions;
using Xunit.Sdk;

[assembly: Xunit.TestFramework("BoutDesk.Api.Tests.StopsPostgres", "BoutDesk.Api.Tests")]

namespace BoutDesk.Api.Tests;

/// <summary>
/// The PostgreSQL of the test run, started when the first test asks for it: in a container if a Docker engine
/// answers, else as a private cluster in a temporary folder, so that no test is skipped for want of Docker.
/// </summary>
internal static class PostgresForTests
{
    private const string Image = "postgres:17-alpine";
    private const string FolderPrefix = "boutdesk-tests-";

    private static readonly Lazy<Task<Server>> Shared = new(StartAsync);
    private static int databases;

    /// <summary>A connection string for the server's own database; a superuser.</summary>
    public static async Task<string> ConnectionStringAsync() => (await Shared.Value).ConnectionString;

    /// <summary>Makes an empty database and returns the connection string for it.</summary>
    public static async Task<string> FreshDatabaseAsync()
    {
        var server = new NpgsqlConnectionStringBuilder(await ConnectionStringAsync());
        var name = string.Create(CultureInfo.InvariantCulture, $"test_{Interlocked.Increment(ref databases)}");
        await using var connection = new NpgsqlConnection(server.ConnectionString);
        await connection.OpenAsync();
        await using var create = new NpgsqlCommand($"CREATE DATABASE {name}", connection);
        await create.ExecuteNonQueryAsync();
        server.Database = name;
        return server.ConnectionString;
    }

    /// <summary>Stops the server, if one was started, and deletes its data.</summary>
    public static async Task StopAsync()
    {
        if (Shared.IsValueCreated)
        {
            await (await Shared.Value).Stop();
        }
    }

    private static async Task<Server> StartAsync() =>
        await DockerAnswersAsync() ? await StartContainerAsync() : await StartPrivateClusterAsync();

    private static async Task<bool> DockerAnswersAsync()
    {
        using var soon = new CancellationTokenSource(TimeSpan.FromSeconds(1.5));
        try
        {
            var version = await Command.RunAsync("docker", ["version", "--format", "{{.Server.Version}}"], Path.GetTempPath(), soon.Token);
            return version.ExitCode == 0;
        }
        catch (Exception e) when (e is System.ComponentModel.Win32Exception or OperationCanceledException)
        {
            return false;
        }
    }

    private static async Task<Server> StartContainerAsync()
    {
        var container = new PostgreSqlBuilder(Image).Build();
        await container.StartAsync();
        return new Server(container.GetConnectionString(), async () => await container.DisposeAsync());
    }

    private static async Task<Server> StartPrivateClusterAsync()
    {
        DeleteLeftovers();
        var folder = Path.Combine(Path.GetTempPath(), FolderPrefix + Guid.NewGuid().ToString("N"));
        var cluster = await PrivateCluster.StartAsync(
            new PrivateClusterOptions { DataFolder = folder }, NullLogger.Instance, CancellationToken.None);
        return new Server(cluster.ConnectionString, async () =>
        {
            NpgsqlConnection.ClearAllPools();
            await cluster.DisposeAsync();
            Directory.Delete(folder, recursive: true);
        });
    }

    /// <summary>
    /// Deletes the folders of test runs that were killed, which nobody holds any more. A server still running on
    /// one ends by itself: PostgreSQL looks every minute whether its postmaster.pid is still there.
    /// </summary>
    private static void DeleteLeftovers()
    {
        // Not those made just now: another run may be about to take its own.
        var longAgo = DateTime.UtcNow.AddMinutes(-10);
        foreach (var folder in Directory.EnumerateDirectories(Path.GetTempPath(), FolderPrefix + "*")
            .Where(folder => Directory.GetCreationTimeUtc(folder) < longAgo))
        {
            try
            {
                using (FolderLock.Take(folder))
                {
                    Directory.Delete(folder, recursive: true);
                }
            }
            catch (Exception e) when (e is PrivateClusterException or IOException or UnauthorizedAccessException)
            {
                // Of a run that is going on, or of another user.
            }
        }
    }

    private sealed record Server(string ConnectionString, Func<Task> Stop);
}

/// <summary>
/// Runs the tests as xunit does and then stops their PostgreSQL. It is done as the last act of the run, since the
/// test host is killed soon after it has reported the end, and xunit 2 has no fixture for a whole assembly.
/// </summary>
public sealed class StopsPostgres : XunitTestFramework
{
    public StopsPostgres(IMessageSink messages)
        : base(messages)
    {
    }

    protected override ITestFrameworkExecutor CreateExecutor(AssemblyName assemblyName) =>
        new Executor(assemblyName, SourceInformationProvider, DiagnosticMessageSink);

    private sealed class Executor(AssemblyName assembly, ISourceInformationProvider sources, IMessageSink diagnostics)
        : XunitTestFrameworkExecutor(assembly, sources, diagnostics)
    {
        protected override async void RunTestCases(
            IEnumerable<IXunitTestCase> testCases, IMessageSink messages, ITestFrameworkExecutionOptions options)
        {
            using var run = new Run(TestAssembly, testCases, DiagnosticMessageSink, messages, options);
            await run.RunAsync();
        }
    }

    private sealed class Run(
        ITestAssembly assembly,
        IEnumerable<IXunitTestCase> testCases,
        IMessageSink diagnostics,
        IMessageSink messages,
        ITestFrameworkExecutionOptions options)
        : XunitTestAssemblyRunner(assembly, testCases, diagnostics, messages, options)
    {
        protected override async Task BeforeTestAssemblyFinishedAsync()
        {
            await PostgresForTests.StopAsync();
            await base.BeforeTestAssemblyFinishedAsync();
        }
    }
}
