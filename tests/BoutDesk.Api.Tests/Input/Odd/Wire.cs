using System.Globalization;
using System.Net.Sockets;
using System.Text;

namespace BoutDesk.Api.Tests.Input.Odd;

/// <summary>A request byte by byte, as no well-behaved client would send it.</summary>
/// <param name="Method">The method.</param>
/// <param name="Target">The address as it stands in the first line.</param>
/// <param name="Headers">The lines of the head, without those that Wire adds.</param>
/// <param name="Body">The body, or null.</param>
internal sealed record OddRequest(string Method, string Target, IReadOnlyList<(string Name, string Value)> Headers, byte[]? Body)
{
    public override string ToString() =>
        $"{Method} {Shortened(Target)}\n{string.Join('\n', Headers.Select(h => $"{h.Name}: {Shortened(h.Value)}"))}\n\n{(Body is null ? null : Shortened(Encoding.Latin1.GetString(Body)))}";

    private static string Shortened(string text) => text.Length <= 600 ? text : $"{text[..600]}… ({text.Length})";
}

/// <summary>What came back.</summary>
/// <param name="Status">The status.</param>
/// <param name="Head">The lines of the head.</param>
/// <param name="Body">The body; of a stream nothing.</param>
internal sealed record OddAnswer(int Status, IReadOnlyList<string> Head, string Body)
{
    public string? Header(string name) =>
        Head.FirstOrDefault(line => line.StartsWith(name + ":", StringComparison.OrdinalIgnoreCase))?[(name.Length + 1)..].Trim();
}

/// <summary>Sends a request over a connection of its own and reads the answer.</summary>
internal static class Wire
{
    public static async Task<OddAnswer> SendAsync(Uri service, OddRequest request, TimeSpan patience)
    {
        using var ended = new CancellationTokenSource(patience);
        using var client = new TcpClient { NoDelay = true };
        await client.ConnectAsync(service.Host, service.Port, ended.Token);
        await using var stream = client.GetStream();
        var head = new StringBuilder().Append(CultureInfo.InvariantCulture, $"{request.Method} {request.Target} HTTP/1.1\r\nHost: {service.Authority}\r\nConnection: close\r\n");
        foreach (var (name, value) in request.Headers)
        {
            head.Append(CultureInfo.InvariantCulture, $"{name}: {value}\r\n");
        }

        if (request.Body is not null)
        {
            head.Append(CultureInfo.InvariantCulture, $"Content-Length: {request.Body.Length}\r\n");
        }

        // Where the service refuses before it has read everything, it hangs up on the rest; the answer is there to be read.
        try
        {
            await stream.WriteAsync(Encoding.UTF8.GetBytes(head.Append("\r\n").ToString()), ended.Token);
            if (request.Body is not null)
            {
                await stream.WriteAsync(request.Body, ended.Token);
            }
        }
        catch (IOException)
        {
        }

        return await ReadAsync(stream, ended.Token);
    }

    private static async Task<OddAnswer> ReadAsync(NetworkStream stream, CancellationToken ended)
    {
        using var answer = new MemoryStream();
        var buffer = new byte[16384];
        var end = -1;
        while (true)
        {
            int read;
            try
            {
                read = await stream.ReadAsync(buffer, ended);
            }
            catch (IOException) when (answer.Length > 0)
            {
                break;
            }

            if (read == 0)
            {
                break;
            }

            answer.Write(buffer, 0, read);
            end = end < 0 ? answer.GetBuffer().AsSpan(0, (int)answer.Length).IndexOf("\r\n\r\n"u8) : end;
            if (end >= 0 && Encoding.Latin1.GetString(answer.GetBuffer(), 0, end).Contains("text/event-stream", StringComparison.OrdinalIgnoreCase))
            {
                break;
            }
        }

        if (end < 0)
        {
            return new OddAnswer(0, [], string.Empty);
        }

        var lines = Encoding.Latin1.GetString(answer.GetBuffer(), 0, end).Split("\r\n");
        var body = answer.ToArray()[(end + 4)..];
        var chunked = lines.Any(line => line.Equals("Transfer-Encoding: chunked", StringComparison.OrdinalIgnoreCase));
        return new OddAnswer(int.Parse(lines[0].Split(' ')[1], CultureInfo.InvariantCulture), lines[1..], Encoding.UTF8.GetString(chunked ? Unchunked(body) : body));
    }

    private static byte[] Unchunked(ReadOnlySpan<byte> body)
    {
        using var whole = new MemoryStream();
        while (body.IndexOf("\r\n"u8) is > 0 and var line && int.TryParse(body[..line], NumberStyles.HexNumber, CultureInfo.InvariantCulture, out var length) && length > 0 && body.Length >= line + 2 + length)
        {
            whole.Write(body.Slice(line + 2, length));
            body = body[Math.Min(body.Length, line + 4 + length)..];
        }

        return whole.ToArray();
    }
}
