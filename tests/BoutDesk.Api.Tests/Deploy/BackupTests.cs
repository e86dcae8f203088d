using System.Diagnostics;
using System.Runtime.Versioning;
using BoutDesk.Api.PrivatePostgres;
using BoutDesk.Api.Tests.EventStore;
using Microsoft.Extensions.Logging.Abstractions;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Deploy;

/// <summary>
/// The scripts that back up and restore, run as people run them. The tests have a private cluster of their own, not the
/// PostgreSQL of the test run: one of the two ways to the data leads through the folder of a private cluster.
/// </summary>
[UnsupportedOSPlatform("windows")]
public sealed class BackupTests(BackupTests.Running running) : IClassFixture<BackupTests.Running>
{
    [Fact]
    public async Task What_was_backed_up_there_is_found_after_a_restore_here_and_the_other_way_round()
    {
        // From a server that the configuration names into a private one …
        var server = await running.FreshDatabaseAsync();
        await using var first = await DeskHost.StartOnAsync(server);
        var competitionId = await first.Desk.DrawnTableauAsync(9);
        var asItWas = await AllReads.OfAsync(first);
        var backup = running.NewFile();
        await BackUpAsync(backup, Named(server));

        await using var second = await DeskHost.StartOnAsync(running.Cluster.ConnectionString);
        await RestoreAsync(backup, Private());
        await second.RestartAsync();
        Assert.Empty(AllReads.Differences(asItWas, await AllReads.OfAsync(second)));

        // … where the day goes on …
        await second.Desk.FenceTableauAsync(competitionId);
        var afterwards = await AllReads.OfAsync(second);
        Assert.NotEmpty(AllReads.Differences(asItWas, afterwards));

        // … and back to a named one.
        backup = running.NewFile();
        await BackUpAsync(backup, Private());
        server = await running.FreshDatabaseAsync();
        await using var third = await DeskHost.StartOnAsync(server);
        await RestoreAsync(backup, Named(server));
        await third.RestartAsync();
        Assert.Empty(AllReads.Differences(afterwards, await AllReads.OfAsync(third)));
    }

    [Fact]
    public async Task A_database_with_a_tournament_is_not_overwritten()
    {
        var server = await running.FreshDatabaseAsync();
        await using var host = await DeskHost.StartOnAsync(server);
        var competitionId = await host.Desk.CompetitionAsync(4);
        var backup = running.NewFile();
        await BackUpAsync(backup, Named(server));
        await host.Desk.DrawPoolsAsync(competitionId);
        var before = await AllReads.OfAsync(host);

        var (exitCode, said) = await RunAsync("restore.sh", backup, Named(server));

        Assert.NotEqual(0, exitCode);
        Assert.Contains("has a tournament already", said, StringComparison.Ordinal);
        Assert.Empty(AllReads.Differences(before, await AllReads.OfAsync(host)));
    }

    [Fact]
    public async Task Half_a_backup_changes_nothing()
    {
        var server = await running.FreshDatabaseAsync();
        await using (var host = await DeskHost.StartOnAsync(server))
        {
            await host.Desk.DrawnTableauAsync(9);
        }

        var backup = running.NewFile();
        await BackUpAsync(backup, Named(server));
        using (var file = new FileStream(backup, FileMode.Open))
        {
            file.SetLength(file.Length / 2);
        }

        var empty = await running.FreshDatabaseAsync();
        var (exitCode, said) = await RunAsync("restore.sh", backup, Named(empty));

        Assert.NotEqual(0, exitCode);
        Assert.Contains("Nothing was changed", said, StringComparison.Ordinal);
        await using var connection = new NpgsqlConnection(empty);
        await connection.OpenAsync();
        await using var look = new NpgsqlCommand("SELECT count(*) FROM pg_namespace WHERE nspname = 'boutdesk'", connection);
        Assert.Equal(0L, await look.ExecuteScalarAsync());
    }

    [Fact]
    public async Task A_backup_that_fails_leaves_no_file()
    {
        var file = running.NewFile();
        var wrong = new NpgsqlConnectionStringBuilder(running.Cluster.ConnectionString) { Password = "wrong" };
        var (exitCode, _) = await RunAsync("backup.sh", file, Named(wrong.ConnectionString));
        Assert.NotEqual(0, exitCode);
        Assert.Empty(Directory.EnumerateFiles(Path.GetDirectoryName(file)!, Path.GetFileName(file) + "*"));
    }

    private static (string Name, string Value) Named(string connectionString) => ("ConnectionStrings__BoutDesk", connectionString);

    private (string Name, string Value) Private() => ("BoutDesk__DataFolder", running.Folder);

    private async Task BackUpAsync(string file, (string Name, string Value) database) =>
        AssertDone(await RunAsync("backup.sh", file, database));

    private async Task RestoreAsync(string file, (string Name, string Value) database) =>
        AssertDone(await RunAsync("restore.sh", file, database));

    private static void AssertDone((int ExitCode, string Said) run) => Assert.True(run.ExitCode == 0, run.Said);

    private async Task<(int ExitCode, string Said)> RunAsync(string script, string file, (string Name, string Value) database)
    {
        var start = new ProcessStartInfo("sh", [Path.Combine(Repository.Folder, "deploy", script), file])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        foreach (var name in start.Environment.Keys.Where(name => name.StartsWith("PG", StringComparison.Ordinal)).ToArray())
        {
            start.Environment.Remove(name);
        }

        start.Environment["BoutDesk__PostgresBinaries"] = running.Binaries;
        start.Environment[database.Name] = database.Value;
        using var process = Process.Start(start)!;
        var output = process.StandardOutput.ReadToEndAsync();
        var error = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        return (process.ExitCode, await output + await error);
    }

    public sealed class Running : IAsyncLifetime
    {
        private int databases;

        internal string Folder { get; } = Path.Combine(Path.GetTempPath(), "boutdesk-tests-" + Guid.NewGuid().ToString("N"));

        internal PrivateCluster Cluster { get; private set; } = null!;

        /// <summary>The folder of the programs that the cluster runs on, which has pg_dump too.</summary>
        internal string Binaries { get; private set; } = "";

        public async Task InitializeAsync()
        {
            var options = new PrivateClusterOptions { DataFolder = Folder };
            var installed = await PostgresBinaries.FindAsync(options.InstalledIn, CancellationToken.None);
            // The cluster takes the newest major version; of the folders that have it, some may be links to the server alone.
            Binaries = installed.FirstOrDefault(one => one.Major == installed[0].Major && File.Exists(one["pg_dump"]))?.Folder ?? "";
            Assert.True(
                Binaries.Length > 0,
                "The backup is tried with the pg_dump of an installed PostgreSQL, but there is none beside "
                + $"{(installed.Count == 0 ? "a server, because no server is installed" : string.Join(" or ", installed.Select(one => one["postgres"])))}. "
                + "Install PostgreSQL with its client programs (Debian: postgresql).");
            Cluster = await PrivateCluster.StartAsync(options, NullLogger.Instance, CancellationToken.None);
        }

        public async Task DisposeAsync()
        {
            if (Cluster is not null)
            {
                await Cluster.DisposeAsync();
                Directory.Delete(Folder, recursive: true);
            }
        }

        /// <summary>Makes an empty database beside the service's own and returns the connection string for it.</summary>
        internal async Task<string> FreshDatabaseAsync()
        {
            var name = $"other_{Interlocked.Increment(ref databases)}";
            await using var connection = new NpgsqlConnection(Cluster.ConnectionString);
            await connection.OpenAsync();
            await using var create = new NpgsqlCommand($"CREATE DATABASE {name}", connection);
            await create.ExecuteNonQueryAsync();
            return new NpgsqlConnectionStringBuilder(Cluster.ConnectionString) { Database = name }.ConnectionString;
        }

        /// <summary>A name for a file that goes with the data folder.</summary>
        internal string NewFile() => Path.Combine(Folder, Guid.NewGuid().ToString("N") + ".backup");
    }
}
