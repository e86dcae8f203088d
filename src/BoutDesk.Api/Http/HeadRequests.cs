namespace BoutDesk.Api.Http;

/// <summary>Answers HEAD as GET without the body, which the server leaves out by itself. Streams have no head of their own.</summary>
internal static class HeadRequests
{
    public static void UseHeadRequests(this IApplicationBuilder app) => app.Use((http, next) =>
    {
        if (HttpMethods.IsHead(http.Request.Method) && !http.Request.Path.Value!.EndsWith("/feed", StringComparison.Ordinal)
            && !http.Request.Path.Value.EndsWith("/plan/search", StringComparison.Ordinal))
        {
            http.Request.Method = HttpMethods.Get;
        }

        return next(http);
    });
}
