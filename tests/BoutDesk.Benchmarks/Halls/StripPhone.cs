using System.Collections.Concurrent;
using System.Diagnostics;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Benchmarks.Hall;
using BoutDesk.Benchmarks.Ratios;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>
/// The phone at a strip, which does what the referee's pad does: for each touch the clock is started, halted and the
/// touch scored; after nine of them, 5:4, the result is confirmed and the next bout begins.
/// </summary>
/// <param name="connection">A connection of its own.</param>
/// <param name="bouts">The bouts in order, each with the pass for it; other phones may take from them too.</param>
internal sealed class StripPhone(RawConnection connection, ConcurrentQueue<(string Bout, string Pass)> bouts) : IDisposable
{
    private const int TouchesOfABout = 9;

    /// <summary>Start, halt, touch.</summary>
    public const int ActsOfATouch = 3;

    private string bout = "";
    private string pass = "";
    private int touches = TouchesOfABout;
    private int step;

    /// <summary>The touches that were acknowledged since <see cref="Forget"/>, with the time stamp of the answer.</summary>
    public Dictionary<Touch, long> Answered { get; } = [];

    /// <summary>How long touches took since <see cref="Forget"/>.</summary>
    public Times Waits { get; } = new();

    /// <summary>What it has done since <see cref="Forget"/>.</summary>
    public int Acts { get; private set; }

    /// <summary>Writes that were acknowledged since <see cref="Forget"/>: one for each act, and one for each result.</summary>
    public int Writes { get; private set; }

    /// <summary>Writes that were answered otherwise since <see cref="Forget"/>.</summary>
    public int Refused { get; private set; }

    /// <summary>Begins to count anew.</summary>
    public void Forget()
    {
        Answered.Clear();
        Waits.Clear();
        (Acts, Writes, Refused) = (0, 0, 0);
    }

    /// <summary>Sends what comes next: the start of the clock, its halt, or the touch, and after the last touch of a bout the result too.</summary>
    /// <param name="due">The time stamp from which its time is counted.</param>
    /// <exception cref="InvalidOperationException">The bouts are used up.</exception>
    public async Task ActAsync(long due)
    {
        if (touches == TouchesOfABout)
        {
            (bout, pass) = bouts.TryDequeue(out var next) ? next : throw new InvalidOperationException("The bouts of the measurement are used up.");
            touches = 0;
        }

        switch (step)
        {
            case 0:
                await SendAsync("POST", "clock", """{"action":"start"}""");
                break;
            case 1:
                await SendAsync("POST", "clock", """{"action":"halt"}""");
                break;
            default:
                await ScoreAsync(due);
                break;
        }

        step = (step + 1) % ActsOfATouch;
        Acts++;
    }

    public void Dispose() => connection.Dispose();

    private async Task ScoreAsync(long due)
    {
        touches++;
        if (await SendAsync("POST", "touches", touches % 2 == 1 ? """{"side":"left"}""" : """{"side":"right"}"""))
        {
            Answered[new Touch(bout, touches)] = Stopwatch.GetTimestamp();
            Waits.Add(Stopwatch.GetElapsedTime(due).TotalMilliseconds);
        }

        if (touches == TouchesOfABout)
        {
            await SendAsync("PUT", "result", """{"left":5,"right":4,"winner":"left"}""");
        }
    }

    private async Task<bool> SendAsync(string method, string what, string body)
    {
        var request = RawConnection.Request(
            method, $"/api/bouts/{bout}/{what}", $"Authorization: Bearer {pass}\r\nIdempotency-Key: {Guid.NewGuid()}\r\n", body);
        var acknowledged = await connection.AskAsync(request) == 200;
        (Writes, Refused) = acknowledged ? (Writes + 1, Refused) : (Writes, Refused + 1);
        return acknowledged;
    }
}
