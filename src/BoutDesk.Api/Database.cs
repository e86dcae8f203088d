using BoutDesk.Api.PrivatePostgres;
using Npgsql;

namespace BoutDesk.Api;

/// <summary>The PostgreSQL the service works on: one that the configuration names, else its own private one.</summary>
internal sealed class Database : IAsyncDisposable
{
    private readonly PrivateCluster? cluster;
    private readonly ILoggerFactory? logging;

    private Database(string connectionString, PrivateCluster? cluster, ILoggerFactory? logging)
    {
        ConnectionString = connectionString;
        this.cluster = cluster;
        this.logging = logging;
    }

    public string ConnectionString { get; }

    /// <summary>Whether it belongs to this service alone.</summary>
    public bool IsPrivate => cluster is not null;

    public static async Task<Database> OpenAsync(IConfiguration configuration)
    {
        if (configuration.GetConnectionString("BoutDesk") is { Length: > 0 } given)
        {
            return new Database(Readable("ConnectionStrings:BoutDesk", given), null, null);
        }

        var options = PrivateOptions(configuration);
        var logging = LoggerFactory.Create(logging => logging.AddConfiguration(configuration.GetSection("Logging")).AddSimpleConsole(o => o.SingleLine = true));
        try
        {
            var cluster = await PrivateCluster.StartAsync(options, logging.CreateLogger<PrivateCluster>(), CancellationToken.None);
            return new Database(cluster.ConnectionString, cluster, logging);
        }
        catch
        {
            logging.Dispose();
            throw;
        }
    }

    /// <summary>
    /// The same for a command beside the service: where that has its private one running, that is used and left running.
    /// None is made, since a folder without one is another than that of the service.
    /// </summary>
    public static async Task<Database> OpenBesideAsync(IConfiguration configuration)
    {
        if (configuration.GetConnectionString("BoutDesk") is { Length: > 0 })
        {
            return await OpenAsync(configuration);
        }

        var folder = Path.GetFullPath(PrivateOptions(configuration).DataFolder);
        if (!File.Exists(new DataFolder(folder).PasswordFile))
        {
            throw new StartException($"This user finds no data of a service in {folder}. Name the folder of the service in BoutDesk__DataFolder, or its PostgreSQL in ConnectionStrings__BoutDesk; a new service makes its data at its first start.");
        }

        return PrivateCluster.RunningOn(folder) is { } running ? new Database(running, null, null) : await OpenAsync(configuration);
    }

    private static PrivateClusterOptions PrivateOptions(IConfiguration configuration) => new()
    {
        DataFolder = configuration["BoutDesk:DataFolder"] is { Length: > 0 } folder ? folder : PrivateClusterOptions.DefaultDataFolder(),
        BinariesFolder = configuration["BoutDesk:PostgresBinaries"] is { Length: > 0 } binaries ? binaries : null,
    };

    /// <summary>A connection string as it is given, once it was found that it can be read.</summary>
    /// <param name="setting">Under what name it is configured.</param>
    /// <param name="connectionString">The connection string.</param>
    /// <exception cref="StartException">It cannot be read.</exception>
    public static string Readable(string setting, string connectionString)
    {
        try
        {
            return new NpgsqlConnectionStringBuilder(connectionString).ConnectionString;
        }
        catch (ArgumentException unknown)
        {
            // The message of the cause can hold a part of the password.
            throw new StartException(
                $"{setting} cannot be read. Write it as in Host=localhost;Database=boutdesk;Username=boutdesk;Password=…, with a value that holds ; or = in quotes.",
                unknown);
        }
    }

    public async ValueTask DisposeAsync()
    {
        if (cluster is not null)
        {
            await cluster.DisposeAsync();
        }

        logging?.Dispose();
    }
}
