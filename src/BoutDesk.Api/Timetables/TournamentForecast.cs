using System.Collections.Frozen;
using BoutDesk.Api.Board;
using BoutDesk.Domain.Forecasting;

namespace BoutDesk.Api.Timetables;

/// <summary>The forecast of a tournament at one moment, with what its pages look up. Immutable.</summary>
public sealed class TournamentForecast
{
    private readonly FrozenDictionary<string, ForecastTime> bouts;
    private readonly FrozenDictionary<string, ForecastTime> entrants;
    private readonly FrozenDictionary<string, CompetitionForecast> competitions;

    public TournamentForecast(TournamentState state, DayToForecast day, DayForecast forecast, DateTimeOffset madeAt)
    {
        MadeAt = madeAt;
        State = state;
        Day = day;
        Forecast = forecast;
        bouts = forecast.Bouts.ToFrozenDictionary(b => b.BoutId, b => b.Begin);
        entrants = forecast.Entrants.ToFrozenDictionary(e => e.EntrantId, e => e.Begin);
        competitions = forecast.Competitions.ToFrozenDictionary(c => c.CompetitionId);
    }

    /// <summary>What it was made of.</summary>
    public TournamentState State { get; }

    /// <summary>What was left of the day.</summary>
    public DayToForecast Day { get; }

    /// <summary>When it was made; earlier than the moment that it begins with while the hall is not open yet.</summary>
    public DateTimeOffset MadeAt { get; }

    /// <summary>What is to be expected.</summary>
    public DayForecast Forecast { get; }

    /// <summary>When a bout begins, or null: it has begun, is over, or is in no forecast.</summary>
    public ForecastTime? BeginOf(string boutId) => bouts.TryGetValue(boutId, out var begin) ? begin : null;

    /// <summary>When an entrant fences next, or null.</summary>
    public ForecastTime? NextOf(string entrantId) => entrants.TryGetValue(entrantId, out var begin) ? begin : null;

    /// <summary>What was left of a stage that is forecast.</summary>
    public StageToForecast StageOf(StageForecast told) =>
        Day.Competitions.Single(c => c.Id == told.CompetitionId).Stages.Single(s => s.Kind == told.Kind && s.Round == told.Round);

    /// <summary>When a competition ends, or null when it is over or cannot be told.</summary>
    public CompetitionForecast? Of(string competitionId) => competitions.GetValueOrDefault(competitionId);
}
