using BoutDesk.Api.Tests.EventStore;
using Xunit;

namespace BoutDesk.Api.Tests.Organisers;

/// <summary>One service, and a tournament in full swing at each of two organisers.</summary>
public sealed class TwoHalls : IAsyncLifetime
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

    public async Task InitializeAsync()
    {
        await home.InitializeAsync();
        var pass = await Operator.CreateAsync("north", Operator.Host, Host);
        await north.OpenAsync(Host, Host.ClientAt(Operator.Host, pass), pass);
    }

    public Task DisposeAsync() => home.DisposeAsync();

    /// <summary>Everything that the store has of an organiser.</summary>
    internal async Task<string> StoredAsync(string organiser)
    {
        var tables = await Host.RowsAsync("select distinct table_name from information_schema.columns where table_schema = 'boutdesk' and column_name = 'tenant_id' order by 1");
        var rows = await Host.RowsAsync(string.Join(" union all ", tables.Select(t => $"select to_jsonb(t)::text from boutdesk.{t[0]} t where tenant_id = '{organiser}'")));
        return string.Join('\n', rows.Select(r => (string)r[0]).Order(StringComparer.Ordinal));
    }
}
