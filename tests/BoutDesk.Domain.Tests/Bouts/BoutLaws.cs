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
        ["L", "L", "L", "R", "R", "R", "D", "D", "T", "PL", "PR", "YL", "YR", "RL", "RR", "BL", "-T", "-C"];

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
        before.Status != BoutStatus.Decided || after.Actions.Length < before.Actions.Length);

    [Property(MaxTest = 1000)]
    public Property The_score_of_an_open_bout_can_always_be_confirmed_for_its_leader() => Always((_, bout) =>
        bout.Score.Leader is not { } leader || BoutDecider.WhyInvalid(bout.Rules, bout.Score, leader) is null);

    private static bool TimeIsUp(Bout bout) => bout.Actions.Count(a => a.Kind == BoutActionKind.Time) >= bout.Rules.Periods;

    /// <summary>Makes the calls that are accepted, and checks the law before and after each.</summary>
    private static Property Always(Func<Bout, Bout, bool> law) => Prop.ForAll(AnyWeapon, AnyCalls, (weapon, calls) =>
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
                if (!law(before, bout))
                {
                    return false;
                }
            }

            return true;
        }));
}
