using System.Collections.Immutable;
using BoutDesk.Api.Bouts;
using BoutDesk.Api.Competitions;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using Marten;

namespace BoutDesk.Api.Elimination;

/// <summary>A tableau to draw.</summary>
/// <param name="DrawSeed">The seed of the lots, used when there is no pool round, and among equals when all rounds together seed the tableau; left out, one is made and recorded.</param>
internal sealed record DrawTableau(long? DrawSeed = null);

/// <summary>A tableau.</summary>
/// <param name="Size">The number of places, a power of two.</param>
/// <param name="Rounds">The tables from the first to the final; bouts from the top of the tree.</param>
/// <param name="ThirdPlace">The bout for third place, or null when it is shared.</param>
/// <param name="Repechage">The rounds of the repechage; empty without one.</param>
/// <param name="Places">Where losers fence for further places.</param>
internal sealed record TableauView(
    int Size,
    ImmutableArray<TableView> Rounds,
    TableauBoutView? ThirdPlace,
    ImmutableArray<TableView> Repechage,
    ImmutableArray<PlacesView> Places)
{
    public static TableauView Of(Competition competition, IEnumerable<Bout> bouts)
    {
        var drawn = competition.Tableau!;
        var seeds = drawn.Seeds.Select((id, i) => (id, i)).ToDictionary(s => s.id, s => s.i + 1);
        var parts = bouts.ToLookup(b => b.Stage!.Part);
        var places = parts[TableauPart.Places].ToLookup(b => b.Stage!.FromPlace == 3);
        return new TableauView(
            TableauShape.For(drawn.Seeds.Length).Size,
            [.. Tables(parts[TableauPart.Main]), .. Tables(parts[TableauPart.Last])],
            places[true].Select(b => TableauBoutView.Of(b, competition, seeds)).FirstOrDefault(),
            Tables(parts[TableauPart.Repechage]),
            [
                .. places[false].GroupBy(b => b.Stage!.FromPlace).OrderBy(g => g.Key)
                    .Select(g => new PlacesView(g.Key, g.Key + g.Max(b => b.TableOf!.Value) - 1, Tables(g))),
            ]);

        // In a repechage two rounds have as many fencers; who loses in the earlier one is placed behind.
        ImmutableArray<TableView> Tables(IEnumerable<Bout> part) =>
        [
            .. part.GroupBy(b => (TableOf: b.TableOf!.Value, b.Stage!.LoserWorst))
                .OrderByDescending(g => g.Key.TableOf).ThenByDescending(g => g.Key.LoserWorst)
                .Select(table => new TableView(
                    table.Key.TableOf, [.. table.OrderBy(b => b.Order).Select(b => TableauBoutView.Of(b, competition, seeds))])),
        ];
    }
}

/// <summary>A part of the tableau in which losers fence for places.</summary>
/// <param name="FromPlace">The best place fenced for.</param>
/// <param name="ToPlace">The worst place fenced for.</param>
/// <param name="Rounds">Its tables, first to last.</param>
internal sealed record PlacesView(int FromPlace, int ToPlace, ImmutableArray<TableView> Rounds);

/// <summary>A table of the tableau.</summary>
/// <param name="TableOf">Its size: 2 for the final, 4 for the semi-finals, …</param>
/// <param name="Bouts">Its bouts from the top of the tree.</param>
internal sealed record TableView(int TableOf, ImmutableArray<TableauBoutView> Bouts);

/// <summary>A bout of the tableau. A side that is null is not known yet or, in a decided bout, empty: a bye.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Order">Its place in the table, from 1 at the top of the tree.</param>
/// <param name="StripId">The strip, or null.</param>
/// <param name="Left">Who is on the left.</param>
/// <param name="Right">Who is on the right.</param>
/// <param name="Status">How far it is.</param>
/// <param name="Score">The touches; null until something was recorded.</param>
/// <param name="Winner">The winner, or null.</param>
internal sealed record TableauBoutView(
    string Id,
    int Order,
    string? StripId,
    TableauFencerView? Left,
    TableauFencerView? Right,
    BoutStatus Status,
    ScoreView? Score,
    Side? Winner)
{
    public static TableauBoutView Of(Bout bout, Competition competition, IReadOnlyDictionary<string, int> seeds) => new(
        bout.Id,
        bout.Order,
        bout.StripId,
        TableauFencerView.Of(bout.Left, competition, seeds),
        TableauFencerView.Of(bout.Right, competition, seeds),
        bout.Status,
        ScoreView.Of(bout),
        bout.Winner);
}

/// <summary>A fencer in the tableau.</summary>
/// <param name="Seed">The seed, from 1.</param>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
/// <param name="Out">True when he does not fence this bout.</param>
internal sealed record TableauFencerView(int Seed, string EntrantId, string Name, string? Club, string? Country, bool Out)
{
    public static TableauFencerView? Of(Seat seat, Competition competition, IReadOnlyDictionary<string, int> seeds)
    {
        if (seat.EntrantId is not { } id)
        {
            return null;
        }

        var details = competition.Entrant(id)!.Details;
        return new TableauFencerView(seeds[id], id, details.Name, details.Club, details.Country, seat.Out);
    }
}

/// <summary>A bout of the tableau, as a line of a list. A side without a seed is not known yet or, in a decided bout, empty: a bye.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Part">The part of the tableau.</param>
/// <param name="FromPlace">The best place that its fencers can still reach.</param>
/// <param name="TableOf">The size of its table: 2 for a final.</param>
/// <param name="Order">Its place in the table, from 1 at the top of the tree.</param>
/// <param name="StripId">The strip, or null.</param>
/// <param name="LeftSeed">The seed of the fencer on the left.</param>
/// <param name="LeftEntrantId">The entrant on the left.</param>
/// <param name="LeftName">Family name and given name.</param>
/// <param name="LeftClub">The club.</param>
/// <param name="RightSeed">The seed of the fencer on the right.</param>
/// <param name="RightEntrantId">The entrant on the right.</param>
/// <param name="RightName">Family name and given name.</param>
/// <param name="RightClub">The club.</param>
/// <param name="Status">How far it is.</param>
/// <param name="LeftTouches">Touches of the fencer on the left; null until something was recorded.</param>
/// <param name="RightTouches">Touches of the fencer on the right; null until something was recorded.</param>
/// <param name="Winner">The winner, or null.</param>
internal sealed record TableauBoutLine(
    string Id,
    TableauPart Part,
    int FromPlace,
    int TableOf,
    int Order,
    string? StripId,
    int? LeftSeed,
    string? LeftEntrantId,
    string? LeftName,
    string? LeftClub,
    int? RightSeed,
    string? RightEntrantId,
    string? RightName,
    string? RightClub,
    BoutStatus Status,
    int? LeftTouches,
    int? RightTouches,
    Side? Winner)
{
    public static TableauBoutLine Of(Bout bout, Competition competition, IReadOnlyDictionary<string, int> seeds)
    {
        var (left, right) = (TableauFencerView.Of(bout.Left, competition, seeds), TableauFencerView.Of(bout.Right, competition, seeds));
        var score = ScoreView.Of(bout);
        return new TableauBoutLine(
            bout.Id,
            bout.Stage!.Part,
            bout.Stage.FromPlace,
            bout.TableOf!.Value,
            bout.Order,
            bout.StripId,
            left?.Seed,
            left?.EntrantId,
            left?.Name,
            left?.Club,
            right?.Seed,
            right?.EntrantId,
            right?.Name,
            right?.Club,
            bout.Status,
            score?.Left,
            score?.Right,
            bout.Winner);
    }
}

internal static class TableauRoutes
{
    public static void MapTableau(this IEndpointRouteBuilder app)
    {
        var group = app.MapGroup("/api/competitions/{competitionId}/tableau").WithTags("Elimination");
        group.MapPost("", DrawAsync).Needs(PassKind.Desk)
            .Does("drawTableau", "Draw the tableau", "From the ranking of the last pool round or of all together, as the formula says, exempt fencers ahead. Byes are decided at once.")
            .Produces<TableauView>(201).Writes(409);
        group.MapGet("", GetAsync).Does("getTableau", "The tableau, first table to final").Shows<TableauView>(404).Kept();
        group.MapGet("/bouts", BoutsAsync)
            .Does("listTableauBouts", "All bouts of the tableau with their results, first table to final, to take away").Lists<TableauBoutLine>(404).Kept();
        group.MapDelete("", ScrapAsync).Needs(PassKind.Desk)
            .Does("scrapTableau", "Scrap the tableau", "Possible until a bout of it has begun.").Produces(204).Writes(409);
    }

    private static Task<IResult> DrawAsync(string competitionId, DrawTableau? body, HttpContext http, Commands commands) =>
        Lots.Problem(body?.DrawSeed) is { } problem
            ? Task.FromResult<IResult>(problem)
            : commands.RunAsync(http, async ledger =>
            {
                if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
                {
                    return Problem.NotFound("competition");
                }

                var decision = TableauDecider.Draw(competition, Lots.Seed(body?.DrawSeed));
                if (decision.Refusal is { } refusal)
                {
                    return refusal;
                }

                ledger.Keep(decision);
                var bouts = decision.Facts.Where(f => f.Event is BoutProgrammed).Select(f => ledger.Now<Bout>(f.StreamId));
                return Answer.Created($"/api/competitions/{competitionId}/tableau", TableauView.Of(ledger.Now<Competition>(competitionId), bouts));
            });

    private static async Task<IResult> GetAsync(string competitionId, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await competitions.FindAsync(session, competitionId) is not { Tableau: not null } competition)
        {
            return Problem.NotFound("tableau");
        }

        return new Fresh<TableauView>(TableauView.Of(competition, await CompetitionRoutes.TableauAsync(session, competition, cancellation)));
    }

    internal static async Task<IResult> BoutsAsync(
        string competitionId, int? limit, string? after, Organiser organiser, CompetitionShelf competitions, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await competitions.FindAsync(session, competitionId) is not { Tableau: { } drawn } competition)
        {
            return Problem.NotFound("tableau");
        }

        var seeds = drawn.Seeds.Select((id, i) => (id, i)).ToDictionary(s => s.id, s => s.i + 1);
        var bouts = await CompetitionRoutes.TableauAsync(session, competition, cancellation);
        var lines = bouts
            .OrderBy(b => b.Stage!.Part).ThenBy(b => b.Stage!.FromPlace)
            .ThenByDescending(b => b.TableOf).ThenByDescending(b => b.Stage!.LoserWorst).ThenBy(b => b.Order)
            .Select(b => TableauBoutLine.Of(b, competition, seeds));
        return new FreshList<TableauBoutLine>([.. lines], l => l.Id, new Page(limit, after), $"{competition.Name} tableau");
    }

    private static Task<IResult> ScrapAsync(string competitionId, string? reason, HttpContext http, Commands commands) =>
        Reasons.Problem(reason, needed: false) is { } problem
            ? Task.FromResult<IResult>(problem)
            : commands.RunAsync(http, async ledger =>
            {
                if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
                {
                    return Problem.NotFound("competition");
                }

                var bouts = await ledger.BoutsAsync(b => b.CompetitionId == competitionId && b.TableOf != null && !b.Struck);
                var decision = TableauDecider.Scrap(competition, reason ?? "drawn anew", bouts.Values);
                if (decision.Refusal is { } refusal)
                {
                    return refusal;
                }

                ledger.Keep(decision);
                return new Answer(StatusCodes.Status204NoContent, null);
            });
}
