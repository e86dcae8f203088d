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

    /// <summary>Adds one that was measured elsewhere.</summary>
    /// <param name="milliseconds">How long it took.</param>
    public void Add(double milliseconds) => all.Add(milliseconds);

    /// <summary>Adds what others measured.</summary>
    public void Add(IEnumerable<Times> others) => all.AddRange(others.SelectMany(other => other.all));

    /// <summary>Forgets what was done so far, which warmed up.</summary>
    public void Clear() => all.Clear();

    /// <summary>The time within which this share of them was done: 0.5 for the median, 0.95 for 95 of 100.</summary>
    /// <param name="share">From 0 to 1.</param>
    public double Within(double share) => all.Order().ElementAt((int)((all.Count - 1) * share));
}
