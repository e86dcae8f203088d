using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.EventStore;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Races;

/// <summary>Touches that come in at the same time.</summary>
[Collection(OneService.Name)]
public class TouchRaceTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public TouchRaceTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Fact]
    public async Task Every_touch_of_two_referees_on_one_bout_counts_once()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(3, touches: 45, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        using var one = await host.RefereeAsync(tournament, pools: [pool.Id()]);
        using var other = await host.RefereeAsync(tournament, bouts: [bout]);

        await Task.WhenAll(ScoreAsync(one, "left"), ScoreAsync(other, "right"));

        var scored = await desk.GetAsync<JsonObject>($"/api/bouts/{bout}");
        Assert.Equal("""{"left":25,"right":25}""", scored["score"]!.ToJsonString());
        var history = await desk.ListAsync($"/api/bouts/{bout}/history");
        Assert.Equal(50, history.Count(l => l.Text("what") == "touch-scored"));
        Assert.Equal(2, history.Where(l => l.Text("what") == "touch-scored").Select(l => l.Text("by")).Distinct().Count());

        async Task ScoreAsync(HttpClient referee, string side)
        {
            for (var touch = 0; touch < 25; touch++)
            {
                var answer = await referee.AskTouchAsync(bout, side);
                Assert.True(answer.Status == 200, answer.ToString());
            }
        }
    }

    [Fact]
    public async Task A_crowd_on_one_bout_is_answered_with_a_touch_or_asked_to_try_again()
    {
        var (_, pool) = await desk.OnePoolAsync(3, touches: 45);
        var bout = pool.Items("bouts")[0].Id();

        var answers = await Answers.AtOnceAsync(Enumerable.Range(0, 40).Select<int, Func<Task<Answered>>>(_ => () => desk.AskTouchAsync(bout, "left")));

        Assert.All(answers, a => Assert.True(a.Status == 200 || a.Problem == "busy", a.ToString()));
        var kept = answers.Count(a => a.Status == 200);
        Assert.True(kept > 0);
        Assert.Equal(kept, (await desk.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"].Number("left"));
        // Each answer shows the bout after its own touch.
        Assert.Equal(Enumerable.Range(1, kept), answers.Where(a => a.Status == 200).Select(a => a.Json["score"].Number("left")).Order());
    }

    [Fact]
    public async Task Bouts_on_different_strips_never_hinder_each_other()
    {
        var competition = await desk.CompetitionAsync(32, formula: new { pools = new { size = 4 } }, checkIn: false);
        var round = await desk.DrawPoolsAsync(competition);
        var pools = await Task.WhenAll(round.Items("pools").Select(p => desk.GetAsync<JsonObject>($"/api/pools/{p.Id()}")));
        var bouts = new System.Collections.Concurrent.ConcurrentQueue<string>(
            Enumerable.Range(0, 6).SelectMany(order => pools.Select(p => p.Items("bouts")[order].Id())));
        Assert.Equal(48, bouts.Count);

        await Task.WhenAll(Enumerable.Range(0, 16).Select(async _ =>
        {
            while (bouts.TryDequeue(out var bout))
            {
                foreach (var side in new[] { "left", "right" })
                {
                    var touch = await desk.AskTouchAsync(bout, side);
                    Assert.True(touch.Status == 200, touch.ToString());
                }

                var result = await desk.AskResultAsync(bout, 5, 3);
                Assert.True(result.Status == 200, result.ToString());
            }
        }));

        var close = await desk.AskAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close");
        Assert.Equal(200, close.Status);
        Assert.All(close.Json.Items("ranking"), line => Assert.Equal(3, line.Number("bouts")));
    }

    [Fact]
    public async Task Touches_that_have_to_wait_are_kept_in_one_transaction_and_each_is_told_its_own_outcome()
    {
        var tournament = await desk.TournamentAsync();
        var (_, pool) = await desk.OnePoolAsync(7, tournamentId: tournament);
        string[] bouts = [.. pool.Items("bouts").Select(b => b.Id())];
        using var one = await host.RefereeAsync(tournament, pools: [pool.Id()]);
        using var other = await host.RefereeAsync(tournament, pools: [pool.Id()]);
        HttpClient Of(int bout) => bout % 2 == 0 ? one : other;

        var answers = await WhileTheFirstIsHeldAsync(
            bouts, (bout, i) => Of(i).AskTouchAsync(bout, i == 1 ? "middle" : "left", i == 2 ? [("If-Match", "\"77-x\"")] : []));

        Assert.Equal("invalid-input", answers[1].Problem);
        Assert.Equal("stale", answers[2].Problem);
        int[] kept = [.. Enumerable.Range(0, bouts.Length).Except([1, 2])];
        Assert.All(kept, bout => Assert.True(answers[bout].Status == 200 && answers[bout].Json["id"]!.GetValue<string>() == bouts[bout], answers[bout].ToString()));
        var transactions = await host.RowsAsync($"select distinct xmin::text from boutdesk.mt_events where type = 'touch-scored' and stream_id like '{pool.Id()}b%'");
        Assert.InRange(transactions.Count, 1, kept.Length / 2);
        var by = new List<string>();
        foreach (var bout in bouts)
        {
            by.Add(string.Join(' ', (await desk.ListAsync($"/api/bouts/{bout}/history")).Where(l => l.Text("what") == "touch-scored").Select(l => l.Text("by"))));
        }

        Assert.All(kept, bout => Assert.Equal(by[bout % 2 == 0 ? 0 : 3], by[bout]));
        Assert.NotEqual(by[0], by[3]);
        Assert.Equal(["", ""], by[1..3]);
    }

    /// <summary>A transaction that fails on account of one command is not the fault of the others that were to be kept in it.</summary>
    [Theory]
    [InlineData("22000", "internal")]
    [InlineData("40P01", "busy")]
    public async Task What_the_store_refuses_of_one_hinders_no_other(string state, string problem)
    {
        var (_, pool) = await desk.OnePoolAsync(7);
        string[] bouts = [.. pool.Items("bouts").Select(b => b.Id())];
        await using var connection = await host.OpenDatabaseAsync();
        await ExecuteAsync(connection, $"""
            create function boutdesk.refuse() returns trigger language plpgsql as
            $$ begin if new.stream_id = '{bouts[4]}' then raise exception 'refused by a test' using errcode = '{state}'; end if; return new; end $$;
            create trigger refuse before insert on boutdesk.mt_events for each row execute function boutdesk.refuse();
            """);
        Answered[] answers;
        try
        {
            answers = await WhileTheFirstIsHeldAsync(bouts, (bout, _) => desk.AskTouchAsync(bout, "left"));
        }
        finally
        {
            await ExecuteAsync(connection, "drop function boutdesk.refuse cascade");
        }

        Assert.Equal(problem, answers[4].Problem);
        Assert.All(answers.Where((_, bout) => bout != 4), a => Assert.True(a.Status == 200, a.ToString()));
        foreach (var bout in bouts)
        {
            Assert.Equal(bout == bouts[4] ? 0 : 1, (await desk.ListAsync($"/api/bouts/{bout}/history")).Count(l => l.Text("what") == "touch-scored"));
        }
    }

    /// <summary>Sends one for each bout, the first of which is not kept before the others wait.</summary>
    private async Task<Answered[]> WhileTheFirstIsHeldAsync(string[] bouts, Func<string, int, Task<Answered>> send)
    {
        await using var holding = await host.OpenDatabaseAsync();
        await using var transaction = await holding.BeginTransactionAsync();
        await ExecuteAsync(holding, "lock table boutdesk.mt_events in share mode");
        var first = send(bouts[0], 0);
        while ((await host.RowsAsync("select 1 from pg_locks where not granted")).Count == 0)
        {
            await Task.Delay(20);
        }

        var rest = bouts.Skip(1).Select((bout, i) => send(bout, i + 1)).ToArray();
        await Task.Delay(500);
        await transaction.RollbackAsync();
        return [await first, .. await Task.WhenAll(rest)];
    }

    private static async Task ExecuteAsync(NpgsqlConnection connection, string sql)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync();
    }
}
