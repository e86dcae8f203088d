namespace BoutDesk.Api.Http;

/// <summary>
/// What browsers are told to refuse of our pages: scripts and styles in the page or from elsewhere, frames around it, forms
/// that lead elsewhere, guessing at content types, telling other sites where somebody came from.
/// </summary>
internal static class SecurityHeaders
{
    private const string Pages = "pages";
    private const string KeptPages = "kept pages";
    private const string ApiPage = "page of the API";

    public static void AddSecurityHeaders(this IServiceCollection services) => services.AddSecurityHeaderPolicies()
        .AddPolicy(Pages, policies => Common(policies, forms: true).AddReferrerPolicySameOrigin())
        // They send by script alone, and their address can hold a pass behind #.
        .AddPolicy(KeptPages, policies => Common(policies).AddReferrerPolicyNoReferrer())
        // The page of the OpenAPI document comes from a library, which writes styles into it.
        .AddPolicy(ApiPage, policies => Common(policies, inlineStyles: true).AddReferrerPolicyNoReferrer())
        .SetPolicySelector(of => of.ConfiguredPolicies[PolicyFor(of.HttpContext.Request.Path)]);

    private static string PolicyFor(PathString path) =>
        path.StartsWithSegments("/openapi") ? ApiPage
        : path.StartsWithSegments("/strip") || path.StartsWithSegments("/equipment") ? KeptPages
        : Pages;

    private static HeaderPolicyCollection Common(HeaderPolicyCollection policies, bool forms = false, bool inlineStyles = false) => policies
        .AddContentTypeOptionsNoSniff()
        .AddFrameOptionsDeny()
        .AddContentSecurityPolicy(content =>
        {
            content.AddDefaultSrc().Self();
            content.AddFrameAncestors().None();
            content.AddBaseUri().None();
            content.AddObjectSrc().None();
            if (forms)
            {
                content.AddFormAction().Self();
            }
            else
            {
                content.AddFormAction().None();
            }

            if (inlineStyles)
            {
                content.AddStyleSrc().Self().UnsafeInline();
                content.AddImgSrc().Self().Data();
            }
        });
}
