using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Tests.Organisers;
using BoutDesk.Domain.Bouts;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.EventStore;

/// <summary>
/// What a service remembers of its bouts may be out of date, whatever the reason: here because another writes to its
/// database, though it was told that it is alone.
/// </summary>
public sealed class BoutMemoryTests : IAsyncLifetime
{
    private DeskHost host = null!;
    private DeskHost other = null!;
    private string tournament = null!;
    private string bout = null!;

    public async Task InitializeAsync()
    {
        host = await DeskHost.StartAsync();
        other = await DeskHost.StartOnAsync(host.ConnectionString, ("BoutDesk:OnlyNode", "true"));
        tournament = await host.Desk.TournamentAsync();
        var (_, pool) = await host.Desk.OnePoolAsync(3, tournamentId: tournament);
        bout = pool.Items("bouts")[0].Id();
    }

    public async Task DisposeAsync()
    {
        await other.DisposeAsync();
        await host.DisposeAsync();
    }

    [Fact]
    public async Task A_bout_is_remembered_from_its_first_touch_on_and_not_where_other_services_write()
    {
        Assert.Null(Remembered(host));
        await TouchAsync(host, "left");
        Assert.Equal(1, Remembered(host)?.Score.Left);
        await TouchAsync(host, "left");
        Assert.Equal(2, Remembered(host)?.Score.Left);

        await using var beside = await DeskHost.StartOnAsync(host.ConnectionString);
        await TouchAsync(beside, "left");
        Assert.Null(Remembered(beside));
    }

    [Fact]
    public async Task What_is_remembered_is_what_the_store_has()
    {
        await TouchAsync(host, "left");
        await host.Desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/clock", new { action = "start", remainingMs = 170_000 }, HttpStatusCode.OK);
        await TouchAsync(host, "right");
        await using var session = host.Services.GetRequiredService<IDocumentStore>().QuerySession(Organiser.Home);
        var stored = await session.LoadAsync<Bout>(bout);
        var json = host.Services.GetRequiredService<IDocumentStore>().Options.Serializer();
        Assert.Equal(json.ToJson(stored), json.ToJson(Remembered(host)));
    }

    [Fact]
    public async Task Touches_on_a_bout_that_has_moved_on_count_on_top_of_it()
    {
        await TouchAsync(host, "left");
        await TouchAsync(other, "right");
        await TouchAsync(host, "left");
        await TouchAsync(other, "right");
        Assert.Equal("""{"left":2,"right":2}""", (await host.Public.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"]!.ToJsonString());
        Assert.Equal(4, (await host.Desk.ListAsync($"/api/bouts/{bout}/history")).Count(l => l.Text("what") == "touch-scored"));
    }

    [Fact]
    public async Task Nothing_is_refused_or_allowed_on_account_of_what_is_remembered_alone()
    {
        for (var touch = 0; touch < 5; touch++)
        {
            await TouchAsync(host, "left");
        }

        // The fifth touch was a mistake, which this service has not heard of.
        await other.Desk.SendAsync(HttpMethod.Delete, $"/api/bouts/{bout}/actions/last", null, HttpStatusCode.OK);
        await TouchAsync(host, "right");
        await TouchAsync(host, "left");

        Assert.Equal(200, (await other.Desk.AskResultAsync(bout, 5, 1, (await other.Desk.ReadAsync($"/api/bouts/{bout}")).ETag)).Status);
        var late = await host.Desk.AskAsync(HttpMethod.Post, $"/api/bouts/{bout}/cards", new { side = "left", card = "yellow", reason = "late" });
        Assert.Equal((await other.Desk.AskAsync(HttpMethod.Post, $"/api/bouts/{bout}/cards", new { side = "left", card = "yellow", reason = "late" })).Problem, late.Problem);
        Assert.NotNull(late.Problem);
    }

    [Fact]
    public async Task A_repeat_gets_its_first_answer_however_much_came_after_it()
    {
        var first = await host.Desk.AskTouchAsync(bout, "left", ("Idempotency-Key", "first"));
        Assert.Equal(first, await host.Desk.AskTouchAsync(bout, "left", ("Idempotency-Key", "first")));
        for (var action = 0; action < 12; action++)
        {
            await host.Desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/clock", new { action = "set", remainingMs = 100_000 + action }, HttpStatusCode.OK, ("Idempotency-Key", $"later {action}"));
        }

        Assert.Equal(first, await host.Desk.AskTouchAsync(bout, "left", ("Idempotency-Key", "first")));
        Assert.Equal(1, (await host.Public.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"].Number("left"));
    }

    [Fact]
    public async Task Nothing_is_remembered_of_an_organiser_that_is_being_moved()
    {
        var pass = await Operator.CreateAsync("north", Operator.Host, host);
        using var north = host.ClientAt(Operator.Host, pass);
        var (_, pool) = await north.OnePoolAsync(3);
        var first = pool.Items("bouts")[0].Id();
        Assert.Equal(200, (await north.AskTouchAsync(first, "left")).Status);
        await TouchAsync(host, "left");
        var memory = host.Services.GetRequiredService<BoutMemory>();
        Assert.NotNull(memory.Find("north", first, null));
        await Operator.DoAsync(host.ConnectionString, "close", "north");
        for (var tries = 0; memory.Find("north", first, null) is not null; tries++)
        {
            Assert.True(tries < 200, "The bout is remembered still.");
            await Task.Delay(50);
        }

        Assert.NotNull(Remembered(host));
    }

    private async Task TouchAsync(DeskHost at, string side)
    {
        var answer = await at.Desk.AskTouchAsync(bout, side);
        Assert.True(answer.Status == 200, answer.ToString());
    }

    private Bout? Remembered(DeskHost at) => at.Services.GetRequiredService<BoutMemory>().Find(Organiser.Home, bout, null);
}
