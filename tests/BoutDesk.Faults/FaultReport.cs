using System.Globalization;
using System.Text;

namespace BoutDesk.Faults;

/// <summary>What one fault did.</summary>
/// <param name="Fault">The fault.</param>
/// <param name="Silence">The longest time until the next fault in which no phone had an acknowledgement.</param>
internal sealed record Suffered(Fault Fault, TimeSpan Silence);

/// <summary>What came of a run.</summary>
internal sealed record FaultReport(
    FaultPlan Plan,
    IReadOnlyList<string> NotTried,
    IReadOnlyList<Suffered> Suffered,
    TimeSpan Duration,
    int Actions,
    int Repeats,
    int Cuts,
    int Results,
    int Standings,
    IReadOnlyDictionary<string, int> OtherAnswers,
    IReadOnlyList<string> Wrong,
    string Mistakes,
    string LastWords)
{
    public override string ToString()
    {
        var text = new StringBuilder();
        text.AppendLine(CultureInfo.InvariantCulture, $"Seed {Plan.Seed}; {Plan.Phones} phones, {Duration:mm\\:ss} minutes.");
        foreach (var one in NotTried)
        {
            text.AppendLine(one);
        }

        text.AppendLine(CultureInfo.InvariantCulture, $"""

            | fault | times | usual silence, s | longest, s |
            | --- | ---: | ---: | ---: |
            """);
        foreach (var kind in Suffered.GroupBy(s => s.Fault).OrderBy(g => g.Key))
        {
            var silences = kind.Select(s => s.Silence.TotalSeconds).Order().ToArray();
            text.AppendLine(CultureInfo.InvariantCulture, $"| {Name(kind.Key)} | {silences.Length} | {silences[silences.Length / 2]:0.0} | {silences[^1]:0.0} |");
        }

        text.AppendLine(CultureInfo.InvariantCulture, $"""

            {Actions} actions acknowledged, {Results} of them results; {Repeats} sendings were repeats, {Cuts} connections were cut in the middle.
            Other answers: {Others(OtherAnswers)}.
            {Standings} pools compared with the events. Wrong: {Wrong.Count}.
            """);
        return WithWrong(text, Wrong, Mistakes, LastWords);
    }

    /// <summary>Tells what phones did, and what the reckoning found.</summary>
    public static void Told(StringBuilder text, Reckoned reckoned, int repeats, IReadOnlyDictionary<string, int> otherAnswers, IReadOnlyList<string> wrong) =>
        text.AppendLine(CultureInfo.InvariantCulture, $"""
            {reckoned.Actions} actions acknowledged, {reckoned.Results} of them results; {repeats} sendings were repeats.
            Other answers: {Others(otherAnswers)}.
            {reckoned.Standings} pools compared with the events. Wrong: {wrong.Count}.
            """);

    /// <summary>A report with what went wrong at its end.</summary>
    public static string WithWrong(StringBuilder text, IReadOnlyList<string> wrong, string mistakes, string lastWords)
    {
        foreach (var one in wrong.Take(20))
        {
            text.AppendLine(one);
        }

        if (mistakes.Length > 0)
        {
            text.AppendLine("The service's mistakes:").AppendLine(mistakes);
        }

        if (wrong.Count > 0)
        {
            text.AppendLine("The service said last:").AppendLine(lastWords);
        }

        return text.ToString();
    }

    private static string Others(IReadOnlyDictionary<string, int> answers) =>
        answers.Count == 0 ? "none" : string.Join(", ", answers.Select(a => $"{a.Value} times {a.Key}"));

    private static string Name(Fault fault) => fault switch
    {
        Fault.ServiceKilled => "service killed",
        Fault.PostgresKilled => "PostgreSQL killed",
        Fault.PowerLost => "everything killed at once",
        Fault.StoreConnectionsCut => "connections to PostgreSQL cut",
        Fault.NetworkGone => "network gone for 2 s",
        Fault.ClockJumped => "clock put on or back",
        _ => "disk full for 4 s",
    };
}
