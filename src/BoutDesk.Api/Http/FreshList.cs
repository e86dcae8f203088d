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
/// A list that people take away: JSON, or CSV by the Accept header, page by page when asked, with its ETag. A link with
/// <c>format=csv</c> gives a file for a spreadsheet.
/// </summary>
internal sealed class FreshList<T> : IResult, ITakenAway, IRendered
{
    private readonly IReadOnlyList<T> items;
    private readonly Func<T, string> idOf;
    private readonly Page page;
    private readonly string name;

    /// <summary>Makes the answer.</summary>
    /// <param name="items">All of the list.</param>
    /// <param name="idOf">What identifies an item in it.</param>
    /// <param name="page">The part that is wanted.</param>
    /// <param name="name">What a file of it is called, in words.</param>
    public FreshList(IReadOnlyList<T> items, Func<T, string> idOf, Page page, string name)
    {
        this.items = items;
        this.idOf = idOf;
        this.page = page;
        this.name = name;
    }

    public byte[] Json() => JsonSerializer.SerializeToUtf8Bytes(items, JsonSetup.Options);

    public byte[] SpreadsheetFile() => Csv.File(typeof(T), items.Cast<object>(), CsvForm.Commas);

    public Rendered? Render(HttpRequest request) => Made(request).Rendered;

    public Task ExecuteAsync(HttpContext httpContext)
    {
        var (rendered, problem) = Made(httpContext.Request);
        return rendered?.ExecuteAsync(httpContext) ?? problem!.ExecuteAsync(httpContext);
    }

    private (Rendered? Rendered, Problem? Problem) Made(HttpRequest request)
    {
        var (wanted, problem) = WantedFormat.Of(request);
        if (problem is not null)
        {
            return (null, problem);
        }

        if (page.Limit is < 1 or > 2000)
        {
            return (null, Problem.Invalid("limit", $"Must be from 1 to 2000, but is {page.Limit}."));
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
                return (null, Problem.Invalid("after", $"Is no identifier of this list. Begin again without it."));
            }
        }

        var count = Math.Min(page.Limit ?? items.Count, items.Count - start);
        T[] part = [.. items.Skip(start).Take(count)];
        var next = start + count < items.Count ? NextPage(request, idOf(part[^1])) : null;
        return (Written(wanted, part) with { Link = next }, null);
    }

    private string NextPage(HttpRequest request, string last)
    {
        var query = new Dictionary<string, string?> { ["limit"] = page.Limit?.ToString(CultureInfo.InvariantCulture), ["after"] = last };
        foreach (var chosen in request.Query.Where(q => q.Key is not ("limit" or "after")))
        {
            query[chosen.Key] = chosen.Value;
        }

        return $"<{QueryHelpers.AddQueryString(request.Path, query)}>; rel=\"next\"";
    }

    private Rendered Written(WantedFormat wanted, T[] part)
    {
        if (wanted.Format == Formats.Csv)
        {
            var csv = wanted.AsFile ? Csv.File(typeof(T), part.Cast<object>(), wanted.Form) : Csv.Write(typeof(T), part.Cast<object>(), wanted.Form);
            return new Rendered(csv, "text/csv; charset=utf-8; header=present", ETags.Of(csv))
            {
                ContentDisposition = wanted.AsFile ? FileNames.Attachment(name, "csv") : null,
            };
        }

        var json = JsonSerializer.SerializeToUtf8Bytes(part, JsonSetup.Options);
        return new Rendered(json, "application/json; charset=utf-8", ETags.Of(json));
    }
}

/// <summary>An answer that can be put into a file as well.</summary>
internal interface ITakenAway
{
    /// <summary>All of it, as it is answered in JSON.</summary>
    byte[] Json();

    /// <summary>All of it as CSV for a spreadsheet, or null when it is no list.</summary>
    byte[]? SpreadsheetFile();
}

/// <summary>The form in which a list is wanted.</summary>
/// <param name="Format">One of <see cref="Formats"/>.</param>
/// <param name="AsFile">Whether it is to be saved rather than read by a program.</param>
/// <param name="Form">How CSV is written.</param>
internal readonly record struct WantedFormat(string Format, bool AsFile, CsvForm Form)
{
    public const string FormatName = "format";
    public const string SeparatorName = "separator";

    /// <summary>What the query says, which a plain link can, or else the Accept header; or what is wrong with it.</summary>
    public static (WantedFormat Wanted, Problem? Problem) Of(HttpRequest request)
    {
        CsvForm form;
        switch (request.Query[SeparatorName].ToString())
        {
            case "" or "comma":
                form = CsvForm.Commas;
                break;
            case "semicolon":
                form = CsvForm.Semicolons;
                break;
            default:
                return (default, Problem.Invalid(SeparatorName, $"Must be comma or semicolon, or left out."));
        }

        return request.Query[FormatName].ToString() switch
        {
            "" => Formats.Preferred(request) is { } preferred
                ? (new WantedFormat(preferred, false, form), null)
                : (default, new Problem(ProblemKinds.NotAcceptable, $"This list is offered as application/json and text/csv.")),
            "csv" => (new WantedFormat(Formats.Csv, true, form), null),
            "json" => (new WantedFormat(Formats.Json, false, form), null),
            _ => (default, Problem.Invalid(FormatName, $"Must be csv or json, or left out.")),
        };
    }
}

/// <summary>Names of files that people save.</summary>
internal static class FileNames
{
    private const int Longest = 100;

    /// <summary>
    /// The header that makes a browser save an answer. Only letters and digits of the name are kept, so that no name that
    /// somebody gave a competition can lead out of a folder or end in another extension.
    /// </summary>
    public static string Attachment(string name, string extension)
    {
        var header = new ContentDispositionHeaderValue("attachment");
        header.SetHttpFileName($"{Safe(name)}.{extension}");
        return header.ToString();
    }

    /// <summary>The name in letters and digits, with hyphens between.</summary>
    public static string Safe(string name)
    {
        var safe = new StringBuilder();
        foreach (var rune in name.Normalize(NormalizationForm.FormC).EnumerateRunes().Where(r => r.Value is not ('\'' or '’')))
        {
            if (Rune.IsLetterOrDigit(rune))
            {
                safe.Append(rune);
            }
            else if (safe.Length > 0 && safe[^1] != '-')
            {
                safe.Append('-');
            }

            if (safe.Length >= Longest)
            {
                break;
            }
        }

        return safe.ToString().TrimEnd('-') is { Length: > 0 } kept ? kept : "list";
    }
}

/// <summary>Content negotiation of lists.</summary>
internal static class Formats
{
    public const string Json = "application/json";
    public const string Zip = "application/zip";
    public const string Csv = "text/csv";
    public const string Calendar = "text/calendar";
    public const string Svg = "image/svg+xml";

    /// <summary>The format of a list that the client prefers, JSON when it does not mind, or null when it takes neither.</summary>
    public static string? Preferred(HttpRequest request) => Preferred(request, Json, Csv);

    /// <summary>The format that the client prefers, the first when it does not mind, or null when it takes none of them.</summary>
    public static string? Preferred(HttpRequest request, params ReadOnlySpan<string> offered)
    {
        var accepted = request.GetTypedHeaders().Accept;
        if (accepted.Count == 0)
        {
            return offered[0];
        }

        var (preferred, best) = ((string?)null, 0.0);
        foreach (var format in offered)
        {
            if (Quality(accepted, format) is var quality && quality > best)
            {
                (preferred, best) = (format, quality);
            }
        }

        return preferred;
    }

    // An exact range counts a little more than a wildcard of the same quality, as RFC 9110 ranks them.
    private static double Quality(IEnumerable<MediaTypeHeaderValue> accepted, string format) => accepted
        .Where(range => new MediaTypeHeaderValue(format).IsSubsetOf(new MediaTypeHeaderValue(range.MediaType)))
        .Select(range => (range.Quality ?? 1) * (range.MatchesAllTypes ? 0.98 : range.MatchesAllSubTypes ? 0.99 : 1))
        .DefaultIfEmpty(0)
        .Max();
}

/// <summary>How CSV is written.</summary>
/// <param name="Delimiter">What stands between the fields.</param>
/// <param name="Numbers">How numbers are written.</param>
internal sealed record CsvForm(string Delimiter, IFormatProvider Numbers)
{
    /// <summary>As in RFC 4180.</summary>
    public static CsvForm Commas { get; } = new(",", CultureInfo.InvariantCulture);

    /// <summary>As spreadsheets expect it where the comma is the decimal sign.</summary>
    public static CsvForm Semicolons { get; } = new(";", new NumberFormatInfo { NumberDecimalSeparator = "," });
}

/// <summary>CSV as in RFC 4180.</summary>
internal static class Csv
{
    // The wide ones are what keyboards of East Asia write; spreadsheets take them for the same.
    private const string FormulaSigns = "=+-@\t\r\n＝＋－＠";

    /// <summary>
    /// Writes a header row and a row an item. Text that a spreadsheet would take for a formula gets an apostrophe in
    /// front, which the entry list takes off again.
    /// </summary>
    public static byte[] Write(Type type, IEnumerable<object> items, CsvForm form)
    {
        var configuration = new CsvConfiguration(CultureInfo.InvariantCulture) { NewLine = "\r\n", Delimiter = form.Delimiter };
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
                    csv.WriteField(Cell(property.GetValue(item), form));
                }

                csv.NextRecord();
            }
        }

        return buffer.ToArray();
    }

    /// <summary>The same as a file, with the mark at its beginning by which spreadsheets know UTF-8.</summary>
    public static byte[] File(Type type, IEnumerable<object> items, CsvForm form) => [.. Encoding.UTF8.Preamble, .. Write(type, items, form)];

    /// <summary>The text as it was before it was written.</summary>
    public static string Unescaped(string text) => text is ['\'', ..] && LooksLikeFormula(text) ? text[1..] : text;

    // Apostrophes before the sign count in, so that a text which had one keeps it on its way out and in again.
    private static bool LooksLikeFormula(string text) => text.TrimStart('\'') is [var sign, ..] && FormulaSigns.Contains(sign);

    private static string? Cell(object? value, CsvForm form) => value switch
    {
        null => null,
        string text => LooksLikeFormula(text) ? "'" + text : text,
        DateOnly date => date.ToString("O", CultureInfo.InvariantCulture),
        DateTimeOffset time => time.ToString("O", CultureInfo.InvariantCulture),
        JsonNode json => json.ToJsonString(),
        bool flag => flag ? "true" : "false",
        Enum name => JsonNamingPolicy.CamelCase.ConvertName(name.ToString()),
        System.Collections.IEnumerable many => string.Join(' ', many.Cast<object>().Select(one => Cell(one, form))),
        IFormattable number => number.ToString(null, form.Numbers),
        _ => JsonSerializer.Serialize(value, JsonSetup.Options),
    };
}
