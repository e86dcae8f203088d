using System.Net.Http.Headers;
using BoutDesk.Api.Tests.Contract;
using Xunit;

namespace BoutDesk.Api.Tests.Passes;

/// <summary>
/// Every operation with every kind of pass, carried out on a hall of its own. An operation that the table does not list
/// fails the test.
/// </summary>
public class AccessTableTests : IClassFixture<Hall>
{
    private static readonly string[] Desks = ["desk", "desk of the tournament"];

    private static readonly string[] Everybody =
    [
        .. Desks, "desk of another tournament", "armourer", "armourer of another tournament", "referee of the pool", "referee of another pool",
    ];

    private static readonly Dictionary<string, string[]> LetsIn = new()
    {
        ["openTournament"] = ["desk"],
        ["addStrip"] = Desks,
        ["correctStrip"] = Desks,
        ["getArchive"] = Desks,
        ["importArchive"] = ["desk"],
        ["announce"] = Desks,
        ["takeDownAnnouncement"] = Desks,
        ["givePass"] = Desks,
        ["listPasses"] = Desks,
        ["revokePass"] = Desks,
        ["getOwnPass"] = Everybody,
        ["listOwnBouts"] = Everybody,
        ["openCompetition"] = Desks,
        ["changeFormula"] = Desks,
        ["enterFencers"] = Desks,
        ["correctEntrant"] = Desks,
        ["checkIn"] = Desks,
        ["takeBackCheckIn"] = Desks,
        ["markAbsent"] = Desks,
        ["withdraw"] = Desks,
        ["exclude"] = Desks,
        ["reinstate"] = Desks,
        ["eraseEntrant"] = Desks,
        ["eraseReferee"] = Desks,
        ["getEquipment"] = [.. Desks, "armourer"],
        ["listEquipment"] = [.. Desks, "armourer"],
        ["getEquipmentTable"] = [.. Desks, "armourer"],
        ["getBoutEquipment"] = [.. Desks, "armourer", "referee of the pool", "referee of another pool"],
        ["checkEquipment"] = [.. Desks, "armourer"],
        ["passTheRest"] = [.. Desks, "armourer"],
        ["takeBackCheck"] = [.. Desks, "armourer"],
        ["waiveEquipment"] = Desks,
        ["takeWaiverBack"] = Desks,
        ["setEquipmentGate"] = Desks,
        ["planDay"] = Desks,
        ["keepPlan"] = Desks,
        ["givePlanUp"] = Desks,
        ["addReferees"] = Desks,
        ["correctReferee"] = Desks,
        ["sendRefereeAway"] = Desks,
        ["bringRefereeBack"] = Desks,
        ["assignPoolReferees"] = Desks,
        ["assignTableauReferees"] = Desks,
        ["appointPoolReferee"] = Desks,
        ["appointBoutReferee"] = Desks,
        ["bringEquipmentRules"] = Desks,
        ["giveEquipmentRulesUp"] = Desks,
        ["addKit"] = [.. Desks, "armourer"],
        ["listKit"] = [.. Desks, "armourer"],
        ["getKit"] = [.. Desks, "armourer"],
        ["correctKit"] = [.. Desks, "armourer"],
        ["takeOutKit"] = [.. Desks, "armourer"],
        ["issueKit"] = [.. Desks, "armourer"],
        ["takeBackIssue"] = [.. Desks, "armourer"],
        ["returnKit"] = [.. Desks, "armourer"],
        ["takeBackReturn"] = [.. Desks, "armourer"],
        ["mendKit"] = [.. Desks, "armourer"],
        ["drawPoolRound"] = Desks,
        ["scrapPoolRound"] = Desks,
        ["exchangeFencers"] = Desks,
        ["closePoolRound"] = Desks,
        ["assignPoolToStrip"] = Desks,
        ["drawTableau"] = Desks,
        ["scrapTableau"] = Desks,
        ["recordResult"] = [.. Desks, "referee of the pool"],
        ["takeBackResult"] = Desks,
        ["scoreTouch"] = [.. Desks, "referee of the pool"],
        ["takeBackTouch"] = [.. Desks, "referee of the pool"],
        ["showCard"] = [.. Desks, "referee of the pool"],
        ["takeBackCard"] = [.. Desks, "referee of the pool"],
        ["runOutOfTime"] = [.. Desks, "referee of the pool"],
        ["takeBackTime"] = [.. Desks, "referee of the pool"],
        ["drawPriority"] = [.. Desks, "referee of the pool"],
        ["takeBackPriority"] = [.. Desks, "referee of the pool"],
        ["takeBreak"] = [.. Desks, "referee of the pool"],
        ["takeBackBreak"] = [.. Desks, "referee of the pool"],
        ["handleClock"] = [.. Desks, "referee of the pool"],
        ["takeBackLast"] = [.. Desks, "referee of the pool"],
        ["assignBoutToStrip"] = Desks,
    };

    private static readonly string[] Public =
    [
        "listTournaments", "getTournament", "listCompetitions", "getCompetition", "getClassification", "listEntrants", "getEntrant", "getEquipmentRules", "getPlan", "listPlanStages",
        "getPoolRound", "getPoolRoundStandings", "listPoolRoundFencers", "listPoolRoundBouts", "listPoolBouts", "listTableauBouts", "getSeeding", "getPool", "getPoolStandings", "getBout", "getBoutHistory", "getTableau", "getCallingOrder", "getPath", "followTournament",
        "listReferees", "getReferee", "getAppointments",
        "calculatePoolStandings", "calculatePoolOrder", "calculatePools", "calculateTableau", "calculateClassification", "calculateBout", "calculateCallingOrder", "calculatePath", "calculatePossiblePlaces", "checkStrip", "planHall", "calculateKitSize", "getTimetable",
    ];

    private static readonly string[] Malformed = ["Bearer", "Bearer ", "Basic ZGVzazpkZXNr", "Bearer two words", DeskHost.DeskPass];

    private readonly Hall hall;

    public AccessTableTests(Hall hall) => this.hall = hall;

    [Fact]
    public void The_table_lists_every_operation_and_no_other() =>
        Assert.Equal(hall.Document.Operations.Select(o => o.Id).Order(), LetsIn.Keys.Concat(Public).Order());

    [Fact]
    public void The_document_says_of_each_operation_whether_it_needs_a_pass() =>
        Assert.Equal(LetsIn.Keys.Order(), hall.Document.Operations.Where(o => o.NeedsPass).Select(o => o.Id).Order());

    [Fact]
    public async Task Each_operation_lets_in_the_passes_of_the_table_and_no_other()
    {
        await UntilExpiredAsync();
        var wrong = new List<string>();
        foreach (var operation in hall.Document.Operations)
        {
            // Those that are refused first, so that they meet the day as it was set up.
            var allowed = LetsIn.GetValueOrDefault(operation.Id, [.. hall.Passes.Keys]);
            foreach (var (kind, pass) in hall.Passes.OrderBy(p => allowed.Contains(p.Key)))
            {
                var status = await StatusAsync(operation, "Bearer " + pass);
                var expected = allowed.Contains(kind) ? 200 : kind is "unknown" or "expired" or "revoked" ? 401 : 403;
                if (expected == 200 ? status is 401 or 403 or >= 500 : status != expected)
                {
                    wrong.Add($"{operation} with the pass '{kind}' was answered {status}, expected {(expected == 200 ? "to be let in" : expected)}.");
                }
            }
        }

        Assert.Empty(wrong);
    }

    [Fact]
    public async Task Without_a_pass_or_with_a_malformed_one_reads_are_answered_and_writes_are_not()
    {
        var wrong = new List<string>();
        foreach (var operation in hall.Document.Operations)
        {
            foreach (var header in Malformed.Append(null))
            {
                var status = await StatusAsync(operation, header);
                if (LetsIn.ContainsKey(operation.Id) ? status != 401 : status is 401 or 403 or >= 500)
                {
                    wrong.Add($"{operation} with the header '{header}' was answered {status}.");
                }
            }
        }

        Assert.Empty(wrong);
    }

    private async Task<int> StatusAsync(Operation operation, string? authorization)
    {
        using var client = hall.Host.Client(null);
        var headers = authorization is null ? [] : new[] { ("Authorization", authorization) };
        using var request = new HttpRequestMessage(operation.Method, hall.At(operation));
        if (operation.Example is { } example)
        {
            request.Content = new StringContent(example.ToJsonString(), MediaTypeHeaderValue.Parse("application/json"));
        }

        foreach (var (name, value) in headers)
        {
            request.Headers.TryAddWithoutValidation(name, value);
        }

        using var response = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead);
        return (int)response.StatusCode;
    }

    private async Task UntilExpiredAsync()
    {
        using var client = hall.Host.Client(hall.Passes["expired"]);
        for (var tries = 0; tries < 100; tries++)
        {
            using var response = await client.GetAsync(new Uri($"/api/tournaments/{hall.TournamentId}/passes", UriKind.Relative));
            if ((int)response.StatusCode == 401)
            {
                return;
            }

            await Task.Delay(100);
        }

        Assert.Fail("The pass does not expire.");
    }
}
