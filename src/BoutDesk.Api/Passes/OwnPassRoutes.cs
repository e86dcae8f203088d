using System.Collections.Immutable;
using BoutDesk.Api.Board;
using BoutDesk.Api.Bouts;
using BoutDesk.Api.Equipment;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Timetables;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Passes;

/// <summary>What a pass is for, as its bearer sees it.</summary>
/// <param name="Kind">What it is for.</param>
/// <param name="TournamentId">The tournament; null for a pass to all of them.</param>
/// <param name="Tournament">The name of the tournament, or null.</param>
/// <param name="Pools">For a referee: the pools whose bouts it scores.</param>
/// <param name="Strips">For a referee: the strips whose bouts it scores.</param>
/// <param name="Bouts">For a referee: single bouts that it scores.</param>
/// <param name="ExpiresAt">When it ends; null for never.</param>
/// <param name="Expected">For a referee: when the bouts to come are expected; null for other passes.</param>
internal sealed record OwnPass(
    PassKind Kind,
    string? TournamentId,
    string? Tournament,
    ImmutableArray<NamedPart> Pools,
    ImmutableArray<NamedPart> Strips,
    ImmutableArray<string> Bouts,
    DateTimeOffset? ExpiresAt,
    OwnForecast? Expected);

/// <summary>When the bouts of a pass are expected, as far as they have not begun.</summary>
/// <param name="At">When that was worked out: what is older than some minutes may be wrong by now.</param>
/// <param name="Bouts">The bouts, in the order in which they are expected.</param>
internal sealed record OwnForecast(DateTimeOffset At, ImmutableArray<ExpectedBout> Bouts);

/// <summary>When a bout is expected.</summary>
/// <param name="BoutId">The bout.</param>
/// <param name="Begins">When it begins.</param>
internal sealed record ExpectedBout(string BoutId, ExpectedTime Begins);

/// <summary>A pool or a strip, as a person calls it.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Name">The name.</param>
internal sealed record NamedPart(string Id, string Name);

/// <summary>A bout that a referee scores, with what his pad needs beside it.</summary>
/// <param name="Version">The version of the bout, as in its ETag; a write names it in If-Match.</param>
/// <param name="Competition">The name of the competition.</param>
/// <param name="Pool">The number of the pool, or null in the elimination.</param>
/// <param name="Bout">The bout.</param>
/// <param name="Equipment">Whether the equipment of its fencers stands against it; null where the competition does not ask, or once the bout has begun.</param>
internal sealed record OwnBout(int Version, string Competition, int? Pool, BoutView Bout, BoutEquipment? Equipment);

internal static class OwnPassRoutes
{
    public static void MapOwnPass(this IEndpointRouteBuilder app)
    {
        var group = app.MapGroup("/api/pass").WithTags("Passes");
        group.MapGet("", GetAsync).TellsOfItself()
            .Does(
                "getOwnPass",
                "What the pass that is sent along is for, and when its bouts are expected",
                "The times are a forecast that moves with each result of the tournament. They stand here and not beside the bouts, so that a list of bouts that has not changed is not sent again.")
            .Shows<OwnPass>(401);
        group.MapGet("/bouts", BoutsAsync).TellsOfItself()
            .Does(
                "listOwnBouts",
                "The bouts that a referee's pass scores, in the order in which they are fenced",
                "All of them at once, so that a phone can go on without a network. Other passes name no bouts, so their list is empty.")
            .Shows<OwnBout[]>(401);
    }

    private static async Task<IResult> GetAsync(HttpContext http, Organiser organiser, ForecastBook book, CancellationToken cancellation)
    {
        var pass = http.Pass();
        await using var session = organiser.Read();
        var tournament = pass.TournamentId is { } id ? await session.LoadAsync<Tournament>(id, cancellation) : null;
        var competitions = tournament is null || pass.Pools.IsEmpty
            ? []
            : await session.LoadManyAsync<Competition>(cancellation, tournament.Competitions);
        return new Fresh<OwnPass>(new OwnPass(
            pass.Kind,
            pass.TournamentId,
            tournament?.Name,
            [.. pass.Pools.SelectMany(pool => competitions, PoolName).OfType<NamedPart>()],
            [.. pass.Strips.SelectMany(strip => tournament!.Strips.Where(s => s.Id == strip)).Select(s => new NamedPart(s.Id, s.Name))],
            pass.Bouts,
            pass.ExpiresAt,
            pass.Kind == PassKind.Referee && await book.ForPageAsync(pass.TournamentId!) is { } forecast ? Expected(pass, forecast) : null));
    }

    private static OwnForecast Expected(PassRecord pass, TournamentForecast forecast)
    {
        var timetable = new Timetable(forecast, null, null, null);
        return new OwnForecast(
            timetable.Tournament.TimeAt(forecast.MadeAt),
            [.. timetable.Bouts().Where(b => pass.Covers(b.Bout)).Select(b => new ExpectedBout(b.Bout.Id, timetable.Expected(b.Begin)))]);
    }

    private static NamedPart? PoolName(string poolId, Competition competition) =>
        competition.Pool(poolId) is { } found ? new NamedPart(poolId, $"{competition.Name}, pool {found.Pool.Number}") : null;

    private static async Task<IResult> BoutsAsync(HttpContext http, Organiser organiser, CancellationToken cancellation)
    {
        var pass = http.Pass();
        string[] pools = [.. pass.Pools], strips = [.. pass.Strips], single = [.. pass.Bouts];
        await using var session = organiser.Read();
        var bouts = await session.Query<Bout>()
            .Where(b => b.PoolId!.IsOneOf(pools) || b.StripId!.IsOneOf(strips) || b.Id.IsOneOf(single))
            .ToListAsync(cancellation);
        var competitions = (await session.LoadManyAsync<Competition>(cancellation, bouts.Select(b => b.CompetitionId).Distinct()))
            .ToDictionary(c => c.Id);
        var equipment = await EquipmentAsync(session, competitions.Values, cancellation);
        return new Fresh<OwnBout[]>(
        [
            .. bouts.Where(b => !b.Struck && !b.Left.Vacant && !b.Right.Vacant)
                .OrderBy(b => b.CompetitionId, StringComparer.Ordinal)
                .ThenBy(b => b.Round ?? int.MaxValue)
                .ThenBy(b => b.PoolId, StringComparer.Ordinal)
                .ThenByDescending(b => b.TableOf)
                .ThenBy(b => b.Order)
                .Select(b => Of(b, competitions[b.CompetitionId], equipment)),
        ]);
    }

    private static OwnBout Of(Bout bout, Competition competition, Func<Competition, Bout, BoutEquipment?> equipment) => new(
        bout.Version,
        competition.Name,
        bout.PoolId is { } pool ? competition.Pool(pool)?.Pool.Number : null,
        BoutView.Of(bout, competition),
        equipment(competition, bout));

    /// <summary>Reads what was checked, where a competition asks for it.</summary>
    private static async Task<Func<Competition, Bout, BoutEquipment?>> EquipmentAsync(
        IQuerySession session, IEnumerable<Competition> competitions, CancellationToken cancellation)
    {
        Competition[] asking = [.. competitions.Where(c => c.EquipmentGate != EquipmentGate.Off)];
        if (asking.Length == 0)
        {
            return (_, _) => null;
        }

        var rules = await EquipmentBook.RulesAsync(session, asking[0].TournamentId, cancellation);
        var records = new Dictionary<string, EquipmentRecord>();
        foreach (var competition in asking)
        {
            foreach (var (entrantId, record) in await EquipmentBook.OfAsync(session, competition.Id, cancellation))
            {
                records[entrantId] = record;
            }
        }

        return (competition, bout) => competition.EquipmentGate == EquipmentGate.Off || bout.Status != BoutStatus.Open
            ? null
            : BoutEquipment.Of(
                competition.EquipmentGate, bout, EquipmentBook.Unready(competition, rules, records, EquipmentBook.FencersOf(bout)));
    }
}
