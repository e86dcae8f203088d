using System.Globalization;
using System.Text.RegularExpressions;

namespace BoutDesk.Domain.Competitions;

/// <summary>The formula of an age group where the organiser leaves it open.</summary>
/// <remarks>Common practice: national rules differ, and an explicit formula always goes first.</remarks>
public static partial class AgeGroupFormula
{
    /// <summary>
    /// The defaults for an age group by its name, in whatever case: veterans fence the elimination to 10 touches in two
    /// periods of three minutes; those under 12 to 10 touches in three periods of two minutes; those under 10 also their
    /// pools for two minutes (for both, the published format of one national federation). All others, and names that
    /// are not recognised, have the defaults of <see cref="Formula"/>.
    /// </summary>
    /// <param name="ageGroup">
    /// The name. Recognised are "veteran" and "vet", also in the plural, and "under 12" or "U12" with any age, as words
    /// of it: "Veterans 50+", "Girls U10".
    /// </param>
    public static Formula For(string ageGroup)
    {
        var standard = new Formula();
        if (Veteran().IsMatch(ageGroup))
        {
            return standard with { Elimination = standard.Elimination with { Touches = 10, Periods = 2 } };
        }

        if (AgeLimit(ageGroup) is not { } age || age > 12)
        {
            return standard;
        }

        return new Formula
        {
            Pools = age <= 10 ? standard.Pools with { Minutes = 2 } : standard.Pools,
            Elimination = standard.Elimination with { Touches = 10, Minutes = 2 },
        };
    }

    /// <summary>The age that those of a group have not reached, by its name: 12 for "under 12" or "U12"; null where it says none.</summary>
    /// <param name="ageGroup">The name, in whatever case.</param>
    public static int? AgeLimit(string ageGroup) =>
        Under().Match(ageGroup) is { Success: true } under ? int.Parse(under.Groups[1].Value, CultureInfo.InvariantCulture) : null;

    [GeneratedRegex(@"\bvet(eran)?s?\b", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant)]
    private static partial Regex Veteran();

    [GeneratedRegex(@"\bu(?:nder)?[ -]?([0-9]{1,2})\b", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant)]
    private static partial Regex Under();
}
