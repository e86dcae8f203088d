using System.Collections.Immutable;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Competitions;

/// <summary>A competition to open.</summary>
/// <param name="Name">Its name, to 120 characters.</param>
/// <param name="Weapon">The weapon.</param>
/// <param name="Category">Who it is open to.</param>
/// <param name="AgeGroup">The age group, to 40 characters; senior when left out.</param>
/// <param name="Formula">How it is fenced; what is left out has the default of the age group.</param>
internal sealed record OpenCompetition(
    string Name, Weapon Weapon, Category Category, string AgeGroup = "senior", FormulaSettings? Formula = null);

/// <summary>A competition.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="TournamentId">The tournament.</param>
/// <param name="Name">The name.</param>
/// <param name="Weapon">The weapon.</param>
/// <param name="Category">Who it is open to.</param>
/// <param name="AgeGroup">The age group.</param>
/// <param name="Stage">The stage reached.</param>
/// <param name="Entered">How many were entered, those gone included.</param>
/// <param name="CheckedIn">How many are checked in.</param>
/// <param name="PoolRounds">The pool rounds drawn.</param>
/// <param name="TableauSize">The size of the tableau, or null.</param>
/// <param name="Formula">How it is fenced.</param>
/// <param name="EquipmentGate">What happens when a fencer is called whose equipment has not passed.</param>
internal sealed record CompetitionView(
    string Id,
    string TournamentId,
    string Name,
    Weapon Weapon,
    Category Category,
    string AgeGroup,
    Stage Stage,
    int Entered,
    int CheckedIn,
    ImmutableArray<PoolRoundSummary> PoolRounds,
    int? TableauSize,
    Formula Formula,
    EquipmentGate EquipmentGate)
{
    public static CompetitionView Of(Competition c, Stage stage) => new(
        c.Id,
        c.TournamentId,
        c.Name,
        c.Weapon,
        c.Category,
        c.AgeGroup,
        stage,
        c.Entrants.Length,
        c.Entrants.Count(e => e.Status == EntrantStatus.CheckedIn),
        [.. c.Rounds.Select(r => new PoolRoundSummary(r.Number, r.Drawn.Pools.Length, r.Closed is not null))],
        c.Tableau is { } t ? Domain.Elimination.TableauShape.For(t.Seeds.Length).Size : null,
        c.Formula,
        c.EquipmentGate);
}

/// <summary>A pool round in short.</summary>
/// <param name="Round">The round, from 1.</param>
/// <param name="Pools">How many pools it has.</param>
/// <param name="Closed">Whether it was closed.</param>
internal sealed record PoolRoundSummary(int Round, int Pools, bool Closed);

internal static class CompetitionRoutes
{
    public static void MapCompetitions(this IEndpointRouteBuilder app)
    {
        var tournament = app.MapGroup("/api/tournaments/{tournamentId}/competitions").WithTags("Competitions");
        tournament.MapPost("", OpenAsync).Needs(PassKind.Desk)
            .Does("openCompetition", "Open a competition for entries")
            .Produces<CompetitionView>(201).Writes();
        tournament.MapGet("", ListAsync)
            .Does("listCompetitions", "All competitions of a tournament, in the order of the programme").Lists<CompetitionView>(404);

        var group = app.MapGroup("/api/competitions/{competitionId}").WithTags("Competitions");
        group.MapGet("", GetAsync)
            .Does("getCompetition", "One competition, with the stage it has reached").Shows<CompetitionView>(404).Kept();
        group.MapPut("/formula", ChangeFormulaAsync).Needs(PassKind.Desk)
            .Does("changeFormula", "Change how a competition is fenced", "Possible for each part until it is drawn.")
            .Produces<CompetitionView>(200).Writes(409, 412);
        group.MapGet("/classification", ClassificationAsync)
            .Does("getClassification", "The classification, provisional until the stage is finished").Lists<ClassificationLine>(404).Kept();
    }

    /// <summary>The bouts of the tableau in force.</summary>
    public static async Task<IReadOnlyList<Bout>> TableauAsync(IQuerySession session, Competition competition, CancellationToken cancellation) =>
        competition.Tableau is null
            ? []
            : await session.Query<Bout>().Where(b => b.CompetitionId == competition.Id && b.TableOf != null && !b.Struck).ToListAsync(cancellation);

    private static Task<IResult> OpenAsync(string tournamentId, OpenCompetition body, HttpContext http, Commands commands)
    {
        var errors = new FieldErrors();
        errors.Text("name", body.Name, 120);
        errors.Text("ageGroup", body.AgeGroup, 40);
        var formula = (body.Formula ?? new FormulaSettings()).Over(AgeGroupFormula.For(body.AgeGroup));
        foreach (var wrong in formula.Problems())
        {
            errors.Add(wrong.Field!, wrong.Sentence);
        }

        if (errors.ToProblem() is { } problem)
        {
            return Task.FromResult<IResult>(problem);
        }

        return commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Tournament>(tournamentId) is not { } tournament)
            {
                return Problem.NotFound("tournament");
            }

            var id = Identifiers.Competition(tournamentId, tournament.Competitions.Length + 1);
            ledger.Keep(Decision.Accept(
            [
                new Fact(tournamentId, new CompetitionAdded(id)),
                new Fact(id, new CompetitionOpened(tournamentId, body.Name.Trim(), body.Weapon, body.Category, body.AgeGroup.Trim(), formula)),
            ]));
            return Answer.Created($"/api/competitions/{id}", CompetitionView.Of(ledger.Now<Competition>(id), Stage.Entries));
        });
    }

    private static async Task<IResult> ListAsync(string tournamentId, int? limit, string? after, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Tournament>(tournamentId, cancellation) is not { } tournament)
        {
            return Problem.NotFound("tournament");
        }

        var competitions = await session.LoadManyAsync<Competition>(cancellation, [.. tournament.Competitions]);
        var views = new List<CompetitionView>();
        foreach (var competition in competitions.OrderBy(c => tournament.Competitions.IndexOf(c.Id)))
        {
            views.Add(CompetitionView.Of(competition, await StageAsync(session, competition, cancellation)));
        }

        return new FreshList<CompetitionView>(views, c => c.Id, new Page(limit, after), $"{tournament.Name} competitions");
    }

    internal static async Task<IResult> GetAsync(string competitionId, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        return await session.LoadAsync<Competition>(competitionId, cancellation) is { } competition
            ? new Fresh<CompetitionView>(CompetitionView.Of(competition, await StageAsync(session, competition, cancellation)), competition.Version)
            : Problem.NotFound("competition");
    }

    private static Task<IResult> ChangeFormulaAsync(string competitionId, FormulaSettings body, HttpContext http, Commands commands) =>
        commands.RunAsync(http, async ledger =>
        {
            if (await ledger.FindAsync<Competition>(competitionId) is not { } competition)
            {
                return Problem.NotFound("competition");
            }

            var formula = body.Over(AgeGroupFormula.For(competition.AgeGroup));
            var errors = new FieldErrors();
            foreach (var wrong in formula.Problems())
            {
                errors.Add(wrong.Field!["formula.".Length..], wrong.Sentence);
            }

            if (errors.ToProblem() is { } problem)
            {
                return problem;
            }

            if (ETags.Mismatch(http.Request, competition.Version) is { } stale)
            {
                return stale;
            }

            var decision = EntryDecider.ChangeFormula(competition, formula);
            if (decision.Refusal is { } refusal)
            {
                return refusal;
            }

            ledger.Keep(decision);
            var now = ledger.Now<Competition>(competitionId);
            return Answer.Ok(CompetitionView.Of(now, now.Stage)).WithVersion(now.Version);
        });

    internal static async Task<IResult> ClassificationAsync(string competitionId, int? limit, string? after, Organiser organiser, CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Competition>(competitionId, cancellation) is not { } competition)
        {
            return Problem.NotFound("competition");
        }

        var tableau = await TableauAsync(session, competition, cancellation);
        var entrants = competition.Entrants.ToDictionary(e => e.Id, e => e.Details);
        var lines = Classification.Of(competition, tableau).Select(line => new ClassificationLine(
            line.Place,
            line.EntrantId,
            entrants[line.EntrantId].Name,
            entrants[line.EntrantId].Club,
            entrants[line.EntrantId].Country,
            line switch
            {
                { Table: 1 } => "winner",
                { Table: 2 } => "final",
                { Table: { } table } => $"table of {table}",
                _ => $"pool round {line.Round}",
            }));
        return new FreshList<ClassificationLine>([.. lines], l => l.EntrantId, new Page(limit, after), $"{competition.Name} classification");
    }

    internal static async Task<Stage> StageAsync(IQuerySession session, Competition competition, CancellationToken cancellation) =>
        Classification.IsFinal(competition, await TableauAsync(session, competition, cancellation)) ? Stage.Finished : competition.Stage;
}

/// <summary>A line of the classification.</summary>
/// <param name="Place">The place; those who share one have the same.</param>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
/// <param name="Reached">How far the fencer came: winner, final, a table, or a pool round.</param>
internal sealed record ClassificationLine(int Place, string EntrantId, string Name, string? Club, string? Country, string Reached);
