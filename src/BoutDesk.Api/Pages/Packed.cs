using System.IO.Compression;
using BoutDesk.Api.Http;
using Microsoft.Net.Http.Headers;

namespace BoutDesk.Api.Pages;

/// <summary>
/// An answer that is kept in memory to be sent to many: as it is, and compressed as soon as somebody takes it that way.
/// Browsers take Brotli over a secure connection only, so the phones of a hall without one get gzip.
/// </summary>
internal sealed class Packed
{
    private readonly string contentType;
    private readonly string etag;
    private readonly Lazy<byte[]> brotli;
    private readonly Lazy<byte[]> gzip;

    public Packed(byte[] body, string contentType, CompressionLevel level)
    {
        Body = body;
        this.contentType = contentType;
        etag = ETags.Of(body);
        brotli = new Lazy<byte[]>(() => Compress(buffer => new BrotliStream(buffer, level)));
        gzip = new Lazy<byte[]>(() => Compress(buffer => new GZipStream(buffer, level)));
    }

    /// <summary>The answer as it is.</summary>
    public byte[] Body { get; }

    /// <summary>Sends it in the best form that the client takes, or says that the client has it already.</summary>
    public Task SendAsync(HttpContext http)
    {
        http.Response.Headers.Append(HeaderNames.Vary, HeaderNames.AcceptEncoding);
        var taken = http.Request.GetTypedHeaders().AcceptEncoding.Where(e => e.Quality != 0).Select(e => e.Value.Value).ToArray();
        var (body, encoding) = (taken.Contains("br"), taken.Contains("gzip")) switch
        {
            (true, _) => (brotli.Value, "br"),
            (_, true) => (gzip.Value, "gzip"),
            _ => (Body, null),
        };
        if (encoding is not null)
        {
            http.Response.Headers.ContentEncoding = encoding;
        }

        return ETags.SendAsync(http, body, contentType, etag);
    }

    private byte[] Compress(Func<Stream, Stream> into)
    {
        using var buffer = new MemoryStream();
        using (var stream = into(buffer))
        {
            stream.Write(Body);
        }

        return buffer.ToArray();
    }
}
