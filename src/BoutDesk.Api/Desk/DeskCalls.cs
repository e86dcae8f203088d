using BoutDesk.Api.Board;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Elimination;

namespace BoutDesk.Api.Desk;

/// <summary>The bouts of a tableau in the order in which the desk calls them.</summary>
internal static class DeskCalls
{
    private static readonly TimeSpan UsualBout = TimeSpan.FromMinutes(20);

    /// <summary>What is being fenced, without a call, then what is open; the tableau must be drawn.</summary>
    public static (Bout Bout, BoutCall? Call)[] Of(CompetitionState state, DateTimeOffset now)
    {
        var strips = state.Tournament.StripsFor(state.Competition.Weapon);
        var calls = CallingOrder.Of(state.Seeded, now, new CallingRules(CallingRules.UsualRest, UsualBout, strips > 0 ? strips : null));
        var under = state.Tableau.Where(b => b.Status == BoutStatus.Fencing).Select(b => (b, (BoutCall?)null));
        return [.. under, .. calls.Select(c => (state.Bouts[c.BoutId], (BoutCall?)c)).Where(c => c.Item1.Status == BoutStatus.Open)];
    }
}
