using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Domain.Refereeing;

/// <summary>What a referee is qualified for, lowest first. Federations name their levels differently; these four are our convention.</summary>
public enum RefereeLevel
{
    /// <summary>Referees in his club.</summary>
    Club,

    /// <summary>Referees in his region.</summary>
    Regional,

    /// <summary>Referees in his country.</summary>
    National,

    /// <summary>Referees international tournaments.</summary>
    International,
}

/// <summary>A time of the day by the clock of the hall.</summary>
/// <param name="From">When it begins, in minutes since midnight.</param>
/// <param name="To">When it is over, likewise; later than <paramref name="From"/>.</param>
public sealed record HallSpan(int From, int To);

/// <summary>Who a referee is, and when he can be asked.</summary>
/// <param name="FamilyName">Family name, 1 to 80 characters.</param>
/// <param name="GivenName">Given name, to 80 characters; may be empty for those with one name.</param>
/// <param name="Club">Club, to 80 characters, or null: then no club is his own.</param>
/// <param name="Country">Country, to 40 characters, or null: then no country is his own.</param>
/// <param name="Weapons">The weapons that he referees, at least one.</param>
/// <param name="Level">What he is qualified for.</param>
/// <param name="From">From when he is there, in minutes since midnight, 0 to 1,440; null for as long as the hall is open.</param>
/// <param name="To">Until when he is there, later than <paramref name="From"/>; null for as long as the hall is open.</param>
/// <param name="Breaks">When he is not to be asked in between, at most ten.</param>
public sealed record RefereeDetails(
    string FamilyName,
    string GivenName,
    string? Club,
    string? Country,
    ImmutableArray<Weapon> Weapons,
    RefereeLevel Level,
    int? From,
    int? To,
    ImmutableArray<HallSpan> Breaks)
{
    private const int Day = 24 * 60;

    private const int MostBreaks = 10;

    /// <summary>The name as sheets show it: family name first.</summary>
    public string Name => GivenName.Length == 0 ? FamilyName : $"{FamilyName} {GivenName}";

    /// <summary>The same details with blanks trimmed, empty texts left out, weapons and breaks in order.</summary>
    public RefereeDetails Tidied() => this with
    {
        FamilyName = FamilyName.Trim(),
        GivenName = GivenName.Trim(),
        Club = Blank(Club),
        Country = Blank(Country),
        Weapons = [.. Weapons.Distinct().Order()],
        Breaks = [.. Breaks.OrderBy(b => b.From).ThenBy(b => b.To)],
    };

    /// <summary>Says what is wrong, field by field; empty when the referee can be listed.</summary>
    public ImmutableArray<Refusal> Problems()
    {
        var problems = ImmutableArray.CreateBuilder<Refusal>();
        if (FamilyName.Length == 0)
        {
            problems.Add(Refusal.Invalid("familyName", $"A family name is needed."));
        }

        problems.AddRange(Refusal.OfText("familyName", FamilyName, 80));
        problems.AddRange(Refusal.OfText("givenName", GivenName, 80));
        problems.AddRange(Refusal.OfText("club", Club, 80));
        problems.AddRange(Refusal.OfText("country", Country, 40));
        if (Weapons.IsEmpty)
        {
            problems.Add(Refusal.Invalid("weapons", $"Say which weapons: foil, epee or sabre, at least one."));
        }

        Time("from", From);
        Time("to", To);
        if (From is { } from && To is { } to && to <= from)
        {
            problems.Add(Refusal.Invalid("to", $"Must be later than from."));
        }

        if (Breaks.Length > MostBreaks)
        {
            problems.Add(Refusal.Invalid("breaks", $"There are {Breaks.Length} breaks, more than the {MostBreaks} that are possible."));
        }

        foreach (var pause in Breaks)
        {
            Time("breaks", pause.From);
            Time("breaks", pause.To);
            if (pause.To <= pause.From)
            {
                problems.Add(Refusal.Invalid("breaks", $"A break must end later than it begins."));
            }
        }

        return problems.ToImmutable();

        void Time(string field, int? minute)
        {
            if (minute is < 0 or > Day)
            {
                problems.Add(Refusal.Invalid(field, $"Must be a time of the day, from 00:00 to 24:00."));
            }
        }
    }

    /// <summary>Whether two entries of the list look like one person: same names and club, upper and lower case alike.</summary>
    public bool LooksLike(RefereeDetails other) => Person() == other.Person();

    /// <summary>Whether all details are the same, whatever the arrays that hold them.</summary>
    public bool SameAs(RefereeDetails other) =>
        this with { Weapons = other.Weapons, Breaks = other.Breaks } == other
        && Weapons.SequenceEqual(other.Weapons)
        && Breaks.SequenceEqual(other.Breaks);

    /// <summary>Whether he is there and without a break for the whole of a time; a time that is not known suits everybody.</summary>
    /// <param name="when">The time, or null when it is not known.</param>
    public bool IsThere(HallSpan? when) => when is null
        || (when.From >= (From ?? int.MinValue) && when.To <= (To ?? int.MaxValue) && Breaks.All(b => b.To <= when.From || b.From >= when.To));

    /// <summary>Who it is, as entry lists tell it.</summary>
    public string Person() => EntrantDetails.PersonOf(FamilyName, GivenName, Club);

    private static string? Blank(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}

/// <summary>A referee of a tournament.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Details">Who it is.</param>
/// <param name="Away">Whether he is not to be asked at present.</param>
public sealed record Referee(string Id, RefereeDetails Details, bool Away);

/// <summary>Who referees a pool or a bout of the elimination.</summary>
/// <param name="At">The pool or the bout.</param>
/// <param name="RefereeId">The referee; null when nobody does any more.</param>
/// <param name="Despite">Why he was appointed although a rule stands against it, or null where none did.</param>
public sealed record Appointment(string At, string? RefereeId, string? Despite = null);
