using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Tests.Bouts;

/// <summary>
/// Fences a bout from a line of calls, each decided and folded as on the day, so that a test reads like the
/// referee: <c>L R L</c> are touches, <c>D</c> a double touch, <c>T</c> time has run out, <c>PL</c> priority to the
/// left, <c>YL RL BL</c> a yellow, red or black card to the left (<c>YR RR BR</c> to the right), <c>-T</c> the last
/// touch taken back, <c>-C</c> the last card, <c>-t</c> the last time, <c>-P</c> priority, <c>-B</c> the last break,
/// <c>-</c> whatever was last. <c>1L 2L 3L 4L</c> are offences of the left by their group, <c>ML</c> a medical break,
/// <c>G H</c> the clock started and halted, with seconds by the referee's watch: <c>G12</c>, <c>H42</c>. <c>L@42</c> is a
/// touch at that second, which halts a running clock.
/// </summary>
internal static class BoutScript
{
    /// <summary>A pool bout: one period, by default to five touches.</summary>
    public static Bout InPool(Weapon weapon = Weapon.Foil, int target = 5) => Programmed(
        new BoutProgrammed("t-1", "t-1-d1p1", 1, null, null, 1, new BoutRules(weapon, target, 1, 3), new Seat("t-1-e1"), new Seat("t-1-e2"), null, null));

    /// <summary>When the referee's watch shows nought.</summary>
    public static DateTimeOffset Watch { get; } = new(2026, 5, 9, 10, 0, 0, TimeSpan.Zero);

    /// <summary>An elimination bout: 15 touches in three periods.</summary>
    public static Bout InTableau(Weapon weapon = Weapon.Foil, Seat? right = null) => Programmed(
        new BoutProgrammed("t-1", null, null, 2, new TableauStage(TableauPart.Main, 1, 2, 2), 1, new BoutRules(weapon, 15, 3, 3), new Seat("t-1-e1"), right ?? new Seat("t-1-e2"), null, null));

    /// <summary>The bout after these events, whether or not somebody decided them.</summary>
    public static Bout Given(this Bout bout, params IBoutEvent[] events) =>
        events.Aggregate(bout, (before, happened) => Bout.Evolve(before, before.Id, happened));

    /// <summary>The bout after these calls. Every one of them has to be accepted.</summary>
    public static Bout After(this Bout bout, string calls) =>
        calls.Split(' ', StringSplitOptions.RemoveEmptyEntries).Aggregate(bout, (before, call) => before.Kept(before.Decide(call)));

    /// <summary>What is decided on one more call.</summary>
    public static Decision Decide(this Bout bout, string call) => call switch
    {
        "L" => BoutDecider.ScoreTouch(bout, TouchSide.Left, null),
        "R" => BoutDecider.ScoreTouch(bout, TouchSide.Right, null),
        "D" => BoutDecider.ScoreTouch(bout, TouchSide.Both, null),
        "T" => BoutDecider.RunOutOfTime(bout),
        "-T" => BoutDecider.TakeBackTouch(bout),
        "-C" => BoutDecider.TakeBackCard(bout),
        "-t" => BoutDecider.TakeBackTime(bout),
        "-P" => BoutDecider.TakeBackPriority(bout),
        "-B" => BoutDecider.TakeBackBreak(bout),
        "-" => BoutDecider.TakeBackLast(bout),
        _ when call.Split('@') is [var what, var second] => BoutDecider.AtHalt(bout, null, At(second), halted => halted.Decide(what)),
        ['G', .. var second] => BoutDecider.StartClock(bout, null, At(second)),
        ['H', .. var second] => BoutDecider.HaltClock(bout, null, At(second)),
        ['M', var side] => BoutDecider.TakeBreak(bout, SideOf(side), BreakKind.Medical, Watch),
        [>= '1' and <= '4', var side] => Offence(bout, SideOf(side), call[0] - '0'),
        ['P', var side] => BoutDecider.DrawPriority(bout, SideOf(side), new DrawSeed(0)),
        ['Y', var side] => BoutDecider.ShowCard(bout, SideOf(side), Card.Yellow, "offence"),
        ['R', var side] => BoutDecider.ShowCard(bout, SideOf(side), Card.Red, "offence"),
        ['B', var side] => BoutDecider.ShowCard(bout, SideOf(side), Card.Black, "offence"),
        _ => throw new ArgumentException($"The referee knows no call {call}.", nameof(call)),
    };

    /// <summary>The bout after an accepted decision; an event that tells a score tells the one the bout then has.</summary>
    public static Bout Kept(this Bout bout, Decision decision)
    {
        foreach (var fact in Expect.Accepted(decision).Facts)
        {
            Xunit.Assert.Equal(bout.Id, fact.StreamId);
            bout = Bout.Evolve(bout, bout.Id, (IBoutEvent)fact.Event);
            if (ScoreToldBy(fact.Event) is { } told)
            {
                Xunit.Assert.Equal(told, bout.Score);
            }
        }

        return bout;
    }

    private static Score? ScoreToldBy(object happened) => happened switch
    {
        TouchScored touch => touch.Score,
        TouchTakenBack touch => touch.Score,
        CardShown card => card.Score,
        CardTakenBack card => card.Score,
        ResultRecorded result => result.Score,
        ResultCorrected result => result.Score,
        _ => null,
    };

    private static Decision Offence(Bout bout, Side side, int group) =>
        BoutDecider.ShowCard(bout, side, Penalties.CardFor(bout.Actions, side, group), "offence", group);

    private static DateTimeOffset At(string second) =>
        Watch.AddSeconds(int.Parse(second, System.Globalization.CultureInfo.InvariantCulture));

    private static Bout Programmed(BoutProgrammed programmed) => Bout.Evolve(null, "t-1-d1p1b1", programmed);

    private static Side SideOf(char letter) => letter == 'L' ? Side.Left : Side.Right;
}
