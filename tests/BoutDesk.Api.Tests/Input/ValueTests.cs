using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Input;

/// <summary>Values of the right type that nobody can mean.</summary>
[Collection(WholeSurface.Name)]
public class ValueTests
{
    private readonly Hall hall;

    public ValueTests(Hall hall) => this.hall = hall;

    [Theory]
    [InlineData("name", "")]
    [InlineData("name", "   ")]
    [InlineData("name", "two\nlines")]
    [InlineData("name", "nul\0")]
    [InlineData("venue", "")]
    [InlineData("timeZone", "")]
    [InlineData("timeZone", " ")]
    [InlineData("timeZone", "Mars/Olympus")]
    [InlineData("timeZone", "../../etc/passwd")]
    [InlineData("timeZone", "nul\0")]
    [InlineData("startsOn", "0001-01-01")]
    [InlineData("startsOn", "9999-12-31")]
    public Task A_tournament_needs_a_name_a_venue_a_time_zone_and_a_day_of_our_time(string field, string value) =>
        RefusesAsync(HttpMethod.Post, "/api/tournaments", new { name = "Millbrook Open", venue = "Millbrook Hall", startsOn = "2026-11-28", timeZone = "Europe/Paris" }, field, value, field);

    [Fact]
    public Task A_name_has_at_most_120_characters() =>
        RefusesAsync(HttpMethod.Post, "/api/tournaments", new { name = "x", venue = "Millbrook Hall", startsOn = "2026-11-28", timeZone = "Europe/Paris" }, "name", new string('x', 121), "name");

    [Theory]
    [InlineData("familyName", "")]
    [InlineData("familyName", " ")]
    [InlineData("givenName", "ta\tb")]
    [InlineData("club", "be\all")]
    [InlineData("country", "a country with a name that has far more than forty characters")]
    [InlineData("ranking", 0)]
    [InlineData("ranking", -1)]
    [InlineData("ranking", int.MaxValue)]
    [InlineData("birthYear", 1899)]
    [InlineData("birthYear", 2101)]
    public Task An_entry_has_a_family_name_and_figures_in_their_ranges(string field, object value) =>
        RefusesAsync(HttpMethod.Post, $"/api/competitions/{hall.CompetitionId}/entrants", new { familyName = "Aubert", givenName = "Maïa" }, field, JsonValue.Create(value)!, field);

    [Theory]
    [InlineData("pools", "size", 2)]
    [InlineData("pools", "size", 13)]
    [InlineData("pools", "touches", 0)]
    [InlineData("pools", "minutes", 16)]
    [InlineData("pools", "rounds", 6)]
    [InlineData("pools", "exempt", -1)]
    [InlineData("elimination", "touches", 46)]
    [InlineData("elimination", "periods", 0)]
    [InlineData("elimination", "minutes", 0)]
    [InlineData("elimination", "repechageFrom", 12)]
    [InlineData("elimination", "fencedPlaces", 2)]
    public async Task A_formula_that_cannot_be_fenced_is_refused_with_the_part_that_is_wrong(string part, string field, int value)
    {
        var formula = new JsonObject { [part] = new JsonObject { [field] = value } };
        var opened = await hall.Desk.RefusedAsync(
            HttpMethod.Post,
            $"/api/tournaments/{hall.TournamentId}/competitions",
            new JsonObject { ["name"] = "Open", ["weapon"] = "foil", ["category"] = "mixed", ["formula"] = formula.DeepClone() },
            400,
            "invalid-input");
        Assert.NotNull(opened["errors"]![$"formula.{part}.{field}"]);
        var changed = await hall.Desk.RefusedAsync(HttpMethod.Put, $"/api/competitions/{hall.CompetitionId}/formula", formula, 400, "invalid-input");
        Assert.NotNull(changed["errors"]![$"{part}.{field}"]);
    }

    [Theory]
    [InlineData(2, null, "poolSize")]
    [InlineData(13, null, "poolSize")]
    [InlineData(null, 0, "poolCount")]
    [InlineData(null, 401, "poolCount")]
    [InlineData(4, 2, "poolCount")]
    public async Task A_draw_is_given_either_a_size_or_a_number_of_pools_in_range(int? poolSize, int? poolCount, string field)
    {
        var problem = await hall.Desk.RefusedAsync(HttpMethod.Post, $"/api/competitions/{hall.CompetitionId}/pool-rounds", new { poolSize, poolCount }, 400, "invalid-input");
        Assert.NotNull(problem["errors"]![field]);
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(long.MaxValue)]
    public async Task The_seed_of_a_draw_stays_in_its_range_wherever_one_is_given(long drawSeed)
    {
        foreach (var address in new[]
        {
            $"/api/competitions/{hall.CompetitionId}/pool-rounds",
            $"/api/competitions/{hall.CompetitionId}/pool-rounds/1/close",
            $"/api/competitions/{hall.CompetitionId}/tableau",
            $"/api/bouts/{hall.BoutId}/priority",
        })
        {
            var problem = await hall.Desk.RefusedAsync(HttpMethod.Post, address, new { drawSeed }, 400, "invalid-input");
            Assert.NotNull(problem["errors"]!["drawSeed"]);
        }
    }

    [Theory]
    [InlineData("left", -1)]
    [InlineData("left", 6)]
    [InlineData("right", int.MaxValue)]
    public Task A_result_has_touches_from_none_to_the_target(string field, int value) =>
        RefusesAsync(HttpMethod.Put, $"/api/bouts/{hall.BoutId}/result", new { left = 5, right = 3, winner = "left" }, field, value, field);

    [Fact]
    public async Task A_result_has_one_winner_who_is_not_behind()
    {
        var both = await hall.Desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{hall.BoutId}/result", new { left = 5, right = 5, winner = "left" }, 400, "invalid-input");
        Assert.NotNull(both["errors"]!["left"]);
        var behind = await hall.Desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{hall.BoutId}/result", new { left = 2, right = 3, winner = "left" }, 400, "invalid-input");
        Assert.NotNull(behind["errors"]!["winner"]);
    }

    [Fact]
    public async Task A_reason_has_no_more_than_200_characters_and_no_control_characters_wherever_one_is_given()
    {
        foreach (var reason in new[] { new string('x', 201), "nul\0", "two\nlines" })
        {
            foreach (var (method, path, body) in new (HttpMethod, string, object?)[]
            {
                (HttpMethod.Post, $"/api/entrants/{hall.EntrantId}/withdraw", new { reason }),
                (HttpMethod.Post, $"/api/entrants/{hall.EntrantId}/exclude", new { reason }),
                (HttpMethod.Post, $"/api/entrants/{hall.EntrantId}/reinstate", new { reason }),
                (HttpMethod.Post, $"/api/bouts/{hall.BoutId}/cards", new { side = "left", card = "yellow", reason }),
                (HttpMethod.Put, $"/api/bouts/{hall.BoutId}/result", new { left = 5, right = 3, winner = "left", reason }),
                (HttpMethod.Delete, $"/api/competitions/{hall.CompetitionId}/pool-rounds/1?reason={Uri.EscapeDataString(reason)}", null),
                (HttpMethod.Delete, $"/api/competitions/{hall.TableauCompetitionId}/tableau?reason={Uri.EscapeDataString(reason)}", null),
            })
            {
                var problem = await hall.Desk.RefusedAsync(method, path, body, 400, "invalid-input");
                Assert.NotNull(problem["errors"]!["reason"]);
            }
        }
    }

    [Theory]
    [InlineData("/api/tournaments?limit=0", "limit")]
    [InlineData("/api/tournaments?limit=2001", "limit")]
    [InlineData("/api/tournaments?limit=-1", "limit")]
    [InlineData("/api/tournaments?limit=many", "limit")]
    [InlineData("/api/tournaments?limit=1.5", "limit")]
    [InlineData("/api/tournaments?limit=99999999999", "limit")]
    [InlineData("/api/tournaments?limit=1&limit=2", "limit")]
    [InlineData("/api/tournaments?after=nobody", "after")]
    [InlineData("/api/tournaments?after=", "after")]
    [InlineData("/api/tournaments?after=%00", "after")]
    [InlineData("/api/competitions/{competition}/entrants?dryRun=perhaps", "dryRun")]
    [InlineData("/api/competitions/{competition}/entrants?partial=2", "partial")]
    [InlineData("/api/tournaments/{tournament}/feed?after=-1", "after")]
    [InlineData("/api/tournaments/{tournament}/feed?after=now", "after")]
    public async Task A_wrong_parameter_of_the_address_is_named(string address, string parameter)
    {
        var path = address.Replace("{competition}", hall.CompetitionId, StringComparison.Ordinal).Replace("{tournament}", hall.TournamentId, StringComparison.Ordinal);
        var method = path.Contains("entrants", StringComparison.Ordinal) ? HttpMethod.Post : HttpMethod.Get;
        var problem = await hall.Desk.RefusedAsync(method, path, method == HttpMethod.Post ? new { familyName = "Aubert", givenName = "" } : null, 400, "invalid-input");
        Assert.NotNull(problem["errors"]![parameter]);
        Assert.DoesNotContain("Nullable", problem.ToJsonString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_header_that_cannot_be_meant_is_named()
    {
        var last = await hall.Host.Public.RefusedAsync(HttpMethod.Get, $"/api/tournaments/{hall.TournamentId}/feed", null, 400, "invalid-input", ("Last-Event-ID", "yesterday"));
        Assert.NotNull(last["errors"]!["Last-Event-ID"]);
        var key = await hall.Desk.RefusedAsync(HttpMethod.Post, $"/api/entrants/{hall.EntrantId}/check-in", null, 400, "invalid-input", ("Idempotency-Key", new string('k', 201)));
        Assert.NotNull(key["errors"]!["Idempotency-Key"]);
    }

    [Fact]
    public async Task A_pool_or_bout_is_put_on_no_strip_but_one_of_the_tournament()
    {
        foreach (var address in new[] { $"/api/pools/{hall.PoolId}/strip", $"/api/bouts/{hall.BoutId}/strip" })
        {
            var problem = await hall.Desk.RefusedAsync(HttpMethod.Put, address, new { stripId = "nowhere" }, 400, "invalid-input");
            Assert.NotNull(problem["errors"]!["stripId"]);
        }
    }

    [Fact]
    public async Task A_pool_or_bout_is_not_put_on_a_strip_for_other_weapons_until_that_is_corrected()
    {
        var strips = $"/api/tournaments/{hall.TournamentId}/strips";
        var strip = (await hall.Desk.SendAsync(HttpMethod.Post, strips, new { name = "Sabre only", weapons = new[] { "sabre" } }, HttpStatusCode.Created)).Id();
        foreach (var address in new[] { $"/api/pools/{hall.PoolId}/strip", $"/api/bouts/{hall.BoutId}/strip" })
        {
            var problem = await hall.Desk.RefusedAsync(HttpMethod.Put, address, new { stripId = strip }, 400, "invalid-input");
            Assert.Contains("Choose another strip, or correct the weapons of this one.", problem["errors"]!["stripId"]!.ToJsonString(), StringComparison.Ordinal);
        }

        await hall.Desk.SendAsync(HttpMethod.Put, $"{strips}/{strip}", new { name = "Sabre only" }, HttpStatusCode.OK);
        await hall.Desk.SendAsync(HttpMethod.Put, $"/api/pools/{hall.PoolId}/strip", new { stripId = strip }, HttpStatusCode.OK);
        // What was put there stays there.
        await hall.Desk.SendAsync(HttpMethod.Put, $"{strips}/{strip}", new { name = "Sabre only", weapons = new[] { "sabre" } }, HttpStatusCode.OK);
        Assert.Equal(strip, (await hall.Desk.GetAsync<JsonObject>($"/api/pools/{hall.PoolId}")).Text("stripId"));
        await hall.Desk.SendAsync(HttpMethod.Put, $"/api/pools/{hall.PoolId}/strip", new { stripId = (string?)null }, HttpStatusCode.OK);
    }

    [Fact]
    public async Task A_strip_is_not_corrected_to_what_it_cannot_be()
    {
        var strips = $"/api/tournaments/{hall.TournamentId}/strips";
        var strip = (await hall.Desk.SendAsync(HttpMethod.Post, strips, new { name = "To be corrected" }, HttpStatusCode.Created)).Id();
        await hall.Desk.RefusedAsync(HttpMethod.Put, $"{strips}/{strip}", new { name = "strip 1" }, 409, "already-done");
        Assert.NotNull((await hall.Desk.RefusedAsync(HttpMethod.Put, $"{strips}/{strip}", new { name = " " }, 400, "invalid-input"))["errors"]!["name"]);
        await hall.Desk.RefusedAsync(HttpMethod.Put, $"{strips}/{strip}", new { name = "To be corrected", weapons = new[] { "axe" } }, 400, "invalid-input");
        await hall.Desk.RefusedAsync(HttpMethod.Put, $"{strips}/nowhere", new { name = "Nowhere" }, 404, "not-found");
        await hall.Desk.RefusedAsync(HttpMethod.Put, $"{strips}/{strip}", new { name = "Later" }, 412, "stale", ("If-Match", "\"1\""));
    }

    [Fact]
    public async Task A_second_strip_of_a_name_is_refused_and_nothing_is_added()
    {
        var before = (await hall.Desk.GetAsync<JsonObject>($"/api/tournaments/{hall.TournamentId}"))["strips"]!.AsArray().Count;
        await hall.Desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{hall.TournamentId}/strips", new { name = "STRIP 1" }, 409, "already-done");
        Assert.Equal(before, (await hall.Desk.GetAsync<JsonObject>($"/api/tournaments/{hall.TournamentId}"))["strips"]!.AsArray().Count);
    }

    private async Task RefusesAsync(HttpMethod method, string path, object good, string field, JsonNode value, string named)
    {
        var body = (JsonObject)System.Text.Json.JsonSerializer.SerializeToNode(good)!;
        body[field] = value;
        var problem = await hall.Desk.RefusedAsync(method, path, body, 400, "invalid-input");
        Assert.NotNull(problem["errors"]![named]);
    }
}
