using System.Text.Json;
using BoutDesk.Api.Http;
using Microsoft.Net.Http.Headers;

namespace BoutDesk.Api.Pages;

/// <summary>The referee's pad. The page and its scripts are files; only the list of what a phone keeps is made here.</summary>
internal static class PadRoutes
{
    // Nothing but what this service serves, so that a name that holds a script stays a name.
    private const string Policy = "default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

    private static readonly Lazy<byte[]> Worker = new(() =>
    {
        string[] kept = ["/look.css", "/icon.svg", "/strip.webmanifest", .. WebAssets.In("pad/").Where(path => path is not ("/pad/pad.html" or "/pad/worker.js"))];
        return System.Text.Encoding.UTF8.GetBytes(
            $"const edition = '{WebAssets.Edition}', kept = {JsonSerializer.Serialize(kept)};\n{WebAssets.Text("pad/worker.js")}");
    });

    public static void MapPad(this IEndpointRouteBuilder app)
    {
        // A code names the tournament, so that a person sees where it leads; the pass behind # says the rest.
        app.MapGet("/strip", PageAsync).ExcludeFromDescription();
        app.MapGet("/strip/{tournamentId}", PageAsync).ExcludeFromDescription();
        // A worker's scope is the folder it comes from, and another text is how a browser notices a new edition.
        app.MapGet("/strip-worker.js", (HttpContext http) => ETags.SendAsync(http, Worker.Value, "text/javascript; charset=utf-8", ETags.Of(Worker.Value)))
            .ExcludeFromDescription();
    }

    private static Task PageAsync(HttpContext http)
    {
        var headers = http.Response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers[HeaderNames.XContentTypeOptions] = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
        return WebAssets.SendAsync(http, "pad/pad.html");
    }
}
