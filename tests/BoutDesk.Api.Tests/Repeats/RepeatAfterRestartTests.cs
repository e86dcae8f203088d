using System.Text;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.EventStore;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Repeats;

/// <summary>What is kept for repeats, in the store of a service of its own.</summary>
public sealed class RepeatAfterRestartTests : IAsyncLifetime
{
    private DeskHost host = null!;

    public async Task InitializeAsync() => host = await DeskHost.StartAsync();

    public async Task DisposeAsync() => await host.DisposeAsync();

    [Fact]
    public async Task The_first_answer_comes_again_after_a_restart()
    {
        var tournament = await host.Desk.TournamentAsync();
        var (_, pool) = await host.Desk.OnePoolAsync(3, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        (HttpMethod Method, string Path, object Body, string Key)[] requests =
        [
            (HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "right" }, "touch"),
            (HttpMethod.Put, $"/api/bouts/{bout}/result", new { left = 3, right = 5, winner = "right" }, "result"),
            (HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Red" }, "strip"),
            (HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "armourer" }, "pass"),
        ];
        var first = await AskAllAsync();
        Assert.Equal([200, 200, 201, 201], first.Select(a => a.Status));
        Assert.NotNull(first[0].ETag);
        Assert.NotNull(first[2].Location);

        await host.RestartAsync();

        Assert.Equal(first, await AskAllAsync());
        Assert.Single((await host.Desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}")).Items("strips"));
        Assert.Single(await host.Desk.ListAsync($"/api/tournaments/{tournament}/passes"));

        async Task<Answered[]> AskAllAsync()
        {
            var answers = new List<Answered>();
            foreach (var (method, path, body, key) in requests)
            {
                answers.Add(await host.Desk.AskAsync(method, path, body, ("Idempotency-Key", key), ("Host", "desk.example")));
            }

            return [.. answers];
        }
    }

    [Fact]
    public async Task An_answer_is_kept_though_the_clock_was_wrong_by_years_and_given_up_when_much_has_happened_since_too()
    {
        var (_, pool) = await host.Desk.OnePoolAsync(3);
        var bout = pool.Items("bouts")[0].Id();
        await TouchAsync();
        await host.RowsAsync("""update boutdesk.mt_doc_kept_answer set data = data || '{"at": "2020-01-01T00:00:00+00:00"}' returning 1""");
        await host.RestartAsync();
        Assert.Equal(1, (await TouchAsync())["score"].Number("left"));

        await host.RowsAsync("""update boutdesk.mt_doc_kept_answer set data = data || '{"position": -100001}' returning 1""");
        await host.RestartAsync();
        Assert.Empty(await host.RowsAsync("select 1 from boutdesk.mt_doc_kept_answer"));

        async Task<JsonNode> TouchAsync() => (await host.Desk.AskAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, ("Idempotency-Key", "first touch"))).Json;
    }

    [Fact]
    public async Task A_pass_comes_again_with_its_key_though_neither_is_in_the_store()
    {
        const string Key = "key-of-one-device-2471";
        var tournament = await host.Desk.TournamentAsync();
        var given = await GiveAsync();
        var pass = given.Json.Text("pass");
        Assert.Equal(given, await GiveAsync());
        using var armourer = host.Client(pass);
        Assert.Equal("pass-insufficient", (await armourer.AskAsync(HttpMethod.Get, $"/api/tournaments/{tournament}/passes")).Problem);

        // That the search finds what is there, in text and in bytes, is shown on the identifier here, and on planted rows below.
        Assert.NotEmpty(await WhereIsAsync(given.Json.Id()));
        Assert.Empty(await WhereIsAsync(pass));
        Assert.Empty(await WhereIsAsync(Key));
        Assert.Empty(await WhereIsAsync(DeskHost.DeskPass));

        await using (var connection = await host.OpenDatabaseAsync())
        {
            await using var plant = new NpgsqlCommand("create table public.planted (bytes bytea, body text)", connection);
            await plant.ExecuteNonQueryAsync();
            await using var row = new NpgsqlCommand("insert into public.planted values ($1, null), (null, $2)", connection);
            row.Parameters.Add(new NpgsqlParameter { Value = Encoding.UTF8.GetBytes("x" + pass) });
            row.Parameters.Add(new NpgsqlParameter { Value = Convert.ToBase64String(Encoding.UTF8.GetBytes("xy" + pass + "z")) });
            await row.ExecuteNonQueryAsync();
        }

        Assert.Equal(["public.planted: 2"], await WhereIsAsync(pass));

        Task<Answered> GiveAsync() =>
            host.Desk.AskAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "armourer" }, ("Idempotency-Key", Key));
    }

    /// <summary>The tables with rows that hold a text: as it is, as bytes, or as part of something in base 64.</summary>
    private async Task<string[]> WhereIsAsync(string secret)
    {
        var bytes = Encoding.UTF8.GetBytes(secret);
        string[] forms =
        [
            secret,
            Convert.ToHexStringLower(bytes),
            .. Enumerable.Range(0, 3).Select(lead =>
            {
                // What stands before shifts the six-bit groups; the groups at the ends are shared with the neighbours.
                var all = Convert.ToBase64String([.. new byte[lead], .. bytes]);
                var whole = (lead + bytes.Length) / 3 * 4;
                return all[(lead == 0 ? 0 : 4)..whole];
            }),
        ];
        var found = new List<string>();
        await using var connection = await host.OpenDatabaseAsync();
        var tables = new List<string>();
        await using (var list = new NpgsqlCommand("select quote_ident(schemaname) || '.' || quote_ident(tablename) from pg_tables where schemaname not in ('pg_catalog', 'information_schema')", connection))
        await using (var reader = await list.ExecuteReaderAsync())
        {
            while (await reader.ReadAsync())
            {
                tables.Add(reader.GetString(0));
            }
        }

        foreach (var table in tables)
        {
            await using var count = new NpgsqlCommand($"select count(*) from {table} t where exists (select 1 from unnest($1::text[]) form where strpos(t::text, form) > 0)", connection);
            count.Parameters.Add(new NpgsqlParameter { Value = forms });
            if ((long)(await count.ExecuteScalarAsync())! is > 0 and var rows)
            {
                found.Add($"{table}: {rows}");
            }
        }

        return [.. found];
    }
}
