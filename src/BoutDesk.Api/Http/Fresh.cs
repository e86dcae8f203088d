using System.Buffers.Text;
using System.Globalization;
using System.Security.Cryptography;
using System.Text.Json;
using Microsoft.Net.Http.Headers;

namespace BoutDesk.Api.Http;

/// <summary>An answer with its ETag: 304 when the client has it already.</summary>
internal sealed class Fresh<T> : IResult, ITakenAway, IRendered
{
    private readonly T value;
    private readonly int? version;

    public Fresh(T value, int? version = null)
    {
        this.value = value;
        this.version = version;
    }

    public byte[] Json() => JsonSerializer.SerializeToUtf8Bytes(value, JsonSetup.Options);

    public byte[]? SpreadsheetFile() => null;

    public Rendered Render(HttpRequest request)
    {
        var body = Json();
        return new Rendered(body, "application/json; charset=utf-8", ETags.Of(body, version));
    }

    public Task ExecuteAsync(HttpContext httpContext) => Render(httpContext.Request).ExecuteAsync(httpContext);
}

/// <summary>Entity tags. A resource with a history has its version in front, so that a write can name it.</summary>
internal static class ETags
{
    /// <summary>The tag of a body: <c>"12-…"</c> with a version, <c>"…"</c> without.</summary>
    public static string Of(ReadOnlySpan<byte> body, int? version = null)
    {
        Span<byte> hash = stackalloc byte[32];
        SHA256.HashData(body, hash);
        var digest = Base64Url.EncodeToString(hash[..12]);
        return version is { } number ? string.Create(CultureInfo.InvariantCulture, $"\"{number}-{digest}\"") : $"\"{digest}\"";
    }

    /// <summary>
    /// Why the version named in If-Match is not the one in force, or null. A tag with a version is compared by it.
    /// </summary>
    public static Problem? Mismatch(HttpRequest request, int version)
    {
        if (!request.Headers.TryGetValue(HeaderNames.IfMatch, out var given))
        {
            return null;
        }

        var tags = given.SelectMany(v => (v ?? string.Empty).Split(',')).Select(t => t.Trim().TrimStart('W', '/').Trim('"'));
        var current = version.ToString(CultureInfo.InvariantCulture);
        return tags.Any(t => t == "*" || t.Split('-')[0] == current)
            ? null
            : Stale();
    }

    /// <summary>Why the body named in If-Match is not the one in force, or null: for what has no version of its own.</summary>
    public static Problem? Mismatch<T>(HttpRequest request, params T[] inForce)
    {
        if (!request.Headers.TryGetValue(HeaderNames.IfMatch, out var given))
        {
            return null;
        }

        var tags = given.SelectMany(v => (v ?? string.Empty).Split(',')).Select(t => t.Trim());
        var current = inForce.Select(body => Of(JsonSerializer.SerializeToUtf8Bytes(body, JsonSetup.Options))).ToArray();
        return tags.Any(t => t == "*" || current.Contains(t)) ? null : Stale();
    }

    public static bool Given(HttpRequest request) => request.Headers.ContainsKey(HeaderNames.IfMatch);

    public static async Task SendAsync(HttpContext http, ReadOnlyMemory<byte> body, string contentType, string etag)
    {
        http.Response.Headers.ETag = etag;
        http.Response.Headers.CacheControl = "no-cache";
        // The desk is shown more than the public.
        http.Response.Headers.Append(HeaderNames.Vary, new[] { HeaderNames.Accept, HeaderNames.Authorization });
        var known = http.Request.Headers.IfNoneMatch.SelectMany(v => (v ?? string.Empty).Split(','));
        if (known.Any(t => t.Trim() is var tag && (tag == "*" || tag == etag || tag == "W/" + etag)))
        {
            http.Response.StatusCode = StatusCodes.Status304NotModified;
            return;
        }

        http.Response.ContentType = contentType;
        http.Response.ContentLength = body.Length;
        await http.Response.Body.WriteAsync(body, http.RequestAborted);
    }

    private static Problem Stale() =>
        new(ProblemKinds.Stale, $"The version you have read is no longer the one in force. Read it again, look at what changed, and repeat.");
}
