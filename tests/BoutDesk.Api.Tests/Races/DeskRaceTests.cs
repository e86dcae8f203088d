using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Races;

/// <summary>Several people at the desk do the same thing at the same time.</summary>
[Collection(OneService.Name)]
public class DeskRaceTests
{
    private readonly HttpClient desk;

    public DeskRaceTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task Of_two_desks_that_draw_the_pools_one_is_told_that_they_are_drawn()
    {
        var tournament = await desk.TournamentAsync();
        for (var trial = 0; trial < 5; trial++)
        {
            var competition = await desk.CompetitionAsync(12, checkIn: false, tournamentId: tournament);

            var answers = await Answers.AtOnceAsync<Answered>(Enumerable.Range(1, 2).Select<int, Func<Task<Answered>>>(
                one => () => desk.AskAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds", new { drawSeed = one })));

            var drawn = Assert.Single(answers, a => a.Status == 201);
            Assert.Equal("already-done", Assert.Single(answers, a => a.Status == 409).Problem);
            var round = await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1");
            Assert.True(JsonNode.DeepEquals(drawn.Json, round), $"{drawn.Body}\n{round}");
        }
    }

    [Fact]
    public async Task Sixty_entrants_are_checked_in_by_eight_at_once()
    {
        var competition = await desk.CompetitionAsync(60, checkIn: false);
        var waiting = new System.Collections.Concurrent.ConcurrentQueue<string>(
            (await desk.ListAsync($"/api/competitions/{competition}/entrants")).Select(e => e.Id()));

        await Task.WhenAll(Enumerable.Range(0, 8).Select(async _ =>
        {
            while (waiting.TryDequeue(out var entrant))
            {
                var answer = await desk.AskAsync(HttpMethod.Post, $"/api/entrants/{entrant}/check-in");
                Assert.True(answer.Status == 200, answer.ToString());
                Assert.Equal("checkedIn", answer.Json.Text("status"));
            }
        }));

        Assert.Equal(60, (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}")).Number("checkedIn"));
    }

    [Fact]
    public async Task Competitions_opened_at_once_get_identifiers_of_their_own()
    {
        var tournament = await desk.TournamentAsync();

        var answers = await Answers.AtOnceAsync(Enumerable.Range(1, 8).Select<int, Func<Task<Answered>>>(number => () => desk.AskAsync(
            HttpMethod.Post,
            $"/api/tournaments/{tournament}/competitions",
            new { name = $"Competition {number}", weapon = "foil", category = "women" })));

        Assert.All(answers, a => Assert.True(a.Status == 201, a.ToString()));
        var listed = await desk.ListAsync($"/api/tournaments/{tournament}/competitions");
        Assert.Equal(
            answers.Select(a => (a.Json.Id(), a.Json.Text("name"))).Order(),
            listed.Select(c => (c.Id(), c.Text("name"))).Order());
        Assert.Equal(8, listed.Select(c => c.Id()).Distinct().Count());
    }
}
