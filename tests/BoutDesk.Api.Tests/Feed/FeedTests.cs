using System.Net;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using BoutDesk.Api.Feed;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.Feed;

/// <summary>The feed of a tournament.</summary>
[Collection(OneService.Name)]
public class FeedTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public FeedTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Fact]
    public async Task What_happens_is_told_as_it_happens_and_only_to_those_who_follow_this_tournament()
    {
        var (tournament, other) = (await desk.TournamentAsync(), await desk.TournamentAsync());
        var (competition, pool) = await desk.OnePoolAsync(3, tournamentId: tournament);
        var (_, otherPool) = await desk.OnePoolAsync(3, tournamentId: other);
        var bout = pool.Items("bouts")[0].Id();
        await ToldSoFarAsync();
        await using var feed = await FeedListener.ListenAsync(host, tournament);
        await using var otherFeed = await FeedListener.ListenAsync(host, other);

        await desk.AskTouchAsync(bout, "left");
        await desk.ResultAsync(otherPool.Items("bouts")[0].Id(), 5, 4);
        await desk.AskTouchAsync(bout, "both");
        await desk.SendAsync(HttpMethod.Delete, $"/api/bouts/{bout}/touches/last", null, HttpStatusCode.OK);
        await desk.ResultAsync(bout, 5, 3);

        var messages = await feed.UntilAsync(m => m.Count == 4);
        Assert.Equal(["touch-scored", "touch-scored", "touch-taken-back", "result-recorded"], messages.Select(m => m.Event));
        Assert.Equal(["1:0", "2:1", "1:0", "5:3"], messages.Select(m => $"{m.Json["score"]!["left"]}:{m.Json["score"]!["right"]}"));
        Assert.Equal(messages.Select(m => m.Id).Order(), messages.Select(m => m.Id));
        Assert.All(messages, m => Assert.Equal((m.Event, competition, pool.Id(), bout), (m.Json.Text("what"), m.Json.Text("competitionId"), m.Json.Text("poolId"), m.Json.Text("boutId"))));
        Assert.Equal("left", messages[3].Json.Text("winner"));
        var elsewhere = await otherFeed.UntilAsync(m => m.Count == 1);
        Assert.Equal(otherPool.Items("bouts")[0].Id(), elsewhere[0].Json.Text("boutId"));
        Assert.Equal(4, feed.Messages.Count);
    }

    [Fact]
    public async Task A_board_is_told_what_the_clock_shows()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(3, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        await ToldSoFarAsync();
        await using var feed = await FeedListener.ListenAsync(host, tournament);

        await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/clock", new { action = "start", at = "2026-11-28T10:00:00+01:00" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left", remainingMs = 150_000 }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/clock", new { action = "set", remainingMs = 149_000 }, HttpStatusCode.OK);

        var messages = await feed.UntilAsync(m => m.Count == 4);
        Assert.Equal(["clock-started", "clock-halted", "touch-scored", "clock-set"], messages.Select(m => m.Event));
        Assert.Equal([180_000, 150_000, null, 149_000], messages.Select(m => m.Json["clock"]?["remainingMs"]!.GetValue<int>()));
        Assert.Equal("2026-11-28T09:00:00+00:00", messages[0].Json["clock"].Text("runningSince"));
        Assert.Null(messages[1].Json["clock"]!["runningSince"]);
    }

    [Fact]
    public async Task From_the_beginning_the_feed_tells_everything_and_after_any_position_the_rest()
    {
        var tournament = await desk.TournamentAsync();
        var competition = await desk.TableauAloneAsync(4, tournamentId: tournament);
        await desk.FenceTableauAsync(competition);
        await using var whole = await FeedListener.ListenAsync(host, tournament, query: "?after=0");

        var all = await whole.UntilAsync(m => m.Count(one => one.Event == "result-recorded") == 3);

        var stored = await EventStore.LookingBehind.RowsAsync(host, $"select seq_id, type from boutdesk.mt_events where stream_id = '{tournament}' or stream_id like '{tournament}-%' order by seq_id");
        Assert.Equal(stored.Select(r => ((long)r[0], (string)r[1])), all.Select(m => (m.Id, m.Event)));
        Assert.Equal("tournament-opened", all[0].Event);
        foreach (var known in new[] { 1, all.Count / 2, all.Count - 1 })
        {
            await using var rest = await FeedListener.ListenAsync(host, tournament, all[known - 1].Id);
            Assert.Equal(all.Skip(known), await rest.UntilAsync(m => m.Count == all.Count - known));
        }

        // The browser's header outdoes the address it was first opened with.
        await using var resumed = await FeedListener.ListenAsync(host, tournament, all[^2].Id, "?after=0");
        Assert.Equal([all[^1]], await resumed.UntilAsync(m => m.Count == 1));
    }

    [Fact]
    public async Task Names_years_of_birth_and_reasons_are_not_in_the_feed()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(4, tournamentId: tournament);
        var competition = (await desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}")).Items("competitions").Single().GetValue<string>();
        var entrant = pool.Items("fencers")[0].Text("entrantId");
        await desk.SendAsync(HttpMethod.Put, $"/api/entrants/{entrant}", new { familyName = "Marchetti", givenName = "Noé", club = "Étoile", birthYear = 2013 }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/equipment-checks", new { item = "mask", verdict = "failed", mark = "M-17", note = "secret rust" }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Post, $"/api/bouts/{pool.Items("bouts")[0].Id()}/cards", new { side = "left", card = "yellow", reason = "secret offence" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/withdraw", new { reason = "secret illness" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/reinstate", new { reason = "secret recovery" }, HttpStatusCode.OK);
        await desk.FenceRoundAsync(competition);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, HttpStatusCode.OK);
        var bout = pool.Items("bouts")[1].Id();
        var (read, etag) = await desk.ReadAsync($"/api/bouts/{bout}");
        Assert.Equal(200, (await desk.AskResultAsync(bout, read["score"].Number("right"), read["score"].Number("left"), etag, "secret mistake", "keep")).Status);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/exclude", new { reason = "secret offence" }, HttpStatusCode.OK);
        await using var feed = await FeedListener.ListenAsync(host, tournament, query: "?after=0");

        var all = await feed.UntilAsync(m => m.Any(one => one.Event == "entrant-excluded"));

        string[] told = ["what", "at", "competitionId", "poolId", "boutId", "entrantId", "score", "winner", "clock"];
        Assert.All(all, m => Assert.Empty(m.Json.AsObject().Select(p => p.Key).Except(told)));
        // Without the moments, whose digits can be a year by chance.
        var everything = string.Join('\n', all.Select(m => Regex.Replace(m.Data, "\"(at|runningSince)\":\"[^\"]*\"", string.Empty)));
        foreach (var personal in new[] { "Marchetti", "No\u00e9", "No\\u00E9", "toile", "2013", "2009", "Fencer0", "Robin", "Club", "FRA", "M-17", "secret", "Millbrook" })
        {
            Assert.DoesNotContain(personal, everything, StringComparison.OrdinalIgnoreCase);
        }

        Assert.Contains(all, m => m.Event == "equipment-checked" && m.Json.Text("entrantId") == entrant);
        Assert.Contains(all, m => m.Event == "ranking-revised" && m.Json.Text("competitionId") == competition);
    }

    [Fact]
    public async Task Two_hundred_touches_of_several_clients_reach_listeners_who_come_and_go_without_gap_or_double()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(4, touches: 45, tournamentId: tournament);
        var bouts = pool.Items("bouts").Take(5).Select(b => b.Id()).ToArray();
        await ToldSoFarAsync();
        await using var steady = await FeedListener.ListenAsync(host, tournament);
        var told = (await FirstAsync(tournament)).Id;

        var seed = Environment.TickCount;
        var listeners = Enumerable.Range(0, 6).Select(i => ComeAndGoAsync(new Random(seed + i))).ToArray();
        await Task.WhenAll(bouts.Select(async bout =>
        {
            for (var touch = 0; touch < 40; touch++)
            {
                var answer = await desk.AskTouchAsync(bout, touch % 2 == 0 ? "left" : "right");
                Assert.Equal(200, answer.Status);
            }
        }));

        var stored = (await EventStore.LookingBehind.RowsAsync(host, $"select seq_id from boutdesk.mt_events where stream_id like '{tournament}-%' and type = 'touch-scored' order by seq_id")).Select(r => (long)r[0]).ToArray();
        Assert.Equal(200, stored.Length);
        Assert.Equal(stored, (await steady.UntilAsync(m => m.Count >= 200)).Select(m => m.Id));
        foreach (var heard in await Task.WhenAll(listeners))
        {
            Assert.True(stored.SequenceEqual(heard), $"seed {seed}: missing {string.Join(',', stored.Except(heard))}, twice {string.Join(',', heard.GroupBy(id => id).Where(g => g.Count() > 1).Select(g => g.Key))}");
        }

        // Hangs up again and again, at any moment, and comes back with the last id.
        async Task<List<long>> ComeAndGoAsync(Random random)
        {
            var heard = new List<long>();
            var last = told;
            while (heard.Count < 200)
            {
                await using var feed = await FeedListener.ListenAsync(host, tournament, last);
                await feed.UntilAsync(m => m.Count >= 1);
                await Task.Delay(random.Next(60));
                foreach (var message in feed.Messages)
                {
                    heard.Add(message.Id);
                    last = message.Id;
                }
            }

            return heard;
        }
    }

    [Fact]
    public async Task There_is_no_feed_of_an_unknown_tournament_or_from_a_nonsensical_position()
    {
        var tournament = await desk.TournamentAsync();
        await host.Public.RefusedAsync(HttpMethod.Get, "/api/tournaments/nowhere/feed", null, 404, "not-found");
        await host.Public.RefusedAsync(HttpMethod.Get, $"/api/tournaments/{tournament}/feed", null, 400, "invalid-input", ("Last-Event-ID", "abc"));
        await host.Public.RefusedAsync(HttpMethod.Get, $"/api/tournaments/{tournament}/feed?after=-1", null, 400, "invalid-input");
        await host.Public.RefusedAsync(HttpMethod.Get, $"/api/tournaments/{tournament}/feed?after=x", null, 400, "invalid-input");
    }

    /// <summary>The last message up to now.</summary>
    /// <summary>
    /// A feed begins with what was not handed on yet, so that nothing falls between; who counts messages waits until
    /// what was kept before has been handed on.
    /// </summary>
    private async Task ToldSoFarAsync()
    {
        var kept = (long)(await EventStore.LookingBehind.RowsAsync(host, "select max(seq_id) from boutdesk.mt_events"))[0][0];
        var hub = host.Services.GetRequiredService<FeedHub>();
        while (Position() < kept)
        {
            await Task.Delay(20);
        }

        long Position()
        {
            var (channel, position) = hub.Listen("home", "none");
            hub.Leave("home", "none", channel);
            return position;
        }
    }

    private async Task<FeedMessage> FirstAsync(string tournament)
    {
        await using var feed = await FeedListener.ListenAsync(host, tournament, query: "?after=0");
        return (await feed.UntilAsync(m => m.Count(one => one.Event == "bout-programmed") == 6))[^1];
    }
}
