using System.Net;
using System.Reflection;
using System.Text.Json.Nodes;
using BoutDesk.Api.Competitions;
using BoutDesk.Domain.Competitions;
using Xunit;

namespace BoutDesk.Api.Tests.Competitions;

[Collection(OneService.Name)]
public class FormulaTests
{
    private readonly HttpClient desk;

    public FormulaTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task What_the_formula_leaves_out_has_the_default_of_the_age_group_and_what_it_says_goes_first()
    {
        var tournament = await desk.TournamentAsync();
        var veterans = await OpenAsync(tournament, "Veterans 50+", null);
        Assert.Equal((10, 2, 3), Elimination(veterans));
        var mixed = await OpenAsync(tournament, "veteran", new { elimination = new { touches = 15 }, pools = new { size = 6 } });
        Assert.Equal((15, 2, 3), Elimination(mixed));
        Assert.Equal(6, mixed["formula"]!["pools"].Number("size"));
        var children = await OpenAsync(tournament, "U10", new { elimination = new { minutes = 3 } });
        Assert.Equal((10, 3, 3), Elimination(children));
        Assert.Equal(2, children["formula"]!["pools"].Number("minutes"));
        Assert.Equal((15, 3, 3), Elimination(await OpenAsync(tournament, "senior", new { })));

        var changed = await desk.SendAsync(HttpMethod.Put, $"/api/competitions/{mixed.Id()}/formula", new { elimination = new { periods = 3 } }, HttpStatusCode.OK);
        Assert.Equal((10, 3, 3), Elimination(changed));
        Assert.Equal(7, changed["formula"]!["pools"].Number("size"));
    }

    [Fact]
    public async Task A_bout_is_fenced_by_the_formula_of_the_age_group()
    {
        var competition = (await OpenAsync(await desk.TournamentAsync(), "veteran", new { pools = new { rounds = 0 } })).Id();
        foreach (var name in new[] { "Aubert", "Berg" })
        {
            await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", new { familyName = name }, HttpStatusCode.Created);
        }

        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        var bout = await desk.GetAsync<JsonObject>($"/api/bouts/{(await desk.TableAsync(competition, 2))[0].Id()}");
        Assert.Equal((10, 2, 3), (bout.Number("touches"), bout.Number("periods"), bout.Number("minutes")));
    }

    [Theory]
    [InlineData(typeof(Formula), typeof(FormulaSettings))]
    [InlineData(typeof(PoolFormula), typeof(PoolSettings))]
    [InlineData(typeof(EliminationFormula), typeof(EliminationSettings))]
    public void Every_part_of_a_formula_can_be_said(Type formula, Type settings) =>
        Assert.Equal(Names(formula), Names(settings));

    private static IEnumerable<string> Names(Type type) =>
        type.GetProperties(BindingFlags.Instance | BindingFlags.Public).Where(p => p.CanWrite).Select(p => p.Name).Order(StringComparer.Ordinal);

    private static (int Touches, int Periods, int Minutes) Elimination(JsonNode competition)
    {
        var elimination = competition["formula"]!["elimination"];
        return (elimination.Number("touches"), elimination.Number("periods"), elimination.Number("minutes"));
    }

    private Task<JsonNode> OpenAsync(string tournament, string ageGroup, object? formula)
    {
        var body = new JsonObject { ["name"] = "Open foil", ["weapon"] = "foil", ["category"] = "mixed", ["ageGroup"] = ageGroup };
        if (formula is not null)
        {
            body["formula"] = System.Text.Json.JsonSerializer.SerializeToNode(formula);
        }

        return desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/competitions", body, HttpStatusCode.Created);
    }
}
