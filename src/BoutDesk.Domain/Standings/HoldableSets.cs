using System.Numerics;

namespace BoutDesk.Domain.Standings;

/// <summary>
/// Says which sets of fencers can be held within limits of victories and, for who has all the victories of his limit, of
/// indicator, when none of their bouts has begun.
/// </summary>
/// <remarks>
/// <para>
/// Let each fencer f of a set S be allowed v(f) victories, and with all of them the indicator i(f). For U a part of S write
/// v(U), i(U) for the sums, inside(U) for the open bouts between fencers of U, and all(U) for the open bouts of fencers of U
/// with anybody.
/// </para>
/// <para>
/// Victories can be shared out so that nobody of S has more than w(f) exactly when inside(U) ≤ w(U) for every U: each
/// bout inside U is won by one of U (Hakimi 1965, on the degrees of a directed graph). Outside S fencers win all they can.
/// </para>
/// <para>
/// Who has fewer than v(f) victories has no limit of indicator: against the others, who have all of theirs and are called
/// level here, he wins by the whole target and loses at a level score. In a bout that a level fencer loses, from 0 to target
/// touches of indicator pass from him to the winner. That is a flow, and nobody passes his limit in one of them exactly when
/// no part U of the level fencers has more to give away than its defeats against others can carry (Gale 1957, on flows in
/// networks). Those of U have v(U) victories, of which inside(U) are against each other; so all(U) - v(U) is the number of
/// their defeats against others, whoever wins what, and the condition is i(U) + target · (all(U) - v(U)) ≥ 0.
/// </para>
/// <para>
/// So S can be held exactly when some of its fencers can be spared, that is given one victory less, such that every U has
/// victories to spare, v(U) - inside(U), for as many of its fencers as are spared, and at least one is spared of every U that
/// fails the condition on indicators.
/// </para>
/// <para>Both authors are cited from memory.</para>
/// </remarks>
internal sealed class HoldableSets
{
    private readonly SearchEffort effort;
    private readonly int[] toSpare;
    private readonly int[] toLend;
    private readonly Parts[] parts;

    /// <summary>Counts for every set of fencers; time and memory grow as 2 to the number of fencers.</summary>
    public HoldableSets(HoldingSituation situation, int[] indicators, int target, SearchEffort effort)
    {
        this.effort = effort;
        effort.Spend(1 << situation.Count);
        var fencers = situation.Fencers;
        toSpare = new int[fencers + 1];
        toLend = new int[fencers + 1];
        parts = new Parts[fencers + 1];
        for (var set = Next(0, fencers); set != 0; set = Next(set, fencers))
        {
            var fencer = BitOperations.TrailingZeroCount(set);
            var rest = set & (set - 1);
            var victories = situation.Limits[fencer].Victories;
            var opponents = situation.OpponentsOf(fencer);
            toSpare[set] = toSpare[rest] + victories - BitOperations.PopCount((uint)(opponents & rest));
            toLend[set] = toLend[rest] + indicators[fencer]
                + (target * (BitOperations.PopCount((uint)(opponents & ~rest)) - victories));
            parts[set] = (toSpare[set] < 0 ? Parts.Overfull : 0) | (toLend[set] < 0 ? Parts.Needy : 0);
            for (var others = set; others != 0; others &= others - 1)
            {
                parts[set] |= parts[set ^ (others & -others)];
            }
        }
    }

    /// <summary>What there is among the parts of a set, itself included.</summary>
    [Flags]
    private enum Parts : byte
    {
        /// <summary>One whose fencers cannot help having more victories than they may.</summary>
        Overfull = 1,

        /// <summary>One of which somebody must be spared.</summary>
        Needy = 2,
    }

    /// <summary>Whether all fencers of the set can be held; true too when the effort is spent.</summary>
    public bool CanHold(int set) =>
        !parts[set].HasFlag(Parts.Overfull)
        && (!parts[set].HasFlag(Parts.Needy) || CanHold(set, spared: 0, notSpared: 0));

    private bool CanHold(int set, int spared, int notSpared)
    {
        effort.Spend(1 << BitOperations.PopCount((uint)set));
        if (effort.IsSpent)
        {
            return true;
        }

        // The smallest part of which somebody must still be spared.
        var needy = 0;
        for (var part = Next(0, set); part != 0; part = Next(part, set))
        {
            if (toSpare[part] < BitOperations.PopCount((uint)(part & spared)))
            {
                return false;
            }

            if (toLend[part] < 0
                && (part & spared) == 0
                && (needy == 0 || BitOperations.PopCount((uint)part) < BitOperations.PopCount((uint)needy)))
            {
                needy = part;
            }
        }

        if (needy == 0)
        {
            return true;
        }

        for (var candidates = needy & ~notSpared; candidates != 0; candidates &= candidates - 1)
        {
            var fencer = candidates & -candidates;
            if (CanHold(set, spared | fencer, notSpared))
            {
                return true;
            }

            notSpared |= fencer;
        }

        return false;
    }

    /// <summary>The next larger part of a set, after all of which comes 0.</summary>
    private static int Next(int part, int set) => (part - set) & set;
}
