using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using QRCoder;

namespace BoutDesk.Api.Passes;

/// <summary>QR codes: of the address of a pass, or of what else is scanned.</summary>
internal static class PassCode
{
    /// <summary>The code in SVG, black on white whatever the page around it, with the quiet margin that scanners need.</summary>
    /// <param name="text">What it holds.</param>
    /// <param name="label">What it is called to those who do not see it.</param>
    public static string Of(string text, string label = "QR code of the pass")
    {
        // Level M still reads with a fold or a thumb over a corner, and keeps the squares large.
        using var generator = new QRCodeGenerator();
        using var code = generator.CreateQrCode(text, QRCodeGenerator.ECCLevel.M);
        var rows = code.ModuleMatrix;
        var path = new StringBuilder();
        for (var y = 0; y < rows.Count; y++)
        {
            for (var x = 0; x < rows.Count; x++)
            {
                if (!rows[y][x])
                {
                    continue;
                }

                var from = x;
                while (x + 1 < rows.Count && rows[y][x + 1])
                {
                    x++;
                }

                path.Append(CultureInfo.InvariantCulture, $"M{from} {y}h{x + 1 - from}v1H{from}z");
            }
        }

        return string.Create(
            CultureInfo.InvariantCulture,
            $"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {rows.Count} {rows.Count}" shape-rendering="crispEdges" role="img" aria-label="{HtmlEncoder.Default.Encode(label)}"><path fill="#fff" d="M0 0h{rows.Count}v{rows.Count}H0z"/><path d="{path}"/></svg>""");
    }
}
