using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

/// <summary>
/// A tournament in full swing for the board to show: one competition fences its pools, one its tableau, one is finished.
/// Made once; tests that change something make a competition of their own.
/// </summary>
internal sealed class BoardDay
{
    private static Task<BoardDay>? made;

    private BoardDay(string tournamentId, string pools, string tableau, string finished)
    {
        TournamentId = tournamentId;
        Pools = pools;
        Tableau = tableau;
        Finished = finished;
    }

    public string TournamentId { get; }

    public string Pools { get; }

    public string Tableau { get; }

    public string Finished { get; }

    /// <summary>Every kind of page.</summary>
    public IEnumerable<(string Name, string Path)> Pages =>
    [
        ("home", "/"),
        ("tournament", $"/tournaments/{TournamentId}"),
        ("find", $"/tournaments/{TournamentId}/fencers?name=a"),
        ("competition-pools", $"/competitions/{Pools}"),
        ("pools", $"/competitions/{Pools}/pools/1"),
        ("ranking", $"/competitions/{Tableau}/ranking"),
        ("competition-tableau", $"/competitions/{Tableau}"),
        ("tableau", $"/competitions/{Tableau}/tableau"),
        ("quarter", $"/competitions/{Tableau}/tableau?quarter=2"),
        ("follow", $"/competitions/{Tableau}/tableau?follow={Tableau}-e1"),
        ("competition-finished", $"/competitions/{Finished}"),
        ("classification", $"/competitions/{Finished}/classification"),
        ("entrants", $"/competitions/{Finished}/entrants"),
        ("fencer-pools", $"/entrants/{Pools}-e2"),
        ("fencer-tableau", $"/entrants/{Tableau}-e1"),
        ("screen", $"/screen/{TournamentId}"),
        ("missing", "/there/is/no/such/page"),
    ];

    public static Task<BoardDay> OfAsync(Browser browser) => made ??= MakeAsync(browser.Desk);

    /// <summary>A competition of people with names from everywhere, drawn into pools on the strips.</summary>
    public static async Task<string> PoolsAsync(HttpClient desk, string tournamentId, int entrants, string name, object? formula = null)
    {
        var competition = await desk.SendAsync(
            HttpMethod.Post,
            $"/api/tournaments/{tournamentId}/competitions",
            new { name, weapon = "epee", category = "mixed", ageGroup = "senior", formula = formula ?? new { } },
            HttpStatusCode.Created);
        using var list = new StringContent(EntryList(entrants), Encoding.UTF8, "text/csv");
        using var answer = await desk.PostAsync($"/api/competitions/{competition.Id()}/entrants", list);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        var strips = (await desk.GetAsync<JsonObject>($"/api/tournaments/{tournamentId}"))["strips"]!.AsArray();
        foreach (var (i, pool) in (await desk.DrawPoolsAsync(competition.Id()))["pools"]!.AsArray().Index())
        {
            await desk.SendAsync(HttpMethod.Put, $"/api/pools/{pool.Id()}/strip", new { stripId = strips[i % strips.Count].Id() }, HttpStatusCode.OK);
        }

        return competition.Id();
    }

    /// <summary>The bouts of a pool in their order.</summary>
    public static async Task<IReadOnlyList<JsonNode>> BoutsAsync(HttpClient client, string competitionId, int pool)
    {
        var round = await client.GetAsync<JsonObject>($"/api/competitions/{competitionId}/pool-rounds/1");
        var sheet = await client.GetAsync<JsonObject>($"/api/pools/{round["pools"]![pool - 1].Id()}");
        return [.. sheet["bouts"]!.AsArray().OfType<JsonNode>()];
    }

    public static Task TouchAsync(HttpClient desk, string boutId, string side) =>
        desk.SendAsync(HttpMethod.Post, $"/api/bouts/{boutId}/touches", new { side }, HttpStatusCode.OK);

    private static async Task<BoardDay> MakeAsync(HttpClient desk)
    {
        var tournament = await desk.TournamentAsync();
        for (var strip = 1; strip <= 6; strip++)
        {
            await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = $"Strip {strip}" }, HttpStatusCode.Created);
        }

        var pools = await PoolsAsync(desk, tournament, 26, "Épée in the morning");
        for (var pool = 1; pool <= 4; pool++)
        {
            foreach (var (i, bout) in (await BoutsAsync(desk, pools, pool)).Take(9).Index())
            {
                await desk.ResultAsync(bout.Id(), i % 3 == 0 ? 5 : i % 5, i % 3 == 0 ? i % 4 : 5);
            }

            await TouchAsync(desk, (await BoutsAsync(desk, pools, pool))[9].Id(), "right");
        }

        var tableau = await PoolsAsync(desk, tournament, 20, "Épée in the afternoon", new { elimination = new { thirdPlace = "bout" } });
        await CloseAsync(desk, tableau);
        var rounds = (await desk.GetAsync<JsonObject>($"/api/competitions/{tableau}/tableau"))["rounds"]!.AsArray();
        foreach (var bout in rounds[0]!["bouts"]!.AsArray().Where(b => b!["status"]!.GetValue<string>() == "open"))
        {
            await desk.ResultAsync(bout.Id(), 15, 11);
        }

        await desk.SendAsync(HttpMethod.Put, $"/api/bouts/{rounds[1]!["bouts"]![0].Id()}/strip", new { stripId = tournament + "-s5" }, HttpStatusCode.OK);
        await TouchAsync(desk, rounds[1]!["bouts"]![0].Id(), "left");

        var finished = await PoolsAsync(desk, tournament, 12, "Yesterday's épée");
        await CloseAsync(desk, finished);
        await desk.FenceTableauAsync(finished);
        return new BoardDay(tournament, pools, tableau, finished);
    }

    private static async Task CloseAsync(HttpClient desk, string competitionId)
    {
        await desk.FenceRoundAsync(competitionId);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competitionId}/pool-rounds/1/close", null, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competitionId}/tableau", null, HttpStatusCode.Created);
    }

    private static string EntryList(int count)
    {
        string[] families = ["Ahlgren", "Баранова", "Castellón y Fuentes", "Ďurovič", "O'Malley-Featherstonehaugh", "佐々木", "Papadimitrakopoulou", "الحسيني", "Ngũgĩ", "Ålesund", "Fischer <b>", "Thị Hương", "Widmann", "김"];
        string[] givens = ["Mette", "Ольга", "Inés", "Jan", "Bartholomew", "健太郎", "Eleni", "ليلى", "Wanjirũ", "Sigrid", "Lena & Co", "Nguyễn", "Jo", "민준"];
        string[] clubs = ["Salle du Pont", "Fechtkreis Au", "Riverside", "Fencing Society of the Upper and Lower Valleys"];
        var csv = new StringBuilder("familyName,givenName,club,country,ranking\n");
        for (var i = 0; i < count; i++)
        {
            csv.Append(System.Globalization.CultureInfo.InvariantCulture, $"{families[i % families.Length]},{givens[(i + (i / families.Length)) % givens.Length]},{clubs[i % clubs.Length]},,{i + 1}\n");
        }

        return csv.ToString();
    }
}
