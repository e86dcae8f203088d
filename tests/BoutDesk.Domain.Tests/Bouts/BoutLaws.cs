using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

/// <summary>What holds for every bout, whatever is called at the strip in whatever order.</summary>
public class BoutLaws
{
    private static readonly string[] Calls =
        [
            "L", "L", "L", "R", "R", "R", "D", "D", "T", "PL", "PR", "YL", "YR", "RL", "RR", "BL", "-T", "-C",
            "L@20", "R@70", "T@180", "1L", "1R", "2R", "3L", "ML", "MR", "G10", "G60", "H30", "H90", "-t", "-P", "-B", "-",
        ];

    private static readonly HashSet<string> TakingBack = ["-T", "-C", "-t", "-P", "-B", "-"];

    private static readonly Arbitrary<string[]> AnyCalls = Arb.From(
        Gen.Elements(Calls).ArrayOf().Resize(60),
        calls => Enumerable.Range(0, calls.Length).Select(left => (string[])[.. calls[..left], .. calls[(left + 1)..]]));

    private static readonly Arbitrary<Weapon> AnyWeapon = Gen.Elements(Weapon.Foil, Weapon.Epee, Weapon.Sabre).ToArbitrary();

    [Property(MaxTest = 1000)]
    public Property Touches_never_exceed_the_target_and_only_one_fencer_has_it() => Always((_, bout) =>
        Math.Max(bout.Score.Left, bout.Score.Right) <= bout.Rules.Target
        && Math.Min(bout.Score.Left, bout.Score.Right) < bout.Rules.Target);

    [Property(MaxTest = 1000)]
    public Property A_bout_ends_when_one_fencer_has_the_target() => Always((_, bout) =>
        Math.Max(bout.Score.Left, bout.Score.Right) < bout.Rules.Target || bout.Status == BoutStatus.Decided);

    [Property(MaxTest = 1000)]
    public Property The_winner_has_the_target_or_led_at_time_or_had_priority_or_saw_a_black_card() => Always((_, bout) =>
        bout.Winner is not { } winner
        || bout.Score.Of(winner) == bout.Rules.Target
        || bout.BlackCard(winner.Other())
        || (TimeIsUp(bout) && (bout.Score.Leader == winner || (bout.Score.Leader is null && bout.Course.Priority == winner))));

    [Property(MaxTest = 1000)]
    public Property Priority_is_due_only_at_a_level_score_in_a_bout_without_a_winner() => Always((_, bout) =>
        !bout.Course.PriorityDue || (bout.Score.Leader is null && bout.Winner is null && TimeIsUp(bout)));

    [Property(MaxTest = 1000)]
    public Property A_decided_bout_takes_only_what_takes_back() => Always((before, after) =>
        before.Status != BoutStatus.Decided || after.Actions.Length < before.Actions.Length || after.Version == before.Version);

    [Property(MaxTest = 1000)]
    public Property Whatever_is_recorded_is_undone_by_taking_the_last_back() => AlwaysBy((before, call, after) =>
    {
        if (TakingBack.Contains(call) || after.Actions.Length == before.Actions.Length || after.Actions[^1].Card == Card.Black)
        {
            return true;
        }

        // A clock that ran was halted, and stays halted.
        var halted = before.Clock.Running ? before.Kept(BoutDecider.HaltClock(before, after.ClockReadings.Single(r => r.Period == before.Clock.Period).RemainingMs, Watch)) : before;
        var undone = after.After("-");
        return undone.Actions.SequenceEqual(before.Actions) && undone.Course == before.Course && undone.Phase == halted.Phase
            && undone.Interval == halted.Interval && undone.Next == before.Next && undone.Status == halted.Status
            && undone.Clock.RemainingMs == halted.Clock.RemainingMs && !undone.Clock.Running;
    });

    [Property(MaxTest = 1000)]
    public Property The_clock_decides_nothing() => AlwaysBy((before, call, after) =>
        call[0] is not ('G' or 'H') || (after.Course == before.Course && after.Winner == before.Winner && after.Actions == before.Actions));

    [Property(MaxTest = 1000)]
    public Property Without_the_calls_of_the_clock_everything_else_is_decided_alike() => Prop.ForAll(AnyWeapon, AnyCalls, (weapon, calls) =>
    {
        var (timed, untimed) = (InTableau(weapon), InTableau(weapon));
        foreach (var call in calls)
        {
            if (call[0] is 'G' or 'H')
            {
                timed = Accepted(timed, timed.Decide(call));
                continue;
            }

            var (decision, same) = (timed.Decide(call), untimed.Decide(call.Split('@')[0]));
            if (decision.Refusal?.Reason != same.Refusal?.Reason)
            {
                return false;
            }

            (timed, untimed) = (Accepted(timed, decision), Accepted(untimed, same));
        }

        return timed.Course == untimed.Course && timed.Actions.SequenceEqual(untimed.Actions);
    });

    [Property(MaxTest = 1000)]
    public Property The_clock_runs_in_no_break_nor_after_the_end() => Always((_, bout) =>
        !bout.Clock.Running || bout.Phase is BoutPhase.Fencing or BoutPhase.ExtraMinute);

    [Property(MaxTest = 1000)]
    public Property The_period_never_exceeds_the_periods_of_the_bout() => Always((_, bout) =>
        bout.Course.Period >= 1 && bout.Course.Period <= bout.Rules.Periods);

    [Property(MaxTest = 1000)]
    public Property The_score_of_an_open_bout_can_always_be_confirmed_for_its_leader() => Always((_, bout) =>
        bout.Score.Leader is not { } leader || BoutDecider.WhyInvalid(bout.Rules, bout.Score, leader) is null);

    /// <summary>Time has run out in every period; one of sabre can have ended by touches instead.</summary>
    private static bool TimeIsUp(Bout bout) =>
        bout.Actions.Count(a => a.Kind == BoutActionKind.Time)
        >= bout.Rules.Periods - (bout.Rules.IsSabreHalf(Math.Max(bout.Score.Left, bout.Score.Right)) ? 1 : 0);

    /// <summary>Makes the calls that are accepted, and checks the law before and after each.</summary>
    private static Property Always(Func<Bout, Bout, bool> law) => AlwaysBy((before, _, after) => law(before, after));

    private static Bout Accepted(Bout bout, Decision decision) => decision.Refusal is null ? bout.Kept(decision) : bout;

    private static Property AlwaysBy(Func<Bout, string, Bout, bool> law) => Prop.ForAll(AnyWeapon, AnyCalls, (weapon, calls) =>
        new[] { InPool(weapon), InTableau(weapon) }.All(bout =>
        {
            foreach (var call in calls)
            {
                var decision = bout.Decide(call);
                if (decision.Refusal is not null)
                {
                    continue;
                }

                var before = bout;
                bout = bout.Kept(decision);
                if (!law(before, call, bout))
                {
                    return false;
                }
            }

            return true;
        }));
}
