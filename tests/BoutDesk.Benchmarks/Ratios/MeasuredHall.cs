using System.Collections.Concurrent;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Ratios;

/// <summary>A tournament of 400 entrants and more, with bouts enough for the measurements, and one competition in its tableau.</summary>
internal sealed class MeasuredHall
{
    /// <summary>How many touches are scored in each bout: as many as an ordinary one has. One that is not over after them takes them all.</summary>
    public const int TouchesOfABout = 9;

    private const int PoolSize = 12;
    private const int PoolsOfACompetition = 16;
    private const int Competitions = 9;
    private const int InTheTableau = 64;

    /// <summary>How many are entered in all.</summary>
    public const int Entrants = InTheTableau + (Competitions * PoolsOfACompetition * PoolSize);

    private readonly ConcurrentQueue<(string Bout, string Pass)> bouts = [];

    public required string TournamentId { get; init; }

    public required string TableauId { get; init; }

    public required string PoolId { get; init; }

    public static async Task<MeasuredHall> OpenAsync(HttpClient desk)
    {
        var tournament = await desk.OpenTournamentAsync();
        var tableau = await OpenCompetitionAsync(desk, tournament, "Measured tableau", new { pools = new { rounds = 0 } });
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{tableau}/entrants", Requests.EntryList(InTheTableau, clubs: 20));
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{tableau}/tableau");
        var pools = new List<(string Id, string Pass)>();
        for (var number = 1; number <= Competitions; number++)
        {
            var competition = await OpenCompetitionAsync(desk, tournament, $"Measured foil {number}", new { pools = new { size = PoolSize, touches = 45 } });
            await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", Requests.EntryList(PoolsOfACompetition * PoolSize, clubs: 40));
            var round = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/pool-rounds", JsonContent.Create(new { poolSize = PoolSize, drawSeed = 1 }));
            foreach (var id in round["pools"]!.AsArray().Select(Requests.Id))
            {
                var given = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", JsonContent.Create(new { kind = "referee", pools = new[] { id } }));
                pools.Add((id, given["pass"]!.GetValue<string>()));
            }
        }

        var hall = new MeasuredHall { TournamentId = tournament, TableauId = tableau, PoolId = pools[^1].Id };
        var programme = new List<(string Pass, string[] Bouts)>();
        foreach (var (id, pass) in pools)
        {
            programme.Add((pass, [.. (await desk.GetFromJsonAsync<JsonObject>($"/api/pools/{id}"))!["bouts"]!.AsArray().Select(Requests.Id)]));
        }

        // The first bout of every pool, then the second.
        for (var bout = 0; bout < programme.Max(p => p.Bouts.Length); bout++)
        {
            foreach (var (pass, ofPool) in programme.Where(p => bout < p.Bouts.Length))
            {
                hall.bouts.Enqueue((ofPool[bout], pass));
            }
        }

        return hall;
    }

    /// <summary>A phone on a connection of its own: what scores its next touch, and gives the status of the answer.</summary>
    public async Task<Func<Task<int>>> PhoneAsync(Uri address) =>
        new ScoringPhone(await RawConnection.OpenAsync(address), bouts, TouchesOfABout).ScoreAsync;

    private static async Task<string> OpenCompetitionAsync(HttpClient desk, string tournament, string name, object formula) =>
        (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/competitions", JsonContent.Create(
            new { name, weapon = "foil", category = "mixed", ageGroup = "senior", formula }))).Id();
}
