using System.Text;
using System.Text.RegularExpressions;
using SkiaSharp;

namespace BoutDesk.Benchmarks;

/// <summary>Writes what was drawn into a picture.</summary>
internal static partial class ChartFile
{
    /// <summary>The font of charts.</summary>
    public const string Font = "DejaVu Sans";

    /// <summary>Whether a file of this name is one that can be drawn.</summary>
    public static bool IsPicture(string file) => Path.GetExtension(file) is ".svg" or ".png";

    /// <summary>Draws into a file.</summary>
    /// <param name="file">The file, of which the end of the name decides what kind it is.</param>
    /// <param name="width">Pixels.</param>
    /// <param name="height">Pixels.</param>
    /// <param name="draw">What draws, on white.</param>
    public static void Write(string file, int width, int height, Action<SKCanvas> draw)
    {
        if (Path.GetExtension(file) == ".png")
        {
            using var surface = SKSurface.Create(new SKImageInfo(width, height));
            Draw(surface.Canvas);
            using var png = surface.Snapshot().Encode(SKEncodedImageFormat.Png, 100);
            File.WriteAllBytes(file, png.ToArray());
        }
        else
        {
            using var svg = new MemoryStream();
            // The document ends when the canvas is disposed of.
            using (var canvas = SKSvgCanvas.Create(new SKRect(0, 0, width, height), svg))
            {
                Draw(canvas);
            }

            // The reader may not have the font; Verdana runs as wide.
            File.WriteAllText(file, FontFamily().Replace(Encoding.UTF8.GetString(svg.ToArray()), "font-family=\"$1, Verdana, sans-serif\""));
        }

        void Draw(SKCanvas canvas)
        {
            canvas.Clear(SKColors.White);
            draw(canvas);
        }
    }

    [GeneratedRegex("font-family=\"([^\"]*)\"")]
    private static partial Regex FontFamily();
}
