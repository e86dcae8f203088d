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

    public async Task<byte[]> RenderAsync(WebPage page)
    {
        await using var renderer = new HtmlRenderer(services, loggers);
        var html = await renderer.Dispatcher.InvokeAsync(async () =>
            (await renderer.RenderComponentAsync(page.Component, ParameterView.FromDictionary(page.Parameters))).ToHtmlString());
        return Encoding.UTF8.GetBytes(html);
    }
}
