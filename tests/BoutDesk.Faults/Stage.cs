using System.Globalization;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json.Nodes;

namespace BoutDesk.Faults;

/// <summary>The tournament that is fenced meanwhile.</summary>
/// <param name="TournamentId">The tournament.</param>
/// <param name="Pools">Its pools.</param>
internal sealed record Stage(string TournamentId, IReadOnlyList<ScoredPool> Pools)
{
    private const int PoolSize = 7;
    private const int PoolsInACompetition = 30;

    /// <summary>Opens a tournament with so many pools of seven, and gives out a pass for each.</summary>
    public static async Task<Stage> SetAsync(HttpClient desk, int pools)
    {
        var tournamentId = Id(await PostAsync(desk, "/api/tournaments", JsonContent.Create(
            new { name = "Stormy Open", venue = "Hall on the Hill", startsOn = "2026-11-28", timeZone = "Europe/Paris" })));
        var scored = new List<ScoredPool>();
        while (scored.Count < pools)
        {
            var opened = await PostAsync(desk, $"/api/tournaments/{tournamentId}/competitions", JsonContent.Create(
                new { name = $"Épée {scored.Count}", weapon = "epee", category = "mixed", ageGroup = "senior" }));
            var at = $"/api/competitions/{Id(opened)}";
            await PostAsync(desk, $"{at}/entrants", Entrants(Math.Min(PoolsInACompetition, pools - scored.Count) * PoolSize));
            var round = await PostAsync(desk, $"{at}/pool-rounds", JsonContent.Create(new { poolSize = PoolSize, drawSeed = 1 }));
            foreach (var id in round["pools"]!.AsArray().Select(Id))
            {
                var given = await PostAsync(desk, $"/api/tournaments/{tournamentId}/passes", JsonContent.Create(new { kind = "referee", pools = new[] { id } }));
                var pool = (await desk.GetFromJsonAsync<JsonObject>(new Uri($"/api/pools/{id}", UriKind.Relative)))!;
                scored.Add(new ScoredPool(
                    id,
                    given["pass"]!.GetValue<string>(),
                    [.. pool["bouts"]!.AsArray().Select(b => new PoolBout(Id(b), b!["left"]!.GetValue<int>(), b["right"]!.GetValue<int>()))]));
            }
        }

        return new Stage(tournamentId, scored);
    }

    private static string Id(JsonNode? node) => node!["id"]!.GetValue<string>();

    private static StringContent Entrants(int count)
    {
        var csv = new StringBuilder("familyName,givenName,club,country,ranking\n");
        for (var rank = 1; rank <= count; rank++)
        {
            csv.Append(CultureInfo.InvariantCulture, $"Storm{rank:000},Robin,Club {rank % 40},FRA,{rank}\n");
        }

        return new StringContent(csv.ToString(), Encoding.UTF8, "text/csv");
    }

    private static async Task<JsonNode> PostAsync(HttpClient desk, string path, HttpContent content)
    {
        using var answer = await desk.PostAsync(new Uri(path, UriKind.Relative), content);
        var text = await answer.Content.ReadAsStringAsync();
        return answer.IsSuccessStatusCode ? JsonNode.Parse(text)! : throw new InvalidOperationException($"{path} was answered {(int)answer.StatusCode}: {text}");
    }
}
