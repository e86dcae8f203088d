using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Races;

/// <summary>Standings worked out anew from the bouts of a pool sheet, as a coach does with pencil and paper.</summary>
internal static class SheetArithmetic
{
    /// <summary>Asserts that a ranking is what the bouts of the sheet amount to.</summary>
    /// <param name="pool">The pool, as GET gives it.</param>
    /// <param name="ranking">The standings to check, best first.</param>
    /// <param name="because">Said when they differ.</param>
    public static void AssertRanks(JsonNode pool, IReadOnlyList<JsonNode> ranking, string because)
    {
        var bouts = pool.Items("bouts").Where(b => b.Text("status") == "decided").ToArray();
        var entrants = pool.Items("fencers").ToDictionary(f => f.Number("position"), f => f.Text("entrantId"));
        var lines = bouts
            .SelectMany(b => new[] { Seen(b, "left", "right"), Seen(b, "right", "left") })
            .GroupBy(b => entrants[b.Position])
            .Select(g => new Line(g.Key, g.Count(b => b.Won), g.Count(), g.Sum(b => b.Scored), g.Sum(b => b.Received)))
            .ToArray();

        var expected = lines
            .Select(l => (Place: 1 + lines.Count(other => other.Better(l)), Line: l))
            .OrderBy(l => l.Place).ThenBy(l => l.Line.EntrantId, StringComparer.Ordinal)
            .Select(l => $"{l.Place}. {l.Line}");
        var actual = ranking
            .OrderBy(s => s.Number("place")).ThenBy(s => s.Text("entrantId"), StringComparer.Ordinal)
            .Select(s => $"{s.Number("place")}. {new Line(s.Text("entrantId"), s.Number("victories"), s.Number("bouts"), s.Number("touchesScored"), s.Number("touchesReceived"))}");
        Assert.True(
            expected.SequenceEqual(actual),
            $"{because}\nby the sheet:\n{string.Join('\n', expected)}\nranked:\n{string.Join('\n', actual)}");
    }

    private static (int Position, bool Won, int Scored, int Received) Seen(JsonNode bout, string side, string other) => (
        bout.Number(side),
        bout.Text("winner") == side,
        bout["score"].Number(side),
        bout["score"].Number(other));

    private sealed record Line(string EntrantId, int Victories, int Bouts, int Scored, int Received)
    {
        public bool Better(Line than)
        {
            var ratio = (Victories * than.Bouts) - (than.Victories * Bouts);
            var indicator = (Scored - Received) - (than.Scored - than.Received);
            return ratio != 0 ? ratio > 0 : indicator != 0 ? indicator > 0 : Scored > than.Scored;
        }
    }
}
