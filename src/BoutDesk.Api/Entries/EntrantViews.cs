using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;

namespace BoutDesk.Api.Entries;

/// <summary>Somebody to enter.</summary>
/// <param name="FamilyName">Family name, 1 to 80 characters.</param>
/// <param name="GivenName">Given name, to 80 characters.</param>
/// <param name="Club">Club, to 80 characters.</param>
/// <param name="Country">Country, to 40 characters.</param>
/// <param name="Ranking">Place in the ranking that seeds the competition, 1 best; left out when unranked.</param>
/// <param name="Hand">Weapon hand.</param>
/// <param name="BirthYear">Year of birth; shown to the desk only.</param>
internal sealed record EnterFencer(
    string FamilyName,
    string GivenName = "",
    string? Club = null,
    string? Country = null,
    int? Ranking = null,
    Hand? Hand = null,
    int? BirthYear = null)
{
    public EntrantDetails ToDetails() => new EntrantDetails(FamilyName, GivenName, Club, Country, Ranking, Hand, BirthYear).Tidied();
}

/// <summary>An entrant. Weapon hand, year of birth and reason are shown with a desk pass only.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="FamilyName">Family name.</param>
/// <param name="GivenName">Given name.</param>
/// <param name="Club">Club.</param>
/// <param name="Country">Country.</param>
/// <param name="Ranking">Ranking, or null when unranked.</param>
/// <param name="Hand">Weapon hand; null without a desk pass.</param>
/// <param name="BirthYear">Year of birth; null without a desk pass.</param>
/// <param name="Status">Where the entrant stands.</param>
/// <param name="Reason">Why he withdrew or was excluded; null without a desk pass.</param>
/// <param name="Cause">What made him withdraw; null without a desk pass, or when it was not said.</param>
/// <param name="EquipmentPassed">Kinds of item that passed when last checked.</param>
/// <param name="EquipmentFailed">Kinds of item that failed when last checked.</param>
internal record EntrantView(
    string Id,
    string FamilyName,
    string GivenName,
    string? Club,
    string? Country,
    int? Ranking,
    Hand? Hand,
    int? BirthYear,
    EntrantStatus Status,
    string? Reason,
    WithdrawalCause? Cause,
    ImmutableArray<EquipmentItem> EquipmentPassed,
    ImmutableArray<EquipmentItem> EquipmentFailed)
{
    public static EntrantView Of(Entrant entrant, EquipmentRecord? equipment, bool forDesk) => new(
        entrant.Id,
        entrant.Details.FamilyName,
        entrant.Details.GivenName,
        entrant.Details.Club,
        entrant.Details.Country,
        entrant.Details.Ranking,
        forDesk ? entrant.Details.Hand : null,
        forDesk ? entrant.Details.BirthYear : null,
        entrant.Status,
        forDesk ? entrant.Reason : null,
        forDesk ? entrant.Cause : null,
        equipment?.Items(Verdict.Passed) ?? [],
        equipment?.Items(Verdict.Failed) ?? []);
}

/// <summary>An entrant who leaves, with what follows from it.</summary>
internal sealed record LeavingView : EntrantView
{
    public LeavingView(EntrantView entrant, ImmutableArray<Consequence> consequences)
        : base(entrant) => Consequences = consequences;

    /// <summary>What follows, each by its rule; empty when the fencer had left already.</summary>
    public ImmutableArray<Consequence> Consequences { get; init; }
}

/// <summary>What became of an entry list.</summary>
/// <param name="Added">How many rows were entered, or would be in a dry run.</param>
/// <param name="Rejected">How many rows were not.</param>
/// <param name="Rows">What is wrong, by line.</param>
/// <param name="Ignored">Columns that were not read, because they are not known.</param>
internal sealed record ImportReport(int Added, int Rejected, ImmutableArray<RowProblem> Rows, ImmutableArray<string> Ignored);

/// <summary>What is wrong with a line of an entry list.</summary>
/// <param name="Line">The line in the file, the header being 1.</param>
/// <param name="Field">The column.</param>
/// <param name="Problem">What is wrong and what to do.</param>
internal sealed record RowProblem(int Line, string Field, FormattableString Problem);

/// <summary>Why.</summary>
/// <param name="Reason">The reason, to 200 characters.</param>
internal sealed record GiveReason(string Reason);

/// <summary>Why an entrant withdraws.</summary>
/// <param name="Reason">The reason, to 200 characters.</param>
/// <param name="Cause">What makes him withdraw; the consequences are the same for each.</param>
internal sealed record WithdrawEntrant(string Reason, WithdrawalCause Cause = WithdrawalCause.Withdrawal);

/// <summary>Why an entrant comes back, and whether bouts that followed may be cleared.</summary>
/// <param name="Reason">The reason, to 200 characters.</param>
/// <param name="Later">scrap clears bouts that followed and have begun, which cannot be kept; left out, they are listed instead.</param>
internal sealed record ReinstateEntrant(string Reason, LaterDraws? Later = null);
