using System.ComponentModel;
using System.Globalization;
using System.Text.RegularExpressions;
using MysticMind.PostgresEmbed;

namespace BoutDesk.Api.PrivatePostgres;

/// <summary>The programs of one PostgreSQL installation.</summary>
/// <param name="Folder">The folder that holds initdb, pg_ctl and postgres.</param>
/// <param name="Major">The major version, such as 17. Data of one major version cannot be opened by another.</param>
internal sealed partial record PostgresBinaries(string Folder, int Major)
{
    /// <summary>The oldest major version that the event store runs on (Marten's migration guide, version 8).</summary>
    public const int OldestMajor = 13;

    /// <summary>The major version that is fetched for a new data folder.</summary>
    public const int FetchedMajor = 17;

    private static readonly string[] Programs = ["initdb", "pg_ctl", "postgres"];

    /// <summary>The path of one of the programs.</summary>
    public string this[string program] => PathOf(Folder, program);

    /// <summary>Where PostgreSQL is usually found: the PATH, then the folders of the common packages.</summary>
    public static IReadOnlyList<string> UsualFolders() =>
    [
        .. (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries),
        "/usr/lib/postgresql/*/bin",
        "/usr/pgsql-*/bin",
        "/usr/bin",
        "/opt/homebrew/opt/postgresql@*/bin",
        "/usr/local/opt/postgresql@*/bin",
        @"C:\Program Files\PostgreSQL\*\bin",
    ];

    /// <summary>
    /// The programs to use: from the configured folder if there is one; else the newest installed major version, or
    /// exactly <paramref name="dataMajor"/> if data exists; else fetched, and kept in <paramref name="fetchedFolder"/>.
    /// </summary>
    /// <exception cref="PrivateClusterException">There are none, or none of the major version that the data needs.</exception>
    public static async Task<PostgresBinaries> ObtainAsync(
        PrivateClusterOptions options, int? dataMajor, string fetchedFolder, ILogger logger, CancellationToken cancellation)
    {
        string[] fetched = [Path.Combine(fetchedFolder, "postgres-*", "bin")];
        var found = await FindAsync(options.BinariesFolder is { } folder ? [folder] : [.. options.InstalledIn, .. fetched], cancellation);
        if (found.FirstOrDefault(one => one.Major == (dataMajor ?? one.Major) && one.Major >= OldestMajor) is { } usable)
        {
            return usable;
        }
        var seen = found.Count == 0 ? "none was found" : "found: " + string.Join(", ", found.Select(one => $"{one.Major} in {one.Folder}"));
        var needed = dataMajor is { } major ? $"PostgreSQL {major}, which the data was made with," : $"PostgreSQL {OldestMajor} or later";
        if (options.BinariesFolder is not null)
        {
            throw new PrivateClusterException(
                $"{needed} is not in the configured folder {options.BinariesFolder} ({seen}). " +
                "Configure the folder that holds its initdb, pg_ctl and postgres, or none to have it looked for.");
        }
        logger.LogInformation("No PostgreSQL of use is installed ({Seen}); fetching it from {Source}", seen, options.FetchFrom);
        try
        {
            await FetchAsync(dataMajor ?? FetchedMajor, options.FetchFrom, fetchedFolder, cancellation);
            return (await FindAsync(fetched, cancellation)).First(one => one.Major == (dataMajor ?? FetchedMajor));
        }
        catch (Exception e) when (e is not (IOException or UnauthorizedAccessException) && !cancellation.IsCancellationRequested)
        {
            throw new PrivateClusterException(
                $"{needed} is not installed ({seen}) and could not be fetched from {options.FetchFrom} ({e.Message}). " +
                $"Install PostgreSQL {dataMajor ?? FetchedMajor}, or use a server of your own: set ConnectionStrings:BoutDesk.", e);
        }
    }

    /// <summary>The installations in the folders, newest major version first; of equals the one named first.</summary>
    public static async Task<IReadOnlyList<PostgresBinaries>> FindAsync(IEnumerable<string> folders, CancellationToken cancellation)
    {
        var found = new List<PostgresBinaries>();
        foreach (var folder in folders.SelectMany(Expand).Distinct())
        {
            if (Programs.All(program => File.Exists(PathOf(folder, program)))
                && await MajorOfAsync(folder, cancellation) is { } major)
            {
                found.Add(new PostgresBinaries(folder, major));
            }
        }
        return [.. found.OrderByDescending(one => one.Major)];
    }

    private static IEnumerable<string> Expand(string folder)
    {
        var parts = folder.Split('/', '\\');
        var star = Array.FindIndex(parts, part => part.Contains('*', StringComparison.Ordinal));
        if (star < 0)
        {
            return [folder];
        }
        var above = string.Join(Path.DirectorySeparatorChar, parts[..star]);
        return Directory.Exists(above)
            ? Directory.EnumerateDirectories(above, parts[star])
                // The package unpacks into a folder of this ending and renames it when complete.
                .Where(match => !match.EndsWith(".tmp", StringComparison.Ordinal))
                .Order(StringComparer.Ordinal)
                .Select(match => Path.Combine([match, .. parts[(star + 1)..]]))
            : [];
    }

    private static async Task<int?> MajorOfAsync(string folder, CancellationToken cancellation)
    {
        try
        {
            var said = await Command.RunAsync(PathOf(folder, "postgres"), ["--version"], folder, cancellation);
            var version = VersionPattern().Match(said.Output);
            return version.Success ? int.Parse(version.Groups[1].Value, CultureInfo.InvariantCulture) : null;
        }
        catch (Win32Exception)
        {
            return null; // Made for another kind of machine, or not allowed to this user: no use to us.
        }
    }

    private static async Task FetchAsync(int major, string source, string folder, CancellationToken cancellation)
    {
        using var handler = new SocketsHttpHandler { ConnectTimeout = TimeSpan.FromSeconds(5) };
        // A hall's network is slow: the whole download may take long, only a missing network must show at once.
        using var http = new HttpClient(handler) { Timeout = TimeSpan.FromMinutes(15) };
        await new PgServer(new PgServerOptions
        {
            PgVersion = major.ToString(CultureInfo.InvariantCulture),
            DbDir = folder,
            BinariesDir = folder,
            MavenRepo = source,
            HttpClient = http,
            DownloadRetryCount = 0,
        }).InstallAsync(cancellation);
    }

    private static string PathOf(string folder, string program) =>
        Path.Combine(folder, OperatingSystem.IsWindows() ? program + ".exe" : program);

    // As in "postgres (PostgreSQL) 15.18 (Debian ...)", "postgres (PostgreSQL) 18beta1".
    [GeneratedRegex(@"\(PostgreSQL\) (\d+)")]
    private static partial Regex VersionPattern();
}
