using System.Globalization;
using System.Net.Sockets;
using System.Text.Json.Nodes;

namespace BoutDesk.Faults;

/// <summary>Somebody who follows the feed of the tournament, and whenever it breaks off resumes it where it was.</summary>
internal sealed class Follower(Uri address, string tournamentId)
{
    private readonly Dictionary<string, List<string>> told = [];
    private long last;

    /// <summary>What was told of each bout, in order.</summary>
    public IReadOnlyDictionary<string, List<string>> Told => told;

    /// <summary>The position of the last that was told.</summary>
    public long Last => Volatile.Read(ref last);

    /// <summary>Items told again, or before one that was told already.</summary>
    public int OutOfOrder { get; private set; }

    /// <summary>Follows until nothing more is to be told.</summary>
    public async Task FollowAsync(CancellationToken stop)
    {
        using var client = new HttpClient { BaseAddress = address, Timeout = Timeout.InfiniteTimeSpan };
        while (!stop.IsCancellationRequested)
        {
            try
            {
                using var request = new HttpRequestMessage(HttpMethod.Get, $"/api/tournaments/{tournamentId}/feed");
                request.Headers.Add("Last-Event-ID", last.ToString(CultureInfo.InvariantCulture));
                using var answer = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, stop);
                answer.EnsureSuccessStatusCode();
                using var lines = new StreamReader(await answer.Content.ReadAsStreamAsync(stop));
                await ReadAsync(lines, stop);
            }
            catch (Exception broken) when (broken is HttpRequestException or IOException or SocketException or OperationCanceledException)
            {
                // Broken off; as a browser does, wait a moment and resume.
            }

            await Task.Delay(TimeSpan.FromMilliseconds(300), CancellationToken.None);
        }
    }

    private async Task ReadAsync(StreamReader lines, CancellationToken stop)
    {
        long? id = null;
        string? data = null;
        while (await lines.ReadLineAsync(stop) is { } line)
        {
            if (line.StartsWith("id: ", StringComparison.Ordinal))
            {
                id = long.Parse(line.AsSpan(4), CultureInfo.InvariantCulture);
            }
            else if (line.StartsWith("data: ", StringComparison.Ordinal))
            {
                data = line[6..];
            }
            else if (line.Length == 0 && id is { } position && data is not null)
            {
                // Only what has come to its end counts; half of it is told again.
                Take(position, JsonNode.Parse(data)!);
                (id, data) = (null, null);
            }
        }
    }

    private void Take(long position, JsonNode item)
    {
        if (position <= last)
        {
            OutOfOrder++;
            return;
        }

        Volatile.Write(ref last, position);
        if (item["boutId"]?.GetValue<string>() is { } bout)
        {
            if (!told.TryGetValue(bout, out var list))
            {
                told[bout] = list = [];
            }

            list.Add(item["what"]!.GetValue<string>());
        }
    }
}
