using System.Globalization;

namespace BoutDesk.Domain;

/// <summary>
/// Builds the identifiers of what belongs to a tournament. Each begins with the identifier of what it belongs
/// to, so that a bout tells its competition and tournament without a look-up. To clients they are opaque.
/// </summary>
/// <remarks>
/// A draw has a number of its own that only grows within a competition. A pool drawn anew therefore never
/// takes the identifier of one that was scrapped.
/// </remarks>
public static class Identifiers
{
    /// <summary>The <paramref name="number"/>th competition of a tournament, from 1.</summary>
    public static string Competition(string tournamentId, int number) => Invariant($"{tournamentId}-{number}");

    /// <summary>The <paramref name="number"/>th strip of a tournament, from 1.</summary>
    public static string Strip(string tournamentId, int number) => Invariant($"{tournamentId}-s{number}");

    /// <summary>The <paramref name="number"/>th announcement of a tournament, from 1.</summary>
    public static string Announcement(string tournamentId, int number) => Invariant($"{tournamentId}-n{number}");

    /// <summary>The <paramref name="number"/>th entrant of a competition, from 1, in order of entry.</summary>
    public static string Entrant(string competitionId, int number) => Invariant($"{competitionId}-e{number}");

    /// <summary>Pool <paramref name="number"/>, from 1, of a draw.</summary>
    public static string Pool(string competitionId, int draw, int number) => Invariant($"{competitionId}-d{draw}p{number}");

    /// <summary>Bout <paramref name="order"/>, from 1, of a pool.</summary>
    public static string PoolBout(string poolId, int order) => Invariant($"{poolId}b{order}");

    /// <summary>A bout of a tableau, by its key in the plan (<see cref="Elimination.PlannedBout.Key"/>).</summary>
    public static string TableauBout(string competitionId, int draw, string key) => Invariant($"{competitionId}-d{draw}{key}");

    /// <summary>The equipment record of an entrant.</summary>
    public static string EquipmentRecord(string entrantId) => $"{entrantId}-kit";

    /// <summary>The loan kit of a tournament.</summary>
    public static string LoanStore(string tournamentId) => $"{tournamentId}-loans";

    /// <summary>The <paramref name="number"/>th item of the loan kit of a tournament, from 1.</summary>
    public static string LoanItem(string tournamentId, int number) => Invariant($"{tournamentId}-k{number}");

    /// <summary>The <paramref name="number"/>th referee of a tournament, from 1.</summary>
    public static string Referee(string tournamentId, int number) => Invariant($"{tournamentId}-r{number}");

    /// <summary>The tournament that an identifier of this class belongs to.</summary>
    public static string TournamentOf(string id)
    {
        var end = id.IndexOf('-', StringComparison.Ordinal);
        return end < 0 ? id : id[..end];
    }

    /// <summary>The competition that the identifier of an entrant, pool or bout belongs to, or null where there is none.</summary>
    public static string? CompetitionOf(string id)
    {
        var first = id.IndexOf('-', StringComparison.Ordinal);
        if (first < 0)
        {
            return null;
        }

        var second = id.IndexOf('-', first + 1);
        return second < 0 ? null : id[..second];
    }

    /// <summary>The pool that the identifier of a bout belongs to, or null in the elimination.</summary>
    public static string? PoolOf(string boutId)
    {
        var draw = boutId.LastIndexOf('-') + 1;
        var end = boutId.IndexOf('b', draw);
        return boutId.IndexOf('p', draw) is > 0 and var pool && pool < end ? boutId[..end] : null;
    }

    /// <summary>The entrant whose equipment record this is.</summary>
    public static string EntrantOf(string equipmentRecordId) => equipmentRecordId[..equipmentRecordId.LastIndexOf('-')];

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
