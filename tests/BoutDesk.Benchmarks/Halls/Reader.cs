using System.Diagnostics;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Benchmarks.Ratios;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>Those who look at a tournament, one after the other on one connection.</summary>
/// <param name="connection">The connection.</param>
/// <param name="reads">What they ask for, in turn.</param>
internal sealed class Reader(RawConnection connection, IReadOnlyList<byte[]> reads) : IDisposable
{
    private int next;

    /// <summary>How long answers took since <see cref="Forget"/>.</summary>
    public Times Waits { get; } = new();

    /// <summary>What was read since <see cref="Forget"/>.</summary>
    public int Read { get; private set; }

    /// <summary>Reads that were not answered with the page or list since <see cref="Forget"/>.</summary>
    public int Refused { get; private set; }

    /// <summary>Begins to count anew.</summary>
    public void Forget()
    {
        Waits.Clear();
        (Read, Refused) = (0, 0);
    }

    /// <summary>Asks for the next.</summary>
    /// <param name="due">The time stamp from which its time is counted.</param>
    public async Task ReadAsync(long due)
    {
        var status = await connection.AskAsync(reads[next++ % reads.Count]);
        if (status == 200)
        {
            Read++;
            Waits.Add(Stopwatch.GetElapsedTime(due).TotalMilliseconds);
        }
        else
        {
            Refused++;
        }
    }

    public void Dispose() => connection.Dispose();
}
