using System.Collections.Concurrent;
using System.Collections.Immutable;
using BoutDesk.Api.Board;
using BoutDesk.Api.Feed;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Api.Timetables;

/// <summary>
/// Keeps the forecast of each tournament that somebody asks for. It is made anew when something happened that can move it,
/// and each minute, since a bout that goes on moves it too. A touch alone does not.
/// </summary>
internal sealed class ForecastBook
{
    private static readonly TimeSpan Longest = TimeSpan.FromMinutes(1);

    // A small day takes some milliseconds; for one that took longer than this the last time nobody waits.
    private static readonly TimeSpan Patience = TimeSpan.FromMilliseconds(50);

    // What is computed for pages must leave processors to those who score.
    private static readonly SemaphoreSlim Computing = new(Math.Max(1, Environment.ProcessorCount / 2));

    // Unless a plan of the day says otherwise: nobody fences before nine on the first day. Practice.
    private static readonly TimeOnly Opening = new(9, 0);

    // Where nothing was fenced for so long, the day is over and the next one begins with the opening of the hall.
    private static readonly TimeSpan Night = TimeSpan.FromHours(6);

    // Longer than a night between two days: after that nothing is expected of a tournament any more.
    private static readonly TimeSpan Overnight = TimeSpan.FromHours(18);

    // One seed for all: the same state gives the same forecast on every page.
    private static readonly DrawSeed Seed = new(1);

    private readonly BoardStates states;
    private readonly FeedHub hub;
    private readonly TimeProvider clock;
    private readonly ConcurrentDictionary<string, Place> places = new();

    public ForecastBook([FromKeyedServices] BoardStates states, [FromKeyedServices] FeedHub hub, TimeProvider clock)
    {
        this.states = states;
        this.hub = hub;
        this.clock = clock;
    }

    /// <summary>The forecast of a tournament, or null when there is no such tournament.</summary>
    public async Task<TournamentForecast?> OfAsync(string tournamentId)
    {
        var place = places.GetOrAdd(tournamentId, _ => new Place());
        var revision = hub.Position;
        if (place.Kept is { } kept && IsInForce(kept, revision))
        {
            return kept.Forecast;
        }

        await place.Gate.WaitAsync();
        try
        {
            if (await states.TournamentAsync(tournamentId) is not { } state)
            {
                places.TryRemove(tournamentId, out _);
                return null;
            }

            var content = ContentOf(state);
            if (place.Kept is { } same && same.Content == content && IsNew(same))
            {
                place.Kept = same with { Revision = revision };
                return same.Forecast;
            }

            var began = clock.GetTimestamp();
            await Computing.WaitAsync();
            try
            {
                var made = Make(state, clock.GetUtcNow());
                place.Kept = new Copy(made, revision, content, clock.GetTimestamp(), clock.GetElapsedTime(began));
                return made;
            }
            finally
            {
                Computing.Release();
            }
        }
        finally
        {
            place.Gate.Release();
        }
    }

    /// <summary>
    /// The forecast for a page: the one in force, or the one before it where that is not there at once. A page does not wait
    /// for some hundred courses of a large day; it is followed by another as soon as something happens.
    /// </summary>
    public async Task<TournamentForecast?> ForPageAsync(string tournamentId)
    {
        if (!places.TryGetValue(tournamentId, out var place) || place.Kept is not { } before)
        {
            return await OfAsync(tournamentId);
        }

        if (IsInForce(before, hub.Position))
        {
            return before.Forecast;
        }

        // Elsewhere, since here it would be computed to its end before patience could be lost.
        var now = Task.Run(() => OfAsync(tournamentId));
        if (before.Took < Patience)
        {
            await Task.WhenAny(now, Task.Delay(Patience, clock));
        }

        return now.IsCompleted ? await now : before.Forecast;
    }

    /// <summary>The forecast of a state at a moment.</summary>
    public static TournamentForecast Make(TournamentState state, DateTimeOffset now)
    {
        var (kept, first) = (state.Tournament.Plan, state.Tournament.StartsOn);
        // The plan of a day says nothing of the next one.
        var plan = now < kept?.ClosesAt + Night ? kept : null;
        var today = DateOnly.FromDateTime(state.Tournament.TimeAt(now).Date);
        var opening = plan?.OpensAt ?? state.Tournament.Moment((today > first ? today : first).ToDateTime(Opening));
        // People come for the time that was told them, so a stage does not begin before it was planned to.
        StagePlan[] planned = [.. plan?.Stages.Select(s => new StagePlan(s.CompetitionId, s.Kind, s.Round, s.From, s.To)) ?? []];
        var last = state.Competitions.SelectMany(c => c.AllBouts).Max(b => b.EndedAt ?? b.BegunAt);
        var from = now - last < Night || now > opening ? now : opening;
        var begins = plan?.OpensAt ?? state.Tournament.Moment(first.ToDateTime(Opening));
        var over = now - (last > begins ? last.Value : begins) > Overnight;
        // What the organiser has put on another day is expected there, unless it is drawn after all.
        var wanted = state.Competitions.Where(c => !over && (c.Competition.Stage != Stage.Entries || plan?.For?.LeftOut.Contains(c.Id) != true));
        var startsAt = from + TimeSpan.FromMinutes(now > opening ? Domain.Planning.StageToPlan.DrawingPause : 0);
        var day = new DayToForecast(
            from,
            [.. state.Tournament.Strips.Select(s => s.Id)],
            [.. wanted.Select(c => LeftToFence.Of(c.Competition, c.AllBouts, entrant => entrant.Details.Person(), planned, startsAt) is { } left ? left with { Strips = Serving(c) } : null).OfType<CompetitionToForecast>()],
            plan?.Closures ?? [],
            plan?.ClosesAt);
        return new TournamentForecast(state, day, Forecaster.Of(day, Seed), now);

        // Without any strip that serves it a competition has to be fenced somewhere all the same.
        ImmutableArray<string> Serving(CompetitionState c) => state.Tournament.Strips.All(s => s.Weapons is null)
            ? []
            : [.. state.Tournament.Strips.Where(s => s.Serves(c.Competition.Weapon)).Select(s => s.Id)];
    }

    /// <summary>A number for all that a forecast depends on but the time.</summary>
    private static int ContentOf(TournamentState state)
    {
        var content = default(HashCode);
        content.Add(state.Tournament.Strips.Length);
        foreach (var strip in state.Tournament.Strips)
        {
            content.Add(Enum.GetValues<Weapon>().Where(strip.Serves).Sum(w => 1 << (int)w));
        }

        content.Add((state.Tournament.Plan?.OpensAt, state.Tournament.Plan?.ClosesAt));
        foreach (var elsewhere in state.Tournament.Plan?.For?.LeftOut ?? [])
        {
            content.Add(elsewhere);
        }

        foreach (var stage in state.Tournament.Plan?.Stages ?? [])
        {
            content.Add((stage.CompetitionId, stage.Kind, stage.Round, stage.From, stage.To));
        }

        foreach (var competition in state.Competitions)
        {
            content.Add(competition.Id);
            content.Add(competition.Competition.Version);
            foreach (var bout in competition.AllBouts)
            {
                content.Add(bout.Id);
                content.Add(bout.Status);
                content.Add(bout.StripId);
                content.Add(bout.BegunAt);
                content.Add(bout.EndedAt);
            }
        }

        return content.ToHashCode();
    }

    private bool IsInForce(Copy copy, long revision) => copy.Revision >= revision && IsNew(copy);

    private bool IsNew(Copy copy) => clock.GetElapsedTime(copy.At) < Longest;

    private sealed record Copy(TournamentForecast Forecast, long Revision, int Content, long At, TimeSpan Took);

    private sealed class Place
    {
        public SemaphoreSlim Gate { get; } = new(1, 1);

        public Copy? Kept { get; set; }
    }
}
