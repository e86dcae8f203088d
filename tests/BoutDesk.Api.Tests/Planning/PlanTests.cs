using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Planning;

/// <summary>The day plan over HTTP.</summary>
[Collection(OneService.Name)]
public class PlanTests
{
    private readonly HttpClient desk;

    public PlanTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task A_day_is_planned_from_the_entries_and_ends_by_its_bound_or_after()
    {
        var tournament = await desk.TournamentAsync();
        var foil = await desk.CompetitionAsync(30, "foil", tournamentId: tournament, checkIn: false);
        var epee = await desk.CompetitionAsync(18, "epee", tournamentId: tournament, checkIn: false);
        var plan = await PlanAsync(tournament, new { opensAt = "09:00", closesAt = "18:00", strips = 6, closures = new[] { new { from = "12:30", to = "13:15" } } });
        Assert.Equal([foil, epee], plan.Items("competitions").Select(c => c.Text("competitionId")));
        Assert.Equal([30, 18], plan.Items("competitions").Select(c => c.Number("fencers")));
        // Half of both lists are the same people of the same club.
        Assert.Equal(18, plan.Items("enteredTwice").Single().Number("fencers"));
        var stages = plan.Items("competitions").SelectMany(c => c.Items("stages")).ToArray();
        Assert.All(stages, s => Assert.Equal(TimeSpan.FromHours(1), Time(s, "from").Offset));
        Assert.All(stages, s => Assert.InRange(s["strips"]!.AsArray().Count, 1, 6));
        Assert.True(Time(plan, "endsAt") >= Time(plan, "lowerBound"));
        Assert.Equal(Time(plan, "endsAt"), stages.Max(s => Time(s, "to")));
        Assert.Equal(Time(plan, "endsAt") <= Time(plan, "closesAt"), plan["fits"]!.GetValue<bool>());
        Assert.Equal(
            ["stripsFewer 1", "refereesMissing 2", "lateEntries 12", "stripsMore 1", "stripsMore 2", "noClosures ", "openEarlier 60"],
            plan.Items("whatIf").Select(w => $"{w.Text("change")} {w["number"]}"));
        Assert.Equal(plan.ToJsonString(), (await PlanAsync(tournament, new { opensAt = "09:00", closesAt = "18:00", strips = 6, closures = new[] { new { from = "12:30", to = "13:15" } } })).ToJsonString());
    }

    [Theory]
    [InlineData(0)]
    [InlineData(2000)]
    public async Task Plans_of_days_on_which_something_is_otherwise_stand_beside_the_plan(int steps)
    {
        var tournament = await desk.TournamentAsync();
        foreach (var (fencers, weapon) in new[] { (60, "foil"), (36, "epee"), (27, "sabre") })
        {
            await desk.CompetitionAsync(fencers, weapon, tournamentId: tournament, checkIn: false);
        }

        var whatIf = new { stripsFewer = 3, refereesMissing = 4, lateEntries = 9 };
        var plan = await PlanAsync(tournament, new { opensAt = "09:00", closesAt = "18:00", strips = 8, referees = 10, steps, whatIf });
        var others = plan.Items("whatIf");
        Assert.Equal(
            ["stripsFewer 3 5 10", "refereesMissing 4 8 6", "lateEntries 9 8 10", "stripsMore 1 9 11", "stripsMore 2 10 12", "openEarlier 60 8 10"],
            others.Select(o => $"{o.Text("change")} {o["number"]} {o["strips"]} {o["referees"]}"));
        foreach (var (other, i) in others.Select((o, i) => (o, i)))
        {
            // With less it never ends earlier, with more never later.
            Assert.True(i < 3 ? other.Number("laterMinutes") >= 0 : other.Number("laterMinutes") <= 0, other.ToJsonString());
            Assert.Equal(other.Number("laterMinutes"), (Time(other, "endsAt") - Time(plan, "endsAt")).TotalMinutes);
            Assert.Equal(Time(other, "endsAt"), other.Items("competitions").Max(c => Time(c, "to")));
            Assert.Equal(other.Number("waitMinutes"), other.Items("competitions").Sum(c => c.Number("waitMinutes")));
            foreach (var (its, planned) in other.Items("competitions").Zip(plan.Items("competitions")))
            {
                Assert.Equal(planned.Text("competitionId"), its.Text("competitionId"));
                Assert.Equal(its.Number("laterMinutes"), (Time(its, "to") - Time(planned, "to")).TotalMinutes);
                Assert.Equal(its["fits"]!.GetValue<bool>(), Time(its, "to") <= Time(plan, "closesAt"));
                Assert.True(its.Items("stages").All(s => s["strips"]!.AsArray().Count <= other.Number("strips")));
            }
        }

        Assert.Equal([69, 36, 27], others[2].Items("competitions").Select(c => c.Number("fencers")));
        Assert.True(steps == 0 || others[0].Number("laterMinutes") > 0);
        // What is kept is the plan that was shown.
        var kept = await desk.SendAsync(
            HttpMethod.Put, $"/api/tournaments/{tournament}/plan", new { opensAt = "09:00", closesAt = "18:00", strips = 8, referees = 10, steps, whatIf }, HttpStatusCode.OK);
        Assert.Equal(plan.Text("endsAt"), kept.Text("endsAt"));

        var none = await PlanAsync(tournament, new { opensAt = "00:00", closesAt = "18:00", strips = 3, steps = 0, whatIf = new { stripsFewer = 3, refereesMissing = 0, lateEntries = 0 } });
        Assert.All(none.Items("whatIf"), o => Assert.Equal("stripsMore", o.Text("change")));
    }

    [Fact]
    public async Task What_is_known_better_than_the_entries_say_goes_first()
    {
        var tournament = await desk.TournamentAsync();
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Blue" }, HttpStatusCode.Created);
        var one = await desk.CompetitionAsync(0, "foil", tournamentId: tournament, checkIn: false);
        var empty = await desk.CompetitionAsync(0, "epee", tournamentId: tournament, checkIn: false);
        var plan = await PlanAsync(tournament, new
        {
            opensAt = "08:00",
            closesAt = "20:00",
            competitions = new[] { new { id = one, fencers = 6, notBefore = "10:15", poolBoutMinutes = 3.5, eliminationBoutMinutes = 12, young = true } },
        });
        Assert.Equal([empty], plan["notPlanned"]!.AsArray().Select(c => c!.GetValue<string>()));
        var planned = plan.Items("competitions").Single();
        Assert.Equal("10:15", Time(planned, "from").ToString("HH:mm", System.Globalization.CultureInfo.InvariantCulture));
        // 15 bouts of 3.5 minutes on the one strip, up to the next five minutes.
        Assert.Equal(55, (Time(planned.Items("stages")[0], "to") - Time(planned.Items("stages")[0], "from")).TotalMinutes);
        Assert.True(planned["young"]!.GetValue<bool>());
    }

    [Theory]
    [InlineData("""{ "opensAt": "nine", "closesAt": "18:00", "strips": 2 }""", "opensAt")]
    [InlineData("""{ "opensAt": "18:00", "closesAt": "09:00", "strips": 2 }""", "closesAt")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00" }""", "strips")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 0 }""", "strips")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "referees": 0 }""", "referees")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "closures": [{ "from": "13:00", "to": "12:00" }] }""", "closures[0].to")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "competitions": [{ "id": "x" }] }""", "competitions[0].id")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "steps": 1000001 }""", "steps")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "seed": -1 }""", "seed")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "whatIf": { "stripsFewer": -1 } }""", "whatIf.stripsFewer")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "whatIf": { "lateEntries": 201 } }""", "whatIf.lateEntries")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "whatIf": { "refereesMissing": 101 } }""", "whatIf.refereesMissing")]
    [InlineData("""{ "opensAt": "09:00", "closesAt": "18:00", "strips": 2, "steps": 10, "stopAfter": 11 }""", "stopAfter")]
    public async Task What_cannot_be_planned_is_said_at_its_field(string body, string field)
    {
        var tournament = await desk.TournamentAsync();
        await desk.CompetitionAsync(8, tournamentId: tournament, checkIn: false);
        var problem = await desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", JsonNode.Parse(body), 400, "invalid-input");
        Assert.NotNull(problem["errors"]![field]);
    }

    [Fact]
    public async Task A_day_without_anybody_and_a_field_too_small_for_its_formula_are_refused()
    {
        var tournament = await desk.TournamentAsync();
        await desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", new { opensAt = "09:00", closesAt = "18:00", strips = 2 }, 400, "invalid-input");
        await desk.CompetitionAsync(2, tournamentId: tournament, checkIn: false);
        var problem = await desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", new { opensAt = "09:00", closesAt = "18:00", strips = 2 }, 400, "invalid-input");
        Assert.Contains("at least 3 fencers", problem.Text("detail"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_plan_is_kept_stays_as_it_is_and_is_given_up()
    {
        var tournament = await desk.TournamentAsync();
        var address = $"/api/tournaments/{tournament}/plan";
        await desk.RefusedAsync(HttpMethod.Get, address, null, 404, "not-found");
        var competition = await desk.CompetitionAsync(30, "foil", tournamentId: tournament, checkIn: false);
        var asked = new { opensAt = "09:00", closesAt = "18:00", strips = 4, closures = new[] { new { from = "12:30", to = "13:15" } }, steps = 1000 };
        var plan = await PlanAsync(tournament, asked);
        var kept = await desk.SendAsync(HttpMethod.Put, address, asked, HttpStatusCode.OK);
        Assert.Equal(plan.Text("endsAt"), kept.Text("endsAt"));
        Assert.Equal(plan.Text("lowerBound"), kept.Text("lowerBound"));
        Assert.Equal(
            plan.Items("competitions")[0].Items("stages").Select(s => (s.Text("kind"), s.Text("from"), s.Text("to"), string.Join(' ', s["strips"]!.AsArray()))),
            kept.Items("stages").Select(s => (s.Text("kind"), s.Text("from"), s.Text("to"), s.Text("strips"))));

        await desk.CompetitionAsync(40, "epee", tournamentId: tournament, checkIn: false);
        var read = await desk.AskAsync(HttpMethod.Get, address);
        Assert.Equal(kept["stages"]!.ToJsonString(), JsonNode.Parse(read.Body)!["stages"]!.ToJsonString());
        var csv = await desk.AskAsync(HttpMethod.Get, address + "/stages?format=csv");
        Assert.Contains($"{competition},", csv.Body, StringComparison.Ordinal);

        await desk.RefusedAsync(HttpMethod.Put, address, new { opensAt = "09:00", closesAt = "08:00", strips = 4 }, 400, "invalid-input");
        await desk.RefusedAsync(HttpMethod.Put, address, asked, 412, "stale", ("If-Match", "\"1\""));
        await desk.SendAsync(HttpMethod.Delete, address, null, HttpStatusCode.NoContent);
        await desk.SendAsync(HttpMethod.Delete, address, null, HttpStatusCode.NoContent);
        await desk.RefusedAsync(HttpMethod.Get, address, null, 404, "not-found");
    }

    [Fact]
    public async Task A_kept_plan_says_what_it_was_made_for_and_which_numbers_have_moved_away_from_it()
    {
        var tournament = await desk.TournamentAsync();
        var address = $"/api/tournaments/{tournament}/plan";
        var counted = await desk.CompetitionAsync(12, "foil", tournamentId: tournament, checkIn: false);
        var expected = await desk.CompetitionAsync(5, "epee", tournamentId: tournament, checkIn: false);
        var kept = await desk.SendAsync(HttpMethod.Put, address, new
        {
            opensAt = "09:00",
            closesAt = "18:00",
            strips = 4,
            steps = 0,
            competitions = new[] { new { id = expected, fencers = 6, notBefore = "10:30" } },
            whatIf = new { stripsFewer = 2, refereesMissing = 0, lateEntries = 5 },
        }, HttpStatusCode.OK);
        Assert.Equal([$"{counted} 12 False", $"{expected} 6 True"], kept["madeFor"]!.Items("competitions").Select(c => $"{c.Text("competitionId")} {c.Number("fencers")} {c["expected"]!.GetValue<bool>()}"));
        Assert.Equal("2026-11-28T10:30:00+01:00", kept["madeFor"]!.Items("competitions")[1].Text("notBefore"));
        Assert.Equal((2, 0, 5), (kept["madeFor"]!["whatIf"]!.Number("stripsFewer"), kept["madeFor"]!["whatIf"]!.Number("refereesMissing"), kept["madeFor"]!["whatIf"]!.Number("lateEntries")));
        Assert.Empty(kept.Items("moved"));

        foreach (var (competition, count) in new[] { (counted, 1), (expected, 2) })
        {
            for (var i = 0; i < count; i++)
            {
                await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", new { familyName = $"Late{i}" }, HttpStatusCode.Created);
            }
        }

        var moved = await desk.GetAsync<JsonObject>(address);
        Assert.Equal(["Open foil: planned for 12, 13 entered.", "Open epee: planned for 6, 7 entered."], moved.Items("moved").Select(m => m.Text("sentence")));
        Assert.Equal([(12, 13), (6, 7)], moved.Items("moved").Select(m => (m.Number("planned"), m.Number("entered"))));
        // The form begins with what the plan was made for.
        var page = (await desk.AskAsync(HttpMethod.Get, $"/desk/tournaments/{tournament}/plan")).Body;
        Assert.Contains("Open foil: planned for 12, 13 entered.", page, StringComparison.Ordinal);
        Assert.Matches("""name="n2"[^>]* value="6""", page);
        Assert.Matches("""name="from2"[^>]* value="10:30""", page);
        Assert.Matches("""name="fewer"[^>]* value="2""", page);
        Assert.DoesNotMatch("""name="n1"[^>]* value="1""", page);
    }

    [Fact]
    public async Task Without_a_number_of_referees_the_list_says_who_is_there_when_and_for_what()
    {
        var tournament = await desk.TournamentAsync();
        var foil = await desk.CompetitionAsync(0, "foil", tournamentId: tournament, checkIn: false);
        var sabres = await desk.CompetitionAsync(0, "sabre", tournamentId: tournament, checkIn: false);
        var competitions = new[] { foil, sabres }.Select(id => new { id, fencers = 14 }).ToArray();
        var asked = new { opensAt = "09:00", closesAt = "18:00", strips = 6, steps = 500, competitions };
        Assert.False((await PlanAsync(tournament, asked))["refereesByList"]!.GetValue<bool>());
        await ListAsync("Lind", ["foil", "epee"]);
        await ListAsync("Otero", ["foil"]);
        var alone = await desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", asked, 400, "invalid-input");
        Assert.Equal("No referee on the list is for the weapon of Open sabre. List one, or say how many referees there will be.", alone["errors"]!["referees"]![0]!.GetValue<string>());

        var sabre = await ListAsync("Vogt", ["sabre"], from: "12:00", breaks: ["12:10-12:30"]);
        var plan = await PlanAsync(tournament, asked);
        Assert.Equal((true, 3), (plan["refereesByList"]!.GetValue<bool>(), plan.Number("referees")));
        Assert.All(plan.Items("competitions")[0].Items("stages"), s => Assert.InRange(s["strips"]!.AsArray().Count, 1, 2));
        Assert.All(plan.Items("competitions")[1].Items("stages"), s => Assert.Single(s["strips"]!.AsArray()));
        Assert.Equal("12:30", Time(plan.Items("competitions")[1], "from").ToString("HH:mm", System.Globalization.CultureInfo.InvariantCulture));
        // Nobody can take Vogt's place; of the others one may be missing.
        var missing = await PlanAsync(tournament, new { asked.opensAt, asked.closesAt, asked.strips, asked.steps, competitions, whatIf = new { refereesMissing = 1 } });
        Assert.Contains(missing.Items("whatIf"), w => w.Text("change") == "refereesMissing" && w.Number("referees") == 2);
        Assert.DoesNotContain(plan.Items("whatIf"), w => w.Text("change") == "refereesMissing");

        // A number goes before the list, and who is away does not count.
        Assert.Equal("09:00", Time((await PlanAsync(tournament, new { asked.opensAt, asked.closesAt, asked.strips, asked.steps, competitions, referees = 3 })).Items("competitions")[1], "from").ToString("HH:mm", System.Globalization.CultureInfo.InvariantCulture));
        await desk.SendAsync(HttpMethod.Post, $"/api/referees/{sabre}/away", null, HttpStatusCode.OK);
        await desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", asked, 400, "invalid-input");

        // The kept plan remembers that it was made by the list.
        await desk.SendAsync(HttpMethod.Post, $"/api/referees/{sabre}/back", null, HttpStatusCode.OK);
        var kept = await desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{tournament}/plan", asked, HttpStatusCode.OK);
        Assert.True(kept["madeFor"]!["refereesByList"]!.GetValue<bool>());
        Assert.Contains("id=\"by-list\"", (await desk.AskAsync(HttpMethod.Get, $"/desk/tournaments/{tournament}/plan")).Body, StringComparison.Ordinal);

        // Who goes home at one has no time for sabre.
        await ListAsync("Weir", ["foil"]);
        await desk.SendAsync(HttpMethod.Put, $"/api/referees/{sabre}", new { familyName = "Vogt", weapons = new[] { "sabre" }, from = "12:00", to = "12:40" }, HttpStatusCode.OK);
        var never = await PlanAsync(tournament, asked);
        Assert.Equal((false, "referees"), (never["fits"]!.GetValue<bool>(), never["boundBy"]!.Text("limit")));
        Assert.Contains("not there for long enough for Open sabre", never["relax"]![0]!.GetValue<string>(), StringComparison.Ordinal);

        async Task<string> ListAsync(string familyName, string[] weapons, string? from = null, string[]? breaks = null) =>
            (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/referees", new { familyName, weapons, from, breaks }, HttpStatusCode.Created)).Id();
    }

    [Fact]
    public async Task Each_competition_is_planned_on_strips_that_serve_its_weapon()
    {
        var tournament = await desk.TournamentAsync();
        var foil = await desk.CompetitionAsync(0, "foil", tournamentId: tournament, checkIn: false);
        var sabre = await desk.CompetitionAsync(0, "sabre", tournamentId: tournament, checkIn: false);
        var competitions = new[] { foil, sabre }.Select(id => new { id, fencers = 28 }).ToArray();
        await StripAsync("Blue");
        await StripAsync("Red", "foil");
        var asked = new { opensAt = "09:00", closesAt = "12:00", steps = 2000, competitions };
        await StripAsync("Green", "foil", "epee");
        await StripAsync("Yellow", "epee", "sabre");
        var plan = await PlanAsync(tournament, asked);
        Assert.Equal(
            ["2 Red [\"foil\"]", "3 Green [\"foil\",\"epee\"]", "4 Yellow [\"epee\",\"sabre\"]"],
            plan.Items("stripsOfKinds").Select(s => $"{s.Number("number")} {s.Text("name")} {s["weapons"]!.ToJsonString()}"));
        OnlyOn(plan, [1, 2, 3], [1, 4]);
        // Of two strips fewer the last of the list go, which leaves the blue one to the sabre; two more are for every weapon.
        var fewer = await PlanAsync(tournament, new { asked.opensAt, asked.closesAt, asked.steps, competitions, whatIf = new { stripsFewer = 2, refereesMissing = 0, lateEntries = 0 } });
        Assert.Equal(("stripsFewer", 2), (fewer.Items("whatIf")[0].Text("change"), fewer.Items("whatIf")[0].Number("strips")));
        OnlyOn(fewer.Items("whatIf")[0], [1, 2], [1]);
        OnlyOn(fewer.Items("whatIf").Single(w => w.Text("change") == "stripsMore" && w.Number("strips") == 6), [1, 2, 3, 5, 6], [1, 4, 5, 6]);
        Assert.All(fewer.Items("whatIf"), o => Assert.True(o.Number("strips") < 4 ? o.Number("laterMinutes") >= 0 : o.Number("laterMinutes") <= 0, o.ToJsonString()));

        // What keeps the day is the two strips for sabre; with their number alone all strips are alike.
        var longSabre = await PlanAsync(tournament, new { asked.opensAt, asked.closesAt, asked.steps, competitions = new[] { new { id = foil, fencers = 8 }, new { id = sabre, fencers = 60 } } });
        Assert.Equal("strips", longSabre["boundBy"]!.Text("limit"));
        Assert.StartsWith("All 2 strips that serve Open sabre are busy until", longSabre["relax"]![0]!.GetValue<string>(), StringComparison.Ordinal);
        var alike = await PlanAsync(tournament, new { asked.opensAt, asked.closesAt, asked.steps, competitions, strips = 4 });
        Assert.Empty(alike.Items("stripsOfKinds"));

        // The exact solver plans on the same strips.
        OnlyOn(await PlanAsync(tournament, new { asked.opensAt, asked.closesAt, asked.steps, competitions, prove = true }), [1, 2, 3], [1, 4]);

        // The kept plan remembers that it was made by the list, and the page says which strips serve some weapons only.
        var kept = await desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{tournament}/plan", asked, HttpStatusCode.OK);
        Assert.True(kept["madeFor"]!["stripsByList"]!.GetValue<bool>());
        var page = (await desk.AskAsync(HttpMethod.Get, $"/desk/tournaments/{tournament}/plan")).Body;
        Assert.Contains("Strips for some weapons only: 2 (Red) only foil; 3 (Green) only foil, ", page, StringComparison.Ordinal);
        Assert.Matches("""name="strips"[^>]* placeholder="4""", page);

        void OnlyOn(JsonNode of, int[] foilOn, int[] sabreOn)
        {
            foreach (var (competition, on) in of.Items("competitions").Zip([foilOn, sabreOn]))
            {
                Assert.All(competition.Items("stages").SelectMany(s => s["strips"]!.AsArray()), n => Assert.Contains(n!.GetValue<int>(), on));
            }
        }

        Task StripAsync(string name, params string[] weapons) =>
            desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name, weapons }, HttpStatusCode.Created);
    }

    [Fact]
    public async Task A_weapon_that_no_strip_serves_is_said_at_its_field_and_no_day_without_it_is_compared()
    {
        var tournament = await desk.TournamentAsync();
        await desk.CompetitionAsync(12, "foil", tournamentId: tournament, checkIn: false);
        var epee = await desk.CompetitionAsync(12, "epee", tournamentId: tournament, checkIn: false);
        var asked = new { opensAt = "09:00", closesAt = "18:00", steps = 0 };
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Blue", weapons = new[] { "foil" } }, HttpStatusCode.Created);
        var problem = await desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", asked, 400, "invalid-input");
        Assert.Equal("No strip serves the weapon of Open epee. Correct the weapons of one, or say how many strips there will be.", problem["errors"]!["strips"]![0]!.GetValue<string>());
        // On another day than the épée nothing is missing, nor with the number of strips.
        await PlanAsync(tournament, new { asked.opensAt, asked.closesAt, asked.steps, competitions = new[] { new { id = epee, fencers = 0 } } });
        await PlanAsync(tournament, new { asked.opensAt, asked.closesAt, asked.steps, strips = 1 });
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Red", weapons = new[] { "epee" } }, HttpStatusCode.Created);
        // Without the last strip nobody could fence épée.
        Assert.DoesNotContain((await PlanAsync(tournament, asked)).Items("whatIf"), w => w.Text("change") == "stripsFewer");
    }

    [Fact]
    public async Task A_search_tells_how_it_comes_on_and_stopped_gives_the_plan_there_was()
    {
        var tournament = await desk.TournamentAsync();
        foreach (var (fencers, weapon) in new[] { (40, "foil"), (33, "epee"), (27, "sabre"), (19, "foil") })
        {
            await desk.CompetitionAsync(fencers, weapon, tournamentId: tournament, checkIn: false);
        }

        using var request = new HttpRequestMessage(HttpMethod.Post, $"/api/tournaments/{tournament}/plan")
        {
            Content = JsonContent.Create(new { opensAt = "09:00", closesAt = "18:00", strips = 6, steps = 3000 }),
            Headers = { { "Accept", "text/event-stream" } },
        };
        using var answer = await desk.SendAsync(request, HttpCompletionOption.ResponseHeadersRead);
        Assert.Equal("text/event-stream", answer.Content.Headers.ContentType?.MediaType);
        var told = (await answer.Content.ReadAsStringAsync()).Split("\n\n", StringSplitOptions.RemoveEmptyEntries)
            .Select(e => JsonNode.Parse(e.Split("data: ")[1])!).ToArray();
        Assert.Equal((0, false), (told[0].Number("tried"), told[0]["done"]!.GetValue<bool>()));
        Assert.Equal((3000, true), (told[^1].Number("tried"), told[^1]["done"]!.GetValue<bool>()));
        Assert.Equal(told.Select(t => Time(t, "endsAt")).OrderDescending(), told.Select(t => Time(t, "endsAt")));
        foreach (var come in told)
        {
            var plan = await PlanAsync(tournament, new { opensAt = "09:00", closesAt = "18:00", strips = 6, steps = 3000, stopAfter = come.Number("tried") });
            // What-ifs may have found an earlier one, which is then taken.
            Assert.True(Time(plan, "endsAt") <= Time(come, "endsAt"));
        }
    }

    [Fact]
    public async Task The_exact_solver_goes_on_from_the_search()
    {
        var tournament = await desk.TournamentAsync();
        foreach (var (fencers, weapon) in new[] { (30, "foil"), (25, "epee"), (14, "sabre") })
        {
            await desk.CompetitionAsync(fencers, weapon, tournamentId: tournament, checkIn: false);
        }

        var searched = await PlanAsync(tournament, new { opensAt = "09:00", closesAt = "18:00", strips = 5, steps = 20_000 });
        var proven = await PlanAsync(tournament, new { opensAt = "09:00", closesAt = "18:00", strips = 5, steps = 20_000, prove = true });
        Assert.True(Time(proven, "endsAt") <= Time(searched, "endsAt"));
        Assert.True(Time(proven, "lowerBound") >= Time(searched, "lowerBound"));
        await desk.RefusedAsync(
            HttpMethod.Post, $"/api/tournaments/{tournament}/plan", new { opensAt = "09:00", closesAt = "18:00", strips = 5, prove = true, stopAfter = 100 }, 400, "invalid-input");
    }

    [Theory]
    // Sixteen épée fencers on a single strip, with and without enough referees for four; and one competition that no strip helps.
    [InlineData(16, 1, 1, "13:00", "strips", "All 1 strips are busy until")]
    [InlineData(16, 4, 1, "13:00", "strips", "All 1 strips that have a referee are busy until")]
    [InlineData(60, 40, 40, "12:00", "longestCompetition", "alone lasts until")]
    public async Task A_day_that_is_too_long_says_what_can_give_way(int fencers, int strips, int referees, string closesAt, string limit, string sentence)
    {
        var tournament = await desk.TournamentAsync();
        await desk.CompetitionAsync(fencers, "epee", tournamentId: tournament, checkIn: false);
        var plan = await PlanAsync(tournament, new { opensAt = "09:00", closesAt, strips, referees, steps = 200 });
        Assert.False(plan["fits"]!.GetValue<bool>());
        Assert.Equal(limit, plan["boundBy"]!.Text("limit"));
        Assert.Contains(sentence, plan["relax"]![0]!.GetValue<string>(), StringComparison.Ordinal);
        Assert.Empty((await PlanAsync(tournament, new { opensAt = "00:00", closesAt = "23:59", strips = 40, steps = 0 }))["relax"]!.AsArray());
    }

    [Fact]
    public async Task The_page_of_the_desk_tells_the_same()
    {
        var tournament = await desk.TournamentAsync();
        var competition = await desk.CompetitionAsync(30, "foil", tournamentId: tournament, checkIn: false);
        var plan = await PlanAsync(tournament, new { opensAt = "09:00", closesAt = "18:00", strips = 3 });
        var end = Time(plan, "endsAt").ToString("HH:mm", System.Globalization.CultureInfo.InvariantCulture);
        var answer = await desk.AskAsync(HttpMethod.Get, $"/desk/tournaments/{tournament}/plan?opens=09:00&closes=18:00&strips=3");
        Assert.Contains($"The day ends at {end}", answer.Body, StringComparison.Ordinal);
        Assert.Contains($"/desk/competitions/{competition}", answer.Body, StringComparison.Ordinal);
        var wrong = await desk.AskAsync(HttpMethod.Get, $"/desk/tournaments/{tournament}/plan?opens=09:00&closes=18:00&strips=many");
        Assert.Contains("id=\"wrong\"", wrong.Body, StringComparison.Ordinal);
    }

    private static DateTimeOffset Time(JsonNode node, string name) => node[name]!.GetValue<DateTimeOffset>();

    private Task<JsonNode> PlanAsync(string tournament, object body) => desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", body, HttpStatusCode.OK);
}
