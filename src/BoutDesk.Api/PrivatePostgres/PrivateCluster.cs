using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using Npgsql;

namespace BoutDesk.Api.PrivatePostgres;

/// <summary>
/// A PostgreSQL server that belongs to this service alone: made at the first start, kept running while the service
/// runs (also if the server dies), and stopped in order with it. It listens on this machine only.
/// </summary>
/// <remarks>
/// The server is a daemon: a service that is killed leaves it running, and the next one takes it over. That it runs
/// in a session of its own, where no Ctrl-C of the service's terminal reaches it, is the work of pg_ctl.
/// </remarks>
internal sealed class PrivateCluster : IAsyncDisposable
{
    private const string Name = "boutdesk";

    // How long a server may take to come up: after a crash it first reads through a log of up to 1 GB.
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);
    // How long a running server may be deaf; one that comes up says so in less.
    private static readonly TimeSpan Deafness = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan WatchInterval = TimeSpan.FromSeconds(1);

    private readonly FolderLock folderLock;
    private readonly DataFolder folder;
    private readonly PostgresBinaries binaries;
    private readonly ServerUser user;
    private readonly string password;
    private readonly ILogger logger;
    private readonly CancellationTokenSource disposing = new();
    private Task watch = Task.CompletedTask;

    // The server that was started or taken over here; null until then.
    private volatile Postmaster? postmaster;

    private PrivateCluster(FolderLock folderLock, DataFolder folder, PostgresBinaries binaries, ServerUser user, ILogger logger)
    {
        this.folderLock = folderLock;
        this.folder = folder;
        this.binaries = binaries;
        this.user = user;
        this.logger = logger;
        password = folder.Password();
    }

    /// <summary>For the role "boutdesk", who owns the database "boutdesk" and the server; the same for as long as the service runs.</summary>
    public string ConnectionString => ConnectionTo(Name, postmaster!.Port);

    /// <summary>The process number of the server; another one after it died and was started again.</summary>
    public int ServerProcessId => postmaster!.ProcessId;

    /// <summary>Starts the server, or takes over the one that a killed service left running, and returns when it can be used.</summary>
    /// <exception cref="PrivateClusterException">It cannot be had; the message says why and what to do.</exception>
    public static async Task<PrivateCluster> StartAsync(PrivateClusterOptions options, ILogger logger, CancellationToken cancellation)
    {
        FolderLock? folderLock = null;
        PrivateCluster? cluster = null;
        try
        {
            var user = ServerUser.ForThisProcess();
            user.CheckCanEnter(Path.GetFullPath(options.DataFolder));
            var folder = DataFolder.Open(options.DataFolder);
            folderLock = FolderLock.Take(folder.Root);
            var binaries = await PostgresBinaries.ObtainAsync(options, folder.Major(), folder.Binaries, logger, cancellation);
            cluster = new PrivateCluster(folderLock, folder, binaries, user, logger);
            await cluster.MakeUnlessMadeAsync(cancellation);
            if (!await cluster.TakeOverAsync(cancellation))
            {
                await cluster.LaunchAsync(ChoosePort(folder), cancellation);
            }
            await cluster.MakeDatabaseUnlessMadeAsync(cancellation);
            cluster.watch = cluster.WatchAsync();
            return cluster;
        }
        catch (Exception e)
        {
            if (cluster is not null)
            {
                await cluster.DisposeAsync();
            }
            folderLock?.Dispose();
            if (e is IOException or UnauthorizedAccessException)
            {
                throw PrivateClusterException.Because($"The data folder {options.DataFolder} cannot be used", e.Message, options.DataFolder, e);
            }
            throw;
        }
    }

    /// <summary>The connection string of the server that a running service has on this folder; null when no service runs on it.</summary>
    public static string? RunningOn(string dataFolder)
    {
        var folder = Path.GetFullPath(dataFolder);
        try
        {
            using var free = FolderLock.Take(folder);
            return null;
        }
        catch (PrivateClusterException)
        {
            var running = DataFolder.Open(folder);
            return running.Port() is { } port
                ? ConnectionTo(Name, port, running.Password())
                : throw new PrivateClusterException($"The service on the data folder {folder} is only just starting. Try again in a moment.");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // There is no such folder yet, or it is another user's: whoever starts a server there says so.
            return null;
        }
    }

    /// <summary>Stops the server in order and gives the data folder back. Clients still connected are cut off.</summary>
    public async ValueTask DisposeAsync()
    {
        if (disposing.IsCancellationRequested)
        {
            return;
        }
        await disposing.CancelAsync();
        await watch;
        try
        {
            await StopAsync();
        }
        finally
        {
            folderLock.Dispose();
            disposing.Dispose();
        }
    }

    private async Task StopAsync()
    {
        // A number in postmaster.pid may be anyone's by now; only the server that was ours is stopped.
        if (postmaster is not { IsAlive: true } || postmaster != Postmaster.Of(folder.Cluster))
        {
            return;
        }
        var stop = await user.RunAsync(
            binaries["pg_ctl"], ["stop", "-D", folder.Cluster, "-m", "fast", "-w", "-s"], folder.Root, CancellationToken.None);
        if (stop.ExitCode != 0)
        {
            // No harm to the data: the next start takes the server over.
            logger.LogError("PostgreSQL did not stop: {Output}", stop.Output);
        }
    }

    private async Task MakeUnlessMadeAsync(CancellationToken cancellation)
    {
        Directory.CreateDirectory(folder.Log);
        if (folder.Major() is not null)
        {
            return;
        }
        logger.LogInformation("Making a database in {Folder} with PostgreSQL {Major}", folder.Root, binaries.Major);
        var (unfinished, passwordCopy) = folder.Unfinished();
        try
        {
            await user.OwnAsync(folder.Root, cancellation, unfinished, passwordCopy);
            var made = await user.RunAsync(
                binaries["initdb"],
                [
                    "--pgdata", unfinished, "--username", Name, "--pwfile", passwordCopy, "--auth=scram-sha-256",
                    "--encoding=UTF8", "--no-locale", "--data-checksums",
                ],
                folder.Root,
                cancellation);
            if (made.ExitCode != 0)
            {
                throw PrivateClusterException.Because("The database could not be made", made.Output, folder.Root);
            }
        }
        finally
        {
            File.Delete(passwordCopy);
        }
        DataFolder.IncludeSettings(unfinished);
        // Only a whole cluster gets the name that the next start looks for.
        Directory.Move(unfinished, folder.Cluster);
    }

    private async Task<bool> TakeOverAsync(CancellationToken cancellation)
    {
        if (Postmaster.Of(folder.Cluster) is not { } left)
        {
            return false;
        }
        var waited = Stopwatch.StartNew();
        while (left.IsAlive)
        {
            try
            {
                await using var connection = await ConnectAsync("postgres", left.Port, cancellation);
                postmaster = left;
                folder.KeepPort(left.Port);
                logger.LogInformation("Took over the PostgreSQL that runs on {Folder}, process {Process}", folder.Root, left.ProcessId);
                return true;
            }
            catch (NpgsqlException e)
            {
                // One that is starting answers that it is. A deaf one is stopping, or is not the server of this
                // data at all; launching sorts that out, since no two servers can work on the same data.
                if (waited.Elapsed > (e is PostgresException ? Patience : Deafness))
                {
                    return false;
                }
                await Task.Delay(100, cancellation);
            }
        }
        return false;
    }

    private async Task LaunchAsync(int port, CancellationToken cancellation)
    {
        folder.KeepPort(port);
        folder.WriteSettings(port);
        folder.DeleteOldLogs();
        await user.OwnAsync(folder.Root, cancellation, folder.Cluster, folder.Log);
        List<string> arguments =
            ["start", "-D", folder.Cluster, "-l", folder.StartLog, "-w", "-t", $"{(int)Patience.TotalSeconds}", "-s"];
        if (Postmaster.Of(folder.Cluster) is { } dead && !OperatingSystem.IsWindows())
        {
            arguments.AddRange(["-p", folder.WriteStandIn(binaries["postgres"], dead.ProcessId)]);
        }
        var waited = Stopwatch.StartNew();
        while (true)
        {
            File.Delete(folder.StartLog);
            var started = await user.RunAsync(binaries["pg_ctl"], arguments, folder.Root, cancellation);
            if (started.ExitCode == 0)
            {
                break;
            }
            var words = started.Output + folder.LastWords();
            // The postmaster was killed, and some process of it has not noticed yet.
            if (!words.Contains("is still in use", StringComparison.Ordinal) || waited.Elapsed > Patience)
            {
                throw PrivateClusterException.Because("PostgreSQL did not start", words, folder.Root);
            }
            await Task.Delay(500, cancellation);
        }
        postmaster = Postmaster.Of(folder.Cluster)
            ?? throw PrivateClusterException.Because("PostgreSQL ended right after its start", folder.LastWords(), folder.Root);
        logger.LogInformation("PostgreSQL {Major} runs on {Folder}, port {Port}", binaries.Major, folder.Root, port);
    }

    private async Task MakeDatabaseUnlessMadeAsync(CancellationToken cancellation)
    {
        try
        {
            await using var connection = await ConnectAsync(Name, postmaster!.Port, cancellation);
        }
        catch (PostgresException e) when (e.SqlState == PostgresErrorCodes.InvalidCatalogName)
        {
            await using var connection = await ConnectAsync("postgres", postmaster!.Port, cancellation);
            await using var create = new NpgsqlCommand($"CREATE DATABASE {Name}", connection);
            await create.ExecuteNonQueryAsync(cancellation);
        }
    }

    private async Task WatchAsync()
    {
        while (!disposing.IsCancellationRequested)
        {
            try
            {
                await Task.Delay(WatchInterval, disposing.Token);
                folder.DeleteOldLogs();
                if (!postmaster!.IsAlive)
                {
                    logger.LogWarning("PostgreSQL, process {Process}, has ended; starting it again", postmaster.ProcessId);
                    if (!await TakeOverAsync(disposing.Token))
                    {
                        // On the same port, which the service has in its connection string.
                        await LaunchAsync(postmaster.Port, CancellationToken.None);
                    }
                }
            }
            catch (OperationCanceledException)
            {
                return;
            }
            catch (Exception e)
            {
                // Whatever it is, it may pass (a full disk, a port taken), and without the watch nothing would come back.
                logger.LogError("PostgreSQL could not be started again, trying on: {Reason}", e.Message);
            }
        }
    }

    private async Task<NpgsqlConnection> ConnectAsync(string database, int port, CancellationToken cancellation)
    {
        var connection = new NpgsqlConnection(ConnectionTo(database, port) + ";Pooling=false");
        try
        {
            await connection.OpenAsync(cancellation);
            return connection;
        }
        catch (Exception e)
        {
            await connection.DisposeAsync();
            if (e is PostgresException { SqlState: PostgresErrorCodes.InvalidPassword })
            {
                throw new PrivateClusterException(
                    $"The password in {folder.PasswordFile} is not the one of the data beside it. Put the file back from a backup of the folder.", e);
            }
            throw;
        }
    }

    // Nothing but loopback: encryption would cost, and would protect from nobody.
    private string ConnectionTo(string database, int port) => ConnectionTo(database, port, password);

    private static string ConnectionTo(string database, int port, string password) => new NpgsqlConnectionStringBuilder
    {
        Host = "127.0.0.1",
        Port = port,
        Database = database,
        Username = Name,
        Password = password,
        SslMode = SslMode.Disable,
        GssEncryptionMode = GssEncryptionMode.Disable,
    }.ConnectionString;

    /// <summary>The port of the last start if it is free, else one that is.</summary>
    private static int ChoosePort(DataFolder folder)
    {
        foreach (var port in new[] { folder.Port() ?? 0, 0 })
        {
            using var probe = new TcpListener(IPAddress.Loopback, port);
            try
            {
                probe.Start();
                return ((IPEndPoint)probe.LocalEndpoint).Port;
            }
            catch (SocketException)
            {
                // Taken by something else meanwhile.
            }
        }
        throw new PrivateClusterException("No port of this machine is free for the database. Stop some other server, then start again.");
    }
}
