using System.Net;
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
            ["oneStripFewer", "twoRefereesFewer", "twelveLateEntries", "oneStripMore", "twoStripsMore", "noClosures", "openAnHourEarlier"],
            plan.Items("whatIf").Select(w => w.Text("change")));
        Assert.Equal(plan.ToJsonString(), (await PlanAsync(tournament, new { opensAt = "09:00", closesAt = "18:00", strips = 6, closures = new[] { new { from = "12:30", to = "13:15" } } })).ToJsonString());
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
