using System.Collections.Concurrent;
using System.Net.Http.Json;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Benchmarks.Ratios;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>A tournament of usual size in its pools: an entry list, the draw and a pass for each pool's referee, all by requests.</summary>
internal sealed class LoadedTournament
{
    /// <summary>Strips, each with a pool of its own.</summary>
    public const int Strips = 8;

    /// <summary>Entrants, in pools of seven.</summary>
    public const int Entrants = 7 * Strips;

    public required string Id { get; init; }

    /// <summary>Pools, each with its bouts in order, and the pass for them.</summary>
    public required IReadOnlyList<(string Pool, ConcurrentQueue<(string Bout, string Pass)> Bouts)> Pools { get; init; }

    /// <summary>Opens it.</summary>
    /// <param name="desk">A client with the desk pass.</param>
    public static async Task<LoadedTournament> OpenAsync(HttpClient desk)
    {
        var id = await desk.OpenTournamentAsync();
        var opened = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{id}/competitions", JsonContent.Create(
            new { name = "Measured foil", weapon = "foil", category = "mixed", ageGroup = "senior" }));
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{opened.Id()}/entrants", Requests.EntryList(Entrants, clubs: 9));
        var round = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{opened.Id()}/pool-rounds", JsonContent.Create(new { drawSeed = 1 }));
        var pools = new List<(string, ConcurrentQueue<(string, string)>)>();
        foreach (var pool in round["pools"]!.AsArray().Select(Requests.Id))
        {
            var given = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{id}/passes", JsonContent.Create(new { kind = "referee", pools = new[] { pool } }));
            var bouts = (await desk.SendAsync(HttpMethod.Get, $"/api/pools/{pool}"))["bouts"]!.AsArray().Select(Requests.Id);
            var pass = given["pass"]!.GetValue<string>();
            pools.Add((pool, new(bouts.Select(bout => (bout, pass)))));
        }

        return new LoadedTournament { Id = id, Pools = pools };
    }

    /// <summary>What people look at, in turn: the board, and the standings of one pool after the other.</summary>
    public IReadOnlyList<byte[]> Reads =>
    [
        .. Pools.SelectMany(pool => new[] { $"/tournaments/{Id}", $"/api/pools/{pool.Pool}/standings" })
            .Select(path => RawConnection.Request("GET", path, "Accept-Encoding: gzip, br\r\n")),
    ];
}
