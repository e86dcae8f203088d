using System.Diagnostics;
using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.EventStore;
using BoutDesk.Api.Tests.Feed;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Xunit;

namespace BoutDesk.Api.Tests.Nodes;

/// <summary>Two services on one database, and clients that are answered now by the one, now by the other.</summary>
public sealed class TwoNodesTests : IAsyncLifetime
{
    private DeskHost one = null!;
    private DeskHost other = null!;

    public async Task InitializeAsync()
    {
        var database = await PostgresForTests.FreshDatabaseAsync();
        // At once, so that both find the database empty.
        var both = await Task.WhenAll(DeskHost.StartOnAsync(database), DeskHost.StartOnAsync(database));
        (one, other) = (both[0], both[1]);
    }

    public async Task DisposeAsync()
    {
        await other.DisposeAsync();
        await one.DisposeAsync();
    }

    [Fact]
    public async Task What_was_done_at_one_is_there_at_the_other_from_the_answer_on()
    {
        var tournament = await one.Desk.TournamentAsync();
        var (competition, pool) = await other.Desk.OnePoolAsync(4, tournamentId: tournament);
        var (asked, answering) = (one, other);
        foreach (var bout in pool.Items("bouts").Select(b => b.Id()))
        {
            (asked, answering) = (answering, asked);
            await asked.Desk.ResultAsync(bout, 5, 2);
            var (read, etag) = await answering.Desk.ReadAsync($"/api/bouts/{bout}");
            Assert.Equal("5:2", $"{read["score"]!["left"]}:{read["score"]!["right"]}");
            Assert.Equal(etag, (await asked.Desk.ReadAsync($"/api/bouts/{bout}")).ETag);
            // Without a pass too, where answers are kept for many.
            foreach (var list in new[] { $"/api/pools/{pool.Id()}/standings", $"/api/competitions/{competition}/pool-rounds/1" })
            {
                var address = new Uri(list, UriKind.Relative);
                Assert.Equal(await asked.Public.GetStringAsync(address), await answering.Public.GetStringAsync(address));
            }
        }

        Assert.Equal(200, (await other.Desk.AskAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close")).Status);
        Assert.Equal(201, (await one.Desk.AskAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau")).Status);
    }

    [Fact]
    public async Task What_is_sent_again_to_the_other_counts_once_and_is_answered_the_same()
    {
        var (_, pool) = await one.Desk.OnePoolAsync(4);
        foreach (var (bout, i) in pool.Items("bouts").Select((b, i) => (b.Id(), i)))
        {
            var key = ("Idempotency-Key", $"touch-{i}");
            Answered[] answers = await Task.WhenAll(one.Desk.AskTouchAsync(bout, "left", key), other.Desk.AskTouchAsync(bout, "left", key));
            answers = [.. answers, await other.Desk.AskTouchAsync(bout, "left", key)];
            Assert.All(answers, a => Assert.True(a.Status == 200, a.ToString()));
            Assert.Single(answers.Select(a => a.Json.ToJsonString()).Distinct());
            Assert.Equal(1, (await one.Desk.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"].Number("left"));
        }
    }

    [Fact]
    public async Task Every_touch_of_two_referees_on_one_bout_who_are_answered_by_different_services_counts_once()
    {
        var (_, pool) = await one.Desk.OnePoolAsync(3, touches: 45);
        var bout = pool.Items("bouts")[0].Id();

        await Task.WhenAll(ScoreAsync(one.Desk, "left"), ScoreAsync(other.Desk, "right"));

        Assert.Equal("""{"left":20,"right":20}""", (await other.Desk.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"]!.ToJsonString());

        async Task ScoreAsync(HttpClient referee, string side)
        {
            for (var touch = 0; touch < 20; touch++)
            {
                var answer = await referee.AskTouchAsync(bout, side);
                for (; answer.Problem == "busy"; answer = await referee.AskTouchAsync(bout, side))
                {
                    await Task.Delay(20);
                }

                Assert.True(answer.Status == 200, answer.ToString());
            }
        }
    }

    [Fact]
    public async Task Followers_of_both_are_told_everything_once_and_in_order_and_go_on_at_the_other()
    {
        var tournament = await one.Desk.TournamentAsync();
        var (_, pool) = await one.Desk.OnePoolAsync(4, touches: 45, tournamentId: tournament);
        string[] bouts = [.. pool.Items("bouts").Select(b => b.Id())];
        var heard = new Dictionary<DeskHost, List<FeedMessage>> { [one] = [], [other] = [] };
        for (var turn = 1; turn <= 3; turn++)
        {
            await using var atOne = await FeedListener.ListenAsync(one, tournament, heard[one].LastOrDefault()?.Id, "?after=0");
            await using var atOther = await FeedListener.ListenAsync(other, tournament, heard[other].LastOrDefault()?.Id, "?after=0");
            await Task.WhenAll(bouts.Select((bout, i) => (i % 2 == 0 ? one : other).Desk.AskTouchAsync(bout, "left")));
            heard[one].AddRange(await atOne.UntilAsync(m => m.Count(IsTouch) == bouts.Length));
            heard[other].AddRange(await atOther.UntilAsync(m => m.Count(IsTouch) == bouts.Length));
            // From the next turn on each listens at the other service.
            (heard[one], heard[other]) = (heard[other], heard[one]);
        }

        var stored = await one.RowsAsync($"select seq_id, type from boutdesk.mt_events where stream_id = '{tournament}' or stream_id like '{tournament}-%' order by seq_id");
        Assert.All(heard.Values, messages => Assert.Equal(stored.Select(r => ((long)r[0], (string)r[1])), messages.Select(m => (m.Id, m.Event))));

    }

    [Fact]
    public async Task An_older_service_ends_when_a_newer_one_has_kept_what_it_does_not_know_and_no_sooner()
    {
        var tournament = await one.Desk.TournamentAsync();
        DeskHost[] both = [one, other];
        await one.RowsAsync("insert into boutdesk.event_names values ('wall-painted') returning 1");
        await using (var listener = await FeedListener.ListenAsync(other, tournament, null, "?after=0"))
        {
            await listener.UntilAsync(m => m.Count == 1);
        }

        Assert.All(both, host => Assert.False(Ends(host)));

        await one.RowsAsync($"""
            insert into boutdesk.mt_events (seq_id, id, stream_id, version, data, type, timestamp, tenant_id, mt_dotnet_type)
            select nextval('boutdesk.mt_events_sequence'), gen_random_uuid(), stream_id, 2, '{"{}"}', 'wall-painted', timestamp, tenant_id, 'BoutDesk.WallPainted, BoutDesk'
            from boutdesk.mt_events where stream_id = '{tournament}' returning 1
            """);
        for (var waited = Stopwatch.StartNew(); !both.All(Ends); await Task.Delay(50))
        {
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(30));
        }

        Assert.Equal(503, (await one.Public.AskAsync(HttpMethod.Get, "/health/ready")).Status);

        static bool Ends(DeskHost host) => host.Services.GetRequiredService<IHostApplicationLifetime>().ApplicationStopping.IsCancellationRequested;
    }

    private static bool IsTouch(FeedMessage message) => message.Event == "touch-scored";

    [Fact]
    public async Task The_feed_goes_on_at_each_when_the_other_stops_and_comes_back()
    {
        var tournament = await one.Desk.TournamentAsync();
        var (_, pool) = await one.Desk.OnePoolAsync(3, touches: 45, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        foreach (var (staying, leaving) in new[] { (one, other), (other, one) })
        {
            // Of what was done before, the feed may still have to tell.
            var last = (long)(await one.RowsAsync("select max(seq_id) from boutdesk.mt_events"))[0][0];
            await using var feed = await FeedListener.ListenAsync(staying, tournament, last);
            await leaving.RestartAsync(async () =>
            {
                await staying.Desk.AskTouchAsync(bout, "left");
                await feed.UntilAsync(m => m.Count(IsTouch) == 1);
            });
            await leaving.Desk.AskTouchAsync(bout, "right");
            var told = await feed.UntilAsync(m => m.Count(IsTouch) == 2);
            Assert.Equal(["touch-scored", "touch-scored"], told.Select(m => m.Event));
        }
    }

    [Fact]
    public async Task A_board_page_at_the_one_shows_what_was_done_at_the_other()
    {
        var tournament = await one.Desk.TournamentAsync();
        var (competition, pool) = await one.Desk.OnePoolAsync(3, tournamentId: tournament);
        var page = new Uri($"/competitions/{competition}/pools/1", UriKind.Relative);
        await using var atOne = await FeedListener.ListenAsync(one, tournament);
        await using var atOther = await FeedListener.ListenAsync(other, tournament);
        var before = await other.Public.GetStringAsync(page);
        foreach (var (asked, i) in new[] { (one, 0), (other, 1), (one, 2) })
        {
            await asked.Desk.ResultAsync(pool.Items("bouts")[i].Id(), 5, i);
            await atOne.UntilAsync(m => m.Count(IsResult) == i + 1);
            await atOther.UntilAsync(m => m.Count(IsResult) == i + 1);
            var after = await other.Public.GetStringAsync(page);
            Assert.NotEqual(before, after);
            Assert.Equal(await one.Public.GetStringAsync(page), after);
            before = after;
        }

        static bool IsResult(FeedMessage message) => message.Event == "result-recorded";
    }

    [Fact]
    public async Task Nothing_of_a_person_comes_back_through_commands_of_the_other_service_while_it_is_erased()
    {
        var tournament = await one.Desk.TournamentAsync();
        var competition = await one.Desk.CompetitionAsync(6, tournamentId: tournament, checkIn: false);
        var people = new List<string>();
        for (var name = 'a'; name < 'p'; name++)
        {
            var person = new { familyName = $"Quill{name}feather", givenName = "Zenobia", club = "Ravenscourt" };
            people.Add((await one.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", person, HttpStatusCode.Created)).Id());
            await one.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/loan-kit", new { item = "glove", label = $"of {person.familyName}", club = "Oakmere" }, HttpStatusCode.Created);
        }

        using var enough = new CancellationTokenSource();
        var others = Enumerable.Range(0, 4).Select(_ => LendAsync()).ToArray();
        await Task.Delay(300);

        foreach (var person in people)
        {
            await one.Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{person}/erasure", new { }, HttpStatusCode.OK);
        }

        await Task.Delay(300);
        await enough.CancelAsync();
        Assert.All(await Task.WhenAll(others), lent => Assert.True(lent > 0));
        foreach (var table in await one.RowsAsync("select format('%I.%I', schemaname, tablename) from pg_tables where schemaname = 'boutdesk'"))
        {
            Assert.Equal(0L, (await one.RowsAsync($"select count(*) from {table[0]} t where t::text ilike '%quill_feather%'"))[0][0]);
        }

        async Task<int> LendAsync()
        {
            var lent = 0;
            while (!enough.IsCancellationRequested)
            {
                var answer = await other.Desk.AskAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/loan-kit", new { item = "mask", club = "Oakmere" });
                Assert.True(answer.Status == 201 || answer.Problem == "busy", answer.ToString());
                lent += answer.Status == 201 ? 1 : 0;
            }

            return lent;
        }
    }
}
