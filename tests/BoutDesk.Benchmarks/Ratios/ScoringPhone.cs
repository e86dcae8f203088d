using System.Collections.Concurrent;
using System.Text;

namespace BoutDesk.Benchmarks.Ratios;

/// <summary>A phone that scores touch after touch, in bout after bout, each under a key of its own, on a connection of its own.</summary>
/// <param name="connection">The connection.</param>
/// <param name="bouts">The bouts, each with the pass for it; other phones may take from them too.</param>
/// <param name="touchesOfABout">How many touches of the fencer on the left it scores in each, fewer than end the bout.</param>
internal sealed class ScoringPhone(RawConnection connection, ConcurrentQueue<(string Bout, string Pass)> bouts, int touchesOfABout)
{
    private byte[] request = [];
    private int key;
    private int left;

    /// <summary>Scores the next touch; gives the status of the answer.</summary>
    /// <exception cref="InvalidOperationException">The bouts are used up.</exception>
    public Task<int> ScoreAsync()
    {
        if (left == 0)
        {
            if (!bouts.TryDequeue(out var next))
            {
                throw new InvalidOperationException("The bouts of the measurement are used up.");
            }

            request = RawConnection.Request(
                "POST", $"/api/bouts/{next.Bout}/touches", $"Authorization: Bearer {next.Pass}\r\nIdempotency-Key: {Guid.Empty}\r\n", """{"side":"left"}""");
            key = request.AsSpan().IndexOf(Encoding.ASCII.GetBytes(Guid.Empty.ToString()));
            left = touchesOfABout;
        }

        left--;
        Guid.NewGuid().TryFormat(request.AsSpan(key), out _);
        return connection.AskAsync(request);
    }
}
