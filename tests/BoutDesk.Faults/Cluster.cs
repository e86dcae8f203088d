using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;
using Npgsql;

namespace BoutDesk.Faults;

/// <summary>
/// A PostgreSQL server of the run: a primary that waits with each commit for its standby, or the standby that follows it.
/// </summary>
internal sealed partial class Cluster : IAsyncDisposable
{
    private const string User = "boutdesk";
    private const string Database = "postgres";
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(1);
    private static readonly string Password = Guid.NewGuid().ToString("N");

    // What changes no table, or is there after the first time.
    private static readonly string[] Unchanging = ["alter system", "create database", "create table if not exists boutdesk.event_names"];

    private readonly string folder;
    private readonly int port;
    private int[] killed = [];
    private bool isRunning;

    private Cluster(string folder, int port) => (this.folder, this.port) = (folder, port);

    /// <summary>How it is reached: <c>host:port</c>.</summary>
    public string Host => string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{port}");

    /// <summary>A connection to it alone. It is not pooled, so it does not outlive a kill.</summary>
    public string ConnectionString => ConnectionStringTo(this) + ";Pooling=false";

    /// <summary>Its first process, whose children the others are.</summary>
    public int ProcessId => int.Parse(File.ReadLines(Path.Combine(Data, "postmaster.pid")).First(), CultureInfo.InvariantCulture);

    private string Data => Path.Combine(folder, "data");

    /// <summary>A connection to those of them that can do what is asked for.</summary>
    public static string ConnectionStringTo(params Cluster[] clusters) =>
        $"Host={string.Join(',', clusters.Select(c => c.Host))};Username={User};Password={Password};Database={Database}";

    /// <summary>Makes and starts a primary. Nothing can be written before it has a standby.</summary>
    public static async Task<Cluster> PrimaryAsync()
    {
        var cluster = new Cluster(await OrdinaryUser.MakeFolderAsync("boutdesk-primary-"), FreePort.Find());
        var password = Path.Combine(Path.GetTempPath(), Path.GetRandomFileName());
        await File.WriteAllTextAsync(password, Password);
        await cluster.RunAsync("initdb", "--pgdata", cluster.Data, "--username", User, "--auth=scram-sha-256", $"--pwfile={password}", "--data-checksums", "--no-sync", "--encoding=UTF8", "--no-locale");
        File.Delete(password);
        await File.AppendAllTextAsync(Path.Combine(cluster.Data, "postgresql.conf"), """

            listen_addresses = '127.0.0.1'
            unix_socket_directories = ''
            max_connections = 250
            # How long a standby that has lost its primary may wait before it looks again, and with it before it is promoted.
            wal_retrieve_retry_interval = 500ms
            synchronous_standby_names = '*'
            """);
        await cluster.StartAsync();
        return cluster;
    }

    /// <summary>Makes and starts a server that has no standby and waits for none. It logs what changes tables.</summary>
    public static async Task<Cluster> AloneAsync()
    {
        var cluster = await PrimaryAsync();
        await cluster.ExecuteAsync("alter system set synchronous_standby_names = ''");
        await cluster.ExecuteAsync("alter system set log_statement = 'ddl'");
        await cluster.ExecuteAsync("select pg_reload_conf()");
        return cluster;
    }

    /// <summary>A connection to another database of it.</summary>
    public string ConnectionStringOf(string database) => new NpgsqlConnectionStringBuilder(ConnectionString) { Database = database }.ConnectionString;

    /// <summary>The statements that changed tables since it was started, in order, without those that each start repeats and those of the run itself.</summary>
    public async Task<IReadOnlyList<string>> ChangesOfTablesAsync()
    {
        var log = await File.ReadAllTextAsync(Path.Combine(folder, "log"));
        return [.. Statement().Matches(log).Select(found => found.Groups[1].Value.Trim()).Where(said => !Unchanging.Any(words => said.StartsWith(words, StringComparison.OrdinalIgnoreCase)))];
    }

    /// <summary>Makes and starts a standby of this primary, and waits until commits wait for it.</summary>
    /// <param name="instead">The server whose place it takes, or null.</param>
    public async Task<Cluster> StandbyAsync(Cluster? instead = null)
    {
        var standby = new Cluster(await OrdinaryUser.MakeFolderAsync("boutdesk-standby-"), instead?.port ?? FreePort.Find());
        await standby.RunAsync("pg_basebackup", "--pgdata", standby.Data, "--write-recovery-conf", "--checkpoint=fast", "--no-sync", "--dbname",
            string.Create(CultureInfo.InvariantCulture, $"host=127.0.0.1 port={port} user={User} password={Password}"));
        await standby.StartAsync();
        await ExecuteAsync("alter system reset synchronous_standby_names");
        await ExecuteAsync("select pg_reload_conf()");
        for (var waited = Stopwatch.StartNew(); (long)await ExecuteAsync("select count(*) from pg_stat_replication where sync_state = 'sync'") == 0; await Task.Delay(50))
        {
            if (waited.Elapsed > Patience)
            {
                throw new InvalidOperationException("The standby does not follow the primary.");
            }
        }

        return standby;
    }

    /// <summary>Makes a standby the primary, which waits for no standby, since it has none.</summary>
    public async Task PromoteAsync()
    {
        await RunAsync("pg_ctl", "promote", "--pgdata", Data, "--wait");
        await ExecuteAsync("alter system set synchronous_standby_names = ''");
        await ExecuteAsync("select pg_reload_conf()");
    }

    /// <summary>Runs a statement and gives the first value that it gives.</summary>
    public async Task<object> ExecuteAsync(string statement)
    {
        await using var connection = new NpgsqlConnection(ConnectionString);
        await connection.OpenAsync();
        await using var command = new NpgsqlCommand(statement, connection);
        return (await command.ExecuteScalarAsync())!;
    }

    /// <summary>Starts it, or starts it again.</summary>
    public async Task StartAsync()
    {
        for (var waited = Stopwatch.StartNew(); waited.Elapsed < Patience && Array.Exists(killed, id => Directory.Exists($"/proc/{id}")); await Task.Delay(10))
        {
            // It takes killed processes a moment to go, and the next server would meet what they hold.
        }

        await RunAsync("pg_ctl", "start", "--wait", "--pgdata", Data, "--log", Path.Combine(folder, "log"), "--options", string.Create(CultureInfo.InvariantCulture, $"-p {port}"));
        isRunning = true;
    }

    /// <summary>Kills the server with all of its processes, as when its machine fails.</summary>
    public void Kill()
    {
        killed = [ProcessId, .. Signals.ChildrenOf(ProcessId)];
        Signals.Kill(killed);
        isRunning = false;
    }

    /// <summary>Stops it if it runs, and deletes its data.</summary>
    public async ValueTask DisposeAsync()
    {
        if (isRunning)
        {
            await RunAsync("pg_ctl", "stop", "--pgdata", Data, "--mode=immediate");
        }

        Directory.Delete(folder, recursive: true);
    }

    // A statement goes on over the lines that follow its first.
    [GeneratedRegex(@"LOG:  (?:statement|execute [^:]+): (.*(?:\n\t.*)*)")]
    private static partial Regex Statement();

    private Task RunAsync(string program, params string[] arguments)
    {
        // The newest of Debian's folders, else what is on the path.
        const string Installed = "/usr/lib/postgresql";
        var place = Directory.Exists(Installed) ? Directory.GetDirectories(Installed).OrderByDescending(d => int.Parse(Path.GetFileName(d), CultureInfo.InvariantCulture)).FirstOrDefault() : null;
        return OrdinaryUser.RunAsync(place is null ? program : Path.Combine(place, "bin", program), folder, arguments);
    }
}
