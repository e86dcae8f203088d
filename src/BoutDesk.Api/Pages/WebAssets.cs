using System.Collections.Frozen;
using System.IO.Compression;
using System.Text;
using System.Text.RegularExpressions;
using BoutDesk.Api.Http;
using Microsoft.AspNetCore.StaticFiles;

namespace BoutDesk.Api.Pages;

/// <summary>
/// The style sheets, scripts and pictures of the pages. They are part of the assembly, few and small, so each is kept in
/// memory as it is and compressed. Comments of scripts that have their lines to themselves stay here, and types in the midst of a line.
/// </summary>
internal static partial class WebAssets
{
    private const string Folder = "Web/";
    private static readonly Lazy<FrozenDictionary<string, Packed>> All = new(Read);

    /// <summary>Maps every file of the folder Web to its own address.</summary>
    public static void MapWebAssets(this IEndpointRouteBuilder app)
    {
        foreach (var (path, asset) in All.Value)
        {
            app.MapGet("/" + path, (HttpContext http) => asset.SendAsync(http)).ExcludeFromDescription();
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
    public static Task SendAsync(HttpContext http, string path) => All.Value[path].SendAsync(http);

    private static FrozenDictionary<string, Packed> Read()
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
                var body = resource.Path.EndsWith(".js", StringComparison.Ordinal) ? WithoutComments(buffer.ToArray()) : buffer.ToArray();
                var type = types.TryGetContentType(resource.Path, out var known) ? known : "application/octet-stream";
                return new Packed(body, type.StartsWith("text/", StringComparison.Ordinal) ? type + "; charset=utf-8" : type, CompressionLevel.Optimal);
            });
    }

    private static byte[] WithoutComments(byte[] script) => Encoding.UTF8.GetBytes(Comments().Replace(Encoding.UTF8.GetString(script), string.Empty));

    [GeneratedRegex(@"^[ \t]*(//.*|/\*\*(?:(?!\*/)[\s\S])*\*/[ \t]*)\r?\n|/\*\* @(?:type|param) [^*\n]*\*/ ?", RegexOptions.Multiline)]
    private static partial Regex Comments();
}
