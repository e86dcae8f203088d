using System.Collections.Immutable;
using System.Globalization;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;

namespace BoutDesk.Domain.LoanKit;

/// <summary>For which weapon hand an item is made.</summary>
public enum KitHand
{
    /// <summary>For both.</summary>
    Either,

    /// <summary>For the left hand.</summary>
    Left,

    /// <summary>For the right hand.</summary>
    Right,
}

/// <summary>What an item of loan kit is.</summary>
/// <param name="Item">The kind of item.</param>
/// <param name="Weapon">The weapon it is for; null where that does not matter. A weapon and a conductive jacket need it.</param>
/// <param name="Club">The club that owns it, to 80 characters, or null.</param>
/// <param name="Size">The size as its maker writes it, to 20 characters, or null.</param>
/// <param name="Hand">The weapon hand that it is made for.</param>
/// <param name="Label">What is written on it, to 40 characters, or null.</param>
public sealed record KitDetails(EquipmentItem Item, Weapon? Weapon, string? Club, string? Size, KitHand Hand, string? Label)
{
    /// <summary>The same details with blanks trimmed and empty texts left out.</summary>
    public KitDetails Tidied() => this with { Club = Blank(Club), Size = Blank(Size), Label = Blank(Label) };

    /// <summary>
    /// The same several times. A label that ends in a number is counted on, leading zeros kept: G8, G9, G10; any other
    /// gets a number behind it. That is our convention.
    /// </summary>
    /// <param name="count">How many, from 1; one stays as it is.</param>
    public ImmutableArray<KitDetails> Times(int count)
    {
        if (count == 1 || Label is null)
        {
            return [.. Enumerable.Repeat(this, count)];
        }

        var words = Label.TrimEnd("0123456789".ToCharArray());
        var digits = Label[words.Length..];
        // A number too long to be counted on is a name like any other.
        return int.TryParse(digits, NumberStyles.None, CultureInfo.InvariantCulture, out var first) && digits.Length < 9
            ? [.. Enumerable.Range(first, count).Select(n => this with { Label = words + n.ToString("D" + digits.Length, CultureInfo.InvariantCulture) })]
            : [.. Enumerable.Range(1, count).Select(n => this with { Label = string.Create(CultureInfo.InvariantCulture, $"{Label} {n}") })];
    }

    /// <summary>Says what is wrong, field by field; empty when the item can be taken.</summary>
    public ImmutableArray<Refusal> Problems()
    {
        var problems = ImmutableArray.CreateBuilder<Refusal>();
        if (Weapon is null && Item is EquipmentItem.Weapon or EquipmentItem.ConductiveJacket)
        {
            problems.Add(Refusal.Invalid("weapon", $"Say for which weapon: foil, epee or sabre."));
        }

        // Practice: épée has no conductive clothing and no mask cord, and only sabre has a conductive cuff.
        if (Weapon == Competitions.Weapon.Epee && Item is EquipmentItem.ConductiveJacket or EquipmentItem.ConductiveCuff or EquipmentItem.MaskCord)
        {
            problems.Add(Refusal.Invalid("weapon", $"There is no such item for épée."));
        }
        else if (Weapon == Competitions.Weapon.Foil && Item == EquipmentItem.ConductiveCuff)
        {
            problems.Add(Refusal.Invalid("weapon", $"Only sabre has a conductive cuff."));
        }

        Text("club", Club, 80);
        Text("size", Size, 20);
        Text("label", Label, 40);
        return problems.ToImmutable();

        void Text(string field, string? value, int most)
        {
            if (value?.Length > most)
            {
                problems.Add(Refusal.Invalid(field, $"Must have at most {most} characters, but has {value.Length}."));
            }
            else if (value?.Any(char.IsControl) == true)
            {
                problems.Add(Refusal.Invalid(field, $"Must not contain line breaks, tabs or other control characters."));
            }
        }
    }

    /// <summary>Whether nobody could tell two items apart: one kind, club and label, upper and lower case alike. Without a label nothing is alike.</summary>
    public bool LooksLike(KitDetails other) =>
        Label is not null
        && Item == other.Item
        && string.Equals(Label, other.Label, StringComparison.OrdinalIgnoreCase)
        && string.Equals(Club, other.Club, StringComparison.OrdinalIgnoreCase);

    /// <summary>Whether it is made for the other hand than this one.</summary>
    /// <param name="hand">The weapon hand of a fencer, or null when it is not known: then nothing is wrong.</param>
    public bool IsForTheOtherHand(Hand? hand) =>
        (Hand, hand) is (KitHand.Left, Entries.Hand.Right) or (KitHand.Right, Entries.Hand.Left);

    private static string? Blank(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}
