using System.Globalization;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json.Nodes;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Api.Demo;

/// <summary>
/// Fences an invented tournament through the same requests that users send: one competition finished, one in its
/// elimination, one in its pools.
/// </summary>
internal sealed class DemoTournament
{
    private static readonly string[] ClubThenCountry = ["club", "country"];

    private readonly HttpClient http;
    private readonly Action<string> say;
    private readonly LotSequence lots = new DrawSeed(20261128).Lots();

    public DemoTournament(HttpClient http, Action<string> say)
    {
        this.http = http;
        this.say = say;
    }

    /// <summary>Loads everything; gives the tournament's identifier, the link of a referee's pass for a pool that is being fenced, and that of an armourer's pass.</summary>
    public async Task<(string Id, string Pad, string Armourer)> LoadAsync(DateOnly startsOn)
    {
        var tournament = await PostAsync("/api/tournaments", new { name = "Harbour Lights Cup", venue = "Quayside Sports Hall, Port Selwyn", startsOn, timeZone = "Europe/London" });
        var id = tournament["id"]!.GetValue<string>();
        var strips = new List<string>();
        for (var number = 1; number <= 8; number++)
        {
            var strip = await PostAsync($"/api/tournaments/{id}/strips", new { name = $"Strip {number}", kind = number == 8 ? "podium" : "floor" });
            strips.Add(strip["id"]!.GetValue<string>());
        }

        using var referees = new StringContent(DemoPeople.Referees, Encoding.UTF8, "text/csv");
        await SendAsync(HttpMethod.Post, $"/api/tournaments/{id}/referees", referees);

        var young = await OpenAsync(id, "Under 12 foil", "foil", "mixed", "under 12", 92, 2015, 2, new
        {
            pools = new { size = 7, promote = new { percent = 80 } },
            elimination = new { touches = 10, periods = 3, minutes = 2 },
        });
        await FencePoolsAsync("Under 12 foil", young, 1.0, strips);
        await PostAsync($"/api/competitions/{young}/pool-rounds/1/close");
        await PostAsync($"/api/competitions/{young}/tableau");
        await FenceTableauAsync("Under 12 foil", young, 10, untilTableOf: 1);

        var epee = await OpenAsync(id, "Women's épée", "epee", "women", "senior", 40, 1990, 18, new
        {
            pools = new { size = 7, separateBy = ClubThenCountry },
            elimination = new { thirdPlace = "bout" },
        });
        await FencePoolsAsync("Women's épée", epee, 1.0, strips);
        await PostAsync($"/api/competitions/{epee}/pool-rounds/1/close");
        await PostAsync($"/api/competitions/{epee}/tableau");
        await FenceTableauAsync("Women's épée", epee, 15, untilTableOf: 16);

        var sabre = await OpenAsync(id, "Men's sabre", "sabre", "men", "senior", 20, 1988, 20, new { pools = new { size = 7 } });
        await FencePoolsAsync("Men's sabre", sabre, 0.5, strips);
        await PostAsync($"/api/competitions/{epee}/tableau/referees");
        await CheckEquipmentAsync("Men's sabre", sabre);
        await LendAsync(id, sabre);
        var round = (await http.GetFromJsonAsync<JsonObject>($"/api/competitions/{sabre}/pool-rounds/1"))!;
        var pass = await PostAsync($"/api/tournaments/{id}/passes", new { kind = "referee", pools = new[] { Id(round["pools"]![0]) } });
        var armourer = await PostAsync($"/api/tournaments/{id}/passes", new { kind = "armourer" });
        return (id, pass["url"]!.GetValue<string>(), armourer["url"]!.GetValue<string>());
    }

    private async Task<string> OpenAsync(
        string tournamentId, string name, string weapon, string category, string ageGroup, int entrants, int firstYear, int years, object formula)
    {
        var competition = await PostAsync($"/api/tournaments/{tournamentId}/competitions", new { name, weapon, category, ageGroup, formula });
        var id = competition["id"]!.GetValue<string>();
        using var list = new StringContent(DemoPeople.EntryList(entrants, category, firstYear, years, lots), Encoding.UTF8, "text/csv");
        await SendAsync(HttpMethod.Post, $"/api/competitions/{id}/entrants", list);
        var entered = (await http.GetFromJsonAsync<JsonArray>($"/api/competitions/{id}/entrants"))!;
        foreach (var (number, entrant) in entered.Index())
        {
            // Somebody always oversleeps.
            await PostAsync($"/api/entrants/{Id(entrant)}/{(number % 37 == 30 ? "absent" : "check-in")}");
        }

        say($"{name}: {entered.Count} entrants, checked in");
        await PostAsync($"/api/competitions/{id}/pool-rounds", new { drawSeed = lots.Below(1_000_000) });
        await PostAsync($"/api/competitions/{id}/pool-rounds/1/referees", new { atOnce = 8 });
        return id;
    }

    private async Task FencePoolsAsync(string name, string competitionId, double share, List<string> strips)
    {
        var round = (await http.GetFromJsonAsync<JsonObject>($"/api/competitions/{competitionId}/pool-rounds/1"))!;
        var pools = round["pools"]!.AsArray();
        foreach (var (number, summary) in pools.Index())
        {
            var poolId = Id(summary);
            await SendAsync(HttpMethod.Put, $"/api/pools/{poolId}/strip", JsonContent.Create(new { stripId = strips[number % strips.Count] }));
            var pool = (await http.GetFromJsonAsync<JsonObject>($"/api/pools/{poolId}"))!;
            var bouts = pool["bouts"]!.AsArray();
            var fenced = (int)(bouts.Count * share);
            foreach (var (order, bout) in bouts.Take(fenced).Index())
            {
                await FenceAsync(Id(bout), 5, byTouches: number == 0 && order < 6, pool["fencers"]!.AsArray().Count + order);
            }

            if (fenced < bouts.Count)
            {
                await PostAsync($"/api/bouts/{Id(bouts[fenced])}/touches", new { side = "left" });
            }
        }

        say($"{name}: {pools.Count} pools, {(share < 1 ? "half fenced" : "fenced")}");
    }

    /// <summary>Most have passed at the equipment table, some were sent back, and one has not come yet.</summary>
    private async Task CheckEquipmentAsync(string name, string competitionId)
    {
        await SendAsync(HttpMethod.Put, $"/api/competitions/{competitionId}/equipment-gate", JsonContent.Create(new { gate = "warn" }));
        var entrants = (await http.GetFromJsonAsync<JsonArray>($"/api/competitions/{competitionId}/entrants"))!;
        foreach (var (number, entrant) in entrants.Index().Where(e => e.Index % 19 != 18))
        {
            var checks = $"/api/entrants/{Id(entrant)}/equipment-checks";
            if (number % 9 == 4)
            {
                await PostAsync(checks, new { item = "bodyCord", measured = new { resistance = "1.6 Ω" }, note = "A wire is loose at the plug." });
            }

            await PostAsync(checks + "/rest", new { mark = $"green {number + 1}" });
        }

        say($"{name}: equipment of {entrants.Count - 1} checked");
    }

    private async Task LendAsync(string tournamentId, string competitionId)
    {
        using var list = new StringContent("item,size,hand,club,label,count\nglove,8,right,Port Selwyn Fencers,G1,4\nmask,M,,Port Selwyn Fencers,M1,3\nbodyCord,,,Port Selwyn Fencers,C1,3\n", Encoding.UTF8, "text/csv");
        await SendAsync(HttpMethod.Post, $"/api/tournaments/{tournamentId}/loan-kit", list);
        await PostAsync($"/api/loan-kit/{tournamentId}-k1/issue", new { entrantId = $"{competitionId}-e5" });
        await PostAsync($"/api/loan-kit/{tournamentId}-k8/issue", new { entrantId = $"{competitionId}-e14" });
        await PostAsync($"/api/loan-kit/{tournamentId}-k5/issue", new { entrantId = $"{competitionId}-e2" });
        await PostAsync($"/api/loan-kit/{tournamentId}-k5/return", new { state = "toMend", note = "The tongue is bent." });
    }

    private async Task FenceTableauAsync(string name, string competitionId, int touches, int untilTableOf)
    {
        var fenced = 0;
        while (true)
        {
            var tableau = (await http.GetFromJsonAsync<JsonObject>($"/api/competitions/{competitionId}/tableau"))!;
            var open = tableau["rounds"]!.AsArray()
                .Where(r => r!["tableOf"]!.GetValue<int>() > untilTableOf)
                .SelectMany(r => r!["bouts"]!.AsArray())
                .Where(b => b!["status"]!.GetValue<string>() == "open")
                .ToArray();
            if (open.Length == 0)
            {
                break;
            }

            foreach (var bout in open)
            {
                // The better seed is a little more likely to win.
                var favourite = bout!["left"]!["seed"]!.GetValue<int>() < bout["right"]!["seed"]!.GetValue<int>();
                await FenceAsync(Id(bout), touches, byTouches: false, favourite ? 2 : -2);
                fenced++;
            }
        }

        say($"{name}: {fenced} elimination bouts fenced");
    }

    private async Task FenceAsync(string boutId, int touches, bool byTouches, int bias)
    {
        var leftWins = lots.Below(10) < 5 + Math.Clamp(bias % 3, -2, 2);
        var losers = lots.Below(touches);
        var (left, right) = leftWins ? (touches, losers) : (losers, touches);
        if (byTouches)
        {
            for (var (l, r) = (0, 0); l < left || r < right;)
            {
                // The winning touch comes last.
                var lastForLeft = leftWins && l == left - 1 && r < right;
                var lastForRight = !leftWins && r == right - 1 && l < left;
                var toLeft = !lastForLeft && (lastForRight || r == right || (l < left && lots.Below(2) == 0));
                await PostAsync($"/api/bouts/{boutId}/touches", new { side = toLeft ? "left" : "right" });
                (l, r) = toLeft ? (l + 1, r) : (l, r + 1);
            }
        }

        await SendAsync(HttpMethod.Put, $"/api/bouts/{boutId}/result", JsonContent.Create(new { left, right, winner = leftWins ? "left" : "right" }));
    }

    private Task<JsonNode> PostAsync(string path, object? body = null) =>
        SendAsync(HttpMethod.Post, path, body is null ? null : JsonContent.Create(body));

    private async Task<JsonNode> SendAsync(HttpMethod method, string path, HttpContent? content)
    {
        using var request = new HttpRequestMessage(method, path) { Content = content };
        request.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue("application/json"));
        using var response = await http.SendAsync(request);
        var text = await response.Content.ReadAsStringAsync();
        return response.IsSuccessStatusCode
            ? JsonNode.Parse(text)!
            : throw new InvalidOperationException(string.Create(CultureInfo.InvariantCulture, $"{method} {path} was answered {(int)response.StatusCode}: {text}"));
    }

    private static string Id(JsonNode? node) => node!["id"]!.GetValue<string>();
}
