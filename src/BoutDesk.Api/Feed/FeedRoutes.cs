using System.Globalization;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Tournaments;
using Marten;
using Microsoft.AspNetCore.Http.Features;

namespace BoutDesk.Api.Feed;

internal static class FeedRoutes
{
    private const int ReplayPage = 500;

    // Somebody leaves every few seconds in a full hall.
    private const int FullFor = 10;
    private static readonly TimeSpan Heartbeat = TimeSpan.FromSeconds(15);

    public static void MapFeed(this IEndpointRouteBuilder app) =>
        app.MapGet("/api/tournaments/{tournamentId}/feed", FollowAsync).WithTags("Feed")
            .Does(
                "followTournament",
                "What happens, as it happens",
                "Server-sent events. The id of each is a position; send it back as Last-Event-ID and nothing between is missed. Without it the feed begins now, or with after=0 at the beginning.")
            .Produces<FeedItem>(200, "text/event-stream")
            .Refuses(400, 404);

    private static async Task<IResult> FollowAsync(
        string tournamentId, HttpContext http, long? after, Organiser organiser, FeedHub hub, FeedPlaces places, IHostApplicationLifetime lifetime)
    {
        using var place = places.Take(http);
        if (!place.IsAcquired)
        {
            return Limits.TooMany(FullFor);
        }

        long? from = after;
        if (http.Request.Headers["Last-Event-ID"].ToString() is { Length: > 0 } last)
        {
            if (!long.TryParse(last, NumberStyles.None, CultureInfo.InvariantCulture, out var position))
            {
                return Problem.Invalid("Last-Event-ID", $"Must be the id of an event of this feed.");
            }

            from = position;
        }

        if (from < 0)
        {
            return Problem.Invalid("after", $"Must be 0 or a position of this feed.");
        }

        await using (var session = organiser.Read())
        {
            if (await session.LoadAsync<Tournament>(tournamentId, http.RequestAborted) is null)
            {
                return Problem.NotFound("tournament");
            }

            if (from > hub.Position && from > await LatestAsync(session, http.RequestAborted))
            {
                // No other service is ahead of this one: it was heard in another database, before the organiser was moved.
                from = null;
            }
        }

        http.Response.ContentType = "text/event-stream";
        http.Response.Headers.CacheControl = "no-store";
        http.Response.Headers["X-Accel-Buffering"] = "no";
        http.Features.Get<IHttpResponseBodyFeature>()?.DisableBuffering();
        using var ended = CancellationTokenSource.CreateLinkedTokenSource(http.RequestAborted, lifetime.ApplicationStopping);
        try
        {
            await StreamAsync(tournamentId, from, http.Response, organiser, hub, ended.Token);
        }
        catch (OperationCanceledException)
        {
            // The listener hung up, or the service stops; a browser comes back by itself.
        }

        return Results.Empty;
    }

    private static Task<long> LatestAsync(IQuerySession session, CancellationToken cancellation) =>
        session.Events.QueryAllRawEvents().OrderByDescending(e => e.Sequence).Select(e => e.Sequence).FirstOrDefaultAsync(cancellation);

    private static async Task StreamAsync(
        string tournamentId, long? from, HttpResponse response, Organiser organiser, FeedHub hub, CancellationToken ended)
    {
        var (channel, position) = hub.Listen(organiser.Id, tournamentId);
        try
        {
            await response.WriteAsync("retry: 2000\n\n", ended);
            if (from is { } resume && resume < position)
            {
                await ReplayAsync(tournamentId, resume, position, response, organiser, ended);
            }

            await response.Body.FlushAsync(ended);
            var told = Math.Max(position, from ?? 0);
            while (!ended.IsCancellationRequested)
            {
                using var quiet = CancellationTokenSource.CreateLinkedTokenSource(ended);
                quiet.CancelAfter(Heartbeat);
                try
                {
                    if (!await channel.Reader.WaitToReadAsync(quiet.Token))
                    {
                        return;
                    }
                }
                catch (OperationCanceledException) when (!ended.IsCancellationRequested)
                {
                    // So that a phone notices a dead connection, and a proxy keeps a quiet one.
                    await response.WriteAsync(": still here\n\n", ended);
                    await response.Body.FlushAsync(ended);
                    continue;
                }

                while (channel.Reader.TryRead(out var message))
                {
                    if (message.Position > told)
                    {
                        await response.Body.WriteAsync(message.Text, ended);
                        told = message.Position;
                    }
                }

                await response.Body.FlushAsync(ended);
            }
        }
        finally
        {
            hub.Leave(organiser.Id, tournamentId, channel);
        }
    }

    private static async Task ReplayAsync(
        string tournamentId, long after, long upTo, HttpResponse response, Organiser organiser, CancellationToken ended)
    {
        await using var session = organiser.Read();
        var prefix = tournamentId + "-";
        while (true)
        {
            var page = await session.Events.QueryAllRawEvents()
                .Where(e => e.Sequence > after && e.Sequence <= upTo && (e.StreamKey == tournamentId || e.StreamKey!.StartsWith(prefix)))
                .OrderBy(e => e.Sequence)
                .Take(ReplayPage)
                .ToListAsync(ended);
            foreach (var happened in page)
            {
                await response.Body.WriteAsync(FeedMessage.Of(happened).Text, ended);
            }

            if (page.Count < ReplayPage)
            {
                return;
            }

            after = page[^1].Sequence;
        }
    }
}
