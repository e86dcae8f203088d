using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Bouts;

/// <summary>A bout as a phone at the strip runs it and a board shows it.</summary>
[Collection(OneService.Name)]
public class StripTests
{
    private readonly HttpClient desk;
    private readonly HttpClient anybody;

    public StripTests(SharedDesk shared) => (desk, anybody) = (shared.Host.Desk, shared.Host.Public);

    [Fact]
    public async Task A_phone_runs_the_clock_and_another_one_goes_on()
    {
        var bout = await PoolBoutAsync();
        var ready = await anybody.GetAsync<JsonObject>($"/api/bouts/{bout}");
        Assert.Equal(("ready", "open", "fence"), (ready.Text("phase"), ready.Text("status"), ready.Text("next")));
        Assert.Equal("""{"period":1,"remainingMs":180000,"runningSince":null,"used":false}""", ready["clock"]!.ToJsonString());
        Assert.Null(ready["lastAction"]);

        await PostAsync(bout, "clock", new { action = "start", at = "2026-11-28T10:00:00+01:00" });
        var running = await anybody.GetAsync<JsonObject>($"/api/bouts/{bout}");
        Assert.Equal(("fencing", "fencing"), (running.Text("phase"), running.Text("status")));
        Assert.Equal((180_000, "2026-11-28T09:00:00+00:00"), (running["clock"].Number("remainingMs"), running["clock"].Text("runningSince")));
        var halted = await PostAsync(bout, "clock", new { action = "halt", at = "2026-11-28T10:00:32.5+01:00" });
        Assert.Equal("""{"period":1,"remainingMs":147500,"runningSince":null,"used":true}""", halted["clock"]!.ToJsonString());
        var set = await PostAsync(bout, "clock", new { action = "set", remainingMs = 150_000 });
        Assert.Equal(("halted", 150_000), (set.Text("phase"), set["clock"].Number("remainingMs")));
        Assert.Equal(
            ["bout-programmed", "clock-started", "clock-halted", "clock-set"],
            (await anybody.ListAsync($"/api/bouts/{bout}/history")).Select(h => h.Text("what")));
    }

    [Fact]
    public async Task A_touch_halts_the_clock_with_the_time_that_the_phone_shows()
    {
        var bout = await PoolBoutAsync();
        await PostAsync(bout, "clock", new { action = "start" });
        var touched = await PostAsync(bout, "touches", new { side = "left", remainingMs = 171_000 });
        Assert.Equal(("halted", 171_000), (touched.Text("phase"), touched["clock"].Number("remainingMs")));
        Assert.Null(touched["clock"]!["runningSince"]);
        await PostAsync(bout, "clock", new { action = "start" });
        // Without it, it is reckoned: by the service's clock hardly any time has passed.
        var again = await PostAsync(bout, "touches", new { side = "right" });
        Assert.InRange(again["clock"].Number("remainingMs"), 0, 171_000);
        Assert.Equal("""{"left":1,"right":1}""", again["score"]!.ToJsonString());
    }

    [Fact]
    public async Task What_the_clock_cannot_show_is_refused()
    {
        var bout = await PoolBoutAsync();
        foreach (var body in new object[] { new { action = "set" }, new { action = "set", remainingMs = -1 }, new { action = "start", remainingMs = 3_600_001 } })
        {
            var problem = await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/clock", body, 400, "invalid-input");
            Assert.NotNull(problem["errors"]!["remainingMs"]);
        }

        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/clock", new { action = "rewind" }, 400, "invalid-input");
        await PostAsync(bout, "time", null);
        await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/clock", new { action = "start" }, 409, "priority-missing");
    }

    [Fact]
    public async Task The_card_follows_from_the_group_of_the_offence()
    {
        var bout = await PoolBoutAsync();
        var warned = await PostAsync(bout, "cards", new { side = "left", group = 1, reason = "late" });
        Assert.Equal("""[{"side":"left","card":"yellow","group":1,"touchTo":null,"excludes":false}]""", warned["cards"]!.ToJsonString());
        Assert.Equal(
            """{"left":["red","red","red","black"],"right":["yellow","red","red","black"]}""", warned["nextCards"]!.ToJsonString());
        var punished = await PostAsync(bout, "cards", new { side = "left", group = 1, reason = "late again" });
        Assert.Equal("""{"left":0,"right":1}""", punished["score"]!.ToJsonString());
        Assert.Equal("""{"side":"left","card":"red","group":1,"touchTo":"right","excludes":false}""", punished["cards"]![1]!.ToJsonString());
        Assert.Equal("""{"kind":"card","side":"left","card":"red","group":1}""", punished["lastAction"]!.ToJsonString());
        var plain = await PostAsync(bout, "cards", new { side = "right", card = "red", reason = "turned his back" });
        Assert.Null(plain["cards"]![2]!["group"]);

        foreach (var (body, field) in new (object, string)[]
        {
            (new { side = "left", reason = "late" }, "card"),
            (new { side = "left", reason = "late", card = "red", group = 2 }, "card"),
            (new { side = "left", reason = "late", group = 0 }, "group"),
            (new { side = "left", reason = "late", group = 5 }, "group"),
        })
        {
            var problem = await desk.RefusedAsync(HttpMethod.Post, $"/api/bouts/{bout}/cards", body, 400, "invalid-input");
            Assert.NotNull(problem["errors"]![field]);
        }
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task The_second_offence_of_the_third_group_excludes_also_while_the_clock_runs(bool inPool)
    {
        var bout = inPool ? await PoolBoutAsync() : await TableauBoutAsync("foil");
        var entrant = (await anybody.GetAsync<JsonObject>($"/api/bouts/{bout}"))["left"].Text("entrantId");
        await PostAsync(bout, "cards", new { side = "left", group = 3, reason = "pushes" });
        await PostAsync(bout, "clock", new { action = "start" });
        var black = await PostAsync(bout, "cards", new { side = "left", group = 3, reason = "pushes again" });
        Assert.Equal(("over", true, 3), (black.Text("phase"), black["cards"]![1]!["excludes"]!.GetValue<bool>(), black["cards"]![1].Number("group")));
        Assert.Null(black["clock"]!["runningSince"]);
        Assert.Null(black["lastAction"]);
        Assert.Equal("excluded", (await anybody.GetAsync<JsonObject>($"/api/entrants/{entrant}")).Text("status"));
        await desk.RefusedAsync(HttpMethod.Delete, $"/api/bouts/{bout}/actions/last", null, 409, inPool ? "bout-annulled" : "desk-only");

        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/reinstate", new { reason = "the other fencer" }, HttpStatusCode.OK);
        var back = await anybody.GetAsync<JsonObject>($"/api/bouts/{bout}");
        Assert.Equal(("halted", 1), (back.Text("phase"), back["cards"]!.AsArray().Count));
        Assert.Null(back["clock"]!["runningSince"]);
    }

    [Fact]
    public async Task One_button_takes_back_whatever_was_last()
    {
        var bout = await PoolBoutAsync();
        await PostAsync(bout, "touches", new { side = "both" });
        await PostAsync(bout, "cards", new { side = "left", group = 1, reason = "late" });
        await PostAsync(bout, "breaks", new { side = "right", kind = "medical" });
        await PostAsync(bout, "time", null);
        await PostAsync(bout, "priority", new { side = "left" });
        foreach (var (kind, side) in new[] { ("priority", "left"), ("time", null), ("break", "right"), ("card", "left"), ("doubleTouch", null) })
        {
            var last = (await anybody.GetAsync<JsonObject>($"/api/bouts/{bout}"))["lastAction"];
            Assert.Equal((kind, side), (last.Text("kind"), last!["side"]?.GetValue<string>()));
            await desk.SendAsync(HttpMethod.Delete, $"/api/bouts/{bout}/actions/last", null, HttpStatusCode.OK);
        }

        await desk.RefusedAsync(HttpMethod.Delete, $"/api/bouts/{bout}/actions/last", null, 409, "nothing-to-take-back");
        Assert.Equal("open", (await anybody.GetAsync<JsonObject>($"/api/bouts/{bout}")).Text("status"));
        await PostAsync(bout, "touches", new { side = "left" });
        await desk.ResultAsync(bout, 1, 0);
        await desk.RefusedAsync(HttpMethod.Delete, $"/api/bouts/{bout}/actions/last", null, 409, "desk-only");
    }

    [Fact]
    public async Task A_medical_break_is_shown_while_it_lasts_and_counted_afterwards()
    {
        var bout = await PoolBoutAsync();
        var broken = await PostAsync(bout, "breaks", new { side = "right", kind = "medical", at = "2026-11-28T10:00:00+01:00" });
        Assert.Equal("medicalBreak", broken.Text("phase"));
        var interval = broken["interval"];
        Assert.Equal(
            ("medicalBreak", 300_000, "2026-11-28T09:00:00+00:00", "right"),
            (interval.Text("phase"), interval.Number("lengthMs"), interval.Text("since"), interval.Text("side")));
        var on = await PostAsync(bout, "clock", new { action = "start" });
        Assert.Equal("fencing", on.Text("phase"));
        Assert.Null(on["interval"]);
        var taken = Assert.Single(on.Items("breaks"));
        Assert.Equal(("right", "medical", "2026-11-28T09:00:00+00:00"), (taken.Text("side"), taken.Text("kind"), taken.Text("at")));
    }

    [Fact]
    public async Task Sabre_pauses_at_eight_and_the_bout_that_a_touch_decides_while_the_clock_runs_seats_its_winner()
    {
        var bout = await TableauBoutAsync("sabre");
        for (var touch = 1; touch <= 8; touch++)
        {
            await PostAsync(bout, "touches", new { side = "left" });
        }

        var pause = await anybody.GetAsync<JsonObject>($"/api/bouts/{bout}");
        Assert.Equal(("sabreBreak", 2, "endBreak"), (pause.Text("phase"), pause.Number("period"), pause.Text("next")));
        for (var touch = 9; touch <= 15; touch++)
        {
            await PostAsync(bout, "clock", new { action = "start" });
            await PostAsync(bout, "touches", new { side = "left" });
        }

        var over = await anybody.GetAsync<JsonObject>($"/api/bouts/{bout}");
        Assert.Equal(("over", "left", "confirmResult"), (over.Text("phase"), over.Text("winner"), over.Text("next")));
        var winner = over["left"].Text("entrantId");
        var final = (await desk.TableAsync(over.Text("competitionId"), 2))[0];
        Assert.Contains(winner, new[] { final["left"]?["entrantId"]?.GetValue<string>(), final["right"]?["entrantId"]?.GetValue<string>() });
        // A clock halted once more changes nothing.
        await PostAsync(bout, "clock", new { action = "halt" });
    }

    private async Task<string> PoolBoutAsync()
    {
        var (_, pool) = await desk.OnePoolAsync(4);
        return pool.Items("bouts")[0].Id();
    }

    private async Task<string> TableauBoutAsync(string weapon)
    {
        var id = await desk.CompetitionAsync(4, weapon, formula: new { pools = new { rounds = 0 } }, checkIn: false);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, HttpStatusCode.Created);
        return (await desk.TableAsync(id, 4))[0].Id();
    }

    private Task<JsonNode> PostAsync(string bout, string what, object? body) =>
        desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/{what}", body, HttpStatusCode.OK);
}
