using BoutDesk.Api.EventStore;
using Microsoft.Net.Http.Headers;

namespace BoutDesk.Api.Http;

/// <summary>
/// Keeps the answers to reads that need no pass, until something happens in the competition: when a thousand phones ask
/// for the same standings after a result, they are worked out once. Beside other services, of whose writes this one does not
/// know, nothing is kept; a standby answers instead where that is allowed.
/// </summary>
internal sealed class KeptReads
{
    private readonly LatestChanges changes;
    private readonly Organiser organiser;
    private readonly Shelf<Rendered> shelf;

    public KeptReads(LatestChanges changes, [FromKeyedServices] Organiser organiser, TimeProvider clock)
    {
        this.changes = changes;
        this.organiser = organiser;
        shelf = new Shelf<Rendered>(clock, most: 500);
    }

    /// <summary>Answers from what is kept, or lets the handler answer and keeps that.</summary>
    public async ValueTask<object?> AnswerAsync(EndpointFilterInvocationContext context, EndpointFilterDelegate next)
    {
        var request = context.HttpContext.Request;
        if (!changes.Suffice)
        {
            return await organiser.Database.Standbys.AnswerAsync(request, () => next(context));
        }

        // Who shows a pass may be shown more.
        if (request.Headers.ContainsKey(HeaderNames.Authorization) || request.Named().Value is not string id)
        {
            return await next(context);
        }

        object? other = null;
        var kept = await shelf.TakeAsync($"{request.Headers.Accept} {request.Path}{request.QueryString}", changes.Of(organiser.Id, id), async () =>
        {
            other = await next(context);
            return (other as IRendered)?.Render(request);
        });
        return kept ?? other;
    }
}

/// <summary>Marks an operation whose answers <see cref="KeptReads"/> gives.</summary>
internal sealed class KeptRead;

/// <summary>An answer that is the same for everybody who asks in the same way without a pass.</summary>
internal interface IRendered
{
    /// <summary>The answer, or null when the request is refused.</summary>
    Rendered? Render(HttpRequest request);
}

/// <summary>An answer as it is sent.</summary>
/// <param name="Body">The body.</param>
/// <param name="ContentType">What it is.</param>
/// <param name="ETag">Its entity tag.</param>
internal sealed record Rendered(byte[] Body, string ContentType, string ETag) : IResult
{
    /// <summary>Where the next page of a list is, or null.</summary>
    public string? Link { get; init; }

    /// <summary>The name of the file, for what is to be saved, or null.</summary>
    public string? ContentDisposition { get; init; }

    public Task ExecuteAsync(HttpContext httpContext)
    {
        var headers = httpContext.Response.Headers;
        if (Link is not null)
        {
            headers.Link = Link;
        }

        if (ContentDisposition is not null)
        {
            headers.ContentDisposition = ContentDisposition;
        }

        return ETags.SendAsync(httpContext, Body, ContentType, ETag);
    }
}
