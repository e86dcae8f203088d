using System.Collections.Concurrent;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Growth;

/// <summary>
/// A tournament of two competitions of the same size, so that pools and a tableau are there to be read and scored at one
/// time: one in its pools, with the first results in, one in its tableau.
/// </summary>
internal sealed class MeasuredTournament
{
    private const int ResultsOfAPool = 4;

    // No more, whatever the size, so that the pass for them is the same.
    private const int BoutsToScore = 40;

    // As many as a formula allows, so that the touches of one fencer do not end a bout.
    private const int Target = 45;

    /// <summary>
    /// How many touches are scored in a bout before the next: some more than a close bout to 15 has, since of twenty
    /// entrants only eight bouts of the tableau are open at once.
    /// </summary>
    public const int TouchesOfABout = 35;

    public required string Id { get; init; }

    public required string InPoolsId { get; init; }

    public required string InTableauId { get; init; }

    public required string PoolId { get; init; }

    /// <summary>Bouts of the pools that are still to be fenced, pool after pool, each with the pass for it.</summary>
    public required ConcurrentQueue<(string Bout, string Pass)> PoolBouts { get; init; }

    /// <summary>Bouts of the tableau that are open.</summary>
    public required ConcurrentQueue<(string Bout, string Pass)> TableauBouts { get; init; }

    /// <summary>Opens it.</summary>
    /// <param name="desk">A client with the desk pass.</param>
    /// <param name="entrants">How many are in each competition.</param>
    public static async Task<MeasuredTournament> OpenAsync(HttpClient desk, int entrants)
    {
        var id = await desk.OpenTournamentAsync();
        var inPools = await EnterAsync(desk, id, "Measured pools", entrants, new { pools = new { touches = Target } });
        var round = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{inPools}/pool-rounds", JsonContent.Create(new { drawSeed = 1 }));
        string[] pools = [.. round["pools"]!.AsArray().Select(Requests.Id)];
        var ofPools = new List<string>();
        foreach (var pool in pools)
        {
            var bouts = (await desk.GetFromJsonAsync<JsonObject>($"/api/pools/{pool}"))!["bouts"]!.AsArray().Select(Requests.Id).ToArray();
            foreach (var fenced in bouts.Take(ResultsOfAPool))
            {
                await desk.SendAsync(HttpMethod.Put, $"/api/bouts/{fenced}/result", JsonContent.Create(new { left = Target, right = 3, winner = "left" }));
            }

            ofPools.AddRange(bouts.Skip(ResultsOfAPool));
        }

        var inTableau = await EnterAsync(
            desk, id, "Measured tableau", entrants, new { pools = new { rounds = 0 }, elimination = new { touches = Target } });
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{inTableau}/tableau");
        var ofTableau = (await desk.SendAsync(HttpMethod.Get, $"/api/competitions/{inTableau}/tableau")).OpenBouts().Select(Requests.Id);
        return new MeasuredTournament
        {
            Id = id,
            InPoolsId = inPools,
            InTableauId = inTableau,
            PoolId = pools[0],
            PoolBouts = await WithPassAsync(desk, id, ofPools),
            TableauBouts = await WithPassAsync(desk, id, ofTableau),
        };
    }

    private static async Task<string> EnterAsync(HttpClient desk, string tournament, string name, int entrants, object formula)
    {
        var competition = (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/competitions", JsonContent.Create(
            new { name, weapon = "foil", category = "mixed", ageGroup = "senior", formula }))).Id();
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", Requests.EntryList(entrants, clubs: Math.Max(4, entrants / 12)));
        return competition;
    }

    private static async Task<ConcurrentQueue<(string Bout, string Pass)>> WithPassAsync(HttpClient desk, string tournament, IEnumerable<string> bouts)
    {
        string[] scored = [.. bouts.Take(BoutsToScore)];
        var given = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", JsonContent.Create(new { kind = "referee", bouts = scored }));
        var pass = given["pass"]!.GetValue<string>();
        return new(scored.Select(bout => (bout, pass)));
    }
}
