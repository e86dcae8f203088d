using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Races;

/// <summary>Elimination bouts that lead into the same next bout are decided at the same time.</summary>
[Collection(OneService.Name)]
public class TableauRaceTests
{
    private readonly HttpClient desk;

    public TableauRaceTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task Both_winners_of_semi_finals_decided_at_the_same_moment_are_in_the_final()
    {
        var tournament = await desk.TournamentAsync();
        for (var trial = 0; trial < 8; trial++)
        {
            var competition = await desk.TableauAloneAsync(4, "bout", tournament);
            var semis = await desk.TableAsync(competition, 4);

            var answers = await Answers.AtOnceAsync<Answered>(
                [() => desk.AskResultAsync(semis[0].Id(), 15, 7), () => desk.AskResultAsync(semis[1].Id(), 8, 15)]);

            Assert.All(answers, a => Assert.True(a.Status == 200, a.ToString()));
            var tableau = await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/tableau");
            var final = tableau.Items("rounds")[1].Items("bouts").Single();
            Assert.Equal(semis[0]["left"].Text("entrantId"), final["left"].Text("entrantId"));
            Assert.Equal(semis[1]["right"].Text("entrantId"), final["right"].Text("entrantId"));
            Assert.Equal(semis[0]["right"].Text("entrantId"), tableau["thirdPlace"]!["left"].Text("entrantId"));
            Assert.Equal(semis[1]["left"].Text("entrantId"), tableau["thirdPlace"]!["right"].Text("entrantId"));
        }
    }

    [Fact]
    public async Task A_tableau_of_32_fenced_by_eight_clients_at_once_goes_to_the_best_seeds()
    {
        var competition = await desk.TableauAloneAsync(32);

        await Task.WhenAll(Enumerable.Range(0, 8).Select(FenceAsync));

        Assert.Equal("finished", (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}")).Text("stage"));
        var seeds = await desk.ListAsync($"/api/competitions/{competition}/seeding");
        var classification = await desk.ListAsync($"/api/competitions/{competition}/classification");
        Assert.Equal(
            seeds.Select(s => s.Text("entrantId")).Order(StringComparer.Ordinal),
            classification.Select(l => l.Text("entrantId")).Order(StringComparer.Ordinal));
        Assert.Equal(seeds.Take(4).Select(s => s.Text("entrantId")), classification.Take(4).Select(l => l.Text("entrantId")));
        Assert.Equal([1, 2, 3, 3, 5], classification.Take(5).Select(l => l.Number("place")));

        // Each takes the open bouts in an order of its own, so that some are sent by two at once: the same result again changes nothing.
        async Task FenceAsync(int client)
        {
            while (true)
            {
                var tableau = await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/tableau");
                var open = tableau.Items("rounds").SelectMany(r => r.Items("bouts")).Where(b => b.Text("status") != "decided").ToArray();
                if (open.Length == 0)
                {
                    return;
                }

                var ready = open.Where(b => b.Text("status") != "waiting").ToArray();
                if (ready.Length == 0)
                {
                    continue;
                }

                var bout = ready[client % ready.Length];
                var leftWins = bout["left"].Number("seed") < bout["right"].Number("seed");
                var answer = await desk.AskResultAsync(bout.Id(), leftWins ? 15 : 9, leftWins ? 9 : 15);
                Assert.True(answer.Status == 200, answer.ToString());
            }
        }
    }

    [Fact]
    public async Task A_winner_who_withdraws_at_the_moment_of_his_victory_does_not_fence_the_next_bout()
    {
        var tournament = await desk.TournamentAsync();
        for (var trial = 0; trial < 8; trial++)
        {
            var competition = await desk.TableauAloneAsync(4, tournamentId: tournament);
            var semis = await desk.TableAsync(competition, 4);
            await desk.ResultAsync(semis[1].Id(), 15, 11);
            var leaver = semis[0]["left"].Text("entrantId");

            var answers = await Answers.AtOnceAsync<Answered>(
            [
                () => desk.AskResultAsync(semis[0].Id(), 15, 7),
                () => desk.AskAsync(HttpMethod.Post, $"/api/entrants/{leaver}/withdraw", new { reason = "cramp" }),
            ]);

            Assert.Equal(200, answers[1].Status);
            var final = (await desk.TableAsync(competition, 2)).Single();
            if (answers[0].Status == 200)
            {
                // He won and then left: he is second.
                Assert.Equal("right", final.Text("winner"));
                Assert.Equal("finished", (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}")).Text("stage"));
                Assert.Equal(leaver, (await desk.ListAsync($"/api/competitions/{competition}/classification"))[1].Text("entrantId"));
            }
            else
            {
                // He left before he had won: his opponent goes on.
                Assert.Equal("bout-decided", answers[0].Problem);
                Assert.Equal("open", final.Text("status"));
                Assert.Equal(semis[0]["right"].Text("entrantId"), final["left"].Text("entrantId"));
            }
        }
    }
}
