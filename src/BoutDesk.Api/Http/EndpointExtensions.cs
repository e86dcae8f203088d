using Microsoft.AspNetCore.Mvc;

namespace BoutDesk.Api.Http;

/// <summary>Saying in the OpenAPI document what an operation answers.</summary>
internal static class EndpointExtensions
{
    /// <summary>Names an operation and says in a line what it does.</summary>
    public static RouteHandlerBuilder Does(this RouteHandlerBuilder builder, string name, string summary, string? description = null)
    {
        builder.WithName(name).WithSummary(summary);
        return description is null ? builder : builder.WithDescription(description);
    }

    /// <summary>A read of one thing, with its ETag.</summary>
    public static RouteHandlerBuilder Shows<T>(this RouteHandlerBuilder builder, params int[] refusals) =>
        builder.Produces<T>(200, Formats.Json).Produces(304).Refuses(refusals);

    /// <summary>A read of a list that people take away, in JSON or CSV, with its ETag.</summary>
    public static RouteHandlerBuilder Lists<T>(this RouteHandlerBuilder builder, params int[] refusals) =>
        builder.Produces<T[]>(200, Formats.Json, Formats.Csv).Produces(304).Refuses([400, 406, .. refusals]);

    /// <summary>
    /// A read of which the answer follows from what happened in a competition alone, not from the time: it is kept, or where
    /// there are other services a standby may answer it.
    /// </summary>
    public static RouteHandlerBuilder Kept(this RouteHandlerBuilder builder) =>
        builder.WithMetadata(new KeptRead()).AddEndpointFilter((context, next) => context.HttpContext.RequestServices.GetRequiredService<KeptReads>().AnswerAsync(context, next));

    /// <summary>What the address of a request is about: its part that ends in Id. A round and the like may stand beside it.</summary>
    public static KeyValuePair<string, object?> Named(this HttpRequest request) =>
        request.RouteValues.FirstOrDefault(v => v.Key.EndsWith("Id", StringComparison.Ordinal));

    /// <summary>Lists the problems an operation can answer with, besides too many requests and an unavailable store.</summary>
    public static RouteHandlerBuilder Refuses(this RouteHandlerBuilder builder, params int[] statuses)
    {
        foreach (var status in statuses.Append(429).Append(503))
        {
            builder.Produces<ProblemDetails>(status, "application/problem+json");
        }

        return builder;
    }

    /// <summary>A write that needs a pass: what every such operation can answer with.</summary>
    public static RouteHandlerBuilder Writes(this RouteHandlerBuilder builder, params int[] moreStatuses) =>
        builder.Refuses([400, 401, 403, 404, 413, 415, 422, .. moreStatuses]);
}
