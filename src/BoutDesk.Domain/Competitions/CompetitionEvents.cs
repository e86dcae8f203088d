using System.Collections.Immutable;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Domain.Competitions;

/// <summary>Marks what can happen to a competition; this file is the whole list.</summary>
public interface ICompetitionEvent;

/// <summary>The competition was opened for entries.</summary>
/// <param name="TournamentId">The tournament.</param>
/// <param name="Name">Its name.</param>
/// <param name="Weapon">The weapon.</param>
/// <param name="Category">Who it is open to.</param>
/// <param name="AgeGroup">The age group, as the organiser names it.</param>
/// <param name="Formula">How it is fenced.</param>
public sealed record CompetitionOpened(
    string TournamentId, string Name, Weapon Weapon, Category Category, string AgeGroup, Formula Formula) : ICompetitionEvent;

/// <summary>The formula was changed before the part concerned was drawn.</summary>
/// <param name="Formula">The new formula.</param>
public sealed record FormulaChanged(Formula Formula) : ICompetitionEvent;

/// <summary>It was settled what happens when a fencer is called whose equipment has not passed.</summary>
/// <param name="Gate">What happens.</param>
public sealed record EquipmentGateSet(EquipmentGate Gate) : ICompetitionEvent;

/// <summary>Somebody was entered.</summary>
/// <param name="EntrantId">The identifier given.</param>
/// <param name="Details">Who it is.</param>
public sealed record EntrantEntered(string EntrantId, EntrantDetails Details) : ICompetitionEvent;

/// <summary>The details of an entry were corrected.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Details">Who it is.</param>
public sealed record EntrantCorrected(string EntrantId, EntrantDetails Details) : ICompetitionEvent;

/// <summary>The entrant is here.</summary>
/// <param name="EntrantId">The entrant.</param>
public sealed record EntrantCheckedIn(string EntrantId) : ICompetitionEvent;

/// <summary>The entrant was checked in by mistake: nobody has seen him yet.</summary>
/// <param name="EntrantId">The entrant.</param>
public sealed record CheckInTakenBack(string EntrantId) : ICompetitionEvent;

/// <summary>The entrant did not come.</summary>
/// <param name="EntrantId">The entrant.</param>
public sealed record EntrantMarkedAbsent(string EntrantId) : ICompetitionEvent;

/// <summary>The entrant leaves or cannot go on.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Reason">Why.</param>
/// <param name="Cause">What made him withdraw, or null when it was not said.</param>
public sealed record EntrantWithdrew(string EntrantId, string Reason, WithdrawalCause? Cause = null) : ICompetitionEvent;

/// <summary>The entrant was excluded.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Reason">Why.</param>
public sealed record EntrantExcluded(string EntrantId, string Reason) : ICompetitionEvent;

/// <summary>The entrant is back: an absence, withdrawal or exclusion was a mistake.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Reason">Why.</param>
public sealed record EntrantReinstated(string EntrantId, string Reason) : ICompetitionEvent;

/// <summary>The data of an entrant were erased, here and from the events before; what was fenced stays.</summary>
/// <param name="EntrantId">The entrant.</param>
public sealed record EntrantErased(string EntrantId) : ICompetitionEvent;

/// <summary>A pool round was drawn.</summary>
/// <param name="Round">The round, from 1.</param>
/// <param name="Draw">The number of the draw within the competition, see <see cref="Identifiers"/>.</param>
/// <param name="DrawSeed">The seed of all lots of this draw.</param>
/// <param name="Exempt">Who skips the pools, best first.</param>
/// <param name="Seeding">Who was drawn into pools, best seed first, lots applied.</param>
/// <param name="Pools">The pools.</param>
/// <param name="Separation">How well clubs and countries were spread.</param>
public sealed record PoolRoundDrawn(
    int Round,
    int Draw,
    long DrawSeed,
    ImmutableArray<string> Exempt,
    ImmutableArray<string> Seeding,
    ImmutableArray<DrawnPool> Pools,
    ImmutableArray<Separation> Separation) : ICompetitionEvent;

/// <summary>A pool as drawn.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Number">Its number in the round, from 1.</param>
/// <param name="Fencers">Its fencers; the position on the sheet is the place in this list, from 1.</param>
public sealed record DrawnPool(string Id, int Number, ImmutableArray<string> Fencers);

/// <summary>How well one kind of affiliation was spread over the pools.</summary>
/// <param name="Kind">What was spread.</param>
/// <param name="Conflicts">The pairs of one affiliation that share a pool.</param>
/// <param name="LowerBound">The number of such pairs that no draw can go below.</param>
public sealed record Separation(AffiliationKind Kind, int Conflicts, int LowerBound);

/// <summary>Two fencers of different pools changed places by hand.</summary>
/// <param name="Round">The round.</param>
/// <param name="First">The one fencer.</param>
/// <param name="Second">The other.</param>
/// <param name="Pools">The two pools as they are since.</param>
/// <param name="Separation">How well clubs and countries are spread over all pools since.</param>
public sealed record FencersExchanged(
    int Round, string First, string Second, ImmutableArray<DrawnPool> Pools, ImmutableArray<Separation> Separation) : ICompetitionEvent;

/// <summary>The draw of a pool round was scrapped before a bout had begun.</summary>
/// <param name="Round">The round.</param>
/// <param name="Reason">Why.</param>
public sealed record PoolRoundScrapped(int Round, string Reason) : ICompetitionEvent;

/// <summary>A pool round was closed and ranked.</summary>
/// <param name="Round">The round.</param>
/// <param name="DrawSeed">The seed of the lots among those tied.</param>
/// <param name="Ranking">Everybody who finished the round, best first, lots applied.</param>
/// <param name="Promoted">How many of the ranking, from the top, go on.</param>
public sealed record PoolRoundClosed(
    int Round, long DrawSeed, ImmutableArray<RankedFencer> Ranking, int Promoted) : ICompetitionEvent;

/// <summary>The ranking of a closed round was made anew after a result was corrected.</summary>
/// <param name="Round">The round.</param>
/// <param name="BoutId">The bout that was corrected.</param>
/// <param name="DrawSeed">The seed of the lots among those newly tied.</param>
/// <param name="Ranking">The new ranking.</param>
/// <param name="Promoted">How many of it go on.</param>
/// <param name="Reason">Why the result was corrected.</param>
public sealed record RankingRevised(
    int Round, string BoutId, long DrawSeed, ImmutableArray<RankedFencer> Ranking, int Promoted, string Reason) : ICompetitionEvent;

/// <summary>A line of the ranking of a round.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Place">The place; tied fencers share the best of their places.</param>
/// <param name="Tally">Victories, bouts and touches of the round.</param>
/// <param name="Tied">True when the order within the place was drawn by lot.</param>
public sealed record RankedFencer(string EntrantId, int Place, Tally Tally, bool Tied);

/// <summary>The tableau was drawn.</summary>
/// <param name="Draw">The number of the draw within the competition.</param>
/// <param name="DrawSeed">The seed of the lots when there was no pool round or all rounds together seed it, else null.</param>
/// <param name="Seeds">The entrants, best seed first.</param>
public sealed record TableauDrawn(int Draw, long? DrawSeed, ImmutableArray<string> Seeds) : ICompetitionEvent;

/// <summary>The tableau was scrapped before a bout had begun.</summary>
/// <param name="Reason">Why.</param>
public sealed record TableauScrapped(string Reason) : ICompetitionEvent;

/// <summary>It was settled who referees some pools or bouts, or that nobody does any more.</summary>
/// <param name="Appointments">One for each of these pools or bouts.</param>
public sealed record RefereesAppointed(ImmutableArray<Appointment> Appointments) : ICompetitionEvent;
