using System.Globalization;
using System.Text;

namespace BoutDesk.Faults;

/// <summary>A run of fail-overs.</summary>
/// <param name="Seed">Starts all chance of the run. What the scheduler of the machine does is not in it.</param>
/// <param name="Phones">Phones that post, each the bouts of its own pools.</param>
/// <param name="PoolsPerPhone">Pools of seven for each phone. The run fails if the phones are through before the end.</param>
/// <param name="Pause">The mean time between an answer and the next action of a phone.</param>
/// <param name="Failovers">How often the primary is killed.</param>
internal sealed record FailoverPlan(int Seed, int Phones, int PoolsPerPhone, TimeSpan Pause, int Failovers)
{
    /// <summary>Two fail-overs, less than a minute.</summary>
    public static FailoverPlan Short(int seed) => new(seed, 30, 1, TimeSpan.FromSeconds(1), 2);

    /// <summary>Twenty fail-overs, some minutes.</summary>
    public static FailoverPlan Long(int seed) => new(seed, 60, 3, TimeSpan.FromSeconds(1), 20);
}

/// <summary>What one fail-over took.</summary>
/// <param name="Promoted">From the kill until the standby was the primary.</param>
/// <param name="Acknowledged">From the kill until the acknowledgement of an action that was sent after it.</param>
/// <param name="Followed">From the kill until all followers of the feed had been told of what was kept after it.</param>
internal sealed record Failover(TimeSpan Promoted, TimeSpan Acknowledged, TimeSpan Followed);

/// <summary>What came of a run of fail-overs.</summary>
internal sealed record FailoverReport(
    FailoverPlan Plan,
    IReadOnlyList<Failover> Failovers,
    TimeSpan Duration,
    Reckoned Reckoned,
    int Repeats,
    IReadOnlyDictionary<string, int> OtherAnswers,
    IReadOnlyList<string> Wrong,
    string Mistakes,
    string LastWords)
{
    public override string ToString()
    {
        var text = new StringBuilder();
        text.AppendLine(CultureInfo.InvariantCulture, $"""
            Seed {Plan.Seed}; {Plan.Phones} phones, {Duration:mm\:ss} minutes, {Failovers.Count} times the primary was killed and its standby promoted at once.

            | from the kill until | usually, s | at most, s |
            | --- | ---: | ---: |
            """);
        foreach (var (what, times) in new[]
        {
            ("the standby is the primary", Failovers.Select(f => f.Promoted)),
            ("the first acknowledgement of what was sent after it", Failovers.Select(f => f.Acknowledged)),
            ("the feed has told of what was kept after it", Failovers.Select(f => f.Followed)),
        })
        {
            if (times.Select(t => t.TotalSeconds).Order().ToArray() is [_, ..] seconds)
            {
                text.AppendLine(CultureInfo.InvariantCulture, $"| {what} | {seconds[seconds.Length / 2]:0.0} | {seconds[^1]:0.0} |");
            }
        }

        text.AppendLine();
        FaultReport.Told(text, Reckoned, Repeats, OtherAnswers, Wrong);
        return FaultReport.WithWrong(text, Wrong, Mistakes, LastWords);
    }
}
