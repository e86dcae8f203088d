using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;

namespace BoutDesk.Api.Desk;

/// <summary>
/// How a browser at the desk carries its pass: in a cookie that is sent to the pages of the desk only, and that no
/// script can read. There it stands for the header that programs send.
/// </summary>
internal static class DeskDoor
{
    private const string Cookie = "boutdesk-pass";

    // A tournament of three days, and the evening before.
    private static readonly TimeSpan Kept = TimeSpan.FromDays(4);

    /// <summary>Lets the cookie stand for the header, on the pages of the desk and nowhere else.</summary>
    public static void UseDeskDoor(this IApplicationBuilder app) => app.Use((http, next) =>
    {
        if (http.Request.Path.StartsWithSegments("/desk") && http.Request.Cookies.TryGetValue(Cookie, out var pass))
        {
            http.Request.Headers.Authorization = "Bearer " + pass;
        }

        return next(http);
    });

    public static void MapDeskDoor(this IEndpointRouteBuilder app)
    {
        app.MapGet("/desk/enter", (string? to, HttpContext http, DeskPages pages) =>
            pages.SendAsync(http, WebPage.Of<EnterPage>(("To", Safe(to))))).ExcludeFromDescription();
        app.MapPost("/desk/enter", EnterAsync).ExcludeFromDescription();
        app.MapPost("/desk/leave", (HttpContext http) =>
        {
            http.Response.Cookies.Delete(Cookie, Options(http.Request));
            return Results.LocalRedirect("/desk/enter");
        }).ExcludeFromDescription();
    }

    /// <summary>Sends a browser without a pass that does to the door, and it comes back from there.</summary>
    /// <returns>False when nobody with a browser asks.</returns>
    public static bool Redirects(HttpContext http)
    {
        if (!http.Request.Path.StartsWithSegments("/desk") || !HttpMethods.IsGet(http.Request.Method))
        {
            return false;
        }

        http.Response.Redirect("/desk/enter?to=" + Uri.EscapeDataString(http.Request.Path + http.Request.QueryString));
        return true;
    }

    /// <summary>
    /// Whether a form comes from a page of this service. The cookie is not sent along by other sites; this holds where a
    /// browser is too old to know that.
    /// </summary>
    public static bool FromOurPages(HttpRequest request) => request.Headers["Sec-Fetch-Site"].ToString() switch
    {
        "same-origin" => true,
        "" => Uri.TryCreate(request.Headers.Origin, UriKind.Absolute, out var origin) && origin.Authority == request.Host.Value,
        _ => false,
    };

    private static async Task EnterAsync(HttpContext http, Organiser organiser, PassBook book, WrongPassLimit wrongPasses, DeskPages pages)
    {
        var form = await http.Request.ReadFormAsync(http.RequestAborted);
        var (given, to) = (form["pass"].ToString().Trim(), Safe(form["to"]));
        var caller = Limits.DeviceOf(http);
        var why = "This is no pass for the desk at this address. Check both letter by letter.";
        if (!FromOurPages(http.Request))
        {
            // Else another site could let somebody work at the desk of its own tournament without his knowing.
            why = "The form does not come from this page. Load it anew, and type the pass here.";
        }
        else if (wrongPasses.Exhausted(caller) && !book.WasGood(organiser, given))
        {
            why = "Too many wrong passes came from this device. Wait a minute, then scan or type the pass again.";
        }
        else if (await book.FindAsync(organiser, given, http.RequestAborted) is not { } pass)
        {
            wrongPasses.Count(caller, given);
        }
        else if (pass.Kind == PassKind.Desk)
        {
            http.Response.Cookies.Append(Cookie, given, Options(http.Request));
            http.Response.StatusCode = StatusCodes.Status303SeeOther;
            http.Response.Headers.Location = to;
            return;
        }

        http.Response.StatusCode = StatusCodes.Status403Forbidden;
        await pages.SendAsync(http, WebPage.Of<EnterPage>(("To", to), ("Why", why)));
    }

    private static CookieOptions Options(HttpRequest request) =>
        new() { Path = "/desk", HttpOnly = true, SameSite = SameSiteMode.Strict, Secure = request.IsHttps, MaxAge = Kept, IsEssential = true };

    /// <summary>Where to go afterwards: a page of the desk, whatever the address says.</summary>
    private static string Safe(string? to) =>
        to is not null && (to == "/desk" || to.StartsWith("/desk/", StringComparison.Ordinal)) && !to.Any(c => char.IsControl(c) || c == '\\') ? to : "/desk";
}
