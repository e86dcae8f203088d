using System.Collections.Immutable;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;

namespace BoutDesk.Api.Refereeing;

/// <summary>A referee to list, or his details, corrected. What is left out is not known.</summary>
/// <param name="FamilyName">Family name, 1 to 80 characters.</param>
/// <param name="Weapons">The weapons that he referees, at least one.</param>
/// <param name="GivenName">Given name, to 80 characters.</param>
/// <param name="Club">Club, to 80 characters; he never gets fencers of it.</param>
/// <param name="Country">Country, to 40 characters.</param>
/// <param name="Level">What he is qualified for.</param>
/// <param name="From">From when he is there by the clock of the hall, such as 09:00; left out, from the beginning.</param>
/// <param name="To">Until when he is there; left out, to the end.</param>
/// <param name="Breaks">When he is not to be asked, such as 12:00-12:45; at most ten.</param>
internal sealed record ListReferee(
    string FamilyName,
    ImmutableArray<Weapon> Weapons,
    string GivenName = "",
    string? Club = null,
    string? Country = null,
    RefereeLevel Level = RefereeLevel.Club,
    string? From = null,
    string? To = null,
    ImmutableArray<string>? Breaks = null)
{
    /// <summary>The details, tidied; what is no time of the day is an error.</summary>
    public RefereeDetails ToDetails(FieldErrors errors)
    {
        if (Weapons.IsDefault)
        {
            errors.Add("weapons", $"Is needed.");
        }

        return new RefereeDetails(
            FamilyName,
            GivenName,
            Club,
            Country,
            Weapons.IsDefault ? [Weapon.Foil] : Weapons,
            Level,
            TimeOf("from", From),
            TimeOf("to", To),
            [.. (Breaks ?? []).Select(BreakOf).OfType<HallSpan>()]).Tidied();

        int? TimeOf(string field, string? text)
        {
            var minute = HallClock.Minute(text?.Trim());
            if (minute is null && !string.IsNullOrWhiteSpace(text))
            {
                errors.Add(field, $"Must be a time of the day such as 09:30, but is '{text}'.");
            }

            return minute;
        }

        HallSpan? BreakOf(string? text)
        {
            var span = HallClock.Span(text);
            if (span is null)
            {
                errors.Add("breaks", $"Must be a span such as 12:00-12:45, but is '{text}'.");
            }

            return span;
        }
    }
}

/// <summary>A referee. Hours and breaks are shown with a desk pass only.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="FamilyName">Family name.</param>
/// <param name="GivenName">Given name.</param>
/// <param name="Club">Club.</param>
/// <param name="Country">Country.</param>
/// <param name="Weapons">The weapons that he referees.</param>
/// <param name="Level">What he is qualified for.</param>
/// <param name="From">From when he is there, by the clock of the hall; null without a desk pass.</param>
/// <param name="To">Until when; null without a desk pass.</param>
/// <param name="Breaks">When he is not to be asked; empty without a desk pass.</param>
/// <param name="Away">Whether he is not to be asked at present.</param>
internal sealed record RefereeView(
    string Id,
    string FamilyName,
    string GivenName,
    string? Club,
    string? Country,
    ImmutableArray<Weapon> Weapons,
    RefereeLevel Level,
    string? From,
    string? To,
    ImmutableArray<string> Breaks,
    bool Away)
{
    public static RefereeView Of(Referee referee, bool forDesk) => new(
        referee.Id,
        referee.Details.FamilyName,
        referee.Details.GivenName,
        referee.Details.Club,
        referee.Details.Country,
        referee.Details.Weapons,
        referee.Details.Level,
        forDesk ? HallClock.Text(referee.Details.From) : null,
        forDesk ? HallClock.Text(referee.Details.To) : null,
        forDesk ? [.. referee.Details.Breaks.Select(HallClock.Text)] : [],
        referee.Away);
}
