using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.EventStore;
using Xunit;

namespace BoutDesk.Api.Tests.Repeats;

/// <summary>A disk with no room left, as PostgreSQL tells it: here by a trigger, in the fault runs by filling one.</summary>
public sealed class FullDiskTests : IAsyncLifetime
{
    private DeskHost host = null!;

    public async Task InitializeAsync() => host = await DeskHost.StartAsync();

    public async Task DisposeAsync() => await host.DisposeAsync();

    [Fact]
    public async Task Whoever_writes_is_told_that_the_disk_is_full_and_the_repeat_counts_once()
    {
        var (_, pool) = await host.Desk.OnePoolAsync(3);
        var bout = pool.Items("bouts")[0].Id();
        await host.RowsAsync("""
            create function public.no_room() returns trigger language plpgsql as
                $$ begin raise exception 'could not extend file' using errcode = 'disk_full'; end $$;
            create trigger no_room before insert on boutdesk.mt_events for each row execute function public.no_room();
            select 1;
            """);
        var refused = await TouchAsync();
        Assert.Equal((503, "store-unavailable"), (refused.Status, refused.Problem));
        Assert.Contains("The disk that the data is on is full", refused.Json.Text("detail"), StringComparison.Ordinal);
        Assert.Equal(200, (await host.Desk.AskAsync(HttpMethod.Get, $"/api/bouts/{bout}")).Status);

        await host.RowsAsync("drop trigger no_room on boutdesk.mt_events; select 1");
        Assert.Equal(200, (await TouchAsync()).Status);
        Assert.Equal(200, (await TouchAsync()).Status);
        Assert.Equal(1, (await host.Desk.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"].Number("left"));

        Task<Answered> TouchAsync() => host.Desk.AskAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, ("Idempotency-Key", "touch"));
    }
}
