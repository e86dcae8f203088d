using System.Collections.Frozen;
using System.IO.Compression;
using System.Text;
using BoutDesk.Api.Http;
using Microsoft.AspNetCore.StaticFiles;
using Microsoft.Net.Http.Headers;

namespace BoutDesk.Api.Pages;

/// <summary>
/// The style sheets, scripts and pictures of the pages. They are part of the assembly, few and small, so each is kept in
/// memory as it is and compressed.
/// </summary>
internal static class WebAssets
{
    private const string Folder = "Web/";
    private static readonly Lazy<FrozenDictionary<string, Asset>> All = new(Read);

    /// <summary>Maps every file of the folder Web to its own address.</summary>
    public static void MapWebAssets(this IEndpointRouteBuilder app)
    {
        foreach (var (path, asset) in All.Value)
        {
            app.MapGet("/" + path, (HttpContext http) => SendAsync(http, asset)).ExcludeFromDescription();
        }
    }

    /// <summary>The tag of everything together: another one means that a page kept by a phone is out of date.</summary>
    public static string Edition { get; } = ETags.Of(All.Value.OrderBy(a => a.Key, StringComparer.Ordinal).SelectMany(a => a.Value.Body).ToArray()).Trim('"');

    /// <summary>The addresses of the files in a folder of Web.</summary>
    public static IEnumerable<string> In(string folder) =>
        All.Value.Keys.Where(path => path.StartsWith(folder, StringComparison.Ordinal)).Order(StringComparer.Ordinal).Select(path => "/" + path);

    /// <summary>The text of a file that is not answered as it is.</summary>
    public static string Text(string path) => Encoding.UTF8.GetString(All.Value[path].Body);

    /// <summary>Answers with a file, at another address than its own.</summary>
    public static Task SendAsync(HttpContext http, string path) => SendAsync(http, All.Value[path]);

    private static Task SendAsync(HttpContext http, Asset asset)
    {
        var headers = http.Response.Headers;
        headers.Append(HeaderNames.Vary, HeaderNames.AcceptEncoding);
        var brotli = http.Request.GetTypedHeaders().AcceptEncoding.Any(e => e.Value == "br" && e.Quality != 0);
        if (brotli)
        {
            headers.ContentEncoding = "br";
        }

        return ETags.SendAsync(http, brotli ? asset.Compressed : asset.Body, asset.ContentType, asset.ETag);
    }

    private static FrozenDictionary<string, Asset> Read()
    {
        var assembly = typeof(WebAssets).Assembly;
        var types = new FileExtensionContentTypeProvider();
        types.Mappings[".webmanifest"] = "application/manifest+json";
        return assembly.GetManifestResourceNames()
            .Select(name => (Name: name, Path: name.Replace('\\', '/')))
            .Where(resource => resource.Path.StartsWith(Folder, StringComparison.Ordinal))
            .ToFrozenDictionary(resource => resource.Path[Folder.Length..], resource =>
            {
                using var stream = assembly.GetManifestResourceStream(resource.Name)!;
                using var buffer = new MemoryStream();
                stream.CopyTo(buffer);
                var body = buffer.ToArray();
                var type = types.TryGetContentType(resource.Path, out var known) ? known : "application/octet-stream";
                return new Asset(body, Compress(body), type.StartsWith("text/", StringComparison.Ordinal) ? type + "; charset=utf-8" : type, ETags.Of(body));
            });
    }

    private static byte[] Compress(byte[] body)
    {
        using var buffer = new MemoryStream();
        using (var brotli = new BrotliStream(buffer, CompressionLevel.Optimal))
        {
            brotli.Write(body);
        }

        return buffer.ToArray();
    }

    private sealed record Asset(byte[] Body, byte[] Compressed, string ContentType, string ETag);
}
