using System.Collections.Immutable;
using BoutDesk.Api.Competitions;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Pools;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Elimination;

/// <summary>A bout to be called.</summary>
/// <param name="Order">Its place in the order of calling, from 1.</param>
/// <param name="BoutId">The bout.</param>
/// <param name="TableOf">How many fencers there are in its table: 2 in a final.</param>
/// <param name="StripId">The strip it was put on, or null.</param>
/// <param name="Left">Who is on the left: family name and given name; null while not known.</param>
/// <param name="Right">Who is on the right; null while not known.</param>
/// <param name="CanBeCalled">Whether both fencers are there and have had their rest.</param>
/// <param name="RestedAt">From when both have had their rest; null while one is not known, or when nothing keeps them.</param>
/// <param name="PlannedAt">When it would begin, up to the next full minute, if every bout took as long as planned.</param>
internal sealed record CallView(
    int Order,
    string BoutId,
    int TableOf,
    string? StripId,
    string? Left,
    string? Right,
    bool CanBeCalled,
    DateTimeOffset? RestedAt,
    DateTimeOffset PlannedAt);

/// <summary>The way of a fencer through the tableau, if he wins.</summary>
/// <param name="EntrantId">The fencer.</param>
/// <param name="Seed">The seed; null when he is not in the tableau, or would not be.</param>
/// <param name="Provisional">True while the tableau is not drawn: then this is the way by the seeding as it is now.</param>
/// <param name="Bouts">His next bout and those that follow; empty when he has none left.</param>
internal sealed record PathView(string EntrantId, int? Seed, bool Provisional, ImmutableArray<PathBoutView> Bouts);

/// <summary>A bout on the way of a fencer.</summary>
/// <param name="BoutId">The bout; null while the tableau is not drawn.</param>
/// <param name="TableOf">How many fencers there are in its table: 2 in a final.</param>
/// <param name="Part">The part of the tableau.</param>
/// <param name="Opponents">Everybody whom he can meet in it, by seed; one when the opponent is known.</param>
/// <param name="IfLost">What becomes of him if he loses it.</param>
internal sealed record PathBoutView(
    string? BoutId, int TableOf, TableauPart Part, ImmutableArray<TableauFencerView> Opponents, IfLostView IfLost);

/// <summary>What becomes of the loser of a bout.</summary>
/// <param name="FencesOn">Whether he has another bout, for a place or in the repechage.</param>
/// <param name="BestPlace">The best place that is left to him.</param>
/// <param name="WorstPlace">The worst place.</param>
internal sealed record IfLostView(bool FencesOn, int BestPlace, int WorstPlace)
{
    public static IfLostView Of(SeededBout bout) => new(bout.LoserTo is not null, bout.Stage.LoserBest, bout.Stage.LoserWorst);
}

internal static class CallingRoutes
{
    public static void MapCalling(this IEndpointRouteBuilder app)
    {
        app.MapGroup("/api/competitions/{competitionId}/calling-order").WithTags("Elimination").MapGet("", CallingOrderAsync)
            .Does(
                "getCallingOrder",
                "The bouts of the tableau in the order in which they are called",
                "Everybody rests between two elimination bouts, 10 minutes unless restMinutes says otherwise. Earlier tables come first, then the bout whose winner is waited for, then those who have rested longest. strips says how many there are, bouts under way included; left out, those of the tournament that serve the weapon.")
            .Lists<CallView>(404);
        app.MapGroup("/api/entrants/{entrantId}/path").WithTags("Elimination").MapGet("", PathAsync)
            .Does("getPath", "Whom a fencer can meet, bout by bout, if he wins", "Before the tableau is drawn it is the way by the seeding as it is now, and says so.")
            .Shows<PathView>(404);
    }

    private static async Task<IResult> CallingOrderAsync(
        string competitionId,
        int? restMinutes,
        int? boutMinutes,
        int? strips,
        int? limit,
        string? after,
        Organiser organiser,
        CompetitionShelf competitions,
        TimeProvider clock,
        CancellationToken cancellation)
    {
        var errors = new FieldErrors();
        errors.Range("restMinutes", restMinutes, 0, 120);
        errors.Range("boutMinutes", boutMinutes, 1, 120);
        errors.Range("strips", strips, 1, 100);
        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        await using var session = organiser.Read();
        if (await competitions.FindAsync(session, competitionId) is not { Tableau: { } drawn } competition)
        {
            return Problem.NotFound("tableau");
        }

        var tournament = await session.LoadAsync<Tournament>(competition.TournamentId, cancellation);
        var bouts = (await CompetitionRoutes.TableauAsync(session, competition, cancellation)).ToDictionary(b => b.Id);
        var calls = CallingOrder.Of(
            SeededTableau.Of(drawn, bouts.Values),
            clock.GetUtcNow(),
            Rules(restMinutes, boutMinutes, strips ?? (tournament!.StripsFor(competition.Weapon) is > 0 and var count ? (int?)count : null)));
        return new FreshList<CallView>(
            [.. calls.Select((call, i) => ViewOf(i + 1, call, bouts[call.BoutId], competition))], c => c.BoutId, new Page(limit, after), $"{competition.Name} calling order");
    }

    /// <summary>What is called by, each part with its usual value when left out.</summary>
    internal static CallingRules Rules(int? restMinutes, int? boutMinutes, int? strips) => new(
        restMinutes is { } rest ? TimeSpan.FromMinutes(rest) : CallingRules.UsualRest,
        TimeSpan.FromMinutes(boutMinutes ?? 20),
        strips);

    private static CallView ViewOf(int order, BoutCall call, Bout bout, Competition competition) => new(
        order,
        bout.Id,
        bout.TableOf!.Value,
        bout.StripId,
        NameOf(bout.Left, competition),
        NameOf(bout.Right, competition),
        call.CanBeCalled,
        call.RestedAt,
        ToTheMinute(call.PlannedAt));

    private static string? NameOf(Seat seat, Competition competition) =>
        seat.EntrantId is { } id ? competition.Entrant(id)!.Details.Name : null;

    // Up to the next minute: nobody calls a bout by the second, and whoever asks again within it gets the same answer.
    private static DateTimeOffset ToTheMinute(DateTimeOffset moment)
    {
        var minutes = (moment.UtcTicks + TimeSpan.TicksPerMinute - 1) / TimeSpan.TicksPerMinute;
        return new DateTimeOffset(minutes * TimeSpan.TicksPerMinute, TimeSpan.Zero);
    }

    private static async Task<IResult> PathAsync(string entrantId, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (Identifiers.CompetitionOf(entrantId) is not { } competitionId
            || await competitions.FindAsync(session, competitionId) is not { } competition
            || competition.Entrant(entrantId) is null)
        {
            return Problem.NotFound("entrant");
        }

        var tableau = await CompetitionRoutes.TableauAsync(session, competition, cancellation);
        return new Fresh<PathView>(PathOf(competition, tableau, entrantId));
    }

    private static PathView PathOf(Competition competition, IReadOnlyList<Bout> tableau, string entrantId)
    {
        var gone = competition.Gone;
        var order = competition.Tableau?.Seeds
            ?? [.. PoolRoutes.Seeding(competition).Select(s => s.EntrantId).Where(id => !gone.Contains(id))];
        var provisional = competition.Tableau is null;
        var seed = order.IndexOf(entrantId) + 1;
        if (seed == 0 || order.Length < 2)
        {
            return new PathView(entrantId, null, provisional, []);
        }

        var bouts = competition.Tableau is { } drawn
            ? SeededTableau.Of(drawn, tableau)
            : SeededTableau.Of(order.Length, competition.Formula.Elimination, []).Bouts;
        var seeds = order.Select((id, i) => (id, i)).ToDictionary(s => s.id, s => s.i + 1);
        return new PathView(
            entrantId,
            seed,
            provisional,
            [
                .. FencerPath.Of(bouts, seed).Select(step => new PathBoutView(
                    provisional ? null : step.Bout.Id,
                    step.Bout.TableOf,
                    step.Bout.Stage.Part,
                    [.. step.Opponents.Select(opponent => TableauFencerView.Of(new Seat(order[opponent - 1]), competition, seeds)!)],
                    IfLostView.Of(step.Bout))),
            ]);
    }
}
