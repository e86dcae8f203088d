using System.Collections.Immutable;

namespace BoutDesk.Domain.Planning;

/// <summary>What keeps a day from ending earlier.</summary>
public enum DayLimit
{
    /// <summary>A competition needs so long on as many strips as it can use, which are fewer than there are.</summary>
    LongestCompetition,

    /// <summary>All bouts that are left from some moment on, or those of some weapons or of one competition, fill all strips that serve them.</summary>
    Strips,

    /// <summary>All bouts of some weapons that are left from some moment on, or those of one competition, keep all referees on duty who referee them.</summary>
    Referees,

    /// <summary>Competitions of which any two have a fencer in common are fenced one after the other.</summary>
    SharedFencers,

    /// <summary>An exact solver has shown it, without one reason.</summary>
    Proof,
}

/// <summary>A moment before which no plan of a day can end, and why.</summary>
/// <param name="Minute">The moment as a minute of the day.</param>
/// <param name="Limit">What sets it.</param>
/// <param name="Competitions">The places of the competitions concerned in the list of the day, from 0; with <see cref="DayLimit.Proof"/> none.</param>
public sealed record DayBound(int Minute, DayLimit Limit, ImmutableArray<int> Competitions)
{
    /// <summary>The largest of what strips and referees allow in all, what the longest competition needs, and what those of whom any two share a fencer need one after the other; of equal ones the first that is named in <see cref="DayLimit"/>.</summary>
    /// <param name="day">The day, with at least one competition.</param>
    public static DayBound Of(DayToPlan day)
    {
        var axis = new TimeAxis(day.OpensAt, day.Closures);
        var ready = day.Competitions.Select(c => axis.SlotAtOrAfter(c.NotBefore)).ToArray();
        var (slot, limit, competitions) = Bounds(day, ready).MaxBy(b => (b.Slot, -(int)b.Limit));
        return new DayBound(axis.EndAt(slot), limit, competitions);
    }

    private static IEnumerable<(int Slot, DayLimit Limit, ImmutableArray<int> Competitions)> Bounds(DayToPlan day, int[] ready)
    {
        var (limits, groups) = (StripLimit.Of(day), day.Groups);
        var byList = !day.Listed.IsDefaultOrEmpty;

        // Nobody ends before what he needs at his widest.
        for (var c = 0; c < ready.Length; c++)
        {
            // Where a stage could use every strip there is, or every referee of its weapon, more of them might help.
            var weapon = day.Competitions[c].Weapon;
            var most = StripLimit.Most(limits, weapon);
            var limit = day.Competitions[c].Stages.All(s => s.Widths[^1].Strips < most) ? DayLimit.LongestCompetition
                : byList && most < StripGroup.Serving(groups, [weapon]) ? DayLimit.Referees : DayLimit.Strips;
            yield return (ready[c] + TimeAxis.Slots(day.Competitions[c].LeastMinutes), limit, [c]);
        }

        // All who begin from some moment on share the strips and referees from there.
        foreach (var from in ready.Distinct())
        {
            foreach (var limit in limits)
            {
                ImmutableArray<int> later = [.. Enumerable.Range(0, ready.Length).Where(c => ready[c] >= from && limit.Weapons.Contains(day.Competitions[c].Weapon))];
                var work = later.Sum(c => day.Competitions[c].Stages.Sum(s => s.Widths.Min(w => w.Strips * TimeAxis.Slots(w.Minutes))));
                var (slot, scarce) = (from, false);
                for (; work > 0; slot++)
                {
                    work -= limit.At(slot);
                    scarce |= byList && limit.At(slot) < limit.Strips;
                }

                yield return (slot, scarce ? DayLimit.Referees : DayLimit.Strips, later);
            }
        }

        // Of those of whom any two share a fencer one is fenced at a time.
        foreach (var group in GroupsThatShare(day))
        {
            var fenced = group.Sum(c => Fenced(day.Competitions[c]));
            yield return (group.Min(c => ready[c]) + fenced + ((group.Length - 1) * TimeAxis.Slots(DayToPlan.TurnRound)), DayLimit.SharedFencers, group);
        }
    }

    /// <summary>For each two that share a fencer a group in which any two do: others join it, the longest first, as long as they share with all in it.</summary>
    private static IEnumerable<ImmutableArray<int>> GroupsThatShare(DayToPlan day)
    {
        var pairs = day.Shared.Where(s => s.First != s.Second).SelectMany(s => new[] { (s.First, s.Second), (s.Second, s.First) }).ToHashSet();
        int[] longest = [.. Enumerable.Range(0, day.Competitions.Length).OrderByDescending(c => Fenced(day.Competitions[c]))];
        foreach (var (first, second) in pairs.Where(p => p.Item1 < p.Item2).Order())
        {
            var group = new List<int> { first, second };
            foreach (var joins in longest.Where(c => !group.Contains(c) && group.TrueForAll(other => pairs.Contains((c, other)))))
            {
                group.Add(joins);
            }

            yield return [.. group.Order()];
        }
    }

    private static int Fenced(CompetitionToPlan competition) => competition.Stages.Sum(s => TimeAxis.Slots(s.Widths[^1].Minutes));
}
