using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// The name under which each kind of event is stored and told to the feed. A name never changes, whatever becomes of
/// the type: data of past tournaments is found by it.
/// </summary>
internal static class EventNames
{
    public static IReadOnlyDictionary<Type, string> All { get; } = new Dictionary<Type, string>
    {
        [typeof(TournamentOpened)] = "tournament-opened",
        [typeof(StripAdded)] = "strip-added",
        [typeof(StripCorrected)] = "strip-corrected",
        [typeof(CompetitionAdded)] = "competition-added",
        [typeof(AnnouncementMade)] = "announcement-made",
        [typeof(AnnouncementTakenDown)] = "announcement-taken-down",
        [typeof(EquipmentRulesBrought)] = "equipment-rules-brought",
        [typeof(EquipmentRulesGivenUp)] = "equipment-rules-given-up",
        [typeof(DayPlanKept)] = "day-plan-kept",
        [typeof(DayPlanGivenUp)] = "day-plan-given-up",
        [typeof(RefereeListed)] = "referee-listed",
        [typeof(RefereeCorrected)] = "referee-corrected",
        [typeof(RefereeAway)] = "referee-away",
        [typeof(RefereeBack)] = "referee-back",
        [typeof(RefereeErased)] = "referee-erased",

        [typeof(CompetitionOpened)] = "competition-opened",
        [typeof(FormulaChanged)] = "formula-changed",
        [typeof(EquipmentGateSet)] = "equipment-gate-set",
        [typeof(EntrantEntered)] = "entrant-entered",
        [typeof(EntrantCorrected)] = "entrant-corrected",
        [typeof(EntrantCheckedIn)] = "entrant-checked-in",
        [typeof(CheckInTakenBack)] = "check-in-taken-back",
        [typeof(EntrantMarkedAbsent)] = "entrant-marked-absent",
        [typeof(EntrantWithdrew)] = "entrant-withdrew",
        [typeof(EntrantExcluded)] = "entrant-excluded",
        [typeof(EntrantReinstated)] = "entrant-reinstated",
        [typeof(EntrantErased)] = "entrant-erased",
        [typeof(PoolRoundDrawn)] = "pool-round-drawn",
        [typeof(FencersExchanged)] = "fencers-exchanged",
        [typeof(PoolRoundScrapped)] = "pool-round-scrapped",
        [typeof(PoolRoundClosed)] = "pool-round-closed",
        [typeof(RankingRevised)] = "ranking-revised",
        [typeof(TableauDrawn)] = "tableau-drawn",
        [typeof(TableauScrapped)] = "tableau-scrapped",
        [typeof(RefereesAppointed)] = "referees-appointed",

        [typeof(BoutProgrammed)] = "bout-programmed",
        [typeof(SeatTaken)] = "seat-taken",
        [typeof(StripAssigned)] = "strip-assigned",
        [typeof(TouchScored)] = "touch-scored",
        [typeof(TouchTakenBack)] = "touch-taken-back",
        [typeof(CardShown)] = "card-shown",
        [typeof(CardTakenBack)] = "card-taken-back",
        [typeof(TimeRanOut)] = "time-ran-out",
        [typeof(TimeTakenBack)] = "time-taken-back",
        [typeof(PriorityDrawn)] = "priority-drawn",
        [typeof(PriorityTakenBack)] = "priority-taken-back",
        [typeof(BreakTaken)] = "break-taken",
        [typeof(BreakTakenBack)] = "break-taken-back",
        [typeof(ClockStarted)] = "clock-started",
        [typeof(ClockHalted)] = "clock-halted",
        [typeof(ClockSet)] = "clock-set",
        [typeof(ResultRecorded)] = "result-recorded",
        [typeof(ResultCorrected)] = "result-corrected",
        [typeof(ResultTakenBack)] = "result-taken-back",
        [typeof(BoutCleared)] = "bout-cleared",
        [typeof(FencerOut)] = "fencer-out",
        [typeof(FencerBack)] = "fencer-back",
        [typeof(BoutAnnulled)] = "bout-annulled",
        [typeof(BoutRestored)] = "bout-restored",
        [typeof(BoutSealed)] = "bout-sealed",
        [typeof(BoutStruck)] = "bout-struck",

        [typeof(EquipmentChecked)] = "equipment-checked",
        [typeof(EquipmentCheckTakenBack)] = "equipment-check-taken-back",
        [typeof(EquipmentWaived)] = "equipment-waived",
        [typeof(EquipmentWaiverTakenBack)] = "equipment-waiver-taken-back",

        [typeof(KitAdded)] = "kit-added",
        [typeof(KitCorrected)] = "kit-corrected",
        [typeof(KitIssued)] = "kit-issued",
        [typeof(KitIssueTakenBack)] = "kit-issue-taken-back",
        [typeof(KitReturned)] = "kit-returned",
        [typeof(KitReturnTakenBack)] = "kit-return-taken-back",
        [typeof(KitMended)] = "kit-mended",
        [typeof(KitTakenOut)] = "kit-taken-out",
    };

    /// <summary>The events of one kind of stream.</summary>
    public static IEnumerable<Type> OfKind<T>() => All.Keys.Where(type => type.IsAssignableTo(typeof(T)));

    /// <summary>The stored name of an event.</summary>
    public static string Of(object happened) => All[happened.GetType()];
}
