using Xunit;

namespace BoutDesk.Api.Tests.Feed;

/// <summary>The feed of a service that is stopped and started again.</summary>
public sealed class FeedAfterRestartTests : IAsyncLifetime
{
    private DeskHost host = null!;

    public async Task InitializeAsync() => host = await DeskHost.StartAsync();

    public async Task DisposeAsync() => await host.DisposeAsync();

    [Fact]
    public async Task A_listener_who_comes_back_after_a_restart_misses_nothing_and_hears_nothing_twice()
    {
        var tournament = await host.Desk.TournamentAsync();
        var (_, pool) = await host.Desk.OnePoolAsync(3, touches: 45, tournamentId: tournament);
        var bout = pool.Items("bouts")[0].Id();
        var heard = new List<FeedMessage>();
        for (var start = 0; start < 3; start++)
        {
            await using (var feed = await FeedListener.ListenAsync(host, tournament, heard.LastOrDefault()?.Id, "?after=0"))
            {
                await host.Desk.AskTouchAsync(bout, "left");
                heard.AddRange(await feed.UntilAsync(m => m.Any(one => one.Event == "touch-scored")));
                // Nobody may have been told of these when the service stops.
                await host.Desk.AskTouchAsync(bout, "right");
                await host.Desk.AskTouchAsync(bout, "right");
            }

            await host.RestartAsync();
            await host.Desk.AskTouchAsync(bout, "right");
        }

        await using (var feed = await FeedListener.ListenAsync(host, tournament, heard[^1].Id))
        {
            await host.Desk.AskTouchAsync(bout, "left");
            heard.AddRange(await feed.UntilAsync(m => m.Any(one => one.Json["score"]?["left"]?.GetValue<int>() == 4)));
        }

        var stored = await EventStore.LookingBehind.RowsAsync(host, "select seq_id from boutdesk.mt_events order by seq_id");
        Assert.Equal(stored.Select(r => (long)r[0]), heard.Select(m => m.Id));
    }
}
