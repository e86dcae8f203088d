using System.Text;
using System.Text.Json;
using BoutDesk.Api.Http;

namespace BoutDesk.Api.Pages;

/// <summary>
/// The pages that a phone keeps and opens without a network: the referee's pad and the armourer's page. They are files;
/// only the list of what a phone keeps is made here.
/// </summary>
internal static class KeptPages
{
    private static readonly string[] Shared = ["/look.css", "/icon.svg", "/database.js", "/kept.js", "/language.js", "/tree.js"];

    public static void MapKeptPages(this IEndpointRouteBuilder app)
    {
        app.MapKept("/strip", "pad", "/strip.webmanifest");
        app.MapKept("/equipment", "armourer", "/equipment.webmanifest", "/pad/pad.css", "/pad/server.js", "/pad/key.js");
    }

    /// <summary>Maps a page.</summary>
    /// <param name="app">The service.</param>
    /// <param name="at">Its address.</param>
    /// <param name="folder">The folder of its files, the page itself bearing its name.</param>
    /// <param name="more">What it needs from elsewhere.</param>
    private static void MapKept(this IEndpointRouteBuilder app, string at, string folder, params string[] more)
    {
        var page = $"{folder}/{folder}.html";
        Task PageAsync(HttpContext http) => WebAssets.SendAsync(http, page);

        app.MapGet(at, PageAsync).ExcludeFromDescription();
        // A code names the tournament, so that a person sees where it leads; the pass behind # says the rest.
        app.MapGet(at + "/{tournamentId}", PageAsync).ExcludeFromDescription();

        var worker = new Lazy<byte[]>(() =>
        {
            string[] kept = [.. Shared, .. more, .. WebAssets.In(folder + "/").Where(path => path != "/" + page)];
            return Encoding.UTF8.GetBytes(
                $"const at = '{at}', name = '{folder}-', edition = '{WebAssets.Edition}', kept = {JsonSerializer.Serialize(kept)};\n{WebAssets.Text("kept-worker.js")}");
        });
        // A worker's scope is the folder it comes from, and another text is how a browser notices a new edition.
        app.MapGet(at + "-worker.js", (HttpContext http) => ETags.SendAsync(http, worker.Value, "text/javascript; charset=utf-8", ETags.Of(worker.Value)))
            .ExcludeFromDescription();
    }
}
