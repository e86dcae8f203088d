using System.Diagnostics;
using System.Net.Http.Json;

namespace BoutDesk.Benchmarks.Hall;

/// <summary>
/// A referee's phone, which scores the bouts of one pool touch by touch. Its network is bad: every so often it hangs up
/// before the answer is there, and sends the touch again with the same key.
/// </summary>
internal sealed class Phone(HttpClient client, IReadOnlyList<string> bouts, int target, Random chance)
{
    private const double HangsUp = 0.1;
    private readonly Dictionary<Touch, long> answered = [];
    private int scored;

    /// <summary>When the touch was answered, as a time stamp of <see cref="Stopwatch"/>.</summary>
    public IReadOnlyDictionary<Touch, long> Answered => answered;

    /// <summary>From the first sending to the answer, in milliseconds.</summary>
    public List<double> Waits { get; } = [];

    /// <summary>How often it hung up and sent again.</summary>
    public int Repeats { get; private set; }

    /// <summary>Scores the next touch, of the fencer on the left; each bout goes on to the target before the next begins.</summary>
    /// <exception cref="InvalidOperationException">The touch was refused; the message says why.</exception>
    public async Task ScoreAsync()
    {
        var touch = new Touch(bouts[scored / target], (scored % target) + 1);
        scored++;
        var key = Guid.NewGuid().ToString();
        var start = Stopwatch.GetTimestamp();
        if (chance.NextDouble() < HangsUp && await HungUpAsync(touch, key))
        {
            Repeats++;
        }

        using var answer = await SendAsync(touch, key, CancellationToken.None);
        if (!answer.IsSuccessStatusCode)
        {
            throw new InvalidOperationException($"A touch was answered {(int)answer.StatusCode}: {await answer.Content.ReadAsStringAsync()}");
        }

        answered[touch] = Stopwatch.GetTimestamp();
        Waits.Add(Stopwatch.GetElapsedTime(start).TotalMilliseconds);
    }

    /// <summary>True when the answer did not come before the phone hung up.</summary>
    private async Task<bool> HungUpAsync(Touch touch, string key)
    {
        using var soon = new CancellationTokenSource(TimeSpan.FromMilliseconds(chance.Next(1, 15)));
        try
        {
            using var answer = await SendAsync(touch, key, soon.Token);
            return false;
        }
        catch (OperationCanceledException)
        {
            return true;
        }
    }

    private async Task<HttpResponseMessage> SendAsync(Touch touch, string key, CancellationToken cancellation)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, $"/api/bouts/{touch.BoutId}/touches")
        {
            Content = JsonContent.Create(new { side = "left" }),
        };
        request.Headers.Add("Idempotency-Key", key);
        return await client.SendAsync(request, cancellation);
    }
}
