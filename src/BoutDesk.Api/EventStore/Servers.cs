using Npgsql;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// How the PostgreSQL that a connection string names is talked to: one server, or several of which one, the primary,
/// takes writes and the others, its standbys, follow it.
/// </summary>
internal static class Servers
{
    // Where one of several does not answer, the others are not to wait for it for long. In seconds.
    private const int LongestConnect = 3;
    private const int LongestCommand = 10;

    /// <summary>
    /// Keeps prepared statements with their connection. Resetting a connection on its return would throw the plan of
    /// every append away; nothing here sets session state that would need the reset.
    /// </summary>
    public static string Tuned(string connectionString) => new NpgsqlConnectionStringBuilder(Known(connectionString))
    {
        NoResetOnClose = true,
        MaxAutoPrepare = 50,
        AutoPrepareMinUsages = 2,
        ApplicationName = "BoutDesk",
        // Which server a session goes to is the store's to say.
        TargetSessionAttributes = null,
    }.ConnectionString;

    /// <summary>For a single connection to the server that takes writes.</summary>
    public static string ToPrimary(string connectionString) => new NpgsqlConnectionStringBuilder(Known(connectionString))
    {
        // One server alone is taken as it is.
        TargetSessionAttributes = AreSeveral(connectionString) ? "read-write" : null,
    }.ConnectionString;

    /// <summary>Whether a connection string names several servers.</summary>
    public static bool AreSeveral(string connectionString) =>
        new NpgsqlConnectionStringBuilder(connectionString).Host?.Contains(',', StringComparison.Ordinal) == true;

    /// <summary>The same servers for reads, evenly from all that can be read from.</summary>
    public static NpgsqlMultiHostDataSource OfReads(string connectionString) =>
        new NpgsqlDataSourceBuilder(new NpgsqlConnectionStringBuilder(Tuned(connectionString)) { LoadBalanceHosts = true }.ConnectionString).BuildMultiHost();

    private static string Known(string connectionString)
    {
        var servers = new NpgsqlConnectionStringBuilder(connectionString);
        if (AreSeveral(connectionString))
        {
            servers.Timeout = IsSet("Timeout") ? servers.Timeout : LongestConnect;
            servers.CommandTimeout = IsSet("Command Timeout") ? servers.CommandTimeout : LongestCommand;
        }

        return servers.ConnectionString;

        bool IsSet(string setting) => servers.Keys.Contains(setting, StringComparer.OrdinalIgnoreCase);
    }
}
