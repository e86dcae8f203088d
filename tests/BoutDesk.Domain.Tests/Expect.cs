using Xunit;

namespace BoutDesk.Domain.Tests;

/// <summary>What a test expects of a decision.</summary>
internal static class Expect
{
    /// <summary>The command is carried out with exactly these events.</summary>
    public static void Events(Decision decision, params object[] events)
    {
        Accepted(decision);
        Assert.Equal(events, decision.Facts.Select(f => f.Event));
    }

    /// <summary>The command was fulfilled before.</summary>
    public static void Nothing(Decision decision)
    {
        Accepted(decision);
        Assert.Empty(decision.Facts);
    }

    /// <summary>The command is refused for this reason, in a sentence that can be read out, and nothing is kept.</summary>
    public static Refusal Refused(RefusalReason reason, Decision decision)
    {
        Assert.True(
            decision.Refusal?.Reason == reason,
            $"Expected the refusal {reason}, but {decision.Refusal?.ToString() ?? $"accepted: {string.Join("; ", decision.Facts)}"}");
        Assert.Empty(decision.Facts);
        Assert.EndsWith(".", decision.Refusal!.Message, StringComparison.Ordinal);
        return decision.Refusal;
    }

    /// <summary>What would follow, in English.</summary>
    public static string[] Consequences(Refusal refusal) => [.. refusal.Consequences.Select(FormattableString.Invariant)];

    /// <summary>The command is refused because of one field.</summary>
    public static void Invalid(string field, Decision decision) =>
        Assert.Equal(field, Refused(RefusalReason.InvalidValue, decision).Field);

    /// <summary>The command is not refused.</summary>
    public static Decision Accepted(Decision decision)
    {
        Assert.True(decision.Refusal is null, $"Refused: {decision.Refusal}");
        return decision;
    }
}
