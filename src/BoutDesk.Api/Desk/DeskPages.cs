using BoutDesk.Api.Pages;
using Microsoft.Net.Http.Headers;

namespace BoutDesk.Api.Desk;

/// <summary>Sends the pages of the desk. They are made anew each time: few look, and each is to see what is so now.</summary>
internal sealed class DeskPages
{
    // Nothing but what this service serves, so that a name that holds a script stays a name.
    private const string Policy = "default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'self'; object-src 'none'";

    private readonly PageRenderer renderer;

    public DeskPages(PageRenderer renderer) => this.renderer = renderer;

    /// <summary>Sends a page, with the status that was set; null says that there is nothing at this address.</summary>
    public async Task SendAsync(HttpContext http, WebPage? page)
    {
        if (page is null)
        {
            http.Response.StatusCode = StatusCodes.Status404NotFound;
            page = WebPage.Of<NothingPage>();
        }

        var body = await renderer.RenderAsync(page);
        var headers = http.Response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers[HeaderNames.XContentTypeOptions] = "nosniff";
        headers["Referrer-Policy"] = "same-origin";
        headers.CacheControl = "no-store";
        http.Response.ContentType = PageRenderer.Html;
        http.Response.ContentLength = body.Length;
        await http.Response.Body.WriteAsync(body, http.RequestAborted);
    }
}
