using System.Globalization;
using System.Net;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using QRCoder;
using Xunit;

namespace BoutDesk.Api.Tests.Passes;

/// <summary>What the bearer of a pass learns from it, and the code that hands it out.</summary>
[Collection(WholeSurface.Name)]
public class OwnPassTests
{
    private readonly Hall hall;

    public OwnPassTests(Hall hall) => this.hall = hall;

    [Fact]
    public async Task A_referee_reads_what_his_pass_is_for_by_name_and_when_it_ends()
    {
        var expiresAt = DateTimeOffset.UtcNow.AddHours(6);
        using var referee = await ClientAsync(new { kind = "referee", pools = new[] { hall.PoolId }, strips = new[] { hall.StripId }, expiresAt });
        var own = await referee.GetAsync<JsonObject>("/api/pass");
        Assert.Equal("referee", own["kind"]!.GetValue<string>());
        Assert.Equal(hall.TournamentId, own["tournamentId"]!.GetValue<string>());
        Assert.Equal("Millbrook Open", own["tournament"]!.GetValue<string>());
        Assert.Equal([(hall.PoolId, "Open epee, pool 1")], own["pools"]!.AsArray().Select(p => (p.Id(), p!["name"]!.GetValue<string>())));
        Assert.Equal([(hall.StripId, "Strip 1")], own["strips"]!.AsArray().Select(s => (s.Id(), s!["name"]!.GetValue<string>())));
        Assert.Equal(expiresAt, own["expiresAt"]!.GetValue<DateTimeOffset>(), TimeSpan.FromMilliseconds(1));
    }

    [Fact]
    public async Task The_bouts_of_a_pool_come_in_the_order_in_which_they_are_fenced_each_as_its_own_address_shows_it()
    {
        using var referee = await ClientAsync(new { kind = "referee", pools = new[] { hall.PoolId } });
        var own = await referee.ListAsync("/api/pass/bouts");
        var sheet = await hall.Desk.GetAsync<JsonObject>($"/api/pools/{hall.PoolId}");
        Assert.Equal(sheet["bouts"]!.AsArray().Select(b => b.Id()), own.Select(b => b["bout"].Id()));
        foreach (var item in own)
        {
            var (bout, etag) = await referee.ReadAsync($"/api/bouts/{item["bout"].Id()}");
            Assert.Equal(bout.ToJsonString(), item["bout"]!.ToJsonString());
            Assert.StartsWith(string.Create(CultureInfo.InvariantCulture, $"\"{item["version"]}-"), etag, StringComparison.Ordinal);
            Assert.Equal(1, item["pool"]!.GetValue<int>());
            Assert.Equal("Open epee", item["competition"]!.GetValue<string>());
        }
    }

    [Fact]
    public async Task A_referee_reads_when_his_bouts_are_expected_as_the_timetable_says_and_nobody_else_does()
    {
        // A tournament of its own, in which nobody else fences meanwhile.
        var tournament = await hall.Desk.TournamentAsync();
        var competition = await hall.Desk.CompetitionAsync(9, tournamentId: tournament, checkIn: false);
        var pools = (await hall.Desk.DrawPoolsAsync(competition, new { poolCount = 2 }))["pools"]!.AsArray();
        using var referee = hall.Host.Client(await hall.GiveAsync(tournament, new { kind = "referee", pools = new[] { pools[1].Id() } }));
        var expected = (await referee.GetAsync<JsonObject>("/api/pass"))["expected"]!;
        for (var tries = 0; tries < 100 && expected.Items("bouts").Length == 0; tries++)
        {
            // The feed may still be telling of the draw.
            await Task.Delay(100);
            expected = (await referee.GetAsync<JsonObject>("/api/pass"))["expected"]!;
        }

        Assert.InRange(DateTimeOffset.UtcNow - expected["at"]!.GetValue<DateTimeOffset>(), TimeSpan.Zero, TimeSpan.FromMinutes(2));
        var table = await hall.Desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}/timetable");
        var told = table.Items("competitions").Single().Items("bouts").ToDictionary(b => b.Text("boutId"), b => b["begins"]!.ToJsonString());
        var sheet = await hall.Desk.GetAsync<JsonObject>($"/api/pools/{pools[1].Id()}");
        Assert.Equal(sheet["bouts"]!.AsArray().Select(b => b.Id()).Order(), expected.Items("bouts").Select(b => b.Text("boutId")).Order());
        Assert.All(expected.Items("bouts"), b => Assert.Equal(told[b.Text("boutId")], b["begins"]!.ToJsonString()));

        Assert.Null((await hall.Desk.GetAsync<JsonObject>("/api/pass"))["expected"]);
        using var armourer = await ClientAsync(new { kind = "armourer" });
        Assert.Null((await armourer.GetAsync<JsonObject>("/api/pass"))["expected"]);
    }

    [Fact]
    public async Task The_bouts_of_a_strip_are_those_on_it_now()
    {
        var strip = (await hall.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{hall.TournamentId}/strips", new { name = "Strip 9" }, HttpStatusCode.Created)).Id();
        using var referee = await ClientAsync(new { kind = "referee", strips = new[] { strip } });
        Assert.Empty(await referee.ListAsync("/api/pass/bouts"));
        var tableau = await hall.Desk.GetAsync<JsonObject>($"/api/competitions/{hall.TableauCompetitionId}/tableau");
        var final = tableau["rounds"]![1]!["bouts"]![0].Id();
        var semiFinal = tableau["rounds"]![0]!["bouts"]![1].Id();
        foreach (var bout in new[] { final, semiFinal })
        {
            await hall.Desk.SendAsync(HttpMethod.Put, $"/api/bouts/{bout}/strip", new { stripId = strip }, HttpStatusCode.OK);
        }

        Assert.Equal([semiFinal, final], (await referee.ListAsync("/api/pass/bouts")).Select(b => b["bout"].Id()));
    }

    [Fact]
    public async Task What_was_recorded_is_listed_in_order_with_what_the_course_follows_from()
    {
        var competition = await hall.Desk.CompetitionAsync(4, checkIn: false);
        var pool = (await hall.Desk.DrawPoolsAsync(competition))["pools"]![0].Id();
        var bout = (await hall.Desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]![0].Id();
        await hall.Desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "both" }, HttpStatusCode.OK);
        await hall.Desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "right" }, HttpStatusCode.OK);
        await hall.Desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, HttpStatusCode.OK);
        await hall.Desk.SendAsync(HttpMethod.Delete, $"/api/bouts/{bout}/actions/last", null, HttpStatusCode.OK);
        var after = await hall.Desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/cards", new { side = "left", reason = "Covering.", group = 1 }, HttpStatusCode.OK);
        Assert.Equal(
            ["doubleTouch   ", "touch right  ", "card left yellow 1"],
            after["actions"]!.AsArray().Select(a => $"{a!["kind"]} {a["side"]} {a["card"]} {a["group"]}"));
    }

    [Fact]
    public async Task The_code_is_a_picture_of_the_address_of_the_pass()
    {
        var given = await GiveAsync(hall.Desk, hall.TournamentId, new { kind = "referee", pools = new[] { hall.PoolId } });
        var url = given["url"]!.GetValue<string>();
        Assert.StartsWith(hall.Desk.BaseAddress + "strip/", url, StringComparison.Ordinal);
        var svg = given["code"]!.GetValue<string>();
        using var generator = new QRCodeGenerator();
        using var expected = generator.CreateQrCode(url, QRCodeGenerator.ECCLevel.M);
        Assert.Equal(expected.ModuleMatrix.Select(row => string.Concat(row.Cast<bool>().Select(dark => dark ? '#' : '.'))), Modules(svg, expected.ModuleMatrix.Count));
    }

    [Fact]
    public async Task The_address_of_a_pass_begins_as_configured()
    {
        await using var host = await DeskHost.StartAsync(("BoutDesk:Address", "https://laptop.example:5443/"));
        var given = await GiveAsync(host.Desk, await host.Desk.TournamentAsync(), new { kind = "desk" });
        Assert.StartsWith("https://laptop.example:5443/desk#", given["url"]!.GetValue<string>(), StringComparison.Ordinal);
    }

    private static Task<JsonNode> GiveAsync(HttpClient desk, string tournamentId, object pass) =>
        desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournamentId}/passes", pass, HttpStatusCode.Created);

    private async Task<HttpClient> ClientAsync(object pass) => hall.Host.Client(await hall.GiveAsync(hall.TournamentId, pass));

    /// <summary>The dark squares that the last path of the picture draws, row by row.</summary>
    private static string[] Modules(string svg, int size)
    {
        var rows = Enumerable.Range(0, size).Select(_ => Enumerable.Repeat('.', size).ToArray()).ToArray();
        foreach (Match run in Regex.Matches(svg, @"M(\d+) (\d+)h(\d+)v1H\d+z"))
        {
            int x = Number(run, 1), y = Number(run, 2), length = Number(run, 3);
            Array.Fill(rows[y], '#', x, length);
        }

        return [.. rows.Select(row => new string(row))];

        static int Number(Match run, int group) => int.Parse(run.Groups[group].Value, CultureInfo.InvariantCulture);
    }
}
