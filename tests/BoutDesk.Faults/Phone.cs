using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Net.Sockets;

namespace BoutDesk.Faults;

/// <summary>
/// A referee's phone: scores the bouts of its pools touch by touch, sometimes takes one back or shows a card, and
/// confirms the result. What is not acknowledged it sends again, unchanged and with the same key, until it is.
/// </summary>
internal sealed class Phone : IDisposable
{
    private const int Target = 5;
    private const int LongestWait = 2000; // milliseconds between two tries
    private static readonly DateTimeOffset Morning = new(2026, 11, 28, 9, 0, 0, TimeSpan.Zero);
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(4);

    private readonly HttpClient client;
    private readonly IReadOnlyList<ScoredPool> pools;
    private readonly Random chance;
    private readonly TimeSpan pause;
    private readonly Acknowledgements acknowledgements;
    private readonly Dictionary<string, List<Happening>> done = [];
    private DateTimeOffset now = Morning;

    public Phone(Uri address, IReadOnlyList<ScoredPool> pools, Random chance, TimeSpan pause, Acknowledgements acknowledgements)
    {
        client = new HttpClient { BaseAddress = address, Timeout = Timeout.InfiniteTimeSpan };
        (this.pools, this.chance, this.pause, this.acknowledgements) = (pools, chance, pause, acknowledgements);
    }

    /// <summary>What was acknowledged, bout by bout, in order.</summary>
    public IReadOnlyDictionary<string, List<Happening>> Done => done;

    /// <summary>Scores until told that it is enough; the bout then going on is finished.</summary>
    /// <returns>False when it ran out of bouts.</returns>
    /// <exception cref="InvalidOperationException">An action was refused; none of them may be.</exception>
    public async Task<bool> ScoreAsync(CancellationToken enough)
    {
        foreach (var pool in pools)
        {
            client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", pool.Pass);
            foreach (var bout in pool.Bouts)
            {
                if (enough.IsCancellationRequested)
                {
                    return true;
                }

                await ScoreAsync(bout.Id, enough);
            }
        }

        return false;
    }

    public void Dispose() => client.Dispose();

    private async Task ScoreAsync(string bout, CancellationToken enough)
    {
        done[bout] = [];
        int[] touches = [0, 0];
        bool[] warned = [false, false];
        while (touches.Max() < Target)
        {
            var side = chance.Next(2);
            var name = side == 0 ? "left" : "right";
            if (!warned[side] && chance.NextDouble() < 0.04)
            {
                var reason = $"Offence {done[bout].Count}";
                await DoAsync(bout, HttpMethod.Post, "cards", new { side = name, card = "yellow", reason }, new Happening("card-shown", reason), enough);
                warned[side] = true;
            }

            now = now.AddSeconds(1);
            await DoAsync(bout, HttpMethod.Post, "touches", new { side = name, at = now }, new Happening("touch-scored", $"{name} {now:O}"), enough);
            touches[side]++;
            if (touches[side] < Target && chance.NextDouble() < 0.08)
            {
                await DoAsync(bout, HttpMethod.Delete, "touches/last", null, new Happening("touch-taken-back", ""), enough);
                touches[side]--;
            }
        }

        var winner = touches[0] == Target ? "left" : "right";
        await DoAsync(
            bout,
            HttpMethod.Put,
            "result",
            new { left = touches[0], right = touches[1], winner },
            new Happening("result-recorded", string.Create(CultureInfo.InvariantCulture, $"{touches[0]}:{touches[1]} {winner}")),
            enough);
    }

    private async Task DoAsync(string bout, HttpMethod method, string path, object? body, Happening happening, CancellationToken enough)
    {
        var key = Guid.NewGuid().ToString();
        for (var tries = 0; ; tries++)
        {
            if (tries > 0)
            {
                acknowledgements.NoteRepeat();
                var longest = Math.Min(LongestWait, 100 << Math.Min(tries, 10));
                await Task.Delay(TimeSpan.FromMilliseconds(chance.Next(longest / 2, longest)), CancellationToken.None);
            }

            var sent = Stopwatch.GetTimestamp();
            using var patience = new CancellationTokenSource(Patience);
            try
            {
                using var request = new HttpRequestMessage(method, $"/api/bouts/{bout}/{path}");
                request.Content = body is null ? null : JsonContent.Create(body);
                request.Headers.Add("Idempotency-Key", key);
                using var answer = await client.SendAsync(request, patience.Token);
                var said = await answer.Content.ReadAsStringAsync(patience.Token);
                if (answer.IsSuccessStatusCode)
                {
                    acknowledgements.Note(sent);
                    done[bout].Add(happening);
                    break;
                }

                acknowledgements.NoteOther(string.Create(CultureInfo.InvariantCulture, $"{(int)answer.StatusCode}"));
                if ((int)answer.StatusCode < 500)
                {
                    throw new InvalidOperationException($"{method} {path} of {bout} was answered {(int)answer.StatusCode}: {said}");
                }
            }
            catch (Exception lost) when (lost is HttpRequestException or IOException or SocketException or OperationCanceledException)
            {
                // Nobody there, or gone in the middle of it. The action may have been kept.
            }
        }

        if (!enough.IsCancellationRequested)
        {
            await Task.Delay(2 * pause * chance.NextDouble(), CancellationToken.None);
        }
    }
}
