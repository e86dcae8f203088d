using System.Net;
using BoutDesk.Api.Tests.EventStore;
using BoutDesk.Api.Tests.Feed;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Organisers;

/// <summary>An organiser that has a database of its own.</summary>
public sealed class OwnDatabaseTests : IDisposable
{
    // One that the user of PostgreSQL can enter too.
    private readonly string folder = Directory.CreateDirectory(Path.Combine(Path.GetTempPath(), $"boutdesk-own-{Guid.NewGuid():N}")).FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Its_feed_has_positions_of_its_own_and_misses_nothing_over_a_restart(bool onlyNode)
    {
        var own = await PostgresForTests.FreshDatabaseAsync();
        await using var host = await StartAsync(own, onlyNode);
        var homes = await host.Desk.TournamentAsync();
        await host.Desk.OnePoolAsync(7, tournamentId: homes);
        var pass = await Operator.CreateApartAsync("north", Operator.Host, own, host);
        using var north = host.ClientAt(Operator.Host, pass);
        var tournament = await north.TournamentAsync();
        var (_, pool) = await north.OnePoolAsync(3, touches: 45, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        var heard = new List<FeedMessage>();
        for (var start = 0; start < 2; start++)
        {
            using var desk = host.ClientAt(Operator.Host, pass);
            await using (var feed = await FeedListener.ListenAsync(host.ClientAt(Operator.Host, null), tournament, heard.LastOrDefault()?.Id, "?after=0"))
            {
                await desk.AskTouchAsync(bout, "left");
                heard.AddRange(await feed.UntilAsync(m => m.Any(one => one.Event == "touch-scored")));
                // Nobody may have been told of these when the service stops; what is done at home is none of theirs.
                await desk.AskTouchAsync(bout, "right");
                await host.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{homes}/strips", new { name = $"Strip {start}" }, HttpStatusCode.Created);
            }

            await host.RestartAsync();
        }

        using var again = host.ClientAt(Operator.Host, pass);
        await using (var feed = await FeedListener.ListenAsync(host.ClientAt(Operator.Host, null), tournament, heard[^1].Id))
        {
            Assert.Equal(200, (await again.AskTouchAsync(bout, "left")).Status);
            heard.AddRange(await feed.UntilAsync(m => m.Any(one => one.Json["score"]?["left"]?.GetValue<int>() == 3)));
        }

        await using var connection = new NpgsqlConnection(own);
        await connection.OpenAsync();
        var stored = await connection.RowsAsync("select seq_id from boutdesk.mt_events order by seq_id");
        Assert.Equal(stored.Select(r => (long)r[0]), heard.Select(m => m.Id));
        Assert.Equal(1, heard[0].Id);
    }

    [Fact]
    public async Task While_it_is_away_its_organiser_is_told_so_and_all_others_are_served()
    {
        var own = await PostgresForTests.FreshDatabaseAsync();
        await using var host = await StartAsync(own, onlyNode: true);
        var pass = await Operator.CreateApartAsync("north", Operator.Host, own, host);
        var homes = await host.Desk.TournamentAsync();
        var (tournament, bout) = await OpenBoutAsync();
        Assert.Equal((200, "Healthy"), await HealthAsync());

        // It goes away under a running service, and comes back.
        await AllowAsync(own, false);
        await AwayAsync();
        await AllowAsync(own, true);
        await BackAsync(1);

        // It is away when the service starts, which serves the others, and finds it later.
        await host.RestartAsync(() => AllowAsync(own, false));
        await AwayAsync();
        await AllowAsync(own, true);
        await BackAsync(2);

        async Task<(string Tournament, string Bout)> OpenBoutAsync()
        {
            using var north = host.ClientAt(Operator.Host, pass);
            var opened = await north.TournamentAsync();
            var (_, pool) = await north.OnePoolAsync(3, touches: 45, tournamentId: opened);
            return (opened, pool.Items("bouts")[0].Id());
        }

        async Task AwayAsync()
        {
            using var north = host.ClientAt(Operator.Host, pass);
            foreach (var answer in new[]
            {
                await north.AskTouchAsync(bout, "left"),
                await north.AskAsync(HttpMethod.Get, $"/api/tournaments/{tournament}/feed"),
                await north.AskAsync(HttpMethod.Get, "/api/tournaments"),
            })
            {
                Assert.Equal((503, "store-unavailable"), (answer.Status, answer.Problem));
            }

            Assert.Equal(201, (await host.Desk.AskAsync(HttpMethod.Post, $"/api/tournaments/{homes}/strips", new { name = Guid.NewGuid().ToString("N") })).Status);
            Assert.Equal(homes, (await host.Public.ListAsync("/api/tournaments")).Single().Id());
            Assert.Equal((200, "Degraded"), await HealthAsync());
        }

        async Task BackAsync(int touches)
        {
            using var north = host.ClientAt(Operator.Host, pass);
            await host.OpensAsync("north");
            Answered answer;
            for (var tries = 0; (answer = await north.AskTouchAsync(bout, "left", ("Idempotency-Key", $"touch-{touches}"))).Status == 503; tries++)
            {
                Assert.True(tries < 200, answer.ToString());
                await Task.Delay(50);
            }

            Assert.Equal(touches, answer.Json["score"].Number("left"));
            await using var feed = await FeedListener.ListenAsync(host.ClientAt(Operator.Host, null), tournament, query: "?after=0");
            await feed.UntilAsync(m => m.Count(one => one.Event == "touch-scored") == touches);
            Assert.Equal((200, "Healthy"), await HealthAsync());
        }

        async Task<(int Status, string Said)> HealthAsync()
        {
            using var answer = await host.Public.GetAsync(new Uri("/health/ready", UriKind.Relative));
            return ((int)answer.StatusCode, await answer.Content.ReadAsStringAsync());
        }
    }

    [Fact]
    public async Task A_service_that_is_not_told_where_it_is_serves_the_others()
    {
        var own = await PostgresForTests.FreshDatabaseAsync();
        await using var host = await DeskHost.StartAsync();
        await Operator.DoAsync(host.ConnectionString, "create", "north", "--host", Operator.Host, "--name", "North", "--database", "north", Operator.Setting("north", own));
        await host.KnowsAsync(Operator.Host);
        using var north = host.ClientAt(Operator.Host, null);
        Assert.Equal("store-unavailable", (await north.AskAsync(HttpMethod.Get, "/api/tournaments")).Problem);
        Assert.Empty(await host.Public.ListAsync("/api/tournaments"));
    }

    [Fact]
    public async Task It_moves_out_of_the_shared_database_and_back_with_every_answer_as_it_was_and_leaves_nothing_behind()
    {
        var own = await PostgresForTests.FreshDatabaseAsync();
        await using var host = await StartAsync(own, onlyNode: true);
        var homes = await host.Desk.TournamentAsync();
        await host.Desk.OnePoolAsync(7, tournamentId: homes);
        var pass = await Operator.CreateAsync("north", Operator.Host, host);
        using var desk = host.ClientAt(Operator.Host, pass);
        var hall = new Hall();
        await hall.OpenAsync(host, desk, pass);
        var before = await ReadAsync();
        var last = await ListenAsync(null, async feed =>
        {
            Assert.Contains("Moved to the database north.", await Operator.DoAsync(host.ConnectionString, "move", "north", "--database", "north", Operator.Setting("north", own)), StringComparison.Ordinal);
            // Who listened was sent away.
            Assert.True(feed.HasEnded);
        });
        Assert.Contains("north  North Region, at north.example.org, in the database north", await Operator.DoAsync(host.ConnectionString, "list"), StringComparison.Ordinal);
        await host.OpensAsync("north");
        Assert.Equal(before, await ReadAsync());
        Assert.Empty(await LookingBehind.FoundAsync(host.ConnectionString, hall.TournamentId));
        Assert.NotEmpty(await LookingBehind.FoundAsync(own, hall.TournamentId));
        // A position of the other database is beyond all there are here, and he is told what happens from now on.
        await ListenAsync(last, async feed =>
        {
            Assert.Equal(200, (await desk.AskTouchAsync(hall.BoutId, "left")).Status);
            Assert.True((await feed.UntilAsync(m => m.Count > 0))[0].Id < last);
        });
        var moved = await ReadAsync();
        Assert.NotEqual(before, moved);

        await ByFileAsync(Path.Combine(folder, "back.zip"));
        Assert.Equal(moved, await ReadAsync());
        Assert.Equal(200, (await desk.AskTouchAsync(hall.BoutId, "left")).Status);
        Assert.Equal(homes, (await host.Public.ListAsync("/api/tournaments")).Single().Id());
        // Of the database that nobody is in any more the tables are gone too, and no service holds it.
        await using var connection = new NpgsqlConnection(own);
        await connection.OpenAsync();
        Assert.Empty(await connection.RowsAsync("select 1 from information_schema.tables where table_schema = 'boutdesk'"));
        Assert.Empty(await connection.RowsAsync("select 1 from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid()"));

        async Task<long> ListenAsync(long? after, Func<FeedListener, Task> meanwhile)
        {
            await using var feed = await FeedListener.ListenAsync(host.ClientAt(Operator.Host, null), hall.TournamentId, after, "?after=0");
            await (after is null ? feed.UntilAsync(m => m.Count > 0) : Task.CompletedTask);
            await meanwhile(feed);
            return feed.Messages[^1].Id;
        }

        async Task ByFileAsync(string file)
        {
            await Operator.DoAsync(host.ConnectionString, "close", "north");
            await Operator.DoAsync(host.ConnectionString, ["export", "north", file, Operator.Setting("north", own)]);
            await Operator.DoAsync(host.ConnectionString, ["delete", "north", "--yes", Operator.Setting("north", own)]);
            await Operator.DoAsync(host.ConnectionString, ["import", file]);
            await host.KnowsAsync(Operator.Host);
        }

        async Task<string[]> ReadAsync()
        {
            var read = new List<string>();
            foreach (var operation in hall.Document.Operations.Where(o => o.Method == HttpMethod.Get && !o.IsStream && o.Id is not ("getTimetable" or "getOwnPass" or "getCallingOrder")))
            {
                var answer = await desk.AskAsync(HttpMethod.Get, hall.At(operation));
                read.Add($"{operation.Id} {answer.Status} {answer.Body}");
            }

            return [.. read];
        }
    }

    [Fact]
    public async Task What_cannot_be_done_with_a_database_is_refused_with_what_to_do_and_makes_no_organiser()
    {
        var home = await PostgresForTests.FreshDatabaseAsync();
        var own = await PostgresForTests.FreshDatabaseAsync();
        await RefusedAsync("ConnectionStrings:north is not set", "north");
        await RefusedAsync("ConnectionStrings:north is the place of another database", "north", Operator.Setting("north", home));
        await RefusedAsync("ConnectionStrings:north cannot be read", "north", Operator.Setting("north", "Host=;=;"));
        await RefusedAsync("The PostgreSQL of ConnectionStrings:north does not answer", "north", Operator.Setting("north", "Host=127.0.0.1;Port=1;Database=north"));
        await RefusedAsync("cannot be the name of a database", "North-1", Operator.Setting("North-1", own));
        await RefusedAsync("other than boutdesk", "boutdesk");

        // Another service has an organiser of that name there.
        var elsewhere = await PostgresForTests.FreshDatabaseAsync();
        await Operator.DoAsync(elsewhere, "create", "north", "--host", "n.example.org", "--name", "North", "--database", "shared", Operator.Setting("shared", own));
        await RefusedAsync("which is that of another service", "north", Operator.Setting("north", own));
        Assert.NotEmpty(await LookingBehind.FoundAsync(own, "north"));
        Assert.Equal("home  at every other host name", (await Operator.DoAsync(home, "list")).Trim());
        await Operator.DoAsync(home, "create", "north", "--host", Operator.Host, "--name", "North");
        await NotMovedAsync("is in that database already");
        await NotMovedAsync("is not set", "--database", "south");
        await NotMovedAsync("left by a move that was broken off, or of another service", "--database", "north", Operator.Setting("north", own));
        Assert.DoesNotContain("closed", await Operator.DoAsync(home, "list"), StringComparison.Ordinal);
        await Operator.DoAsync(home, "move", "north", "--database", "north", "--anew", Operator.Setting("north", own));
        Assert.Contains("in the database north", await Operator.DoAsync(home, "list"), StringComparison.Ordinal);

        // Of a database that another organiser is in nothing else is dropped.
        await Operator.DoAsync(home, "create", "south", "--host", "s.example.org", "--name", "South", "--database", "north", Operator.Setting("north", own));
        await Operator.DoAsync(home, "delete", "north", "--yes", Operator.Setting("north", own));
        Assert.Empty(await LookingBehind.FoundAsync(own, "north"));
        Assert.NotEmpty(await LookingBehind.FoundAsync(own, "south"));

        async Task NotMovedAsync(string why, params string[] more) =>
            Assert.Contains(why, (await Operator.SayAsync(home, ["move", "north", .. more])).Refused, StringComparison.Ordinal);

        async Task RefusedAsync(string why, string database, params string[] settings)
        {
            var (exitCode, said, refused) = await Operator.SayAsync(home, ["create", "north", "--host", Operator.Host, "--name", "North", "--database", database, .. settings]);
            Assert.Equal((1, string.Empty), (exitCode, said));
            Assert.Contains(why, refused, StringComparison.Ordinal);
        }
    }

    private static async Task<DeskHost> StartAsync(string own, bool onlyNode) => onlyNode
        ? await DeskHost.StartAsync(("ConnectionStrings:north", own), ("BoutDesk:RequestsPerSecond", "0"))
        : await DeskHost.StartOnAsync(await PostgresForTests.FreshDatabaseAsync(), ("ConnectionStrings:north", own));

    /// <summary>Lets nobody into a database and ends who is in it, or lets them in again.</summary>
    private static async Task AllowAsync(string database, bool allowed)
    {
        var name = new NpgsqlConnectionStringBuilder(database).Database;
        await using var server = new NpgsqlConnection(await PostgresForTests.ConnectionStringAsync());
        await server.OpenAsync();
        await server.RowsAsync($"alter database {name} allow_connections {(allowed ? "true" : "false")}");
        await server.RowsAsync($"select pg_terminate_backend(pid) from pg_stat_activity where datname = '{name}' and {(allowed ? "false" : "true")}");
    }
}
