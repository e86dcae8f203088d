using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Equipment;

/// <summary>Checks at the equipment table over HTTP.</summary>
[Collection(OneService.Name)]
public class EquipmentTests
{
    private readonly HttpClient desk;
    private readonly HttpClient anyone;

    public EquipmentTests(SharedDesk shared) => (desk, anyone) = (shared.Host.Desk, shared.Host.Public);

    [Theory]
    [InlineData("""{ "mass": "769.9 g" }""", "mass", "kept", null)]
    [InlineData("""{ "mass": "0.77 kg" }""", "mass", "broken", "0")]
    [InlineData("""{ "mass": "781,5g" }""", "mass", "broken", "11.5")]
    [InlineData("""{ "bladeLength": "90 cm" }""", "bladeLength", "kept", null)]
    [InlineData("""{ "bladeLength": "0.9005 m" }""", "bladeLength", "broken", "0.5")]
    [InlineData("""{ "stroke": "1.5 mm" }""", "stroke", "broken", "0")]
    [InlineData("""{ "strokeLeft": "0.4 mm" }""", "strokeLeft", "kept", null)]
    [InlineData("""{ "resistance": "2 Ω" }""", "resistance", "kept", null)]
    [InlineData("""{ "resistance": "0.003 kΩ" }""", "resistance", "broken", "1")]
    [InlineData("""{ "resistance": "2.5 ohm" }""", "resistance", "broken", "0.5")]
    [InlineData("""{ "guardGauge": true }""", "guardGauge", "kept", null)]
    [InlineData("""{ "guardGauge": false }""", "guardGauge", "broken", null)]
    public async Task A_measured_value_in_any_unit_is_held_against_its_limit(string measured, string measure, string outcome, string? offBy)
    {
        var (_, entrants) = await EpeeAsync(1);
        var answer = await CheckAsync(entrants[0], new { item = "weapon", measured = JsonNode.Parse(measured), verdict = outcome == "kept" ? "passed" : null });
        var limit = answer.Items("limits").Single(l => l.Text("measure") == measure);
        Assert.Equal(outcome, limit.Text("outcome"));
        Assert.Equal(offBy is null ? null : decimal.Parse(offBy, System.Globalization.CultureInfo.InvariantCulture), limit["offBy"]?.GetValue<decimal>());
        Assert.Equal(outcome == "kept" ? "passed" : "failed", answer.Text("verdict"));
        Assert.Equal(8, answer.Items("limits").Count(l => l.Text("outcome") == "notMeasured"));
        Assert.StartsWith("FIE Rules, Book 3", limit.Text("source"), StringComparison.Ordinal);
        Assert.Contains("qualified armourer", answer.Text("caution"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("""{ "mass": 487 }""", "measured.mass", "a number with its unit")]
    [InlineData("""{ "mass": "487" }""", "measured.mass", "a number with its unit")]
    [InlineData("""{ "mass": "487 mm" }""", "measured.mass", "a number with its unit")]
    [InlineData("""{ "mass": "NaN g" }""", "measured.mass", "a number with its unit")]
    [InlineData("""{ "mass": "1e999 g" }""", "measured.mass", "a number with its unit")]
    [InlineData("""{ "mass": null }""", "measured.mass", "a number with its unit")]
    [InlineData("""{ "mass": "4870 g" }""", "measured.mass", "Cannot be 4870 g")]
    [InlineData("""{ "mass": "-487 g" }""", "measured.mass", "Cannot be -487 g")]
    [InlineData("""{ "guardGauge": "yes" }""", "measured.guardGauge", "true when the gauge passes")]
    [InlineData("""{ "colour": "487 g" }""", "measured.colour", "Known are mass, bladeLength")]
    [InlineData("""{ "punch": "12 kg" }""", "measured.punch", "measure nothing like that")]
    public async Task A_value_that_cannot_be_read_or_cannot_be_is_refused_at_its_field(string measured, string field, string sentence)
    {
        var (_, entrants) = await EpeeAsync(1);
        var problem = await desk.RefusedAsync(
            HttpMethod.Post, Checks(entrants[0]), new { item = "weapon", verdict = "passed", measured = JsonNode.Parse(measured) }, 400, "invalid-input");
        Assert.Contains(sentence, problem["errors"]![field]![0]!.GetValue<string>(), StringComparison.Ordinal);
        Assert.Empty((await desk.GetAsync<JsonObject>(Checks(entrants[0]))).Items("checks"));
    }

    [Fact]
    public async Task What_is_missing_for_a_verdict_is_named_in_the_language_of_the_reader()
    {
        var (_, entrants) = await EpeeAsync(1);
        var body = new { item = "weapon", measured = new { mass = "700 g" } };
        var problem = await desk.RefusedAsync(HttpMethod.Post, Checks(entrants[0]), body, 400, "invalid-input");
        Assert.Equal(8, problem["errors"]!.AsObject().Count);
        var french = await desk.AskAsync(HttpMethod.Post, Checks(entrants[0]), body, ("Accept-Language", "fr"));
        Assert.Equal("Mesurez-le aussi, ou donnez vous-même le verdict.", french.Json["errors"]!["measured.curve"]![0]!.GetValue<string>());
    }

    [Fact]
    public async Task What_failed_is_mended_checked_again_and_its_history_stays()
    {
        var (_, entrants) = await EpeeAsync(1);
        await CheckAsync(entrants[0], new { item = "bodyCord", measured = new { resistance = "1.4 Ω" }, note = "plug" });
        await CheckAsync(entrants[0], new { item = "bodyCord", measured = new { resistance = "0.6 Ω" }, mark = "green 3" });
        var equipment = await desk.GetAsync<JsonObject>(Checks(entrants[0]));
        Assert.Equal(["failed", "passed"], equipment.Items("checks").Select(c => c.Text("verdict")));
        Assert.Equal("bodyCord", equipment["passed"]![0]!.GetValue<string>());
        Assert.Empty(equipment.Items("failed"));
        Assert.Equal(1.4m, equipment.Items("checks")[0].Items("limits").Single()["measured"]!.GetValue<decimal>());
    }

    [Fact]
    public async Task The_rest_passes_in_one_go_and_the_latest_check_can_be_taken_back()
    {
        var (_, entrants) = await EpeeAsync(1);
        await CheckAsync(entrants[0], new { item = "mask", verdict = "failed" });
        var after = await desk.SendAsync(HttpMethod.Post, Checks(entrants[0]) + "/rest", new { mark = "green 4" }, HttpStatusCode.OK);
        Assert.False(after["complete"]!.GetValue<bool>());
        Assert.Equal(["mask"], after.Items("items").Where(i => i.Number("missing") > 0).Select(i => i.Text("item")));
        await CheckAsync(entrants[0], new { item = "mask", verdict = "passed" });
        Assert.True((await desk.GetAsync<JsonObject>(Checks(entrants[0])))["complete"]!.GetValue<bool>());

        var back = await desk.SendAsync(HttpMethod.Delete, Checks(entrants[0]) + "/last", null, HttpStatusCode.OK);
        Assert.Equal("mask", back["failed"]![0]!.GetValue<string>());
        var (_, nobody) = await EpeeAsync(1);
        await desk.RefusedAsync(HttpMethod.Delete, Checks(nobody[0]) + "/last", null, 409, "nothing-to-take-back");
    }

    [Fact]
    public async Task A_repeated_check_counts_once()
    {
        var (_, entrants) = await EpeeAsync(1);
        for (var i = 0; i < 2; i++)
        {
            await desk.SendAsync(HttpMethod.Post, Checks(entrants[0]), new { item = "mask", verdict = "passed" }, HttpStatusCode.Created, ("Idempotency-Key", "mask-1"));
        }

        Assert.Single((await desk.GetAsync<JsonObject>(Checks(entrants[0]))).Items("checks"));
    }

    [Fact]
    public async Task Notes_say_what_to_look_at_for_this_person()
    {
        var id = await desk.CompetitionAsync(0, checkIn: false);
        var entrant = (await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants", new { familyName = "Okafor", hand = "left" }, HttpStatusCode.Created)).Id();
        var answer = await CheckAsync(entrant, new { item = "jacket", verdict = "passed", opens = "left" });
        Assert.Contains("jacketOpensOnWeaponSide", answer.Items("notes").Select(n => n.Text("concern")));
        Assert.Equal("passed", answer.Text("verdict"));
    }

    [Fact]
    public async Task A_gate_that_blocks_keeps_the_referee_from_beginning_until_the_check_is_passed_or_waived()
    {
        var (competition, entrants) = await EpeeAsync(3);
        await GateAsync(competition, "block");
        var round = await desk.DrawPoolsAsync(competition, new { poolCount = 1 });
        var pool = await desk.GetAsync<JsonObject>($"/api/pools/{round.Items("pools")[0].Id()}");
        var bout = pool.Items("bouts")[0].Id();
        var pass = (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{competition.Split('-')[0]}/passes", new { kind = "referee", pools = new[] { pool.Id() } }, HttpStatusCode.Created)).Text("pass");

        var refused = await RefereeAsync(pass, bout, "touches", new { side = "left" });
        Assert.Equal((409, "equipment-not-passed"), (refused.Status, refused.Problem));
        Assert.Equal(2, refused.Json["concerns"]!.AsArray().Count);
        Assert.Equal(409, (await RefereeAsync(pass, bout, "clock", new { action = "start" })).Status);
        var stands = await desk.GetAsync<JsonObject>($"/api/bouts/{bout}/equipment");
        Assert.True(stands["hindered"]!.GetValue<bool>());
        Assert.Equal(2, stands.Items("unready").Length);

        foreach (var (entrant, i) in entrants.Select((e, i) => (e, i)))
        {
            await (i == 0
                ? desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/equipment-waiver", new { reason = "seen by the armourer" }, HttpStatusCode.OK)
                : desk.SendAsync(HttpMethod.Post, Checks(entrant) + "/rest", null, HttpStatusCode.OK));
        }

        Assert.False((await desk.GetAsync<JsonObject>($"/api/bouts/{bout}/equipment"))["hindered"]!.GetValue<bool>());
        Assert.Equal(200, (await RefereeAsync(pass, bout, "touches", new { side = "left" })).Status);

        // Once it has begun, what is fenced is recorded, whatever the armourer finds now.
        await CheckAsync(entrants[1], new { item = "mask", verdict = "failed" });
        await CheckAsync(entrants[2], new { item = "mask", verdict = "failed" });
        Assert.Equal(200, (await RefereeAsync(pass, bout, "touches", new { side = "left" })).Status);
    }

    [Fact]
    public async Task What_was_fenced_is_recorded_by_the_desk_whatever_the_gate()
    {
        var (competition, _) = await EpeeAsync(3);
        await GateAsync(competition, "block");
        var round = await desk.DrawPoolsAsync(competition, new { poolCount = 1 });
        var pool = await desk.GetAsync<JsonObject>($"/api/pools/{round.Items("pools")[0].Id()}");
        await desk.ResultAsync(pool.Items("bouts")[0].Id(), 5, 3);
        Assert.Equal(200, (await desk.AskTouchAsync(pool.Items("bouts")[1].Id(), "left")).Status);
    }

    [Fact]
    public async Task A_bout_of_the_tableau_is_not_called_while_a_gate_blocks_and_is_with_a_warning()
    {
        var tournament = await desk.TournamentAsync();
        var strip = (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Blue" }, HttpStatusCode.Created)).Id();
        var competition = await desk.TableauAloneAsync(4, tournamentId: tournament);
        var bout = (await anyone.TableAsync(competition, 4))[0].Id();
        await GateAsync(competition, "block");
        var problem = await desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{bout}/strip", new { stripId = strip }, 409, "equipment-not-passed");
        Assert.Contains("has not passed", problem.Text("detail"), StringComparison.Ordinal);

        await GateAsync(competition, "warn");
        var called = await desk.SendAsync(HttpMethod.Put, $"/api/bouts/{bout}/strip", new { stripId = strip }, HttpStatusCode.OK);
        Assert.Equal(2, called["equipment"].Items("unready").Length);
        var stands = await desk.GetAsync<JsonObject>($"/api/bouts/{bout}/equipment");
        Assert.Equal(("warn", false, 2), (stands.Text("gate"), stands["hindered"]!.GetValue<bool>(), stands.Items("unready").Length));
        // To take it off again is no call.
        await GateAsync(competition, "block");
        await desk.SendAsync(HttpMethod.Put, $"/api/bouts/{bout}/strip", new { stripId = (string?)null }, HttpStatusCode.OK);
    }

    [Fact]
    public async Task A_referees_list_says_which_fencers_are_not_ready()
    {
        var (competition, _) = await EpeeAsync(3);
        var round = await desk.DrawPoolsAsync(competition, new { poolCount = 1 });
        var pool = round.Items("pools")[0].Id();
        var pass = (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{competition.Split('-')[0]}/passes", new { kind = "referee", pools = new[] { pool } }, HttpStatusCode.Created)).Text("pass");
        Assert.All((await OwnAsync()).AsArray(), b => Assert.Null(b!["equipment"]));
        await GateAsync(competition, "warn");
        Assert.All((await OwnAsync()).AsArray(), b => Assert.Equal(2, b!["equipment"].Items("unready").Length));
        await desk.ResultAsync((await OwnAsync())[0]!["bout"].Id(), 5, 1);
        Assert.Null((await OwnAsync())[0]!["equipment"]);

        async Task<JsonNode> OwnAsync() => (await anyone.AskAsync(HttpMethod.Get, "/api/pass/bouts", null, ("Authorization", "Bearer " + pass))).Json;
    }

    [Fact]
    public async Task The_reason_of_a_waiver_is_for_the_desk()
    {
        var (competition, entrants) = await EpeeAsync(1);
        var waived = await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[0]}/equipment-waiver", new { reason = "cannot pay for a second weapon" }, HttpStatusCode.OK);
        Assert.Equal("cannot pay for a second weapon", waived.Text("waiverReason"));
        var given = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{competition.Split('-')[0]}/passes", new { kind = "armourer" }, HttpStatusCode.Created);
        var seen = (await anyone.AskAsync(HttpMethod.Get, Checks(entrants[0]), null, ("Authorization", "Bearer " + given.Text("pass")))).Json;
        Assert.True(seen["waived"]!.GetValue<bool>());
        Assert.Null(seen["waiverReason"]);
        Assert.Equal("cannot pay for a second weapon", (await desk.GetAsync<JsonObject>(Checks(entrants[0]))).Text("waiverReason"));
        await desk.RefusedAsync(HttpMethod.Post, $"/api/entrants/{entrants[0]}/equipment-waiver", new { reason = " " }, 400, "invalid-input");
    }

    [Fact]
    public async Task The_table_knows_who_waits_what_fails_and_when_it_is_done()
    {
        var (competition, entrants) = await EpeeAsync(7);
        var tournament = competition.Split('-')[0];
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrants[6]}/withdraw", new { reason = "ill" }, HttpStatusCode.OK);
        var first = DateTimeOffset.UtcNow.AddMinutes(-40);
        for (var i = 0; i < 5; i++)
        {
            await desk.SendAsync(HttpMethod.Post, Checks(entrants[i]) + "/rest", new { at = first.AddMinutes(10 * i) }, HttpStatusCode.OK);
        }

        await CheckAsync(entrants[5], new { item = "mask", verdict = "failed" });
        var table = await desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}/equipment-table");
        Assert.Equal((5, 1), (table.Number("through"), table.Number("waiting")));
        Assert.InRange(table["perHour"]!.GetValue<decimal>(), 5.9m, 6m);
        Assert.InRange(table["doneAt"]!.GetValue<DateTimeOffset>(), DateTimeOffset.UtcNow.AddMinutes(8), DateTimeOffset.UtcNow.AddMinutes(13));
        Assert.Equal(("mask", 1), (table.Items("failures").Single().Text("item"), table.Items("failures").Single().Number("failed")));
        Assert.Equal(6, table.Items("fencers").Length);
        await desk.RefusedAsync(HttpMethod.Post, Checks(entrants[5]), new { item = "mask", verdict = "passed", at = DateTimeOffset.UtcNow.AddHours(1) }, 400, "invalid-input");
    }

    [Fact]
    public async Task Rules_of_ones_own_hold_from_then_on_and_old_verdicts_stay()
    {
        var (competition, entrants) = await EpeeAsync(1);
        var address = $"/api/tournaments/{competition.Split('-')[0]}/equipment-rules";
        Assert.False((await anyone.GetAsync<JsonObject>(address))["brought"]!.GetValue<bool>());
        await CheckAsync(entrants[0], new { item = "weapon", measured = new { mass = "700 g" }, verdict = "passed" });
        var own = new
        {
            name = "Millbrook youth rules",
            edition = "2026",
            required = new[] { new { item = "weapon", count = 1, source = "§ 1" } },
            limits = new[] { new { item = "weapon", measure = "mass", relation = "below", bound = 650, source = "§ 2" } },
        };
        var brought = await desk.SendAsync(HttpMethod.Put, address, own, HttpStatusCode.OK);
        Assert.Equal("Millbrook youth rules", brought["rules"].Text("name"));
        Assert.True((await desk.GetAsync<JsonObject>(Checks(entrants[0])))["complete"]!.GetValue<bool>());

        var failed = await CheckAsync(entrants[0], new { item = "weapon", measured = new { mass = "700 g" } });
        Assert.Equal(("failed", 50m), (failed.Text("verdict"), failed.Items("limits").Single()["offBy"]!.GetValue<decimal>()));
        Assert.Equal(["passed", "failed"], failed.Items("checks").Select(c => c.Text("verdict")));
        Assert.Equal(770m, failed.Items("checks")[0].Items("limits").Single()["bound"]!.GetValue<decimal>());

        await desk.SendAsync(HttpMethod.Delete, address, null, HttpStatusCode.OK);
        Assert.False((await desk.GetAsync<JsonObject>(Checks(entrants[0])))["complete"]!.GetValue<bool>());
        var problem = await desk.RefusedAsync(
            HttpMethod.Put, address, new { name = "x", edition = "x", required = new[] { new { item = "mask", count = 0, source = "§" } }, limits = Array.Empty<object>() }, 400, "invalid-input");
        Assert.NotNull(problem["errors"]!["required[0].count"]);
    }

    private static string Checks(string entrantId) => $"/api/entrants/{entrantId}/equipment-checks";

    private async Task<(string Competition, string[] Entrants)> EpeeAsync(int fencers)
    {
        var competition = await desk.CompetitionAsync(fencers);
        return (competition, [.. (await desk.ListAsync($"/api/competitions/{competition}/entrants")).Select(e => e.Id())]);
    }

    private Task<JsonNode> CheckAsync(string entrantId, object check) => desk.SendAsync(HttpMethod.Post, Checks(entrantId), check, HttpStatusCode.Created);

    private Task<JsonNode> GateAsync(string competition, string gate) =>
        desk.SendAsync(HttpMethod.Put, $"/api/competitions/{competition}/equipment-gate", new { gate }, HttpStatusCode.OK);

    private Task<Answered> RefereeAsync(string pass, string bout, string what, object body) =>
        anyone.AskAsync(HttpMethod.Post, $"/api/bouts/{bout}/{what}", body, ("Authorization", "Bearer " + pass));
}
