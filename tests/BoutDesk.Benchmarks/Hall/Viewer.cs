using System.Diagnostics;
using System.Net;
using System.Text.Json;

namespace BoutDesk.Benchmarks.Hall;

/// <summary>Somebody who follows the feed of the tournament, and notes when he was told of each touch.</summary>
internal sealed class Viewer
{
    private readonly Dictionary<Touch, long> told = [];

    /// <summary>When the viewer was told of a touch, as a time stamp of <see cref="Stopwatch"/>.</summary>
    public IReadOnlyDictionary<Touch, long> Told => told;

    /// <summary>Touches that he was told of more than once.</summary>
    public int Doubled { get; private set; }

    /// <summary>Follows the feed until told to stop. Completes the source when the feed has begun.</summary>
    public async Task FollowAsync(HttpClient client, string tournamentId, TaskCompletionSource begun, CancellationToken stop)
    {
        try
        {
            using var request = new HttpRequestMessage(HttpMethod.Get, $"/api/tournaments/{tournamentId}/feed");
            using var answer = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, stop);
            if (answer.StatusCode != HttpStatusCode.OK)
            {
                throw new InvalidOperationException($"The feed was answered {(int)answer.StatusCode}.");
            }

            using var lines = new StreamReader(await answer.Content.ReadAsStreamAsync(stop));
            while (await lines.ReadLineAsync(stop) is { } line)
            {
                begun.TrySetResult();
                if (line.StartsWith("data: ", StringComparison.Ordinal) && line.Contains("\"touch-scored\"", StringComparison.Ordinal))
                {
                    Note(line.AsSpan("data: ".Length), Stopwatch.GetTimestamp());
                }
            }
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            // The measurement is over.
        }
        catch (Exception failure)
        {
            begun.TrySetException(failure);
            throw;
        }
    }

    private void Note(ReadOnlySpan<char> data, long at)
    {
        var item = JsonSerializer.Deserialize<Item>(data, JsonSerializerOptions.Web)!;
        if (!told.TryAdd(new Touch(item.BoutId, item.Score.Left + item.Score.Right), at))
        {
            Doubled++;
        }
    }

    private sealed record Item(string BoutId, Score Score);

    private sealed record Score(int Left, int Right);
}

/// <summary>A touch, known by its bout and by how many touches there are after it.</summary>
/// <param name="BoutId">The bout.</param>
/// <param name="Number">The touches of both after it.</param>
internal readonly record struct Touch(string BoutId, int Number);
