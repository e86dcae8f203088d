using System.Globalization;
using System.Security.Cryptography;

namespace BoutDesk.Api.PrivatePostgres;

/// <summary>
/// The files of a private cluster. The folder belongs to the service; of what is in it, only <see cref="Cluster"/>
/// and <see cref="Log"/> belong to the user that PostgreSQL runs as, who is another one if the service is root.
/// </summary>
/// <param name="Root">The full path of the data folder.</param>
internal sealed record DataFolder(string Root)
{
    private const UnixFileMode Private = UnixFileMode.UserRead | UnixFileMode.UserWrite;
    private const UnixFileMode Readable = Private | UnixFileMode.GroupRead | UnixFileMode.OtherRead;
    private const UnixFileMode Runnable =
        Readable | UnixFileMode.UserExecute | UnixFileMode.GroupExecute | UnixFileMode.OtherExecute;
    private const UnixFileMode EnterOnly =
        Private | UnixFileMode.UserExecute | UnixFileMode.GroupExecute | UnixFileMode.OtherExecute;

    // PostgreSQL begins a new file each day and at each 10 MB (see WriteSettings), so this bounds the logs to some 50 MB.
    private const int LogsKept = 5;

    /// <summary>PostgreSQL's own data folder.</summary>
    public string Cluster => Path.Combine(Root, "cluster");

    /// <summary>The server's logs.</summary>
    public string Log => Path.Combine(Root, "log");

    /// <summary>What a server says before its log is open.</summary>
    public string StartLog => Path.Combine(Log, "start.log");

    /// <summary>Fetched programs.</summary>
    public string Binaries => Path.Combine(Root, "binaries");

    /// <summary>The password of the database role, which only the user of the service can read.</summary>
    public string PasswordFile => Path.Combine(Root, "password");

    private string PortFile => Path.Combine(Root, "port");

    /// <summary>Creates the folder unless it exists.</summary>
    /// <exception cref="IOException">It cannot be created.</exception>
    /// <exception cref="UnauthorizedAccessException">It may not be created.</exception>
    public static DataFolder Open(string path)
    {
        var root = Path.GetFullPath(path);
        if (!Directory.Exists(root))
        {
            Directory.CreateDirectory(root);
            if (!OperatingSystem.IsWindows())
            {
                File.SetUnixFileMode(root, EnterOnly);
            }
        }
        return new DataFolder(root);
    }

    /// <summary>The major version that the data was made with; null if there is no data yet.</summary>
    public int? Major()
    {
        var file = Path.Combine(Cluster, "PG_VERSION");
        return File.Exists(file) ? int.Parse(File.ReadAllText(file), CultureInfo.InvariantCulture) : null;
    }

    /// <summary>The password of the database role; drawn and kept at the first call.</summary>
    /// <exception cref="PrivateClusterException">There is data, but the password to it is gone.</exception>
    public string Password()
    {
        if (!File.Exists(PasswordFile))
        {
            if (Major() is not null)
            {
                throw new PrivateClusterException(
                    $"The file {PasswordFile}, the key to the data beside it, is missing. Put it back from a backup of the folder.");
            }
            Write(PasswordFile, RandomNumberGenerator.GetHexString(48, lowercase: true), Private);
        }
        return File.ReadAllText(PasswordFile);
    }

    /// <summary>The port of the last start; null if there was none.</summary>
    public int? Port() =>
        File.Exists(PortFile) && ushort.TryParse(File.ReadAllText(PortFile), CultureInfo.InvariantCulture, out var port) ? port : null;

    /// <summary>Keeps the port for the next start.</summary>
    public void KeepPort(int port) => Write(PortFile, port.ToString(CultureInfo.InvariantCulture), Readable);

    /// <summary>
    /// A folder to make a cluster in, beside a file with the password for initdb. What an interrupted making left
    /// is deleted; the name is a new one each time, since the initdb of a killed service may be at work on still.
    /// </summary>
    public (string Folder, string PasswordCopy) Unfinished()
    {
        foreach (var left in Directory.EnumerateFiles(Root, "unfinished-*.password"))
        {
            File.Delete(left);
        }
        foreach (var left in Directory.EnumerateDirectories(Root, "unfinished-*"))
        {
            try
            {
                Directory.Delete(left, recursive: true);
            }
            catch (IOException)
            {
                // That initdb writes faster than we delete; it is tried again at the next making.
            }
        }
        var unfinished = Directory.CreateDirectory(Path.Combine(Root, $"unfinished-{Guid.NewGuid():N}")).FullName;
        Write(unfinished + ".password", Password(), Private);
        return (unfinished, unfinished + ".password");
    }

    /// <summary>Makes a new cluster read the settings that <see cref="WriteSettings"/> writes.</summary>
    public static void IncludeSettings(string cluster) =>
        File.AppendAllText(Path.Combine(cluster, "postgresql.conf"), "\ninclude '../postgres.conf'\n");

    /// <summary>Writes the server's settings.</summary>
    /// <param name="port">The port it is to listen on.</param>
    public void WriteSettings(int port) => Write(Path.Combine(Root, "postgres.conf"), $"""
        # Written anew at every start. To change a setting for good, use ALTER SYSTEM.
        listen_addresses = '127.0.0.1'
        port = {port}
        unix_socket_directories = ''
        password_encryption = 'scram-sha-256'
        max_connections = 100
        shared_buffers = 128MB
        # What was confirmed to a referee is on the disk, also if the laptop's battery dies in that second.
        fsync = on
        synchronous_commit = on
        full_page_writes = on
        # A transaction that its client forgot must not hold its locks until the evening.
        idle_in_transaction_session_timeout = '60s'
        timezone = 'UTC'
        log_timezone = 'UTC'
        lc_messages = 'C'
        logging_collector = on
        log_directory = '../log'
        log_filename = 'postgres-%Y-%m-%d-%H%M%S.log'
        log_rotation_age = 1d
        log_rotation_size = 10MB

        """, Readable);

    /// <summary>
    /// Writes a stand-in for the program postgres, which tells it that a process is not another server on this data.
    /// </summary>
    /// <remarks>
    /// After a power failure postmaster.pid names the number of a process long gone. If another process of the
    /// same user has that number by now, postgres takes it for a running server and does not start. It spares the
    /// number of its grandparent, which pg_ctl tells it in PG_GRANDPARENT_PID, from that check (PostgreSQL source,
    /// miscinit.c). Deleting postmaster.pid instead would take away its other check, whether processes of the old
    /// server still work on the data.
    /// </remarks>
    public string WriteStandIn(string postgres, int deadProcess)
    {
        var path = Path.Combine(Root, "postgres.sh");
        var quoted = "'" + postgres.Replace("'", "'\\''", StringComparison.Ordinal) + "'";
        Write(path, $"#!/bin/sh\nPG_GRANDPARENT_PID={deadProcess} exec {quoted} \"$@\"\n", Runnable);
        return path;
    }

    /// <summary>Deletes all but the newest logs.</summary>
    public void DeleteOldLogs()
    {
        foreach (var old in Logs().SkipLast(LogsKept))
        {
            File.Delete(old);
        }
    }

    /// <summary>The last lines that the server wrote before it failed.</summary>
    public string LastWords() =>
        string.Join(Environment.NewLine, Logs().TakeLast(1).Append(StartLog).Where(File.Exists).SelectMany(file => File.ReadLines(file).TakeLast(10)));

    private IEnumerable<string> Logs() => Directory.EnumerateFiles(Log, "postgres-*.log").Order(StringComparer.Ordinal);

    // Beside and then renamed, and on the disk before that: a power failure leaves the old file or the new one.
    private static void Write(string path, string text, UnixFileMode mode)
    {
        var beside = path + ".new";
        File.Delete(beside);
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = Private;
        }
        using (var stream = new FileStream(beside, options))
        {
            stream.Write(System.Text.Encoding.UTF8.GetBytes(text));
            stream.Flush(flushToDisk: true);
        }
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(beside, mode);
        }
        File.Move(beside, path, overwrite: true);
    }
}
