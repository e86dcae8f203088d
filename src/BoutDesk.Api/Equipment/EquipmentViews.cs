using System.Collections.Immutable;
using System.Text.Json;
using BoutDesk.Api.Board;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Equipment;

/// <summary>A check at the equipment table.</summary>
/// <param name="Item">What was checked.</param>
/// <param name="Measured">
/// What was measured, by the name of the measure: a text with number and unit, such as "487 g", "89.5 cm", "0.8 Ω", or for
/// guardGauge whether the gauge passes.
/// </param>
/// <param name="Verdict">What the armourer says; left out, it follows from what was measured, for which each limit must be measured or one be broken.</param>
/// <param name="Piece">Which of several of its kind, 1 to 9; left out, the first.</param>
/// <param name="Mark">The mark put on it, to 40 characters.</param>
/// <param name="Note">What is to be mended, or why it passes against a measured value, to 200 characters.</param>
/// <param name="Opens">Where a jacket opens, as its wearer sees it.</param>
/// <param name="BladeSize">The size of a blade, 0 to 5.</param>
/// <param name="MadeFor">The weapon that it was made for.</param>
/// <param name="At">When it was checked, for what is sent late; left out, now.</param>
internal sealed record CheckEquipment(
    EquipmentItem Item,
    IReadOnlyDictionary<string, JsonElement>? Measured = null,
    Verdict? Verdict = null,
    int? Piece = null,
    string? Mark = null,
    string? Note = null,
    JacketOpening? Opens = null,
    int? BladeSize = null,
    Weapon? MadeFor = null,
    DateTimeOffset? At = null);

/// <summary>Everything that is needed and was not checked yet has passed.</summary>
/// <param name="Mark">The mark put on each, to 40 characters.</param>
/// <param name="At">When, for what is sent late; left out, now.</param>
internal sealed record PassTheRest(string? Mark = null, DateTimeOffset? At = null);

/// <summary>What happens when a fencer is called whose equipment has not passed.</summary>
/// <param name="Gate">What happens.</param>
internal sealed record SetEquipmentGate(EquipmentGate Gate);

/// <summary>The equipment of an entrant. A waiver's reason is shown with a desk pass only.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Passed">Kinds of item of which pieces were checked and none failed when last checked.</param>
/// <param name="Failed">Kinds of item of which a piece failed when last checked.</param>
/// <param name="Items">What the rules ask for, in their order, and what else was checked.</param>
/// <param name="Complete">Whether as many pieces have passed as the rules ask for.</param>
/// <param name="Waived">Whether the desk lets the entrant fence without.</param>
/// <param name="WaiverReason">Why; null without a desk pass, or when nothing was waived.</param>
/// <param name="Notes">What to look at for this person: notes, no verdicts.</param>
/// <param name="Checks">All checks that were not taken back, first to last.</param>
/// <param name="Rules">The rules in force: their name and edition.</param>
/// <param name="Caution">What to keep in mind.</param>
internal record EquipmentView(
    string EntrantId,
    ImmutableArray<EquipmentItem> Passed,
    ImmutableArray<EquipmentItem> Failed,
    ImmutableArray<ItemView> Items,
    bool Complete,
    bool Waived,
    string? WaiverReason,
    ImmutableArray<FitNoteView> Notes,
    ImmutableArray<EquipmentCheckView> Checks,
    string Rules,
    FormattableString Caution)
{
    public static EquipmentView Of(Competition competition, Entrant entrant, EquipmentRules rules, EquipmentRecord? record, bool forDesk)
    {
        var state = EquipmentState.Of(rules, competition.Weapon, competition.Category, record);
        return new EquipmentView(
            entrant.Id,
            record?.Items(Verdict.Passed) ?? [],
            record?.Items(Verdict.Failed) ?? [],
            [.. state.Items.Select(ItemView.Of)],
            state.Complete,
            state.Waiver is not null,
            forDesk ? state.Waiver : null,
            [.. FitNotes.Of(competition, entrant.Details.Hand, record).Select(n => new FitNoteView(n.Concern, n.Sentence))],
            [.. (record?.Checks ?? []).Select(EquipmentCheckView.Of)],
            $"{rules.Name}, {rules.Edition}",
            Cautions.Equipment);
    }
}

/// <summary>The equipment of an entrant after a check, with what each limit says of it.</summary>
internal sealed record InspectedView : EquipmentView
{
    public InspectedView(EquipmentView equipment, Verdict verdict, ImmutableArray<LimitView> limits)
        : base(equipment) => (Verdict, Limits) = (verdict, limits);

    /// <summary>What was recorded of the item.</summary>
    public Verdict Verdict { get; init; }

    /// <summary>Each limit of the item, measured or not.</summary>
    public ImmutableArray<LimitView> Limits { get; init; }
}

/// <summary>How far an entrant is with one kind of item.</summary>
/// <param name="Item">The kind.</param>
/// <param name="Needed">How many pieces the rules ask for.</param>
/// <param name="Passed">How many pieces have passed when last checked.</param>
/// <param name="Failed">How many pieces have failed when last checked.</param>
/// <param name="Missing">How many pieces are still to pass.</param>
internal sealed record ItemView(EquipmentItem Item, int Needed, int Passed, int Failed, int Missing)
{
    public static ItemView Of(ItemState state) => new(state.Item, state.Needed, state.Passed, state.Failed, state.Missing);
}

/// <summary>A note on how equipment fits the person: no verdict.</summary>
/// <param name="Concern">What it is about.</param>
/// <param name="Note">What to look at.</param>
internal sealed record FitNoteView(FitConcern Concern, FormattableString Note);

/// <summary>A check.</summary>
/// <param name="Item">What was checked.</param>
/// <param name="Piece">Which of several of its kind, from 1.</param>
/// <param name="Verdict">What was said of it.</param>
/// <param name="Mark">The mark put on it, or null.</param>
/// <param name="Note">What is to be mended, or null.</param>
/// <param name="At">When, or null when nobody noted it.</param>
/// <param name="Opens">Where the jacket opens, or null.</param>
/// <param name="BladeSize">The size of the blade, or null.</param>
/// <param name="MadeFor">The weapon that it was made for, or null.</param>
/// <param name="Limits">What was measured, each against the limit that held.</param>
internal sealed record EquipmentCheckView(
    EquipmentItem Item,
    int Piece,
    Verdict Verdict,
    string? Mark,
    string? Note,
    DateTimeOffset? At,
    JacketOpening? Opens,
    int? BladeSize,
    Weapon? MadeFor,
    ImmutableArray<LimitView> Limits)
{
    public static EquipmentCheckView Of(EquipmentChecked check) => new(
        check.Item,
        check.Piece ?? 1,
        check.Verdict,
        check.Mark,
        check.Note,
        check.At,
        check.Opens,
        check.BladeSize,
        check.MadeFor,
        [.. (check.Findings ?? []).Select(LimitView.Of)]);
}

/// <summary>A limit, and what it says of an item.</summary>
/// <param name="Measure">What is measured.</param>
/// <param name="Relation">How the value must stand to the limit.</param>
/// <param name="Bound">The limit, in the unit; null for a gauge.</param>
/// <param name="Gauge">What the gauge is like; null for others.</param>
/// <param name="Unit">The unit: g, mm, Ω or kg; empty for a gauge.</param>
/// <param name="Measured">The value, in the unit; null when it was not measured, and for a gauge.</param>
/// <param name="Passes">Whether the gauge passes; null for others.</param>
/// <param name="Outcome">Whether the limit is kept.</param>
/// <param name="OffBy">By how much a broken limit is broken, in the unit; 0 where the limit itself fails and was met exactly.</param>
/// <param name="Source">Where the rule stands.</param>
/// <param name="Certainty">How sure that is.</param>
internal sealed record LimitView(
    Measure Measure,
    LimitRelation Relation,
    decimal? Bound,
    string? Gauge,
    string Unit,
    decimal? Measured,
    bool? Passes,
    LimitOutcome Outcome,
    decimal? OffBy,
    string Source,
    Certainty Certainty)
{
    public static LimitView Of(LimitFinding finding) => new(
        finding.Limit.Measure,
        finding.Limit.Relation,
        finding.Limit.Bound,
        finding.Limit.Gauge,
        Measures.UnitOf(finding.Limit.Measure),
        finding.Reading?.Amount,
        finding.Reading?.Passes,
        finding.Outcome,
        finding.OffBy,
        finding.Limit.Source,
        finding.Limit.Certainty);
}

/// <summary>The equipment of an entrant, as a line of a list.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
/// <param name="Status">Where the entrant stands.</param>
/// <param name="Passed">Kinds of item of which pieces were checked and none failed when last checked.</param>
/// <param name="Failed">Kinds of item of which a piece failed when last checked.</param>
/// <param name="Missing">Kinds of item of which not enough pieces have passed.</param>
/// <param name="Complete">Whether as many pieces have passed as the rules ask for.</param>
/// <param name="Waived">Whether the desk lets the entrant fence without.</param>
/// <param name="ToMend">What was noted of those that failed, or null.</param>
/// <param name="Checks">How many checks there were.</param>
internal sealed record EquipmentLine(
    string EntrantId,
    string Name,
    string? Club,
    string? Country,
    EntrantStatus Status,
    ImmutableArray<EquipmentItem> Passed,
    ImmutableArray<EquipmentItem> Failed,
    ImmutableArray<EquipmentItem> Missing,
    bool Complete,
    bool Waived,
    string? ToMend,
    int Checks)
{
    public static EquipmentLine Of(Competition competition, Entrant entrant, EquipmentRules rules, EquipmentRecord? record)
    {
        var state = EquipmentState.Of(rules, competition.Weapon, competition.Category, record);
        string[] notes = [.. (record?.Latest ?? []).Where(c => c.Verdict == Verdict.Failed).Select(c => c.Note).OfType<string>()];
        return new EquipmentLine(
            entrant.Id,
            entrant.Details.Name,
            entrant.Details.Club,
            entrant.Details.Country,
            entrant.Status,
            record?.Items(Verdict.Passed) ?? [],
            record?.Items(Verdict.Failed) ?? [],
            [.. state.Items.Where(i => i.Missing > 0).Select(i => i.Item)],
            state.Complete,
            state.Waiver is not null,
            notes.Length == 0 ? null : string.Join(' ', notes),
            record?.Checks.Length ?? 0);
    }
}

/// <summary>The equipment table of a tournament, with all that the armourer's page needs.</summary>
/// <param name="Through">How many who are here are complete.</param>
/// <param name="Waiting">How many who are here are not.</param>
/// <param name="PerHour">How many an hour became complete within the last hour; null while too few did.</param>
/// <param name="DoneAt">When all who wait will be through at that pace; null without a pace, or when nobody waits.</param>
/// <param name="Failures">The kinds of item that failed, most failures first.</param>
/// <param name="Fencers">Everybody who has not left, by name.</param>
/// <param name="Caution">What to keep in mind.</param>
internal sealed record EquipmentTableView(
    int Through,
    int Waiting,
    decimal? PerHour,
    DateTimeOffset? DoneAt,
    ImmutableArray<FailureCount> Failures,
    ImmutableArray<TableFencerView> Fencers,
    FormattableString Caution)
{
    public static EquipmentTableView Of(
        Tournament tournament, IReadOnlyCollection<Competition> competitions, IReadOnlyCollection<EquipmentRecord> records, DateTimeOffset now)
    {
        var byEntrant = records.ToDictionary(r => Identifiers.EntrantOf(r.Id));
        var fencers = (
            from competition in competitions
            // Where nobody was checked in, the competition does without.
            let checkedIn = competition.Entrants.Any(e => e.WasCheckedIn)
            from entrant in competition.Entrants
            where !entrant.Gone
            let record = byEntrant.GetValueOrDefault(entrant.Id)
            select (
                Competition: competition,
                Entrant: entrant,
                Here: !checkedIn || entrant.Status == EntrantStatus.CheckedIn,
                Record: record,
                State: EquipmentState.Of(tournament.EquipmentRules, competition.Weapon, competition.Category, record))).ToArray();
        var pace = TablePace.Of(
            fencers.Count(f => f.Here && f.State.Complete),
            fencers.Count(f => f.Here && !f.State.Complete),
            fencers.Select(f => f.State.CompleteAt).OfType<DateTimeOffset>(),
            now);
        return new EquipmentTableView(
            pace.Through,
            pace.Waiting,
            pace.PerHour,
            pace.DoneAt,
            FailureCount.Of(records),
            [
                .. fencers.OrderBy(f => f.Entrant.Details.Name, Wording.Alphabet).ThenBy(f => f.Entrant.Id, StringComparer.Ordinal)
                    .Select(f => TableFencerView.Of(f.Competition, f.Entrant, f.Here, f.Record, f.State)),
            ],
            Cautions.Equipment);
    }
}

/// <summary>A fencer as the equipment table sees him.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Competition">Its name.</param>
/// <param name="Weapon">Its weapon.</param>
/// <param name="Hand">The weapon hand, or null.</param>
/// <param name="Here">Whether he was seen: checked in, or entered where nobody is checked in.</param>
/// <param name="Waived">Whether the desk lets him fence without.</param>
/// <param name="Items">What the rules ask for, and what else was checked.</param>
/// <param name="Latest">The check that counts for each piece that was checked, without what was measured.</param>
/// <param name="Notes">What to look at for this person.</param>
internal sealed record TableFencerView(
    string EntrantId,
    string Name,
    string? Club,
    string CompetitionId,
    string Competition,
    Weapon Weapon,
    Hand? Hand,
    bool Here,
    bool Waived,
    ImmutableArray<ItemView> Items,
    ImmutableArray<CheckedPiece> Latest,
    ImmutableArray<FitNoteView> Notes)
{
    public static TableFencerView Of(Competition competition, Entrant entrant, bool here, EquipmentRecord? record, EquipmentState state) => new(
        entrant.Id,
        entrant.Details.Name,
        entrant.Details.Club,
        competition.Id,
        competition.Name,
        competition.Weapon,
        entrant.Details.Hand,
        here,
        state.Waiver is not null,
        [.. state.Items.Select(ItemView.Of)],
        [.. (record?.Latest ?? []).Select(c => new CheckedPiece(c.Item, c.Piece ?? 1, c.Verdict, c.Mark, c.Note, c.At))],
        [.. FitNotes.Of(competition, entrant.Details.Hand, record).Select(n => new FitNoteView(n.Concern, n.Sentence))]);
}

/// <summary>What was said of a piece last.</summary>
/// <param name="Item">The kind.</param>
/// <param name="Piece">Which of several of its kind, from 1.</param>
/// <param name="Verdict">What was said of it.</param>
/// <param name="Mark">The mark put on it, or null.</param>
/// <param name="Note">What is to be mended, or null.</param>
/// <param name="At">When, or null when nobody noted it.</param>
internal sealed record CheckedPiece(EquipmentItem Item, int Piece, Verdict Verdict, string? Mark, string? Note, DateTimeOffset? At);

/// <summary>Equipment rules in force.</summary>
/// <param name="Brought">Whether the tournament brought them; else they are the usual ones.</param>
/// <param name="Rules">The rules.</param>
/// <param name="Caution">What to keep in mind.</param>
internal sealed record RulesInForce(bool Brought, EquipmentRules Rules, FormattableString Caution)
{
    public static RulesInForce Of(Tournament tournament) =>
        new(tournament.BroughtRules is not null, tournament.EquipmentRules, Cautions.Equipment);
}

/// <summary>Whether the equipment of a bout's fencers stands against it.</summary>
/// <param name="Gate">The setting of the competition.</param>
/// <param name="Hindered">Whether the bout is not called and not begun.</param>
/// <param name="Unready">Those whose equipment has not passed and was not waived; empty where the setting is off.</param>
internal sealed record BoutEquipment(EquipmentGate Gate, bool Hindered, ImmutableArray<Unready> Unready)
{
    /// <summary>Nothing stands against a bout that has begun: what is fenced is recorded.</summary>
    public static BoutEquipment Of(EquipmentGate gate, Bout bout, ImmutableArray<Unready> unready) =>
        new(gate, bout.Status == BoutStatus.Open && EquipmentGates.Hinders(gate, unready) is not null, unready);
}

/// <summary>What must be kept in mind where equipment is concerned.</summary>
internal static class Cautions
{
    public static FormattableString Equipment { get; } =
        $"An aid to the armourer. The rule book in force, its homologation marks and a qualified armourer decide. Who has failed or missing protection does not fence.";
}
