using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests;

namespace BoutDesk.Pages.Tests.Pads;

/// <summary>A pool whose referee has a code, reached through requests as the desk sends them.</summary>
internal sealed record Strip(HttpClient Desk, string TournamentId, string CompetitionId, string PoolId, IReadOnlyList<string> Bouts, string PassId, string Url)
{
    private const string Entries = """
        familyName,givenName,club,country,ranking,hand
        Abernathy-Kowalczyk,Maximiliane,Salle d'Armes du Vieux Pont,FRA,1,left
        Baumann,Jo,Harbour Blades,GER,2,right
        Costa,Ines,,POR,3,
        Dvorak,Petr,Millbrook Fencing,CZE,4,right
        """;

    /// <summary>A pool of four and a code for it.</summary>
    public static async Task<Strip> OfPoolAsync(HttpClient desk, string weapon = "epee", object? formula = null, DateTimeOffset? expiresAt = null)
    {
        var tournament = await desk.TournamentAsync();
        var competition = await desk.CompetitionAsync(0, weapon, formula ?? new { pools = new { minutes = 3 } }, checkIn: false, tournament);
        using var list = new StringContent(Entries, Encoding.UTF8, "text/csv");
        using var entered = await desk.PostAsync(new Uri($"/api/competitions/{competition}/entrants", UriKind.Relative), list);
        entered.EnsureSuccessStatusCode();
        var pool = (await desk.DrawPoolsAsync(competition))["pools"]![0].Id();
        var bouts = (await desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]!.AsArray().Select(b => b.Id()).ToArray();
        var strip = new Strip(desk, tournament, competition, pool, bouts, string.Empty, string.Empty);
        return await strip.WithCodeAsync(new { kind = "referee", pools = new[] { pool }, expiresAt });
    }

    /// <summary>The first bout of a tableau of four, with a code for it alone.</summary>
    public static async Task<Strip> OfTableauAsync(HttpClient desk, string weapon = "epee", object? formula = null)
    {
        var tournament = await desk.TournamentAsync();
        var competition = await desk.CompetitionAsync(4, weapon, formula ?? new { pools = new { rounds = 0 } }, checkIn: false, tournament);
        var drawn = await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{competition}/tableau", null, HttpStatusCode.Created);
        var bouts = drawn["rounds"]![0]!["bouts"]!.AsArray().Select(b => b.Id()).ToArray();
        var strip = new Strip(desk, tournament, competition, string.Empty, bouts, string.Empty, string.Empty);
        return await strip.WithCodeAsync(new { kind = "referee", bouts = bouts[..1] });
    }

    /// <summary>The same with another code.</summary>
    public async Task<Strip> WithCodeAsync(object pass)
    {
        var given = await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{TournamentId}/passes", pass, HttpStatusCode.Created);
        return this with { PassId = given.Id(), Url = given["url"]!.GetValue<string>() };
    }

    public Task RevokeAsync() => Desk.SendAsync(HttpMethod.Delete, $"/api/tournaments/{TournamentId}/passes/{PassId}", null, HttpStatusCode.NoContent);

    /// <summary>A bout as the service has it.</summary>
    public async Task<JsonNode> BoutAsync(int index = 0) => await Desk.GetAsync<JsonObject>($"/api/bouts/{Bouts[index]}");

    /// <summary>What was recorded in a bout, by the names of the events, without the clock.</summary>
    public async Task<string[]> RecordedAsync(int index = 0) =>
    [
        .. (await Desk.ListAsync($"/api/bouts/{Bouts[index]}/history")).Select(line => line["what"]!.GetValue<string>())
            .Where(what => what != "bout-programmed" && !what.StartsWith("clock-", StringComparison.Ordinal)),
    ];
}
