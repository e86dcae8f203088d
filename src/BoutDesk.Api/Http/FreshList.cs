using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using CsvHelper;
using CsvHelper.Configuration;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.Net.Http.Headers;

namespace BoutDesk.Api.Http;

/// <summary>Which part of a list is wanted.</summary>
/// <param name="Limit">At most so many items, 1 to 2,000; all when left out.</param>
/// <param name="After">Begin after the item with this identifier, as a Link header of the page before says.</param>
internal readonly record struct Page(int? Limit, string? After);

/// <summary>
/// A list that people take away: JSON, or CSV by the Accept header, page by page when asked, with its ETag.
/// </summary>
internal sealed class FreshList<T> : IResult
{
    private readonly IReadOnlyList<T> items;
    private readonly Func<T, string> idOf;
    private readonly Page page;

    public FreshList(IReadOnlyList<T> items, Func<T, string> idOf, Page page)
    {
        this.items = items;
        this.idOf = idOf;
        this.page = page;
    }

    public Task ExecuteAsync(HttpContext httpContext)
    {
        if (page.Limit is < 1 or > 2000)
        {
            return Problem.Invalid("limit", $"Must be from 1 to 2000, but is {page.Limit}.").ExecuteAsync(httpContext);
        }

        var start = 0;
        if (page.After is { } after)
        {
            while (start < items.Count && idOf(items[start]) != after)
            {
                start++;
            }

            if (start++ == items.Count)
            {
                return Problem.Invalid("after", "Is no identifier of this list. Begin again without it.").ExecuteAsync(httpContext);
            }
        }

        var count = Math.Min(page.Limit ?? items.Count, items.Count - start);
        T[] part = [.. items.Skip(start).Take(count)];
        if (start + count < items.Count)
        {
            var next = QueryHelpers.AddQueryString(
                httpContext.Request.Path,
                new Dictionary<string, string?> { ["limit"] = page.Limit?.ToString(CultureInfo.InvariantCulture), ["after"] = idOf(part[^1]) });
            httpContext.Response.Headers.Link = $"<{next}>; rel=\"next\"";
        }

        switch (Formats.Preferred(httpContext.Request))
        {
            case Formats.Csv:
                var csv = Csv.Write(typeof(T), part.Cast<object>());
                return ETags.SendAsync(httpContext, csv, "text/csv; charset=utf-8; header=present", ETags.Of(csv));
            case Formats.Json:
                var json = JsonSerializer.SerializeToUtf8Bytes(part, JsonSetup.Options);
                return ETags.SendAsync(httpContext, json, "application/json; charset=utf-8", ETags.Of(json));
            default:
                return new Problem(ProblemKinds.NotAcceptable, "This list is offered as application/json and text/csv.").ExecuteAsync(httpContext);
        }
    }
}

/// <summary>Content negotiation of lists.</summary>
internal static class Formats
{
    public const string Json = "application/json";
    public const string Csv = "text/csv";

    /// <summary>The format the client prefers, JSON when it does not mind, or null when it takes neither.</summary>
    public static string? Preferred(HttpRequest request)
    {
        var accepted = request.GetTypedHeaders().Accept;
        if (accepted.Count == 0)
        {
            return Json;
        }

        var (json, csv) = (Quality(accepted, Json), Quality(accepted, Csv));
        return (json, csv) switch
        {
            (<= 0, <= 0) => null,
            _ => csv > json ? Csv : Json,
        };
    }

    // An exact range counts a little more than a wildcard of the same quality, as RFC 9110 ranks them.
    private static double Quality(IEnumerable<MediaTypeHeaderValue> accepted, string format) => accepted
        .Where(range => new MediaTypeHeaderValue(format).IsSubsetOf(new MediaTypeHeaderValue(range.MediaType)))
        .Select(range => (range.Quality ?? 1) * (range.MatchesAllTypes ? 0.98 : range.MatchesAllSubTypes ? 0.99 : 1))
        .DefaultIfEmpty(0)
        .Max();
}

/// <summary>CSV as in RFC 4180.</summary>
internal static class Csv
{
    private const string FormulaSigns = "=+-@\t\r";

    /// <summary>
    /// Writes a header row and a row an item. Text that a spreadsheet would take for a formula gets an apostrophe in
    /// front, which the entry list takes off again.
    /// </summary>
    public static byte[] Write(Type type, IEnumerable<object> items)
    {
        var configuration = new CsvConfiguration(CultureInfo.InvariantCulture) { NewLine = "\r\n" };
        using var buffer = new MemoryStream();
        using (var writer = new StreamWriter(buffer, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false), leaveOpen: true))
        using (var csv = new CsvWriter(writer, configuration))
        {
            var properties = type.GetProperties();
            foreach (var property in properties)
            {
                csv.WriteField(JsonNamingPolicy.CamelCase.ConvertName(property.Name));
            }

            csv.NextRecord();
            foreach (var item in items)
            {
                foreach (var property in properties)
                {
                    csv.WriteField(Cell(property.GetValue(item)));
                }

                csv.NextRecord();
            }
        }

        return buffer.ToArray();
    }

    /// <summary>The text as it was before it was written.</summary>
    public static string Unescaped(string text) => text is ['\'', ..] && LooksLikeFormula(text) ? text[1..] : text;

    // Apostrophes before the sign count in, so that a text which had one keeps it on its way out and in again.
    private static bool LooksLikeFormula(string text) => text.TrimStart('\'') is [var sign, ..] && FormulaSigns.Contains(sign);

    private static string? Cell(object? value) => value switch
    {
        null => null,
        string text => LooksLikeFormula(text) ? "'" + text : text,
        DateOnly date => date.ToString("O", CultureInfo.InvariantCulture),
        DateTimeOffset time => time.ToString("O", CultureInfo.InvariantCulture),
        JsonNode json => json.ToJsonString(),
        bool flag => flag ? "true" : "false",
        Enum name => JsonNamingPolicy.CamelCase.ConvertName(name.ToString()),
        System.Collections.IEnumerable many => string.Join(' ', many.Cast<object>().Select(Cell)),
        IFormattable number => number.ToString(null, CultureInfo.InvariantCulture),
        _ => JsonSerializer.Serialize(value, JsonSetup.Options),
    };
}
