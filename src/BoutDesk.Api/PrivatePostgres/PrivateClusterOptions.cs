using MysticMind.PostgresEmbed;

namespace BoutDesk.Api.PrivatePostgres;

/// <summary>Where the private PostgreSQL keeps its data and where its programs come from.</summary>
internal sealed record PrivateClusterOptions
{
    /// <summary>The folder of the data; created at the first start. One running service has one folder.</summary>
    public required string DataFolder { get; init; }

    /// <summary>The folder of initdb, pg_ctl and postgres; null to look in <see cref="InstalledIn"/>, then to fetch them.</summary>
    public string? BinariesFolder { get; init; }

    /// <summary>The folders looked into for an installed PostgreSQL; one part of each may hold a star.</summary>
    public IReadOnlyList<string> InstalledIn { get; init; } = PostgresBinaries.UsualFolders();

    /// <summary>The Maven repository that the programs are fetched from when none is installed.</summary>
    public string FetchFrom { get; init; } = PgServerOptions.DefaultMavenRepo;

    /// <summary>
    /// The data folder of this machine and user: "boutdesk" in the user's local application data. Root on
    /// Linux gets /var/lib/boutdesk instead, because PostgreSQL then runs as another user, who cannot enter /root.
    /// </summary>
    /// <exception cref="PrivateClusterException">The user has no home folder.</exception>
    public static string DefaultDataFolder()
    {
        if (OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess)
        {
            return "/var/lib/boutdesk";
        }
        var local = Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify);
        return local.Length > 0
            ? Path.Combine(local, "boutdesk")
            : throw new PrivateClusterException("This user has no home folder to keep the data in. Configure the data folder.");
    }
}
