using System.Globalization;
using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Feed;

/// <summary>A message of the feed.</summary>
internal sealed record FeedMessage(long Id, string Event, string Data)
{
    public JsonNode Json => JsonNode.Parse(Data)!;
}

/// <summary>Reads a feed as browsers do (HTML standard, server-sent events), until it is disposed.</summary>
internal sealed class FeedListener : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    private readonly CancellationTokenSource ended = new();
    private readonly List<FeedMessage> messages = [];
    private readonly HttpClient client;
    private readonly HttpResponseMessage response;
    private readonly Task reading;
    private TaskCompletionSource arrived = new(TaskCreationOptions.RunContinuationsAsynchronously);

    private FeedListener(HttpClient client, HttpResponseMessage response)
    {
        (this.client, this.response) = (client, response);
        reading = ReadAsync();
    }

    /// <summary>What has arrived so far.</summary>
    public IReadOnlyList<FeedMessage> Messages
    {
        get
        {
            lock (messages)
            {
                return [.. messages];
            }
        }
    }

    /// <summary>Whether the service has ended it.</summary>
    public bool HasEnded => reading.IsCompleted;

    /// <summary>Listens from now on, or after a position.</summary>
    public static Task<FeedListener> ListenAsync(DeskHost host, string tournament, long? lastEventId = null, string query = "") =>
        ListenAsync(host.Client(null), tournament, lastEventId, query);

    /// <summary>Listens with a client of its own, which is disposed with it.</summary>
    public static async Task<FeedListener> ListenAsync(HttpClient client, string tournament, long? lastEventId = null, string query = "")
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, $"/api/tournaments/{tournament}/feed{query}");
        if (lastEventId is { } id)
        {
            request.Headers.Add("Last-Event-ID", id.ToString(CultureInfo.InvariantCulture));
        }

        var response = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead);
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        Assert.Equal("text/event-stream", response.Content.Headers.ContentType?.MediaType);
        return new FeedListener(client, response);
    }

    /// <summary>Waits until what has arrived will do, or the feed has ended; returns all of it.</summary>
    public async Task<IReadOnlyList<FeedMessage>> UntilAsync(Func<IReadOnlyList<FeedMessage>, bool> enough)
    {
        while (true)
        {
            var next = Volatile.Read(ref arrived);
            var soFar = Messages;
            if (enough(soFar))
            {
                return soFar;
            }

            Assert.False(reading.IsCompleted, $"The feed ended after {soFar.Count} messages.");
            try
            {
                await Task.WhenAny(next.Task, reading).WaitAsync(Patience);
            }
            catch (TimeoutException)
            {
                Assert.Fail($"Only {soFar.Count} messages came, the last {(soFar.Count == 0 ? null : soFar[^1])}.");
            }
        }
    }

    public async ValueTask DisposeAsync()
    {
        await ended.CancelAsync();
        await reading;
        response.Dispose();
        client.Dispose();
        ended.Dispose();
    }

    private async Task ReadAsync()
    {
        try
        {
            using var reader = new StreamReader(await response.Content.ReadAsStreamAsync(ended.Token), Encoding.UTF8);
            var fields = new Dictionary<string, string>();
            while (await reader.ReadLineAsync(ended.Token) is { } line)
            {
                if (line.Length == 0)
                {
                    if (fields.TryGetValue("data", out var data))
                    {
                        Add(new FeedMessage(long.Parse(fields["id"], CultureInfo.InvariantCulture), fields["event"], data));
                    }

                    fields.Clear();
                }
                else if (line.IndexOf(": ", StringComparison.Ordinal) is > 0 and var colon)
                {
                    fields[line[..colon]] = line[(colon + 2)..];
                }
            }
        }
        catch (Exception e) when (e is OperationCanceledException or IOException or HttpRequestException)
        {
            // The listener hung up, or the service did. What is cut off in the middle does not count.
        }
    }

    private void Add(FeedMessage message)
    {
        lock (messages)
        {
            messages.Add(message);
        }

        Interlocked.Exchange(ref arrived, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously)).SetResult();
    }
}
