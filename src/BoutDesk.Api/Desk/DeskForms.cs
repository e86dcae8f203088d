using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Api.Archives;
using BoutDesk.Api.Board;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.Net.Http.Headers;

namespace BoutDesk.Api.Desk;

/// <summary>
/// Lets a form do what a program does: a form sent to <c>/desk/send/PUT/bouts/…/result</c> becomes the request
/// <c>PUT /api/bouts/…/result</c> with its fields as JSON, and goes through everything that such a request goes
/// through. A browser is sent back to the page, or is shown the problem; a script gets the answer itself, its sentences in
/// the reader's language.
/// </summary>
/// <remarks>
/// A field is named as in the body of the request, with points where it lies deeper, and says what it is:
/// <c>left:int</c>, <c>keep:bool</c>, <c>prove:json</c> for a value that is written as JSON already, <c>pools:list</c> for
/// what is sent several times, <c>pools.separateBy:words</c> for a list in one field
/// that may be empty, a text otherwise. What was left empty is left out, or null where it says
/// <c>:null</c>. Names that begin with _ are for this form itself: <c>_back</c> where to go then, with {name} for a member
/// of the answer (the page that the form stands on, if left out), <c>_key</c> the Idempotency-Key, <c>_match</c> the
/// version that was seen, <c>_csv</c> an entry list, typed or as a file, in place of all other fields, <c>_zip</c> an
/// archive likewise, <c>_show</c> that the answer itself is shown, for a pass that is answered this once. An answer that
/// tells more than that it was done, rows of a list or what follows when a fencer leaves, what is odd about a loan, what has no referee, is shown before going on.
/// </remarks>
internal static class DeskForms
{
    private static readonly PathString Prefix = "/desk/send";

    public static void UseDeskForms(this IApplicationBuilder app) => app.Use(async (http, next) =>
    {
        if (!http.Request.Path.StartsWithSegments(Prefix, out var rest) || !HttpMethods.IsPost(http.Request.Method))
        {
            await next(http);
            return;
        }

        if (!DeskDoor.FromOurPages(http.Request) || !http.Request.HasFormContentType || rest.Value!.Split('/', 3) is not ["", var method, var path]
            || method is not ("POST" or "PUT" or "DELETE"))
        {
            http.Response.StatusCode = StatusCodes.Status403Forbidden;
            return;
        }

        var pages = http.RequestServices.GetRequiredService<DeskPages>();
        await AllowFilesAsync(http);
        IFormCollection form;
        try
        {
            form = await http.Request.ReadFormAsync(http.RequestAborted);
        }
        catch (Exception unreadable) when (unreadable is InvalidDataException or BadHttpRequestException)
        {
            await ProblemMapping.Of(unreadable).ExecuteAsync(http);
            return;
        }

        var from = Languages.From(http.Request);
        var asPage = BoardPages.WantsPage(http.Request);
        await RewriteAsync(http.Request, form, method, path);
        var told = await AnswerAsync(http, next);
        var done = http.Response.StatusCode is >= 200 and < 300;
        if (done)
        {
            await http.RequestServices.GetRequiredService<BoardStates>().CaughtUpAsync(http.RequestAborted);
        }

        if (!asPage)
        {
            var body = told is null ? [] : JsonSerializer.SerializeToUtf8Bytes(told, JsonSetup.Options);
            if (body.Length > 0)
            {
                http.Response.ContentLength = body.Length;
                await http.Response.Body.WriteAsync(body, http.RequestAborted);
            }

            return;
        }

        http.Response.Headers.Remove(HeaderNames.ETag);
        if (http.Response.StatusCode == StatusCodes.Status201Created && form["_show"] == "pass")
        {
            http.Response.StatusCode = StatusCodes.Status200OK;
            http.Response.Headers.Remove(HeaderNames.Location);
            await pages.SendAsync(http, WebPage.Of<GivenPage>(("Pass", told), ("Back", Back(from, null)), ("Ends", await EndsAsync(http, told!))));
        }
        else if (done && told is JsonObject { } answer && (answer["rows"] is JsonArray || answer["consequences"] is JsonArray { Count: > 0 } || answer["warnings"] is JsonArray { Count: > 0 } || answer["uncovered"] is JsonArray { Count: > 0 }))
        {
            await pages.SendAsync(http, WebPage.Of<AnsweredPage>(("Answer", answer), ("Back", Back(from, null))));
        }
        else if (done)
        {
            http.Response.StatusCode = StatusCodes.Status303SeeOther;
            http.Response.Headers.Location = Back(form["_back"].ToString() is { Length: > 0 } wanted ? wanted : from, told);
        }
        else
        {
            await pages.SendAsync(http, WebPage.Of<RefusedPage>(("Problem", told), ("Back", Back(from, null))));
        }
    });

    /// <summary>When a pass ends, by the clock of its venue; null for never.</summary>
    private static async Task<DateTimeOffset?> EndsAsync(HttpContext http, JsonNode pass)
    {
        if (pass["expiresAt"]?.GetValue<DateTimeOffset>() is not { } ends)
        {
            return null;
        }

        var state = await http.RequestServices.GetRequiredService<BoardStates>().TournamentAsync(Identifiers.TournamentOf((string)pass["id"]!));
        return state!.Tournament.TimeAt(ends);
    }

    /// <summary>Lets somebody with a desk pass send files, which are larger than what is typed.</summary>
    private static async Task AllowFilesAsync(HttpContext http)
    {
        var (services, cancellation) = (http.RequestServices, http.RequestAborted);
        var pass = http.Request.Headers.Authorization.ToString();
        if (http.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit
            && pass.StartsWith("Bearer ", StringComparison.Ordinal)
            && await services.GetRequiredService<PassBook>().FindAsync(services.GetRequiredService<Organiser>(), pass["Bearer ".Length..], cancellation) is { Kind: PassKind.Desk })
        {
            limit.MaxRequestBodySize = ArchiveRoutes.MostBytes;
        }
    }

    /// <summary>Lets the API answer and takes what it says: numbers as to any program, sentences in the reader's language.</summary>
    private static async Task<JsonNode?> AnswerAsync(HttpContext http, RequestDelegate next)
    {
        var sent = http.Response.Body;
        using var answer = new MemoryStream();
        http.Response.Body = answer;
        // That of the caller is his again once this has returned.
        CultureInfo.CurrentCulture = Languages.Default;
        try
        {
            await next(http);
        }
        finally
        {
            http.Response.Body = sent;
        }

        http.Response.ContentLength = null;
        return answer.Length == 0 ? null : JsonNode.Parse(answer.ToArray());
    }

    private static async Task RewriteAsync(HttpRequest request, IFormCollection form, string method, string path)
    {
        request.Method = method;
        request.Path = "/api/" + path;
        request.Headers.Accept = Formats.Json;
        if (form["_key"].ToString() is { Length: > 0 } key)
        {
            request.Headers["Idempotency-Key"] = key;
        }

        if (form["_match"].ToString() is { Length: > 0 } version)
        {
            request.Headers.IfMatch = $"\"{version}\"";
        }

        var (body, type) = await BodyAsync(form);
        request.Body = new MemoryStream(body);
        request.ContentLength = body.Length;
        request.ContentType = type;
        request.Form = FormCollection.Empty;
    }

    private static async Task<(byte[] Body, string Type)> BodyAsync(IFormCollection form)
    {
        if (form.Files["_csv"] is { Length: > 0 } file)
        {
            using var buffer = new MemoryStream();
            await file.CopyToAsync(buffer);
            return (buffer.ToArray(), Formats.Csv);
        }

        if (form.Files["_zip"] is { } archive)
        {
            using var buffer = new MemoryStream();
            await archive.CopyToAsync(buffer);
            return (buffer.ToArray(), Formats.Zip);
        }

        if (form.ContainsKey("_csv"))
        {
            return (Encoding.UTF8.GetBytes(form["_csv"].ToString()), Formats.Csv);
        }

        return (JsonSerializer.SerializeToUtf8Bytes(Json(form)), Formats.Json);
    }

    private static JsonObject Json(IFormCollection form)
    {
        var json = new JsonObject();
        foreach (var (name, values) in form.Where(f => !f.Key.StartsWith('_')))
        {
            var (field, kind) = name.Split(':') is [var before, var after] ? (before, after) : (name, "text");
            if (Value(kind, values.Select(v => v?.Trim() ?? string.Empty).ToArray(), out var value))
            {
                Put(json, field.Split('.'), value);
            }
        }

        return json;
    }

    /// <summary>The value of a field as its kind says. What is no number stays a text, for the request to be refused with its field named.</summary>
    private static bool Value(string kind, string[] given, out JsonNode? value)
    {
        var last = given.LastOrDefault() ?? string.Empty;
        value = kind switch
        {
            "list" => new JsonArray([.. given.Where(v => v.Length > 0).Select(v => (JsonNode)v)]),
            "words" => new JsonArray([.. last.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(v => (JsonNode)v)]),
            _ when last.Length == 0 => null,
            "json" => Parsed(last),
            "bool" when bool.TryParse(last, out var flag) => flag,
            "int" when long.TryParse(last, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number) => number,
            _ => last,
        };
        return value is not null || kind == "null";
    }

    private static JsonNode? Parsed(string json)
    {
        try
        {
            var value = JsonNode.Parse(json, documentOptions: new JsonDocumentOptions { AllowDuplicateProperties = false });
            // Half a character shows only when it is written.
            _ = value?.ToJsonString();
            return value;
        }
        catch (Exception broken) when (broken is JsonException or InvalidOperationException)
        {
            return json;
        }
    }

    private static void Put(JsonObject json, string[] path, JsonNode? value)
    {
        foreach (var part in path[..^1])
        {
            if (json[part] is not JsonObject deeper)
            {
                json[part] = deeper = [];
            }

            json = deeper;
        }

        json[path[^1]] = value;
    }

    /// <summary>A page of the desk, whatever the form says; {id} in it is the member id of the answer.</summary>
    private static string Back(string wanted, JsonNode? answer)
    {
        if (!wanted.StartsWith("/desk", StringComparison.Ordinal) || wanted.Any(c => char.IsControl(c) || c is '\\'))
        {
            return "/desk";
        }

        foreach (var (name, value) in answer as JsonObject ?? [])
        {
            if (value is JsonValue)
            {
                wanted = wanted.Replace($"{{{name}}}", Uri.EscapeDataString(value.ToString()), StringComparison.Ordinal);
            }
        }

        return wanted;
    }
}
