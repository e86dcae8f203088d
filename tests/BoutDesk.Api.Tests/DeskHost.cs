using System.Net.Http.Headers;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.Logging;
using Npgsql;

namespace BoutDesk.Api.Tests;

/// <summary>
/// The whole service on Kestrel, in this process, over a database of its own on a real PostgreSQL. It can be stopped
/// and started again on the same data.
/// </summary>
internal sealed class DeskHost : IAsyncDisposable
{
    public const string DeskPass = "desk-pass-of-the-tests-0123456789";

    private readonly string connectionString;
    private readonly Dictionary<string, string?> settings;
    private WebApplication app;

    private DeskHost(string connectionString, Dictionary<string, string?> settings, WebApplication app)
    {
        this.connectionString = connectionString;
        this.settings = settings;
        this.app = app;
        Desk = Client(DeskPass);
        Public = Client(null);
    }

    /// <summary>A client with the desk pass.</summary>
    public HttpClient Desk { get; private set; }

    /// <summary>A client without a pass.</summary>
    public HttpClient Public { get; private set; }

    public string ConnectionString => connectionString;

    public IServiceProvider Services => app.Services;

    /// <summary>Starts a service on a database that is its own, as with a private PostgreSQL.</summary>
    public static async Task<DeskHost> StartAsync(params (string Key, string Value)[] settings) =>
        await StartOnAsync(await PostgresForTests.FreshDatabaseAsync(), [("BoutDesk:OnlyNode", "true"), .. settings]);

    /// <summary>Starts a service, or another one, on a database that is there already.</summary>
    public static async Task<DeskHost> StartOnAsync(string connectionString, params (string Key, string Value)[] settings)
    {
        var all = settings.ToDictionary(s => s.Key, s => (string?)s.Value);
        all.TryAdd("BoutDesk:DeskPass", DeskPass);
        return new DeskHost(connectionString, all, await BuildAndStartAsync(connectionString, all));
    }

    /// <summary>Stops the service and starts it again on the same data, at the same address.</summary>
    /// <param name="meanwhile">What happens while it is down.</param>
    public async Task RestartAsync(Func<Task>? meanwhile = null)
    {
        var address = app.Urls.Single();
        await StopAsync();
        if (meanwhile is not null)
        {
            await meanwhile();
        }

        app = await BuildAndStartAsync(connectionString, settings, address);
        Desk = Client(DeskPass);
        Public = Client(null);
    }

    /// <summary>A connection to the database of the service, to look behind it.</summary>
    public async Task<NpgsqlConnection> OpenDatabaseAsync()
    {
        var connection = new NpgsqlConnection(connectionString);
        await connection.OpenAsync();
        return connection;
    }

    /// <summary>A client with a pass, or without one.</summary>
    public HttpClient Client(string? pass)
    {
        var client = new HttpClient { BaseAddress = new Uri(app.Urls.Single()) };
        if (pass is not null)
        {
            client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", pass);
        }

        return client;
    }

    public async ValueTask DisposeAsync() => await StopAsync();

    private static async Task<WebApplication> BuildAndStartAsync(
        string connectionString, Dictionary<string, string?> settings, string address = "http://127.0.0.1:0")
    {
        var builder = WebApplication.CreateBuilder(["--urls", address]);
        builder.Configuration.AddInMemoryCollection(settings);
        builder.Logging.SetMinimumLevel(LogLevel.Warning);
        var app = builder.BuildDesk(connectionString);
        await app.StartAsync();
        return app;
    }

    private async Task StopAsync()
    {
        Desk.Dispose();
        Public.Dispose();
        // As the service does when it is told to stop.
        await app.StopAsync();
        await app.DisposeAsync();
    }
}
