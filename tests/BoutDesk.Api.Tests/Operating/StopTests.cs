using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.EventStore;
using BoutDesk.Api.Tests.Feed;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Operating;

/// <summary>A service that is told to stop finishes what it has taken, and takes nothing more.</summary>
public class StopTests
{
    [Fact]
    public async Task A_touch_that_was_taken_is_kept_and_acknowledged_and_followers_do_not_hold_up_the_stop()
    {
        await using var host = await DeskHost.StartAsync();
        var tournament = await host.Desk.TournamentAsync();
        var (_, pool) = await host.Desk.OnePoolAsync(3, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        await using var follower = await FeedListener.ListenAsync(host.Client(null), tournament);
        using var phone = host.Client(DeskHost.DeskPass);
        Task<Answered>? taken = null;
        await using (var holding = await host.OpenDatabaseAsync())
        {
            // Whoever keeps an event waits for this.
            await using var transaction = await holding.BeginTransactionAsync();
            await using var held = new NpgsqlCommand("lock table boutdesk.mt_events in share mode", holding, transaction);
            await held.ExecuteNonQueryAsync();
            taken = phone.AskAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" });
            await WaitsAsync(host);
            var restarted = host.RestartAsync();
            await Task.Delay(300);
            Assert.False(restarted.IsCompleted);
            Assert.False(taken.IsCompleted);
            await transaction.RollbackAsync();
            await restarted;
        }

        Assert.Equal(200, (await taken).Status);
        Assert.Equal(1, (await host.Desk.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"].Number("left"));
    }

    private static async Task WaitsAsync(DeskHost host)
    {
        for (var tries = 0; (await host.RowsAsync("select 1 from pg_locks where not granted")).Count == 0; tries++)
        {
            Assert.True(tries < 200, "The touch did not come to wait.");
            await Task.Delay(25);
        }
    }
}
