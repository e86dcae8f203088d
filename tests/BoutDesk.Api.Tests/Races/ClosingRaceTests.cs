using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Races;

/// <summary>A round is closed at the very moment at which its last result, a correction or a withdrawal comes in.</summary>
[Collection(OneService.Name)]
public class ClosingRaceTests
{
    private const int Trials = 6;

    private readonly DeskHost host;
    private readonly HttpClient desk;

    public ClosingRaceTests(SharedDesk shared) => (host, desk) = (shared.Host, shared.Host.Desk);

    [Theory]
    [InlineData("another result is corrected")]
    [InlineData("a fencer of the last bout withdraws")]
    [InlineData("another fencer withdraws")]
    [InlineData("a fencer of the last bout is excluded by a black card")]
    public async Task What_was_acknowledged_while_a_round_was_closed_is_in_its_ranking_and_the_rest_was_refused(string meanwhile)
    {
        var tournament = await desk.TournamentAsync();
        for (var trial = 0; trial < Trials; trial++)
        {
            var because = $"{meanwhile}, trial {trial}";
            var (competition, pool) = await desk.OnePoolAsync(4, tournamentId: tournament);
            var bouts = pool.Items("bouts");
            var last = bouts[^1];
            foreach (var bout in bouts[..^1])
            {
                await desk.ResultAsync(bout.Id(), 5, 2);
            }

            using var referee = await host.RefereeAsync(tournament, pools: [pool.Id()]);
            var (_, read) = await desk.ReadAsync($"/api/bouts/{bouts[0].Id()}");
            var (_, readSecond) = await desk.ReadAsync($"/api/bouts/{bouts[1].Id()}");
            var entrants = pool.Items("fencers").ToDictionary(f => f.Number("position"), f => f.Text("entrantId"));
            Func<Task<Answered>> other = meanwhile switch
            {
                "a fencer of the last bout withdraws" => () => desk.AskAsync(HttpMethod.Post, $"/api/entrants/{entrants[last.Number("left")]}/withdraw", new { reason = "hurt" }),
                "another fencer withdraws" => () => desk.AskAsync(HttpMethod.Post, $"/api/entrants/{entrants.Values.Except([entrants[last.Number("left")], entrants[last.Number("right")]]).First()}/withdraw", new { reason = "hurt" }),
                "a fencer of the last bout is excluded by a black card" => () => referee.AskAsync(HttpMethod.Post, $"/api/bouts/{last.Id()}/cards", new { side = "left", card = "black", reason = "brutality" }),
                _ => () => desk.AskResultAsync(bouts[1].Id(), 4, 5, readSecond, "touches were exchanged"),
            };

            var answers = await Answers.AtOnceAsync<Answered>(
            [
                CloseAsync,
                () => referee.AskResultAsync(last.Id(), 5, 4),
                other,
                () => desk.AskResultAsync(bouts[0].Id(), 1, 5, read, "sides were exchanged"),
                CloseAsync,
            ]);

            var (result, others, correction) = (answers[1], answers[2], answers[3]);
            Assert.All(answers, a => Assert.True(a.Status is 200 or 409 or 412, $"{because}: {a}"));
            Assert.Equal([200, 409], new[] { answers[0].Status, answers[4].Status }.Order());

            var round = await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1");
            pool = await desk.GetAsync<JsonObject>($"/api/pools/{pool.Id()}");
            Assert.True(round["closed"]!.GetValue<bool>());
            SheetArithmetic.AssertRanks(pool, round.Items("standings"), because);

            var lastNow = pool.Items("bouts")[^1];
            if (lastNow.Text("status") == "decided")
            {
                Assert.True(result.Status == 200, $"{because}: the result stands, but was answered {result}");
                Assert.Equal("""{"left":5,"right":4}""", lastNow["score"]!.ToJsonString());
            }
            else
            {
                // Only a fencer who left before the closing makes up for a missing result.
                Assert.Equal("annulled", lastNow.Text("status"));
                Assert.Equal(200, others.Status);
            }

            var firstNow = await desk.GetAsync<JsonObject>($"/api/bouts/{bouts[0].Id()}");
            Assert.Equal(correction.Status == 200 ? """{"left":1,"right":5}""" : """{"left":5,"right":2}""", firstNow["score"]!.ToJsonString());

            if (meanwhile == "another result is corrected")
            {
                var secondNow = await desk.GetAsync<JsonObject>($"/api/bouts/{bouts[1].Id()}");
                Assert.Equal(others.Status == 200 ? """{"left":4,"right":5}""" : """{"left":5,"right":2}""", secondNow["score"]!.ToJsonString());
            }

            // Whoever left after the closing keeps his rank, and nothing more can be scored.
            Assert.Equal("round-closed", (await referee.AskTouchAsync(pool.Items("bouts").First(b => b.Text("status") == "decided").Id(), "left")).Problem);

            // Comes as long as bouts are open, so as to be there at the very moment at which none is.
            async Task<Answered> CloseAsync()
            {
                while (true)
                {
                    var answer = await desk.AskAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds/1/close");
                    if (answer.Problem != "bouts-open")
                    {
                        return answer;
                    }
                }
            }
        }
    }
}
