using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;

namespace BoutDesk.Domain.Planning;

/// <summary>How many strips can be in use at once for some weapons, from slot to slot of a day.</summary>
/// <remarks>
/// Strips in use can all be given a referee of their weapon exactly if for each set of weapons no more strips are in use
/// than referees of one of these weapons are on duty (Hall's theorem). So a day has a limit for each set of its weapons;
/// those that follow from a larger set are left out. Nor are more strips in use for a set of weapons than serve one of
/// them; that is the same kind of limit and is in it, but is not enough where strips are of several kinds, since a stage
/// keeps its strips from beginning to end: <see cref="DayPlanner"/> counts those by group as well. A referee may be relieved by another in the middle of a stage, which
/// is what the end of his hours means. His hours are those of the day: after midnight all count as there, so that what
/// cannot be refereed on the day ends on the next one and does not fit.
/// </remarks>
public sealed class StripLimit
{
    private const int Midnight = 24 * 60;

    private StripLimit(ImmutableArray<Weapon> weapons, int strips, ImmutableArray<int> bySlot, int afterwards)
    {
        Weapons = weapons;
        Strips = strips;
        BySlot = bySlot;
        Afterwards = afterwards;
    }

    /// <summary>The weapons, at least one.</summary>
    public ImmutableArray<Weapon> Weapons { get; }

    /// <summary>How many strips serve one of them; where a slot has fewer, it is for want of referees.</summary>
    public int Strips { get; }

    /// <summary>How many strips in each slot from the first one on; empty when they are always as many.</summary>
    public ImmutableArray<int> BySlot { get; }

    /// <summary>How many after these slots; never fewer than in any of them.</summary>
    public int Afterwards { get; }

    /// <summary>The limits of a day; the first is that of all of its weapons together.</summary>
    /// <param name="day">The day, with at least one competition.</param>
    /// <exception cref="ArgumentException">A weapon has no referee on the list, or no strip.</exception>
    public static ImmutableArray<StripLimit> Of(DayToPlan day) =>
        Of(new TimeAxis(day.OpensAt, day.Closures), day.Strips, day.Referees, day.Listed, day.Competitions.Select(c => c.Weapon), day.Kinds);

    /// <summary>The limits of a day; the first is that of all of its weapons together.</summary>
    /// <param name="axis">The time of the day.</param>
    /// <param name="strips">How many strips there are, at least 1.</param>
    /// <param name="referees">How many referees there are, at least 1; of no account with a list.</param>
    /// <param name="listed">Who they are, or none when only their number is known: then each referees every weapon, the whole day.</param>
    /// <param name="weapons">The weapons of the competitions, at least one.</param>
    /// <param name="kinds">For each strip, by its number, the weapons that it serves, none for all; or left out when all serve all.</param>
    /// <exception cref="ArgumentException">A weapon has no referee on the list, or no strip.</exception>
    public static ImmutableArray<StripLimit> Of(
        TimeAxis axis,
        int strips,
        int referees,
        ImmutableArray<RefereeDetails> listed,
        IEnumerable<Weapon> weapons,
        ImmutableArray<ImmutableArray<Weapon>> kinds = default)
    {
        Weapon[] all = [.. weapons.Distinct().Order()];
        var groups = StripGroup.Of(strips, kinds, all);
        var byList = !listed.IsDefaultOrEmpty;
        if (byList && all.Any(weapon => !listed.Any(r => r.Weapons.Contains(weapon))))
        {
            throw new ArgumentException("A plan needs a referee for each weapon.", nameof(listed));
        }

        HallSpan[] slots =
        [
            .. Enumerable.Range(0, byList ? axis.SlotAtOrAfter(Midnight) : 0).Select(axis.BeginOf).Select(from => new HallSpan(from, from + StageToPlan.Grid)),
        ];
        var limits = ImmutableArray.CreateBuilder<StripLimit>();
        foreach (var set in Sets(all))
        {
            var serving = StripGroup.Serving(groups, set);
            RefereeDetails[] able = byList ? [.. listed.Where(r => r.Weapons.Any(set.Contains))] : [];
            var limit = new StripLimit(
                set, serving, [.. slots.Select(slot => Math.Min(serving, able.Count(r => r.IsThere(slot))))], Math.Min(serving, byList ? able.Length : referees));
            if (!limits.Any(limit.FollowsFrom))
            {
                limits.Add(limit);
            }
        }

        return limits.ToImmutable();
    }

    /// <summary>How many strips in a slot.</summary>
    /// <param name="slot">The slot, from 0.</param>
    public int At(int slot) => slot < BySlot.Length ? BySlot[slot] : Afterwards;

    /// <summary>The most strips that a competition can be fenced on at any time of the day; if nobody is there for it all day, after midnight.</summary>
    /// <param name="limits">The limits of the day.</param>
    /// <param name="weapon">The weapon of the competition, which is one of the day.</param>
    public static int Most(ImmutableArray<StripLimit> limits, Weapon weapon)
    {
        StripLimit[] its = [.. limits.Where(l => l.Weapons.Contains(weapon))];
        var onTheDay = Enumerable.Range(0, its.Max(l => l.BySlot.Length)).Select(slot => its.Min(l => l.At(slot))).DefaultIfEmpty(0).Max();
        return onTheDay > 0 ? onTheDay : its.Min(l => l.Afterwards);
    }

    private bool FollowsFrom(StripLimit larger) => Weapons.All(larger.Weapons.Contains)
        && larger.Afterwards <= Afterwards && larger.BySlot.Zip(BySlot).All(slot => slot.First <= slot.Second);

    /// <summary>All sets of some weapons but the empty one, larger ones first.</summary>
    private static IEnumerable<ImmutableArray<Weapon>> Sets(Weapon[] all) =>
        Enumerable.Range(1, (1 << all.Length) - 1).OrderByDescending(int.PopCount)
            .Select(mask => all.Where((_, i) => (mask & (1 << i)) != 0).ToImmutableArray());
}
