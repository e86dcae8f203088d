using System.Diagnostics;

namespace BoutDesk.Benchmarks.Day;

/// <summary>How long the same thing took, time after time, in milliseconds.</summary>
internal sealed class Times
{
    private readonly List<double> all = [];

    /// <summary>Does it once more.</summary>
    public async Task AddAsync(Func<Task> act)
    {
        var start = Stopwatch.GetTimestamp();
        await act();
        all.Add(Stopwatch.GetElapsedTime(start).TotalMilliseconds);
    }

    /// <summary>Forgets what was done so far, which warmed up.</summary>
    public void Clear() => all.Clear();

    /// <summary>The time within which this share of them was done: 0.5 for the median, 0.95 for 95 of 100.</summary>
    /// <param name="share">From 0 to 1.</param>
    public double Within(double share) => all.Order().ElementAt((int)((all.Count - 1) * share));
}
