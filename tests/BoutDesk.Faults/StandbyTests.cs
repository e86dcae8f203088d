using System.Diagnostics;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Faults;

/// <summary>A service on a primary and its standby, of which it may read, and of which now and then one is away or behind.</summary>
/// <remarks>
/// To see which of them answered, a name is changed at the primary past the service, which therefore knows of nothing that
/// its readers would miss.
/// </remarks>
[Collection("one after the other")]
public sealed class StandbyTests : IClassFixture<StandbyTests.Servers>, IAsyncLifetime
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);

    private readonly Cluster primary;
    private readonly Cluster standby;
    private readonly ServiceOnServers service;
    private readonly HttpClient desk;
    private readonly HttpClient everybody;
    private ScoredPool pool = null!;
    private string bout = null!;
    private string competition = null!;

    public StandbyTests(Servers servers)
    {
        (primary, standby) = (servers.Pair.Primary, servers.Pair.Standby);
        (service, desk, everybody) = (servers.Service, servers.Desk, servers.Everybody);
    }

    /// <summary>Begins a tournament, with all that is there on both servers.</summary>
    public async Task InitializeAsync()
    {
        pool = (await Stage.SetAsync(desk, 1)).Pools[0];
        bout = pool.Bouts[0].Id;
        competition = (await everybody.GetFromJsonAsync<JsonObject>(new Uri($"/api/pools/{pool.Id}", UriKind.Relative)))!["competitionId"]!.GetValue<string>();
    }

    /// <summary>Lets the standby have everything again.</summary>
    public Task DisposeAsync() => standby.ExecuteAsync("select pg_wal_replay_resume()");

    [Fact]
    public async Task Nothing_is_acknowledged_that_the_standby_does_not_have_not_even_to_who_asks_again()
    {
        await TouchAsync("before", HttpStatusCode.OK);
        standby.Kill();

        // The primary has it after the first time, and would have said so.
        await TouchAsync("meanwhile", HttpStatusCode.ServiceUnavailable);
        await TouchAsync("meanwhile", HttpStatusCode.ServiceUnavailable);

        await standby.StartAsync();
        await TouchAsync("meanwhile", HttpStatusCode.OK);
        Assert.Equal(2, await LeftAsync());
    }

    [Fact]
    public async Task No_archive_is_taken_in_that_the_standby_does_not_have_and_none_is_here_already()
    {
        var tournament = competition.Split('-')[0];
        var archive = await desk.GetByteArrayAsync(new Uri($"/api/tournaments/{tournament}/archive", UriKind.Relative));
        foreach (var table in new[] { "mt_events where stream_id", "mt_streams where id", "mt_doc_tournament where id", "mt_doc_competition where id", "mt_doc_bout where id" })
        {
            await primary.ExecuteAsync($"with gone as (delete from boutdesk.{table} like '{tournament}%' returning 1) select count(*) from gone");
        }

        standby.Kill();
        Assert.Equal(HttpStatusCode.ServiceUnavailable, await ImportAsync());
        Assert.Equal(HttpStatusCode.ServiceUnavailable, await ImportAsync());

        await standby.StartAsync();
        Assert.Equal(HttpStatusCode.Conflict, await ImportAsync());
        await TouchAsync("after", HttpStatusCode.OK);

        async Task<HttpStatusCode> ImportAsync()
        {
            using var content = new ByteArrayContent(archive) { Headers = { ContentType = new MediaTypeHeaderValue("application/zip") } };
            using var answer = await desk.PostAsync(new Uri("/api/archives", UriKind.Relative), content);
            return answer.StatusCode;
        }
    }

    [Fact]
    public async Task Of_an_erasure_nothing_is_told_before_the_standby_has_it()
    {
        var entrants = (await desk.GetFromJsonAsync<JsonArray>(new Uri($"/api/competitions/{competition}/entrants", UriKind.Relative)))!;
        var address = new Uri($"/api/entrants/{entrants[0]!["id"]!.GetValue<string>()}/erasure", UriKind.Relative);
        standby.Kill();
        Assert.Equal(HttpStatusCode.ServiceUnavailable, await EraseAsync());
        Assert.Equal(0L, await ToldAsync());

        await standby.StartAsync();
        Assert.Equal(HttpStatusCode.OK, await EraseAsync());
        Assert.Equal(1L, await ToldAsync());

        async Task<HttpStatusCode> EraseAsync()
        {
            using var answer = await desk.PostAsync(address, null);
            return answer.StatusCode;
        }

        Task<object> ToldAsync() => primary.ExecuteAsync($"select count(*) from boutdesk.mt_events where stream_id = '{competition}' and type = 'entrant-erased'");
    }

    [Fact]
    public async Task A_primary_that_is_told_to_take_no_writes_is_an_unavailable_store_until_it_takes_them_again()
    {
        await TouchAsync("before", HttpStatusCode.OK);
        await SetReadOnlyAsync("on");
        await TouchAsync("meanwhile", HttpStatusCode.ServiceUnavailable);

        await SetReadOnlyAsync("off");
        await UntilAsync(async () => (await SendTouchAsync("meanwhile")).IsSuccessStatusCode);
        await TouchAsync("meanwhile", HttpStatusCode.OK);
    }

    [Fact]
    public async Task A_service_that_finds_no_server_that_takes_writes_says_so_and_ends()
    {
        var ended = await Assert.ThrowsAsync<InvalidOperationException>(() => ServiceOnServers.StartAsync(Cluster.ConnectionStringTo(standby, standby)));
        Assert.Contains("None of the servers of ConnectionStrings:BoutDesk takes writes.", ended.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_standby_that_is_behind_answers_who_has_not_seen_more_and_nobody_else()
    {
        await FallBehindAsync();
        await RenameAsync("Newer");
        Assert.NotEqual("Newer", await NameAsync());
        // Who shows a pass can have written something, and this one does not say what it has seen.
        Assert.Equal("Newer", await NameAsync(("Authorization", $"Bearer {pool.Pass}")));

        var (position, cookie) = await TouchAsync("touch", HttpStatusCode.OK);
        Assert.Equal("Newer", await NameAsync(("BoutDesk-Position", position)));
        Assert.Equal("Newer", await NameAsync(("Cookie", cookie)));
        Assert.Equal("Newer", await NameAsync(("BoutDesk-Position", "what?")));
        Assert.Equal(1, await LeftAsync(("BoutDesk-Position", position)));

        await standby.ExecuteAsync("select pg_wal_replay_resume()");
        await UntilAsync(async () => await NameAsync() == "Newer");
        await FallBehindAsync();
        await RenameAsync("Newest");
        Assert.Equal("Newer", await NameAsync(("BoutDesk-Position", position)));
        Assert.Equal(1, await LeftAsync(("BoutDesk-Position", position)));
    }

    [Fact]
    public async Task What_the_feed_has_told_is_read_by_everybody_and_stands_on_the_board()
    {
        var follower = new Follower(service.Address, competition.Split('-')[0]);
        using var enough = new CancellationTokenSource();
        var following = follower.FollowAsync(enough.Token);
        await FallBehindAsync();
        for (var touches = 1; touches <= 3; touches++)
        {
            await TouchAsync($"touch {touches}", HttpStatusCode.OK);
            await UntilAsync(() => Task.FromResult(follower.Told.GetValueOrDefault(bout, []).Count(what => what == "touch-scored") == touches));
            Assert.Equal(touches, await LeftAsync());
        }

        await RenameAsync("Newer");
        Assert.Contains("Newer", await everybody.GetStringAsync(new Uri($"/competitions/{competition}/pools/1", UriKind.Relative)), StringComparison.Ordinal);
        await enough.CancelAsync();
        await following;
    }

    [Fact]
    public async Task When_the_standby_dies_the_primary_answers()
    {
        await FallBehindAsync();
        await RenameAsync("Newer");
        Assert.NotEqual("Newer", await NameAsync());
        standby.Kill();
        Assert.Equal("Newer", await NameAsync());
        Assert.Equal("Newer", await NameAsync());
        await standby.StartAsync();
    }

    /// <summary>Lets the standby have all there is, and nothing of what comes.</summary>
    private async Task FallBehindAsync()
    {
        await UntilAsync(async () => (bool)await standby.ExecuteAsync(
            "select last_seq_id = (select max(seq_id) from boutdesk.mt_events) from boutdesk.mt_event_progression where name = 'Feed:All'"));
        await standby.ExecuteAsync("select pg_wal_replay_pause()");
        await UntilAsync(async () => (string)await standby.ExecuteAsync("select pg_get_wal_replay_pause_state()") == "paused");
    }

    private Task<object> RenameAsync(string name) => primary.ExecuteAsync(
        $$"""update boutdesk.mt_doc_competition set data = jsonb_set(data, '{name}', '"{{name}}"') where id = '{{competition}}' returning 1""");

    private async Task SetReadOnlyAsync(string value)
    {
        await primary.ExecuteAsync($"alter system set default_transaction_read_only = {value}");
        await primary.ExecuteAsync("select pg_reload_conf()");
        // Its processes are told one after the other.
        await UntilAsync(async () => (string)await primary.ExecuteAsync("show default_transaction_read_only") == value);
        await Task.Delay(100);
    }

    private async Task<string> NameAsync(params (string Name, string Value)[] headers) =>
        (await ReadAsync($"/api/competitions/{competition}", headers))["name"]!.GetValue<string>();

    private async Task<int> LeftAsync(params (string Name, string Value)[] headers) =>
        (await ReadAsync($"/api/bouts/{bout}", headers))["score"]!["left"]!.GetValue<int>();

    private async Task<JsonObject> ReadAsync(string path, (string Name, string Value)[] headers)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, path);
        foreach (var (name, value) in headers)
        {
            request.Headers.Add(name, value);
        }

        using var answer = await everybody.SendAsync(request);
        answer.EnsureSuccessStatusCode();
        return (await answer.Content.ReadFromJsonAsync<JsonObject>())!;
    }

    private async Task<(string Position, string Cookie)> TouchAsync(string key, HttpStatusCode expected)
    {
        using var answer = await SendTouchAsync(key);
        Assert.True(answer.StatusCode == expected, $"{(int)answer.StatusCode} {await answer.Content.ReadAsStringAsync()}");
        Assert.Equal(expected == HttpStatusCode.ServiceUnavailable, answer.Headers.RetryAfter is not null);
        return expected == HttpStatusCode.OK
            ? (answer.Headers.GetValues("BoutDesk-Position").Single(), answer.Headers.GetValues("Set-Cookie").Single().Split(';')[0])
            : default;
    }

    private async Task<HttpResponseMessage> SendTouchAsync(string key)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, $"/api/bouts/{bout}/touches") { Content = JsonContent.Create(new { side = "left" }) };
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", pool.Pass);
        request.Headers.Add("Idempotency-Key", $"{bout} {key}");
        return await everybody.SendAsync(request);
    }

    private static async Task UntilAsync(Func<Task<bool>> isSo)
    {
        for (var waited = Stopwatch.StartNew(); !await isSo(); await Task.Delay(50))
        {
            Assert.True(waited.Elapsed < Patience);
        }
    }

    /// <summary>The servers of all tests, which leave them as they were, and a service that has little patience with them.</summary>
    public sealed class Servers : IAsyncLifetime
    {
        internal ServerPair Pair { get; private set; } = null!;

        internal ServiceOnServers Service { get; private set; } = null!;

        internal HttpClient Desk { get; private set; } = null!;

        internal HttpClient Everybody { get; private set; } = null!;

        public async Task InitializeAsync()
        {
            Pair = await ServerPair.StartAsync();
            Service = await ServiceOnServers.StartAsync(Pair.ConnectionString + ";Command Timeout=2", readsFromStandbys: true);
            (Desk, Everybody) = (Service.Desk(), Service.Everybody());
        }

        public async Task DisposeAsync()
        {
            Desk.Dispose();
            Everybody.Dispose();
            await Service.DisposeAsync();
            await Pair.DisposeAsync();
        }
    }
}
