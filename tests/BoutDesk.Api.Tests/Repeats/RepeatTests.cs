using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Repeats;

/// <summary>A request that is sent again with its Idempotency-Key, because its answer was lost on the way.</summary>
[Collection(OneService.Name)]
public class RepeatTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public RepeatTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Fact]
    public async Task A_touch_sent_ten_times_at_once_counts_once_and_all_get_the_same_answer()
    {
        var (_, pool) = await desk.OnePoolAsync(3);
        var bout = pool.Items("bouts")[0].Id();
        var key = Key();

        var answers = await Answers.AtOnceAsync(Enumerable.Range(0, 10).Select<int, Func<Task<Answered>>>(_ => () => desk.AskTouchAsync(bout, "left", key)));

        Assert.Equal(200, answers[0].Status);
        Assert.Single(answers.Distinct());
        Assert.Equal("""{"left":1,"right":0}""", (await desk.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"]!.ToJsonString());
        // Nor does it matter what happened meanwhile.
        await desk.AskTouchAsync(bout, "left", Key());
        Assert.Equal(answers[0], await desk.AskTouchAsync(bout, "left", key));
    }

    [Fact]
    public async Task The_first_answer_comes_again_whatever_the_operation()
    {
        var tournament = await desk.TournamentAsync();
        var (competition, pool) = await desk.OnePoolAsync(4, tournamentId: tournament);
        var bouts = pool.Items("bouts");
        foreach (var bout in bouts[1..])
        {
            await desk.ResultAsync(bout.Id(), 5, 2);
        }

        await RepeatedAsync(201, HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Blue" });
        await RepeatedAsync(200, HttpMethod.Put, $"/api/bouts/{bouts[0].Id()}/result", new { left = 5, right = 4, winner = "left" });
        await RepeatedAsync(200, HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null);
        await RepeatedAsync(201, HttpMethod.Post, $"/api/competitions/{competition}/tableau", null);
        await RepeatedAsync(204, HttpMethod.Delete, $"/api/competitions/{competition}/tableau", null);

        async Task RepeatedAsync(int status, HttpMethod method, string path, object? body)
        {
            var key = Key();
            var first = await desk.AskAsync(method, path, body, key);
            Assert.Equal(status, first.Status);
            Assert.Equal(first, await desk.AskAsync(method, path, body, key));
        }
    }

    [Fact]
    public async Task A_key_that_came_with_another_request_is_refused()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(3, tournamentId: tournament);
        var (bout, other) = (pool.Items("bouts")[0].Id(), pool.Items("bouts")[1].Id());
        using var referee = await host.RefereeAsync(tournament, pools: [pool.Id()]);
        var key = Key();
        Assert.Equal(200, (await desk.AskTouchAsync(bout, "left", key)).Status);

        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "right" }, 422, "key-reused", key);
        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{other}/touches", new { side = "left" }, 422, "key-reused", key);
        await desk.RefusedAsync(HttpMethod.Delete, $"/api/bouts/{bout}/touches/last", null, 422, "key-reused", key);
        await referee.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, 422, "key-reused", key);
        Assert.Equal("""{"left":1,"right":0}""", (await desk.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"]!.ToJsonString());
    }

    [Fact]
    public async Task A_refusal_is_not_kept_so_that_the_same_key_succeeds_once_nothing_is_in_the_way()
    {
        var (competition, pool) = await desk.OnePoolAsync(3);
        var key = Key();
        await desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, 409, "bouts-open", key);
        foreach (var bout in pool.Items("bouts"))
        {
            await desk.ResultAsync(bout.Id(), 5, 2);
        }

        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, HttpStatusCode.OK, key);
    }

    [Fact]
    public async Task A_correction_repeated_with_its_key_is_no_lost_update()
    {
        var (_, pool) = await desk.OnePoolAsync(3);
        var bout = pool.Items("bouts")[0].Id();
        await desk.ResultAsync(bout, 5, 2);
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{bout}");
        var correction = new { left = 5, right = 3, winner = "left", reason = "misheard" };
        var key = Key();

        var first = await desk.AskAsync(HttpMethod.Put, $"/api/bouts/{bout}/result", correction, key, ("If-Match", etag));
        Assert.Equal(200, first.Status);
        // The version in If-Match is the one before the correction, yet the repeat is answered and not refused as stale.
        Assert.Equal(first, await desk.AskAsync(HttpMethod.Put, $"/api/bouts/{bout}/result", correction, key, ("If-Match", etag)));
    }

    private static (string, string) Key() => ("Idempotency-Key", Guid.NewGuid().ToString());
}
