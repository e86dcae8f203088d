using System.Collections.Immutable;
using System.Globalization;
using Microsoft.AspNetCore.Localization;

namespace BoutDesk.Api.Pages;

/// <summary>The languages of the pages: the one chosen on this device, else the browser's, else English.</summary>
internal static class Languages
{
    private static readonly PathString Api = "/api";

    private static readonly ImmutableArray<PathString> ForMachines = ["/openapi", "/health"];

    /// <summary>The languages by their code, each under the name it calls itself.</summary>
    public static ImmutableArray<(string Code, string Name)> All { get; } = [("en", "English"), ("fr", "Français")];

    /// <summary>The language of the reader.</summary>
    public static string Current => CultureInfo.CurrentUICulture.TwoLetterISOLanguageName;

    /// <summary>The culture where no reader is known: whatever the language of this machine, programs read English.</summary>
    public static CultureInfo Default { get; } = CultureInfo.GetCultureInfo(All[0].Code);

    public static void AddLanguages(this IServiceCollection services)
    {
        CultureInfo.DefaultThreadCurrentCulture = CultureInfo.DefaultThreadCurrentUICulture = Default;
        services.Configure<RequestLocalizationOptions>(options =>
        {
            string[] codes = [.. All.Select(l => l.Code)];
            options.SetDefaultCulture(codes[0]).AddSupportedCultures(codes).AddSupportedUICultures(codes);
            options.RequestCultureProviders = [new CookieRequestCultureProvider(), new AcceptLanguageHeaderRequestCultureProvider()];
        });
    }

    /// <summary>
    /// The pages follow the reader's language. Of what the API answers only sentences do, for a person whose browser or
    /// program asked for a language; numbers and names of members never.
    /// </summary>
    public static void UseLanguages(this IApplicationBuilder app)
    {
        app.UseWhen(http => !ForMachines.Any(http.Request.Path.StartsWithSegments), pages => pages.UseRequestLocalization());
        app.UseWhen(http => http.Request.Path.StartsWithSegments(Api), api => api.Use(next => http =>
        {
            CultureInfo.CurrentCulture = Default;
            return next(http);
        }));
    }

    /// <summary>Says on what the language of a page depends, for all that keep a copy of it.</summary>
    public static void Vary(HttpResponse response) => response.Headers.AppendCommaSeparatedValues("Vary", "Accept-Language", "Cookie");

    public static void MapLanguages(this IEndpointRouteBuilder app) =>
        app.MapGet("/language/{code}", (string code, HttpContext http) =>
        {
            if (All.All(l => l.Code != code))
            {
                return Results.NotFound();
            }

            http.Response.Cookies.Append(
                CookieRequestCultureProvider.DefaultCookieName,
                CookieRequestCultureProvider.MakeCookieValue(new RequestCulture(code)),
                new CookieOptions { MaxAge = TimeSpan.FromDays(365), SameSite = SameSiteMode.Lax, IsEssential = true });
            return Results.LocalRedirect(From(http.Request));
        }).ExcludeFromDescription();

    /// <summary>The page that a link or form stood on, if it is one of ours, else the start page.</summary>
    public static string From(HttpRequest request) =>
        Uri.TryCreate(request.Headers.Referer, UriKind.Absolute, out var from) && from.Authority == request.Host.Value && !from.PathAndQuery.StartsWith("//", StringComparison.Ordinal)
            ? from.PathAndQuery
            : "/";
}
