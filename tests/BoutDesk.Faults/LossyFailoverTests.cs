using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Faults;

[Collection("one after the other")]
public class LossyFailoverTests
{
    [Fact]
    public async Task A_service_that_remembers_what_the_new_primary_lacks_says_so_and_ends_and_one_started_anew_goes_on_with_what_is_there()
    {
        await using var servers = await ServerPair.StartAsync();
        await using var service = await ServiceOnServers.StartAsync(servers.ConnectionString);
        using var desk = service.Desk();
        var pool = (await Stage.SetAsync(desk, 1)).Pools[0];
        await TouchAsync(service, pool);
        await servers.CutAsync();
        await TouchAsync(service, pool);

        await servers.FailOverAsync();

        Assert.Equal(1, await service.EndedAsync());
        Assert.Contains("A server has taken the primary's place that lacks 1 of the last events", service.LastWords, StringComparison.Ordinal);
        await using var next = await ServiceOnServers.StartAsync(servers.ConnectionString);
        using var everybody = next.Everybody();
        var left = (await everybody.GetFromJsonAsync<JsonObject>(new Uri($"/api/bouts/{pool.Bouts[0].Id}", UriKind.Relative)))!["score"]!["left"]!.GetValue<int>();
        Assert.Equal(1, left);
        await TouchAsync(next, pool);
    }

    private static async Task TouchAsync(ServiceOnServers service, ScoredPool pool)
    {
        using var everybody = service.Everybody();
        everybody.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", pool.Pass);
        using var answer = await everybody.PostAsJsonAsync(new Uri($"/api/bouts/{pool.Bouts[0].Id}/touches", UriKind.Relative), new { side = "left" });
        Assert.True(answer.IsSuccessStatusCode, $"{(int)answer.StatusCode} {await answer.Content.ReadAsStringAsync()}");
    }
}
