using System.Globalization;
using System.Text;

namespace BoutDesk.Faults;

/// <summary>A run of upgrades.</summary>
/// <param name="Seed">Starts all chance of the run. What the scheduler of the machine does is not in it.</param>
/// <param name="Earlier">The earlier version: a commit, or a folder with its program.</param>
/// <param name="Phones">Phones that post, each the bouts of its own pools.</param>
/// <param name="PoolsPerPhone">Pools of seven for each phone. The run fails if the phones are through before the end.</param>
/// <param name="Pause">The mean time between an answer and the next action of a phone.</param>
/// <param name="Rolls">How often both services are exchanged: for this version, back for the earlier one, and so on.</param>
/// <param name="Mixed">How long both versions are at work side by side each time.</param>
internal sealed record UpgradePlan(int Seed, string Earlier, int Phones, int PoolsPerPhone, TimeSpan Pause, int Rolls, TimeSpan Mixed)
{
    /// <summary>Less than a minute. It needs no history: both services are stopped and started again as they are.</summary>
    public static UpgradePlan Short(int seed) => new(seed, Service.BuiltIn, 30, 1, TimeSpan.FromSeconds(1), 1, TimeSpan.FromSeconds(1));

    /// <summary>Some minutes, and before them the time to build the earlier version.</summary>
    public static UpgradePlan Long(string earlier, int seed) => new(seed, earlier, 60, 3, TimeSpan.FromSeconds(1), 3, TimeSpan.FromSeconds(8));
}

/// <summary>One service stopped and another version started in its place.</summary>
/// <param name="What">Which.</param>
/// <param name="Stopped">How long it took until it had ended.</param>
/// <param name="Ready">How long the next took to be ready, from its start.</param>
/// <param name="Silence">The longest time in which no phone had an acknowledgement, until the next exchange.</param>
/// <param name="Followed">From the stop until all followers of the feed had been told of what was kept when the next was ready.</param>
/// <param name="Changes">Statements that changed tables.</param>
internal sealed record Exchange(string What, TimeSpan Stopped, TimeSpan Ready, TimeSpan Silence, TimeSpan Followed, int Changes);

/// <summary>What came of a run of upgrades. Its changes at once are the statements that changed tables when two services of this version started at the same moment on the data of the earlier one.</summary>
internal sealed record UpgradeReport(
    UpgradePlan Plan,
    string Earlier,
    IReadOnlyList<Exchange> Exchanges,
    int ChangesAtOnce,
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
            Seed {Plan.Seed}; {Plan.Phones} phones, {Duration:mm\:ss} minutes, two services of {Earlier} exchanged for this version, then back, and so on, {Plan.Rolls} times.

            | service, and what took its place | stopped in, s | ready in, s | longest without an acknowledgement, s | feed up to date after, s | changes of tables |
            | --- | ---: | ---: | ---: | ---: | ---: |
            """);
        foreach (var exchange in Exchanges)
        {
            text.AppendLine(
                CultureInfo.InvariantCulture,
                $"| {exchange.What} | {exchange.Stopped.TotalSeconds:0.0} | {exchange.Ready.TotalSeconds:0.0} | {exchange.Silence.TotalSeconds:0.0} | {exchange.Followed.TotalSeconds:0.0} | {exchange.Changes} |");
        }

        text.AppendLine(CultureInfo.InvariantCulture, $"""
            | two of this version at the same moment on the earlier one's data | | | | | {ChangesAtOnce} |

            """);
        FaultReport.Told(text, Reckoned, Repeats, OtherAnswers, Wrong);
        return FaultReport.WithWrong(text, Wrong, Mistakes, LastWords);
    }
}
