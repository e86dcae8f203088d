using System.Collections.Immutable;
using BoutDesk.Api.Board;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Refereeing;
using JasperFx.Events;
using Marten;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Desk;

/// <summary>Something that was done.</summary>
/// <param name="At">When it was kept.</param>
/// <param name="Local">The same by the clock of the venue.</param>
/// <param name="By">Who did it, by the kind of pass.</param>
/// <param name="Where">The bout, or null when it concerns the competition.</param>
/// <param name="Address">The page of the bout, or null.</param>
/// <param name="What">What was done, in words.</param>
public sealed record ToldLine(DateTimeOffset At, DateTimeOffset Local, string By, string? Where, string? Address, string What);

/// <summary>Tells what was done, in words, newest first. Reasons and causes are in it: it is for the desk.</summary>
internal sealed class DeskHistory
{
    private const int PageSize = 100;

    // Touch by touch a bout is told on its own page; the rest follows by itself from what is told.
    private static readonly Type[] Told =
    [
        .. EventNames.OfKind<ICompetitionEvent>(),
        typeof(ResultRecorded), typeof(ResultCorrected), typeof(ResultTakenBack), typeof(CardShown), typeof(CardTakenBack), typeof(BoutCleared), typeof(StripAssigned),
        typeof(EquipmentWaived), typeof(EquipmentWaiverTakenBack),
    ];

    private static readonly string[] ToldNames = [.. Told.Select(type => EventNames.All[type])];

    private readonly Organiser organiser;

    public DeskHistory(Organiser organiser) => this.organiser = organiser;

    /// <summary>A page of what was done in a competition.</summary>
    /// <param name="state">The competition.</param>
    /// <param name="before">The position of the store before which to look, or null for the end.</param>
    public async Task<(IReadOnlyList<ToldLine> Lines, long? Older)> OfCompetitionAsync(CompetitionState state, long? before)
    {
        await using var session = organiser.Read();
        var (id, within, end) = (state.Id, state.Id + "-", before ?? long.MaxValue);
        var events = await session.Events.QueryAllRawEvents()
            .Where(e => (e.StreamKey == id || e.StreamKey!.StartsWith(within)) && e.Sequence < end && e.EventTypeName.IsOneOf(ToldNames))
            .OrderByDescending(e => e.Sequence).Take(PageSize + 1).ToListAsync();
        var older = events.Count > PageSize ? events[PageSize - 1].Sequence : (long?)null;
        return (await LinesAsync(session, state, events.Take(PageSize)), older);
    }

    /// <summary>Everything that was done in a bout.</summary>
    /// <param name="state">The competition.</param>
    /// <param name="boutId">The bout.</param>
    public async Task<IReadOnlyList<ToldLine>> OfBoutAsync(CompetitionState state, string boutId)
    {
        await using var session = organiser.Read();
        var events = await session.Events.FetchStreamAsync(boutId);
        return [.. (await LinesAsync(session, state, events.Reverse())).Select(line => line with { Where = null, Address = null })];
    }

    private static async Task<ImmutableArray<ToldLine>> LinesAsync(IQuerySession session, CompetitionState state, IEnumerable<IEvent> events)
    {
        IEvent[] told = [.. events];
        var passes = (await session.LoadManyAsync<PassRecord>(told.Select(e => e.UserName).OfType<string>().Distinct())).ToDictionary(p => p.Id);
        var bouts = (await session.LoadManyAsync<Bout>(told.Where(e => e.Data is IBoutEvent).Select(e => e.StreamKey!).Distinct())).ToDictionary(b => b.Id);
        return
        [
            .. from e in told
               let bout = bouts.GetValueOrDefault(e.StreamKey!)
               let what = What(e.Data, e.StreamKey!, state, bout)
               where what is not null
               select new ToldLine(
                   e.Timestamp,
                   state.Tournament.TimeAt(e.Timestamp),
                   By(e.UserName, passes.GetValueOrDefault(e.UserName ?? string.Empty)),
                   bout is null ? null : $"{Who(state, bout, Side.Left)} – {Who(state, bout, Side.Right)}",
                   bout is null ? null : "/desk/bouts/" + bout.Id,
                   what),
        ];
    }

    private static string By(string? id, PassRecord? pass) => pass?.Kind switch
    {
        PassKind.Desk => T("by the desk"),
        PassKind.Referee => T("by a referee"),
        PassKind.Armourer => T("by the armourer"),
        // A pass that is kept no more, such as the one of the demo.
        _ => id ?? string.Empty,
    };

    private static string Who(CompetitionState state, Bout bout, Side side) =>
        bout.SeatOf(side).EntrantId is { } id && state.Entrants.TryGetValue(id, out var entrant) ? entrant.Details.Name : T("not known yet");

    /// <summary>What happened, in words; null for what needs no telling.</summary>
    private static string? What(object happened, string streamId, CompetitionState state, Bout? bout)
    {
        return happened switch
        {
            CompetitionOpened => T("The competition was opened."),
            FormulaChanged => T("The formula was changed."),
            EntrantEntered e => T("{0} was entered.", e.Details.Name),
            EntrantCorrected e => T("The entry of {0} was corrected.", e.Details.Name),
            EntrantCheckedIn e => T("{0} was checked in.", Name(e.EntrantId)),
            CheckInTakenBack e => T("The check-in of {0} was taken back.", Name(e.EntrantId)),
            EntrantMarkedAbsent e => T("{0} was marked absent.", Name(e.EntrantId)),
            EntrantWithdrew e => T("{0} withdrew: {1}", Name(e.EntrantId), e.Reason),
            EntrantExcluded e => T("{0} was excluded: {1}", Name(e.EntrantId), e.Reason),
            EquipmentGateSet { Gate: EquipmentGate.Off } => T("Equipment that has not passed no longer matters for calling a fencer."),
            EquipmentGateSet { Gate: EquipmentGate.Warn } => T("Equipment that has not passed is said when a fencer is called."),
            EquipmentGateSet => T("Who has not passed with his equipment is not called."),
            EquipmentWaived e => T("{0} may fence without a passed check: {1}", Name(Identifiers.EntrantOf(streamId)), e.Reason),
            EquipmentWaiverTakenBack => T("{0} may no longer fence without a passed check.", Name(Identifiers.EntrantOf(streamId))),
            EntrantReinstated e => T("{0} was reinstated: {1}", Name(e.EntrantId), e.Reason),
            EntrantErased e => T("The data of {0} were erased.", Name(e.EntrantId)),
            PoolRoundDrawn e => T("Pool round {0} was drawn, {1} pools; the lot is {2}.", e.Round, e.Pools.Length, e.DrawSeed),
            FencersExchanged e => T("{0} and {1} changed pools.", Name(e.First), Name(e.Second)),
            PoolRoundScrapped e => T("The draw of pool round {0} was scrapped: {1}", e.Round, e.Reason),
            PoolRoundClosed e => T("Pool round {0} was closed, {1} go on; the lot is {2}.", e.Round, e.Promoted, e.DrawSeed),
            RankingRevised e => T("The ranking of pool round {0} was made anew: {1}", e.Round, e.Reason),
            TableauDrawn => T("The tableau was drawn."),
            TableauScrapped e => T("The tableau was scrapped: {0}", e.Reason),
            RefereesAppointed e => string.Join(" ", e.Appointments.Select(Appointed)),
            ResultRecorded e => T("Result {0}", Result(e.Score, e.Winner)),
            ResultCorrected e => T("Result corrected to {0}: {1}", Result(e.Score, e.Winner), e.Reason),
            ResultTakenBack e => T("Result taken back: {0}", e.Reason),
            BoutCleared e => T("What had been fenced was struck: {0}", e.Reason),
            CardShown e => T("{0} for {1}: {2}", T(Card(e.Card)), SideName(e.Side), e.Reason),
            CardTakenBack => T("The last card was taken back."),
            TouchScored { Side: TouchSide.Both } e => T("Double touch, {0} : {1}", e.Score.Left, e.Score.Right),
            TouchScored e => T("Touch for {0}, {1} : {2}", SideName(e.Side == TouchSide.Left ? Side.Left : Side.Right), e.Score.Left, e.Score.Right),
            TouchTakenBack e => T("A touch was taken back, {0} : {1}", e.Score.Left, e.Score.Right),
            TimeRanOut => T("Time ran out."),
            TimeTakenBack => T("Time had not run out."),
            PriorityDrawn e => T("Priority for {0}.", SideName(e.Side)),
            PriorityTakenBack => T("Priority was taken back."),
            BreakTaken e => T("Medical break of {0}.", SideName(e.Side)),
            BreakTakenBack => T("The medical break was taken back."),
            StripAssigned { StripId: null } => T("Taken off its strip."),
            StripAssigned e => T("Put on {0}.", state.Strip(e.StripId)),
            SeatTaken { Seat.EntrantId: { } id } when bout is { InPool: true } => T("{0} came in by an exchange.", Name(id)),
            FencerOut e => T("{0} is out: {1}", SideName(e.Side), e.Reason),
            FencerBack e => T("{0} is back.", SideName(e.Side)),
            BoutAnnulled e => T("It does not count, because {0} left: {1}", Name(e.EntrantId), e.Reason),
            BoutRestored e => T("It counts again, because {0} is back.", Name(e.EntrantId)),
            BoutSealed => T("The round was closed."),
            _ => null,
        };

        string Appointed(Appointment appointment)
        {
            var where = state.Competition.Pool(appointment.At) is { } found ? T("Pool {0}", found.Pool.Number)
                : state.Bout(appointment.At) is { } of ? $"{Wording.Bout(of)}, {Who(state, of, Side.Left)} – {Who(state, of, Side.Right)}"
                : T("a draw that was scrapped");
            return (appointment.RefereeId, appointment.Despite) switch
            {
                (null, _) => T("{0}: no referee any more.", where),
                ({ } id, null) => T("{0}: referee {1}.", where, RefereeName(id)),
                ({ } id, { } despite) => T("{0}: referee {1}, all the same: {2}", where, RefereeName(id), despite),
            };
        }

        string RefereeName(string id) => state.Tournament.Referee(id)?.Details.Name ?? id;

        string Name(string entrantId) => state.Entrants.TryGetValue(entrantId, out var entrant) ? entrant.Details.Name : entrantId;

        string SideName(Side side) => bout is null ? string.Empty : Who(state, bout, side);
    }

    private static string Result(Score score, Side winner) => winner == Side.Left ? $"V{score.Left} : {score.Right}" : $"{score.Left} : V{score.Right}";

    private static string Card(Card card) => card switch
    {
        Domain.Bouts.Card.Yellow => "Yellow card",
        Domain.Bouts.Card.Red => "Red card",
        _ => "Black card",
    };
}
