using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests;

/// <summary>Situations of a tournament day, reached only through requests as users send them.</summary>
internal static class Situations
{
    public static async Task<string> TournamentAsync(this HttpClient desk)
    {
        var tournament = await desk.SendAsync(HttpMethod.Post, "/api/tournaments", new { name = "Millbrook Open", venue = "Millbrook Hall", startsOn = "2026-11-28", timeZone = "Europe/Paris" }, HttpStatusCode.Created);
        return tournament.Id();
    }

    /// <summary>A competition with so many entrants, all checked in unless told otherwise. Returns its identifier.</summary>
    public static async Task<string> CompetitionAsync(
        this HttpClient desk, int entrants, string weapon = "epee", object? formula = null, bool checkIn = true, string? tournamentId = null)
    {
        tournamentId ??= await desk.TournamentAsync();
        var competition = await desk.SendAsync(
            HttpMethod.Post,
            $"/api/tournaments/{tournamentId}/competitions",
            new { name = "Open " + weapon, weapon, category = "mixed", ageGroup = "senior", formula = formula ?? new { } },
            HttpStatusCode.Created);
        var id = competition.Id();
        if (entrants > 0)
        {
            using var list = new StringContent(EntryList(entrants), Encoding.UTF8, "text/csv");
            using var answer = await desk.PostAsync($"/api/competitions/{id}/entrants", list);
            Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        }

        if (checkIn)
        {
            foreach (var entrant in await desk.ListAsync($"/api/competitions/{id}/entrants"))
            {
                await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant.Id()}/check-in", null, HttpStatusCode.OK);
            }
        }

        return id;
    }

    /// <summary>An entry list of invented people, ranked 1, 2, 3, …, in five clubs.</summary>
    public static string EntryList(int count)
    {
        var csv = new StringBuilder("familyName,givenName,club,country,ranking,hand,birthYear\n");
        for (var i = 1; i <= count; i++)
        {
            csv.Append(System.Globalization.CultureInfo.InvariantCulture, $"Fencer{i:000},Robin,Club {i % 5},FRA,{i},right,2009\n");
        }

        return csv.ToString();
    }

    /// <summary>Draws a pool round; returns it.</summary>
    public static Task<JsonNode> DrawPoolsAsync(this HttpClient desk, string competitionId, object? body = null) =>
        desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competitionId}/pool-rounds", body ?? new { drawSeed = 7 }, HttpStatusCode.Created);

    /// <summary>
    /// Records a result for every open bout of a pool round: the fencer with the lower position wins 5:2, if the
    /// target is 5.
    /// </summary>
    public static async Task FenceRoundAsync(this HttpClient desk, string competitionId, int round = 1, int target = 5)
    {
        var drawn = await desk.GetAsync<JsonObject>($"/api/competitions/{competitionId}/pool-rounds/{round}");
        foreach (var pool in drawn["pools"]!.AsArray())
        {
            var sheet = await desk.GetAsync<JsonObject>($"/api/pools/{pool!.Id()}");
            foreach (var bout in sheet["bouts"]!.AsArray().Where(b => b!["status"]!.GetValue<string>() is "open" or "fencing"))
            {
                var leftWins = bout!["left"]!.GetValue<int>() < bout["right"]!.GetValue<int>();
                await desk.ResultAsync(bout.Id(), leftWins ? target : 2, leftWins ? 2 : target);
            }
        }
    }

    /// <summary>A competition whose pools are fenced and closed.</summary>
    public static async Task<string> ClosedPoolsAsync(this HttpClient desk, int entrants, string weapon = "epee", object? formula = null)
    {
        var id = await desk.CompetitionAsync(entrants, weapon, formula);
        await desk.DrawPoolsAsync(id);
        await desk.FenceRoundAsync(id);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/pool-rounds/1/close", null, HttpStatusCode.OK);
        return id;
    }

    /// <summary>A competition whose tableau is drawn.</summary>
    public static async Task<string> DrawnTableauAsync(this HttpClient desk, int entrants, string weapon = "epee", object? formula = null)
    {
        var id = await desk.ClosedPoolsAsync(entrants, weapon, formula);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, HttpStatusCode.Created);
        return id;
    }

    /// <summary>Records results until no bout of the tableau is open: the better seed wins 15:9, unless told otherwise.</summary>
    public static async Task FenceTableauAsync(this HttpClient desk, string competitionId, int target = 15, int losers = 9)
    {
        while (true)
        {
            var tableau = await desk.GetAsync<JsonObject>($"/api/competitions/{competitionId}/tableau");
            var open = tableau["rounds"]!.AsArray().SelectMany(r => r!["bouts"]!.AsArray())
                .Append(tableau["thirdPlace"])
                .Where(b => b?["status"]!.GetValue<string>() is "open" or "fencing")
                .ToArray();
            if (open.Length == 0)
            {
                return;
            }

            foreach (var bout in open)
            {
                var leftWins = bout!["left"]!["seed"]!.GetValue<int>() < bout["right"]!["seed"]!.GetValue<int>();
                await desk.ResultAsync(bout.Id(), leftWins ? target : losers, leftWins ? losers : target);
            }
        }
    }

    /// <summary>Records a result; who has more touches wins.</summary>
    public static Task<JsonNode> ResultAsync(this HttpClient client, string boutId, int left, int right) =>
        client.SendAsync(HttpMethod.Put, $"/api/bouts/{boutId}/result", new { left, right, winner = left > right ? "left" : "right" }, HttpStatusCode.OK);

    /// <summary>Sends a request and asserts the status; returns the body, an empty object when there is none.</summary>
    public static async Task<JsonNode> SendAsync(
        this HttpClient client, HttpMethod method, string path, object? body, HttpStatusCode expected, params (string Name, string Value)[] headers)
    {
        using var response = await client.TryAsync(method, path, body, headers);
        var text = await response.Content.ReadAsStringAsync();
        Assert.True(expected == response.StatusCode, $"{method} {path} was answered {(int)response.StatusCode}, expected {(int)expected}: {text}");
        return text.Length == 0 ? new JsonObject() : JsonNode.Parse(text)!;
    }

    /// <summary>Sends a request and returns whatever comes.</summary>
    public static async Task<HttpResponseMessage> TryAsync(
        this HttpClient client, HttpMethod method, string path, object? body = null, params (string Name, string Value)[] headers)
    {
        using var request = new HttpRequestMessage(method, path);
        request.Content = body switch
        {
            null => null,
            HttpContent content => content,
            _ => JsonContent.Create(body),
        };
        foreach (var (name, value) in headers)
        {
            request.Headers.TryAddWithoutValidation(name, value);
        }

        return await client.SendAsync(request);
    }

    /// <summary>Sends a request that is refused; asserts status and problem type, and returns the problem.</summary>
    public static async Task<JsonNode> RefusedAsync(
        this HttpClient client, HttpMethod method, string path, object? body, int status, string type, params (string Name, string Value)[] headers)
    {
        using var response = await client.TryAsync(method, path, body, headers);
        var text = await response.Content.ReadAsStringAsync();
        Assert.True(status == (int)response.StatusCode, $"{method} {path} was answered {(int)response.StatusCode}, expected {status}: {text}");
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        var problem = JsonNode.Parse(text)!;
        Assert.Equal("urn:boutdesk:problem:" + type, problem["type"]!.GetValue<string>());
        Assert.Equal(status, problem["status"]!.GetValue<int>());
        Assert.False(string.IsNullOrWhiteSpace(problem["title"]?.GetValue<string>()));
        Assert.False(string.IsNullOrWhiteSpace(problem["detail"]?.GetValue<string>()));
        return problem;
    }

    public static async Task<T> GetAsync<T>(this HttpClient client, string path)
        where T : JsonNode => (T)await client.SendAsync(HttpMethod.Get, path, null, HttpStatusCode.OK);

    public static async Task<IReadOnlyList<JsonNode>> ListAsync(this HttpClient client, string path) =>
        [.. (await client.GetAsync<JsonArray>(path)).OfType<JsonNode>()];

    public static string Id(this JsonNode? node) => node!["id"]!.GetValue<string>();
}
