using BoutDesk.Api.Organisers;
using BoutDesk.Api.Pages;

namespace BoutDesk.Api.Desk;

/// <summary>Sends the pages of the desk. They are made anew each time: few look, and each is to see what is so now.</summary>
internal sealed class DeskPages
{
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

        var body = await renderer.RenderAsync(page, http.OrganiserName());
        http.Response.Headers.CacheControl = "no-store";
        http.Response.ContentType = PageRenderer.Html;
        http.Response.ContentLength = body.Length;
        await http.Response.Body.WriteAsync(body, http.RequestAborted);
    }
}
