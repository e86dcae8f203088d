using System.Net;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Api.Board;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.Caching;

/// <summary>What the board shows is read once, and then only what happened since.</summary>
[Collection(OneService.Name)]
public class BoardStatesTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public BoardStatesTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Fact]
    public async Task After_each_step_of_a_competition_it_is_the_same_as_read_whole()
    {
        var services = host.Services;
        var stepwise = Fresh();
        var tournament = await desk.TournamentAsync();
        var competition = await desk.CompetitionAsync(8, tournamentId: tournament, formula: new { pools = new { size = 4 } });
        var entrant = (await desk.ListAsync($"/api/competitions/{competition}/entrants"))[0].Id();
        await SameAsync();

        await desk.DrawPoolsAsync(competition);
        await SameAsync();
        await desk.SendAsync(HttpMethod.Delete, $"/api/competitions/{competition}/pool-rounds/1", null, HttpStatusCode.NoContent);
        await SameAsync();
        var round = await desk.DrawPoolsAsync(competition);
        foreach (var pool in round.Items("pools"))
        {
            foreach (var bout in (await desk.GetAsync<JsonObject>($"/api/pools/{pool.Id()}")).Items("bouts").Take(3))
            {
                Assert.Equal(200, (await desk.AskTouchAsync(bout.Id(), "left")).Status);
                await desk.ResultAsync(bout.Id(), 5, 2);
            }

            await SameAsync();
        }

        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/announcements", new { text = "Lunch is served." }, HttpStatusCode.Created);
        await SameAsync();
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/equipment-checks", new { item = "mask", verdict = "passed" }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/withdraw", new { reason = "a sore knee", cause = "injury" }, HttpStatusCode.OK);
        await SameAsync();
        await desk.FenceRoundAsync(competition);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close", null, HttpStatusCode.OK);
        await SameAsync();
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        await SameAsync();
        await desk.FenceTableauAsync(competition);
        await SameAsync();

        async Task SameAsync()
        {
            await stepwise.CaughtUpAsync(CancellationToken.None);
            var whole = await Fresh().CompetitionAsync(competition);
            Assert.Equal(InWords(whole!), InWords((await stepwise.CompetitionAsync(competition))!));
        }

        BoardStates Fresh() =>
            new(services.GetRequiredService<Organiser>(), TimeProvider.System);
    }

    [Fact]
    public async Task A_touch_reads_its_bout_and_nothing_else_of_a_large_competition()
    {
        var competition = await desk.CompetitionAsync(24, formula: new { pools = new { size = 6 } }, checkIn: false);
        var pool = await desk.GetAsync<JsonObject>($"/api/pools/{(await desk.DrawPoolsAsync(competition)).Items("pools")[0].Id()}");
        var states = host.Services.GetRequiredService<BoardStates>();
        await states.CaughtUpAsync(CancellationToken.None);
        var before = (await states.CompetitionAsync(competition))!;

        var bout = pool.Items("bouts")[0].Id();
        Assert.Equal(200, (await desk.AskTouchAsync(bout, "left")).Status);
        await states.CaughtUpAsync(CancellationToken.None);
        var after = (await states.CompetitionAsync(competition))!;

        Assert.Equal([bout], after.AllBouts.Except(before.AllBouts, ReferenceEqualityComparer.Instance).Cast<Domain.Bouts.Bout>().Select(b => b.Id));
        Assert.Same(before.Competition, after.Competition);
    }

    private static string InWords(CompetitionState state) =>
        JsonSerializer.Serialize(new { state.Tournament, state.Competition, Bouts = state.AllBouts.OrderBy(b => b.Id, StringComparer.Ordinal) }, JsonSetup.Options);
}
