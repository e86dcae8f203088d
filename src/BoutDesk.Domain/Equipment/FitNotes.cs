using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Domain.Equipment;

/// <summary>What a note on the fit of equipment is about. The names are stable.</summary>
public enum FitConcern
{
    /// <summary>The jacket opens on the side of the weapon hand.</summary>
    JacketOpensOnWeaponSide,

    /// <summary>The weapon hand is not known, so the side of the opening cannot be judged.</summary>
    HandUnknown,

    /// <summary>The blade is longer than children of this age usually fence with.</summary>
    LongBlade,

    /// <summary>The blade is shorter than usual in this age group.</summary>
    ShortBlade,

    /// <summary>It was made for another weapon.</summary>
    OtherWeapon,

    /// <summary>Whether a chest protector is needed depends on the person.</summary>
    ChestProtector,

    /// <summary>There is no spare weapon.</summary>
    SpareWeapon,

    /// <summary>There is no spare body cord.</summary>
    SpareBodyCord,
}

/// <summary>A note on how equipment fits the person: never a verdict.</summary>
/// <param name="Concern">What it is about.</param>
/// <param name="Sentence">What to look at.</param>
public sealed record FitNote(FitConcern Concern, FormattableString Sentence);

/// <summary>
/// Notes on how equipment fits the person. By common practice, and no verdict: the rule book in force and a qualified
/// armourer decide.
/// </summary>
public static class FitNotes
{
    /// <summary>What there is to look at; empty when nothing is known that speaks against the equipment.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="hand">The weapon hand, or null when not known.</param>
    /// <param name="record">The record, or null when nothing was checked.</param>
    public static ImmutableArray<FitNote> Of(Competition competition, Hand? hand, EquipmentRecord? record)
    {
        var notes = ImmutableArray.CreateBuilder<FitNote>();
        EquipmentChecked[] latest = [.. record?.Latest ?? []];
        foreach (var check in latest)
        {
            Jacket(check);
            Blade(check);
            Made(check);
        }

        if (competition.Category != Category.Women && latest.All(c => c.Item != EquipmentItem.ChestProtector))
        {
            notes.Add(new FitNote(FitConcern.ChestProtector, $"A chest protector is always needed by women; whether others need one, the rule book in force says."));
        }

        Spare(EquipmentItem.Weapon, FitConcern.SpareWeapon, $"One weapon has passed. With a second at the strip a broken one does not end the day.");
        Spare(EquipmentItem.BodyCord, FitConcern.SpareBodyCord, $"One body cord has passed. With a second at the strip a broken one does not end the day.");
        return notes.ToImmutable();

        void Jacket(EquipmentChecked check)
        {
            if (check.Item is not (EquipmentItem.Jacket or EquipmentItem.ConductiveJacket) || check.Opens is not (JacketOpening.Left or JacketOpening.Right))
            {
                return;
            }

            if (hand is null)
            {
                notes.Add(new FitNote(FitConcern.HandUnknown, $"The weapon hand is not known. A jacket that opens in front opens on the other side."));
            }
            else if ((check.Opens == JacketOpening.Left) == (hand == Hand.Left))
            {
                notes.Add(new FitNote(FitConcern.JacketOpensOnWeaponSide, $"The jacket opens on the side of the weapon hand, where a blade can catch in it. It should open on the other side, or at the back."));
            }
        }

        void Blade(EquipmentChecked check)
        {
            if (check.BladeSize is not { } size)
            {
                return;
            }

            var under = AgeGroupFormula.AgeLimit(competition.AgeGroup);
            if (under <= 10 && size > 2)
            {
                notes.Add(new FitNote(FitConcern.LongBlade, $"Size {size} is long for children under 10, who usually fence with size 2 or less. The rules of the age group decide."));
            }
            else if (under is null or > 14 && size < 5)
            {
                notes.Add(new FitNote(FitConcern.ShortBlade, $"Size {size} is shorter than usual in this age group, where size 5 is the rule."));
            }
        }

        void Made(EquipmentChecked check)
        {
            if (check.MadeFor is { } weapon && weapon != competition.Weapon)
            {
                notes.Add(new FitNote(FitConcern.OtherWeapon, $"It was made for another weapon, whose target is another. Look whether it covers what it must cover here."));
            }
        }

        void Spare(EquipmentItem item, FitConcern concern, FormattableString sentence)
        {
            if (latest.Count(c => c.Item == item && c.Verdict == Verdict.Passed) == 1)
            {
                notes.Add(new FitNote(concern, sentence));
            }
        }
    }
}
