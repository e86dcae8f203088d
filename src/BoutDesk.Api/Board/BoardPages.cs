using System.IO.Compression;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Http;
using BoutDesk.Api.Organisers;
using BoutDesk.Api.Pages;

namespace BoutDesk.Api.Board;

/// <summary>
/// Renders the pages of the board and keeps them: a thousand phones that load the same page after the same touch cost one
/// rendering in each language.
/// </summary>
internal sealed class BoardPages
{
    private readonly PageRenderer renderer;
    private readonly Organiser organiser;
    private readonly FeedHub hub;
    private readonly BoardStates states;
    private readonly Shelf<Packed> shelf;

    public BoardPages(
        PageRenderer renderer, [FromKeyedServices] Organiser organiser, [FromKeyedServices] FeedHub hub, [FromKeyedServices] BoardStates states, TimeProvider clock)
    {
        this.renderer = renderer;
        this.organiser = organiser;
        this.hub = hub;
        this.states = states;
        shelf = new Shelf<Packed>(clock, most: 1000);
    }

    /// <summary>Whether a person with a browser asks, who is not to be answered in JSON.</summary>
    public static bool WantsPage(HttpRequest request) =>
        request.GetTypedHeaders().Accept.Any(type => type.MediaType.Equals("text/html", StringComparison.OrdinalIgnoreCase) && type.Quality != 0);

    /// <summary>Sends a page that anything anywhere can change.</summary>
    /// <param name="http">The request.</param>
    /// <param name="name">The name under which it is kept.</param>
    /// <param name="make">Makes it, given the position of the feed that it is to name; null when there is no such page.</param>
    public Task SendAsync(HttpContext http, string name, Func<long, Task<WebPage?>> make) => SendAsync(http, name, hub.Position, make);

    /// <summary>Sends a page that only what happens in a competition can change.</summary>
    /// <param name="http">The request.</param>
    /// <param name="name">The name under which it is kept.</param>
    /// <param name="competitionId">The competition.</param>
    /// <param name="make">Makes it, given the competition and the position of the feed; null when there is no such page.</param>
    public Task SendAsync(HttpContext http, string name, string competitionId, Func<CompetitionState, long, WebPage?> make) =>
        SendAsync(http, name, competitionId, (state, position) => Task.FromResult(make(state, position)));

    /// <summary>The same for a page that looks up more. What else moves it, such as the time, shows some seconds later.</summary>
    /// <param name="http">The request.</param>
    /// <param name="name">The name under which it is kept.</param>
    /// <param name="competitionId">The competition.</param>
    /// <param name="make">Makes it, given the competition and the position of the feed; null when there is no such page.</param>
    public Task SendAsync(HttpContext http, string name, string competitionId, Func<CompetitionState, long, Task<WebPage?>> make) =>
        SendAsync(http, name, hub.LastOf(organiser.Id, competitionId), async position =>
            await states.CompetitionAsync(competitionId) is { } state ? await make(state, position) : null);

    /// <summary>Renders a page that is not worth keeping, and sends it.</summary>
    public async Task SendOnceAsync(HttpContext http, WebPage? page)
    {
        if (page is null)
        {
            await SendMissingAsync(http);
            return;
        }

        Languages.Vary(http.Response);
        await new Packed(await renderer.RenderAsync(page, http.OrganiserName()), PageRenderer.Html, CompressionLevel.Fastest).SendAsync(http);
    }

    /// <summary>Says that nothing is at this address, in a way that fits who asks.</summary>
    public async Task SendMissingAsync(HttpContext http)
    {
        if (!WantsPage(http.Request))
        {
            await Problem.NotFound("page").ExecuteAsync(http);
            return;
        }

        Languages.Vary(http.Response);
        http.Response.StatusCode = StatusCodes.Status404NotFound;
        http.Response.ContentType = PageRenderer.Html;
        await http.Response.Body.WriteAsync(await renderer.RenderAsync(WebPage.Of<MissingPage>(), http.OrganiserName()), http.RequestAborted);
    }

    private async Task SendAsync(HttpContext http, string name, long revision, Func<long, Task<WebPage?>> make)
    {
        // The name of an organiser is changed from outside, of which no feed tells.
        var named = http.OrganiserName();
        // Read before the states: what happens meanwhile is told by the feed once more.
        var kept = await shelf.TakeAsync($"{Languages.Current} {named}\n{name}", revision, async () =>
        {
            var position = hub.Position;
            return await make(position) is { } page ? new Packed(await renderer.RenderAsync(page, named), PageRenderer.Html, CompressionLevel.Fastest) : null;
        });
        if (kept is null)
        {
            await SendMissingAsync(http);
            return;
        }

        Languages.Vary(http.Response);
        await kept.SendAsync(http);
    }
}
