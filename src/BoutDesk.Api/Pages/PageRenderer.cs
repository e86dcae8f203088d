using System.Text;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Web;

namespace BoutDesk.Api.Pages;

/// <summary>A page to be rendered.</summary>
/// <param name="Component">The component.</param>
/// <param name="Parameters">What it is given.</param>
internal sealed record WebPage(Type Component, Dictionary<string, object?> Parameters)
{
    public static WebPage Of<T>(params IEnumerable<(string Name, object? Value)> parameters)
        where T : IComponent => new(typeof(T), parameters.ToDictionary(p => p.Name, p => p.Value));
}

/// <summary>Renders pages from Razor components, as text.</summary>
internal sealed class PageRenderer
{
    public const string Html = "text/html; charset=utf-8";

    private readonly IServiceProvider services;
    private readonly ILoggerFactory loggers;

    public PageRenderer(IServiceProvider services, ILoggerFactory loggers)
    {
        this.services = services;
        this.loggers = loggers;
    }

    /// <summary>Renders a page of an organiser.</summary>
    /// <param name="page">The page.</param>
    /// <param name="organiser">The organiser's name, which the frame shows in place of the program's; null for the one at home, which has none.</param>
    public async Task<byte[]> RenderAsync(WebPage page, string? organiser)
    {
        await using var renderer = new HtmlRenderer(services, loggers);
        var within = ParameterView.FromDictionary(new Dictionary<string, object?>
        {
            [nameof(CascadingValue<string?>.Name)] = "Organiser",
            [nameof(CascadingValue<string?>.Value)] = organiser,
            [nameof(CascadingValue<string?>.IsFixed)] = true,
            [nameof(CascadingValue<string?>.ChildContent)] = (RenderFragment)(tree =>
            {
                tree.OpenComponent(0, page.Component);
                tree.AddMultipleAttributes(1, page.Parameters!);
                tree.CloseComponent();
            }),
        });
        var html = await renderer.Dispatcher.InvokeAsync(async () => (await renderer.RenderComponentAsync<CascadingValue<string?>>(within)).ToHtmlString());
        return Encoding.UTF8.GetBytes(html);
    }
}
