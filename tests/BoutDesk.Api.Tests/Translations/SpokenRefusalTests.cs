using System.Net.Http.Json;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Translations;

/// <summary>What is refused is said in the language that was asked for, and is the same for programs in each.</summary>
[Collection(OneService.Name)]
public class SpokenRefusalTests
{
    private readonly HttpClient desk;

    public SpokenRefusalTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task A_refusal_is_English_unless_French_is_asked_for()
    {
        var competition = await desk.CompetitionAsync(4);
        await desk.DrawPoolsAsync(competition);
        foreach (var (language, title, detail) in new[]
        {
            (null, "Bouts are still open", "6 bout(s) of the round have no result yet."),
            ("de", "Bouts are still open", "6 bout(s) of the round have no result yet."),
            ("fr-CH, en;q=0.5", "Des matchs sont encore à tirer", "6 match(s) du tour n’ont pas encore de résultat."),
        })
        {
            var problem = await SendAsync($"/api/competitions/{competition}/pool-rounds/1/close", new { }, language);
            Assert.Equal("urn:boutdesk:problem:bouts-open", problem.Text("type"));
            Assert.Equal(title, problem.Text("title"));
            Assert.StartsWith(detail, problem.Text("detail"), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Fields_rows_and_consequences_are_said_in_French_too()
    {
        var competition = await desk.CompetitionAsync(5);
        await desk.DrawPoolsAsync(competition);
        var field = await SendAsync($"/api/competitions/{competition}/entrants", new { familyName = "", ranking = 0 }, "fr");
        Assert.Equal("Il faut un nom de famille.", field["errors"]!["familyName"]![0]!.GetValue<string>());
        Assert.Contains("mais vaut 0", field.Text("detail"), StringComparison.Ordinal);

        var left = await SendAsync($"/api/entrants/{competition}-e2/withdraw", new { reason = "hurt" }, "fr");
        Assert.Equal("4 match(s) de la poule ne comptent pas, pour les adversaires non plus.", left.Items("consequences")[0].Text("what"));
    }

    private async Task<JsonNode> SendAsync(string address, object body, string? language)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, address) { Content = JsonContent.Create(body) };
        if (language is not null)
        {
            request.Headers.AcceptLanguage.ParseAdd(language);
        }

        using var answer = await desk.SendAsync(request);
        return (await answer.Content.ReadFromJsonAsync<JsonNode>())!;
    }
}
