using System.Globalization;
using BoutDesk.Api.Board;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Timetables;

/// <summary>A forecast, or the part of it that concerns somebody, put into answers.</summary>
/// <param name="Forecast">The forecast.</param>
/// <param name="Entrant">Only what concerns this entrant, or null.</param>
/// <param name="Club">Only what concerns fencers of this club, or null.</param>
/// <param name="Competition">Only this competition, or null.</param>
/// <param name="Referee">Only the bouts that this referee is appointed to, or null.</param>
internal sealed record Timetable(TournamentForecast Forecast, string? Entrant, string? Club, string? Competition, string? Referee = null)
{
    public Tournament Tournament => Forecast.State.Tournament;

    /// <summary>Whether it is about people and not about competitions.</summary>
    public bool OfPeople => Entrant is not null || Club is not null;

    /// <summary>Whether it is about single bouts and not about stages.</summary>
    public bool OfBouts => OfPeople || Referee is not null;

    /// <summary>The competitions that it is about.</summary>
    public IEnumerable<CompetitionState> Competitions => Forecast.State.Competitions
        .Where(c => (Competition is null || c.Id == Competition) && (!OfPeople || Fencers(c).Any()))
        .Where(c => Referee is null || c.Competition.Appointments.Any(a => a.RefereeId == Referee));

    /// <summary>The people that it is about, in a competition.</summary>
    public IEnumerable<string> Fencers(CompetitionState state) => state.Competition.Entrants
        .Where(e => Entrant is null || e.Id == Entrant)
        .Where(e => Club is null || string.Equals(e.Details.Club, Club, StringComparison.OrdinalIgnoreCase))
        .Select(e => e.Id);

    /// <summary>The bouts that it is about, with when they begin.</summary>
    public IEnumerable<(CompetitionState State, Bout Bout, ForecastTime Begin)> Bouts()
    {
        var wanted = Competitions.ToDictionary(c => c.Id, c => (State: c, Fencers: OfPeople ? Fencers(c).ToHashSet() : null));
        foreach (var told in Forecast.Forecast.Bouts)
        {
            if (wanted.TryGetValue(Domain.Identifiers.CompetitionOf(told.BoutId)!, out var found)
                && found.State.Bout(told.BoutId) is { } bout
                && (Referee is null || found.State.Competition.RefereeOf(bout.PoolId ?? bout.Id) == Referee)
                && (found.Fencers is null || new[] { bout.Left.EntrantId, bout.Right.EntrantId }.Any(id => id is not null && found.Fencers.Contains(id))))
            {
                yield return (found.State, bout, told.Begin);
            }
        }
    }

    /// <summary>When the people that it is about fence next.</summary>
    public IEnumerable<(CompetitionState State, string EntrantId, ForecastTime Begin)> Next() => OfPeople
        ? from state in Competitions
          from id in Fencers(state)
          let begin = Forecast.NextOf(id)
          where begin is not null
          select (state, id, begin.Value)
        : [];

    public TimetableView View()
    {
        var bouts = Bouts().ToLookup(b => b.State.Id);
        return new TimetableView(
            Tournament.TimeAt(Forecast.Day.Now),
            Forecast.Forecast.End is { } end ? Expected(end) : null,
            [
                .. from state in Competitions
                   let told = Forecast.Of(state.Id)
                   where told is not null
                   select new TimetableCompetition(
                       state.Id,
                       state.Competition.Name,
                       Expected(told.End),
                       told.PoolBoutMinutes,
                       told.EliminationBoutMinutes,
                       [.. Stages(state.Id)],
                       [
                           .. bouts[state.Id].Select(b => new TimetableBout(
                               b.Bout.Id,
                               PoolNumber(state, b.Bout),
                               b.Bout.TableOf,
                               b.Bout.Order,
                               Name(state, b.Bout.Left),
                               Name(state, b.Bout.Right),
                               b.Bout.StripId,
                               Expected(b.Begin))),
                       ]),
            ],
            [.. Next().OrderBy(n => n.Begin.Expected).Select(n => new TimetableFencer(n.EntrantId, n.State.Name(n.EntrantId), Expected(n.Begin)))],
            [.. Warnings()]);
    }

    public IReadOnlyList<TimetableRow> Rows() =>
    [
        .. from b in Bouts()
           let begin = Expected(b.Begin)
           select new TimetableRow(
               b.State.Id,
               b.State.Competition.Name,
               b.Bout.Id,
               PoolNumber(b.State, b.Bout),
               b.Bout.TableOf,
               b.Bout.Order,
               Name(b.State, b.Bout.Left),
               Name(b.State, b.Bout.Right),
               b.State.Strip(b.Bout.StripId),
               begin.At,
               begin.From,
               begin.To),
    ];

    /// <summary>What ends late of what it is about.</summary>
    public IEnumerable<TimetableWarning> Warnings() => Forecast.Forecast.Warnings
        .Where(w => w.CompetitionId is not { } id || Competitions.Any(c => c.Id == id))
        .Select(w => new TimetableWarning(w.CompetitionId, Tournament.TimeAt(w.Planned), Expected(w.End), w.Reason, Sentence(w), Why(w)));

    /// <summary>A moment by the clock of the hall: the span in whole minutes that holds it.</summary>
    public ExpectedTime Expected(ForecastTime time) => new(
        Tournament.TimeAt(Minute(time.Expected.AddSeconds(30))), Tournament.TimeAt(Minute(time.From)), Tournament.TimeAt(Minute(time.To.AddSeconds(59))));

    private IEnumerable<TimetableStage> Stages(string competitionId) =>
        from told in Forecast.Forecast.Stages
        where told.CompetitionId == competitionId
        let stage = Forecast.StageOf(told)
        select new TimetableStage(
            told.Kind,
            told.Round,
            stage.PlannedFrom is { } planned ? Tournament.TimeAt(planned) : null,
            stage.BegunAt is { } begun ? Tournament.TimeAt(begun) : null,
            stage.BegunAt is null && told.Begin is { } begins ? Expected(begins) : null,
            Expected(told.End));

    private FormattableString Sentence(LateWarning late)
    {
        var minutes = (int)Math.Round((late.End.Expected - late.Planned).TotalMinutes);
        var at = Tournament.TimeAt(late.End.Expected).ToString("HH:mm", CultureInfo.InvariantCulture);
        return late.CompetitionId is { } id
            ? $"{NameOf(id)} is expected to end at {at}, {minutes} min later than planned."
            : (FormattableString)$"The day is expected to end at {at}, {minutes} min after the hall closes.";
    }

    private FormattableString Why(LateWarning late) => late.Reason switch
    {
        LateReason.LongBouts => $"Bouts of {NameOf(late.BecauseOf)} take {late.BoutMinutes} min on average; {late.PlannedBoutMinutes} min were planned.",
        LateReason.FewStrips => $"There are too few strips for all that could be fenced at once.",
        LateReason.SharedFencers => $"It waits for fencers who also fence in {NameOf(late.BecauseOf)}.",
        LateReason.LateStart => $"It began {late.Minutes} min later than planned.",
        _ => (FormattableString)$"The plan leaves too little time for what there is to fence.",
    };

    private string NameOf(string competitionId) => Forecast.State.Competitions.Single(c => c.Id == competitionId).Competition.Name;

    private static int? PoolNumber(CompetitionState state, Bout bout) => bout.PoolId is { } poolId ? state.Competition.Pool(poolId)?.Pool.Number : null;

    private static string? Name(CompetitionState state, Seat seat) => seat.EntrantId is { } id ? state.Name(id) : null;

    private static DateTimeOffset Minute(DateTimeOffset moment) => new(moment.UtcTicks - (moment.UtcTicks % TimeSpan.TicksPerMinute), TimeSpan.Zero);
}
