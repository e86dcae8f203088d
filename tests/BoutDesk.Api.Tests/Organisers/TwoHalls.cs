using BoutDesk.Api.Tests.EventStore;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Organisers;

/// <summary>One service, and a tournament in full swing at each of two organisers.</summary>
public class TwoHalls : IAsyncLifetime
{
    private readonly Hall home = new();
    private readonly Hall north = new();

    internal DeskHost Host => home.Host;

    /// <summary>Each hall, with a client at the other organiser that has its own desk pass, and one there without a pass.</summary>
    internal IEnumerable<(Hall Hall, string Organiser, Hall Other, Func<string?, HttpClient> Elsewhere)> BothWays =>
    [
        (home, "home", north, pass => Host.ClientAt(Operator.Host, pass)),
        (north, "north", home, Host.Client),
    ];

    /// <summary>The database that the second one has of its own, or null.</summary>
    internal string? Own { get; private set; }

    public async Task InitializeAsync()
    {
        Own = await OwnAsync();
        var host = await DeskHost.StartAsync(
            [("BoutDesk:WrongPassesPerMinute", "0"), ("BoutDesk:RequestsPerSecond", "0"), ("BoutDesk:WritesPerSecond", "0"), .. Own is null ? [] : new[] { ("ConnectionStrings:north", Own) }]);
        await home.OpenAsync(host, host.Desk, DeskHost.DeskPass);
        var pass = Own is null ? await Operator.CreateAsync("north", Operator.Host, host) : await Operator.CreateApartAsync("north", Operator.Host, Own, host);
        await north.OpenAsync(host, host.ClientAt(Operator.Host, pass), pass);
    }

    public Task DisposeAsync() => home.DisposeAsync();

    /// <summary>Everything that the store has of an organiser.</summary>
    internal async Task<string> StoredAsync(string organiser)
    {
        await using var connection = new NpgsqlConnection(organiser == "north" && Own is not null ? Own : Host.ConnectionString);
        await connection.OpenAsync();
        var tables = await connection.RowsAsync("select distinct table_name from information_schema.columns where table_schema = 'boutdesk' and column_name = 'tenant_id' order by 1");
        var rows = await connection.RowsAsync(string.Join(" union all ", tables.Select(t => $"select to_jsonb(t)::text from boutdesk.{t[0]} t where tenant_id = '{organiser}'")));
        Assert.NotEmpty(rows);
        return string.Join('\n', rows.Select(r => (string)r[0]).Order(StringComparer.Ordinal));
    }

    private protected virtual Task<string?> OwnAsync() => Task.FromResult<string?>(null);
}

/// <summary>The same where the second organiser has a database of its own.</summary>
public sealed class TwoDatabases : TwoHalls
{
    private protected override async Task<string?> OwnAsync() => await PostgresForTests.FreshDatabaseAsync();
}
