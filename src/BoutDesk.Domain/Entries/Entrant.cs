using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Entries;

/// <summary>The hand that holds the weapon.</summary>
public enum Hand
{
    /// <summary>Right.</summary>
    Right,

    /// <summary>Left.</summary>
    Left,
}

/// <summary>Where an entrant stands between entry and the end.</summary>
public enum EntrantStatus
{
    /// <summary>Entered, not seen yet.</summary>
    Entered,

    /// <summary>Present.</summary>
    CheckedIn,

    /// <summary>Did not come.</summary>
    Absent,

    /// <summary>Left by his own wish, or cannot go on.</summary>
    Withdrawn,

    /// <summary>Excluded: gets no place.</summary>
    Excluded,
}

/// <summary>Who an entrant is, as the entry list says.</summary>
/// <param name="FamilyName">Family name, 1 to 80 characters.</param>
/// <param name="GivenName">Given name, to 80 characters; may be empty for those with one name.</param>
/// <param name="Club">Club, to 80 characters, or null.</param>
/// <param name="Country">Country, to 40 characters, or null.</param>
/// <param name="Ranking">Place in the ranking that seeds the competition, 1 best; null when unranked.</param>
/// <param name="Hand">Weapon hand, or null when not known.</param>
/// <param name="BirthYear">Year of birth, or null. Personal: shown to the desk only.</param>
public sealed record EntrantDetails(
    string FamilyName,
    string GivenName,
    string? Club,
    string? Country,
    int? Ranking,
    Hand? Hand,
    int? BirthYear)
{
    /// <summary>The name as sheets show it: family name first.</summary>
    public string Name => GivenName.Length == 0 ? FamilyName : $"{FamilyName} {GivenName}";

    /// <summary>The same details with blanks trimmed and empty texts left out.</summary>
    public EntrantDetails Tidied() => this with
    {
        FamilyName = FamilyName.Trim(),
        GivenName = GivenName.Trim(),
        Club = Blank(Club),
        Country = Blank(Country),
    };

    /// <summary>Who it is, as far as lists tell a person from others: the same for the same names and club, upper and lower case alike.</summary>
    public string Person() => PersonOf(FamilyName, GivenName, Club);

    /// <summary>The same for somebody who stands in another list.</summary>
    /// <param name="familyName">The family name.</param>
    /// <param name="givenName">The given name, or empty.</param>
    /// <param name="club">The club, or null.</param>
    public static string PersonOf(string familyName, string givenName, string? club) => $"{familyName}\n{givenName}\n{club}".ToUpperInvariant();

    /// <summary>Says what is wrong, field by field; empty when the entry can be taken.</summary>
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
        if (Ranking is < 1 or > 1_000_000)
        {
            problems.Add(Refusal.Invalid("ranking", $"Must be from 1 (best) to 1000000, or left out when unranked, but is {Ranking}."));
        }

        if (BirthYear is < 1900 or > 2100)
        {
            problems.Add(Refusal.Invalid("birthYear", $"Must be a year from 1900 to 2100, but is {BirthYear}."));
        }

        return problems.ToImmutable();
    }

    /// <summary>
    /// Whether two entries look like one person: same names and club, upper and lower case alike, and no
    /// different years of birth.
    /// </summary>
    public bool LooksLike(EntrantDetails other) =>
        string.Equals(FamilyName, other.FamilyName, StringComparison.OrdinalIgnoreCase)
        && string.Equals(GivenName, other.GivenName, StringComparison.OrdinalIgnoreCase)
        && string.Equals(Club, other.Club, StringComparison.OrdinalIgnoreCase)
        && (BirthYear is null || other.BirthYear is null || BirthYear == other.BirthYear);

    private static string? Blank(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}

/// <summary>An entrant of a competition.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Details">Who it is.</param>
/// <param name="Status">Where he stands.</param>
/// <param name="Reason">Why he withdrew or was excluded, or null.</param>
public sealed record Entrant(string Id, EntrantDetails Details, EntrantStatus Status, string? Reason)
{
    /// <summary>What made him withdraw, or null when he did not, or it was not said. Personal: shown to the desk only.</summary>
    public WithdrawalCause? Cause { get; init; }

    /// <summary>True when he was checked in, or came back among others who are, whatever became of him since.</summary>
    public bool WasCheckedIn { get; init; }

    /// <summary>True when he will not fence (any more).</summary>
    public bool Gone => Status is EntrantStatus.Absent or EntrantStatus.Withdrawn or EntrantStatus.Excluded;
}
