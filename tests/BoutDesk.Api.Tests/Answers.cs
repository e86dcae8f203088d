using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests;

/// <summary>An answer with all of it that a client can hold on to.</summary>
internal sealed record Answered(int Status, string Body, string? Location, string? ETag)
{
    public JsonNode Json => JsonNode.Parse(Body)!;

    /// <summary>The end of the problem's type, or null when it is none.</summary>
    public string? Problem => Status < 400 ? null : Json["type"]!.GetValue<string>().Split(':')[^1];
}

/// <summary>Sending requests whose answers are looked at afterwards, one by one or many at once.</summary>
internal static class Answers
{
    public static async Task<Answered> AskAsync(
        this HttpClient client, HttpMethod method, string path, object? body = null, params (string Name, string Value)[] headers)
    {
        using var response = await client.TryAsync(method, path, body, headers);
        return new Answered(
            (int)response.StatusCode,
            await response.Content.ReadAsStringAsync(),
            response.Headers.Location?.ToString(),
            response.Headers.ETag?.ToString());
    }

    /// <summary>Reads a resource with its ETag.</summary>
    public static async Task<(JsonNode Body, string ETag)> ReadAsync(this HttpClient client, string path)
    {
        var answer = await client.AskAsync(HttpMethod.Get, path);
        Assert.Equal(200, answer.Status);
        return (answer.Json, answer.ETag!);
    }

    public static Task<Answered> AskResultAsync(this HttpClient client, string boutId, int left, int right, string? etag = null, string? reason = null, string? later = null)
    {
        var body = new JsonObject { ["left"] = left, ["right"] = right, ["winner"] = left > right ? "left" : "right" };
        if (reason is not null)
        {
            body["reason"] = reason;
        }

        if (later is not null)
        {
            body["later"] = later;
        }

        return client.AskAsync(HttpMethod.Put, $"/api/bouts/{boutId}/result", body, etag is null ? [] : [("If-Match", etag)]);
    }

    public static Task<Answered> AskTouchAsync(this HttpClient client, string boutId, string side, params (string Name, string Value)[] headers) =>
        client.AskAsync(HttpMethod.Post, $"/api/bouts/{boutId}/touches", new { side }, headers);

    /// <summary>Begins everything at the same moment and waits for all of it.</summary>
    public static async Task<T[]> AtOnceAsync<T>(IEnumerable<Func<Task<T>>> asks)
    {
        var go = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var all = asks.Select(async ask =>
        {
            await go.Task;
            return await ask();
        }).ToArray();
        go.SetResult();
        return await Task.WhenAll(all);
    }

    /// <summary>A referee's pass for these pools or bouts, as a client with it.</summary>
    public static async Task<HttpClient> RefereeAsync(this DeskHost host, string tournamentId, string[]? pools = null, string[]? bouts = null)
    {
        var given = await host.Desk.SendAsync(
            HttpMethod.Post, $"/api/tournaments/{tournamentId}/passes", new { kind = "referee", pools, bouts }, HttpStatusCode.Created);
        return host.Client(given["pass"]!.GetValue<string>());
    }

    /// <summary>A competition of one pool, drawn, without check-in. Returns it and its pool.</summary>
    public static async Task<(string Competition, JsonNode Pool)> OnePoolAsync(this HttpClient desk, int fencers, int touches = 5, string? tournamentId = null)
    {
        var id = await desk.CompetitionAsync(fencers, formula: new { pools = new { size = 12, touches } }, checkIn: false, tournamentId: tournamentId);
        var round = await desk.DrawPoolsAsync(id);
        return (id, await desk.GetAsync<JsonObject>($"/api/pools/{round["pools"]!.AsArray().Single().Id()}"));
    }

    /// <summary>A competition that is fenced as a tableau from the start; it is drawn. Returns its identifier.</summary>
    public static async Task<string> TableauAloneAsync(this HttpClient desk, int fencers, string thirdPlace = "shared", string? tournamentId = null)
    {
        var formula = new { pools = new { rounds = 0 }, elimination = new { thirdPlace } };
        var id = await desk.CompetitionAsync(fencers, formula: formula, checkIn: false, tournamentId: tournamentId);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{id}/tableau", null, HttpStatusCode.Created);
        return id;
    }

    /// <summary>The bouts of one table, from the top of the tree.</summary>
    public static async Task<JsonNode[]> TableAsync(this HttpClient client, string competitionId, int tableOf)
    {
        var tableau = await client.GetAsync<JsonObject>($"/api/competitions/{competitionId}/tableau");
        var table = tableau["rounds"]!.AsArray().Single(r => r!["tableOf"]!.GetValue<int>() == tableOf)!;
        return [.. table["bouts"]!.AsArray().OfType<JsonNode>()];
    }

    public static string Text(this JsonNode? node, string name) => node![name]!.GetValue<string>();

    public static int Number(this JsonNode? node, string name) => node![name]!.GetValue<int>();

    public static JsonNode[] Items(this JsonNode? node, string name) => [.. node![name]!.AsArray().OfType<JsonNode>()];
}
