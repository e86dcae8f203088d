using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Refereeing;

/// <summary>The referees of a tournament over HTTP.</summary>
[Collection(OneService.Name)]
public class RefereeListTests
{
    private readonly SharedDesk shared;
    private readonly HttpClient desk;

    public RefereeListTests(SharedDesk shared)
    {
        this.shared = shared;
        desk = shared.Host.Desk;
    }

    [Fact]
    public async Task A_referee_is_listed_once_and_his_hours_are_for_the_desk()
    {
        var tournament = await desk.TournamentAsync();
        var body = new { familyName = " Lind ", givenName = "Mara", club = "Riverside", weapons = new[] { "epee", "foil" }, level = "national", from = "9:00", to = "17:00", breaks = new[] { "12:00-12:45" } };
        var listed = await desk.SendAsync(HttpMethod.Post, At(tournament), body, HttpStatusCode.Created);
        Assert.Equal(("Lind", "national", "09:00", "17:00"), (listed.Text("familyName"), listed.Text("level"), listed.Text("from"), listed.Text("to")));
        Assert.Equal(["foil", "epee"], listed["weapons"]!.AsArray().Select(w => w!.GetValue<string>()));
        Assert.Equal(["12:00-12:45"], listed["breaks"]!.AsArray().Select(b => b!.GetValue<string>()));
        await desk.RefusedAsync(HttpMethod.Post, At(tournament), new { familyName = "LIND", givenName = "mara", club = "riverside", weapons = new[] { "sabre" } }, 409, "already-done");

        var seen = (await shared.Host.Public.ListAsync(At(tournament))).Single();
        Assert.Equal("Mara", seen.Text("givenName"));
        Assert.Null(seen["from"]);
        Assert.Empty(seen["breaks"]!.AsArray());
        Assert.Equal("09:00", (await desk.GetAsync<JsonObject>($"/api/referees/{listed.Id()}")).Text("from"));
        Assert.Null((await shared.Host.Public.GetAsync<JsonObject>($"/api/referees/{listed.Id()}"))["to"]);
    }

    [Fact]
    public async Task A_list_is_checked_row_by_row_and_goes_out_as_it_came_in()
    {
        var tournament = await desk.TournamentAsync();
        const string List = "familyName;givenName;weapons;club;level;from;breaks;licence\nLind;Mara;foil épée;Riverside;national;09:00;;7\nOtero;Paz;sabre;Harbour;;;12:00-12:45 15:00-15:10;\nGrau;;foil;;grand;25:00;lunch;\nlind;mara;foil;riverside;;;;\n";
        var checkedList = await CsvAsync(tournament, List, "?dryRun=true");
        Assert.Equal(200, checkedList.Status);
        Assert.Equal((2, 2), (checkedList.Json.Number("added"), checkedList.Json.Number("rejected")));
        Assert.Equal(["licence"], checkedList.Json["ignored"]!.AsArray().Select(i => i!.GetValue<string>()));
        Assert.Equal(
            [(2, "weapons"), (4, "breaks"), (4, "from"), (4, "level")],
            checkedList.Json.Items("rows").Select(r => (r.Number("line"), r.Text("field"))).Order());
        Assert.Empty(await desk.ListAsync(At(tournament)));

        var refused = await CsvAsync(tournament, List);
        Assert.Equal((400, "rows-rejected"), (refused.Status, refused.Problem));
        Assert.Equal(200, (await CsvAsync(tournament, List.Replace("épée", "epee", StringComparison.Ordinal), "?partial=true")).Status);
        Assert.Equal(["Lind", "Otero"], (await desk.ListAsync(At(tournament))).Select(r => r.Text("familyName")));

        using var request = new HttpRequestMessage(HttpMethod.Get, At(tournament));
        request.Headers.Accept.ParseAdd("text/csv");
        using var answer = await desk.SendAsync(request);
        var csv = await answer.Content.ReadAsStringAsync();
        Assert.Contains("Otero,Paz,Harbour,,sabre,club,,,12:00-12:45 15:00-15:10,false", csv, StringComparison.Ordinal);
        var elsewhere = await desk.TournamentAsync();
        Assert.Equal(2, (await CsvAsync(elsewhere, csv)).Json.Number("added"));
        Assert.Equal(
            (await desk.ListAsync(At(tournament))).Select(Without),
            (await desk.ListAsync(At(elsewhere))).Select(Without));

        static string Without(JsonNode referee)
        {
            referee.AsObject().Remove("id");
            return referee.ToJsonString();
        }
    }

    [Fact]
    public async Task Correcting_and_sending_away_need_the_version_that_was_read_if_one_is_named()
    {
        var tournament = await desk.TournamentAsync();
        var id = (await desk.SendAsync(HttpMethod.Post, At(tournament), new { familyName = "Lind", weapons = new[] { "foil" } }, HttpStatusCode.Created)).Id();
        var (_, etag) = await desk.ReadAsync($"/api/referees/{id}");
        var corrected = await desk.SendAsync(HttpMethod.Put, $"/api/referees/{id}", new { familyName = "Lindh", weapons = new[] { "sabre" } }, HttpStatusCode.OK, ("If-Match", etag));
        Assert.Equal((id, "Lindh"), (corrected.Id(), corrected.Text("familyName")));
        await desk.RefusedAsync(HttpMethod.Post, $"/api/referees/{id}/away", null, 412, "stale", ("If-Match", etag));
        Assert.True((await desk.SendAsync(HttpMethod.Post, $"/api/referees/{id}/away", null, HttpStatusCode.OK))["away"]!.GetValue<bool>());
        Assert.True((await desk.SendAsync(HttpMethod.Post, $"/api/referees/{id}/away", null, HttpStatusCode.OK))["away"]!.GetValue<bool>());
        Assert.False((await desk.SendAsync(HttpMethod.Post, $"/api/referees/{id}/back", null, HttpStatusCode.OK))["away"]!.GetValue<bool>());
        await desk.RefusedAsync(HttpMethod.Post, $"/api/referees/{tournament}-r9/back", null, 404, "not-found");
    }

    [Theory]
    [InlineData("""{ "familyName": "", "weapons": ["foil"] }""", "familyName")]
    [InlineData("""{ "familyName": "Lind", "weapons": [] }""", "weapons")]
    [InlineData("""{ "familyName": "Lind" }""", "weapons")]
    [InlineData("""{ "familyName": "Lind", "weapons": ["foil"], "from": "nine" }""", "from")]
    [InlineData("""{ "familyName": "Lind", "weapons": ["foil"], "from": "10:00", "to": "09:00" }""", "to")]
    [InlineData("""{ "familyName": "Lind", "weapons": ["foil"], "breaks": ["12:00"] }""", "breaks")]
    [InlineData("""{ "familyName": "Lind", "weapons": ["foil"], "breaks": ["13:00-12:00"] }""", "breaks")]
    [InlineData("""{ "familyName": "Lind", "weapons": ["foil"], "breaks": [null] }""", "breaks")]
    public async Task What_is_wrong_is_said_at_its_field(string body, string field)
    {
        var tournament = await desk.TournamentAsync();
        var problem = await desk.RefusedAsync(HttpMethod.Post, At(tournament), JsonNode.Parse(body), 400, "invalid-input");
        Assert.NotNull(problem["errors"]![field]);
    }

    private static string At(string tournament) => $"/api/tournaments/{tournament}/referees";

    private async Task<Answered> CsvAsync(string tournament, string list, string query = "")
    {
        using var content = new StringContent(list, Encoding.UTF8, "text/csv");
        return await desk.AskAsync(HttpMethod.Post, At(tournament) + query, content);
    }
}
