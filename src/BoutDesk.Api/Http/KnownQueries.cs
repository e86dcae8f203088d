using System.Collections.Concurrent;
using System.Collections.Immutable;
using Microsoft.AspNetCore.Http.Metadata;

namespace BoutDesk.Api.Http;

/// <summary>Refuses what a query says that the operation does not take: a mistyped <c>dryRun</c> would import the list.</summary>
internal static class KnownQueries
{
    private static readonly ConcurrentDictionary<Endpoint, ImmutableSortedSet<string>> Taken = [];

    public static void UseKnownQueries(this IApplicationBuilder app) => app.Use((http, next) =>
    {
        if (http.Request.Query.Count > 0 && http.Request.Path.StartsWithSegments("/api") && http.GetEndpoint() is RouteEndpoint endpoint)
        {
            var taken = Taken.GetOrAdd(endpoint, _ => Of(endpoint));
            if (http.Request.Query.Keys.FirstOrDefault(name => !taken.Contains(name)) is { } unknown)
            {
                var problem = taken.IsEmpty
                    ? Problem.Invalid(unknown, $"This address takes no parameters.")
                    : Problem.Invalid(unknown, $"This address takes no such parameter. It takes: {string.Join(", ", taken)}.");
                return problem.ExecuteAsync(http);
            }
        }

        return next(http);
    });

    /// <summary>The names that an operation takes; upper and lower case are the same, as they are to it.</summary>
    private static ImmutableSortedSet<string> Of(RouteEndpoint endpoint)
    {
        var ofPath = endpoint.RoutePattern.Parameters.Select(p => p.Name);
        var taken = endpoint.Metadata.OfType<IParameterBindingMetadata>()
            .Where(p => IsPlain(p.ParameterInfo.ParameterType)).Select(p => p.Name).Except(ofPath, StringComparer.OrdinalIgnoreCase)
            .ToImmutableSortedSet(StringComparer.OrdinalIgnoreCase);
        return endpoint.Metadata.OfType<IProducesResponseTypeMetadata>().Any(p => p.ContentTypes.Contains(Formats.Csv))
            ? taken.Add(WantedFormat.FormatName).Add(WantedFormat.SeparatorName)
            : taken;
    }

    private static bool IsPlain(Type type) =>
        (Nullable.GetUnderlyingType(type) ?? type) is { } plain && (plain == typeof(string) || plain.IsPrimitive || plain.IsEnum || plain == typeof(string[]));
}
