using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Unicode;
using BoutDesk.Domain.Strips;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Halls;

/// <summary>
/// Draws a plan to scale, in SVG, black on white: a sheet of paper on the screen and on the wall of the hall. What it shows
/// stands in lists beside it too.
/// </summary>
internal sealed class HallDrawing
{
    // A sheet in landscape: the hall fills this room, with margins for what is written around it.
    private const double Across = 1000;
    private const double Down = 620;
    private const double Beside = 64;
    private const double Top = 58;
    private const double Below = 96;

    // The legend's room, where the hall is narrower.
    private const double LeastWidth = 780;
    private const double WallThickness = 5;

    private const string RunOffLook = """fill="url(#run-off)" stroke="#000" stroke-width="1" """;
    private const string TableLook = """fill="#444" """;
    private const string DoorLook = """fill="none" stroke="#000" stroke-width="1.4" stroke-dasharray="6 4" """;
    private const string BlockLook = """fill="#c9c9c9" stroke="#000" stroke-width="1.2" """;

    private static readonly HtmlEncoder Encoder = HtmlEncoder.Create(UnicodeRanges.All);
    private static readonly int[] BarMetres = [50, 20, 10, 5, 2, 1];

    private readonly HallReport report;
    private readonly double unit;
    private readonly double width;
    private readonly double left;
    private readonly StringBuilder svg = new();

    private HallDrawing(HallReport report)
    {
        this.report = report;
        unit = Math.Min(Across / Hall.Length, Down / Hall.Width);
        width = Math.Max(Scaled(Hall.Length) + (2 * Beside), LeastWidth);
        left = (width - Scaled(Hall.Length)) / 2;
    }

    private Hall Hall => report.Asked.Hall;

    /// <summary>The drawing, a document of its own that can stand in a page as well.</summary>
    public static string Svg(HallReport report) => new HallDrawing(report).Draw();

    private string Draw()
    {
        var height = Top + Scaled(Hall.Width) + Below;
        Add($"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:0.#} {height:0.#}" role="img" aria-label="{Encoded(Title)}" font-family="Arial, Liberation Sans, sans-serif" font-size="15" fill="#000">""");
        Add($"""<defs><pattern id="run-off" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="7" height="7" fill="#fff"/><path d="M0 0V7" stroke="#000" stroke-width="1.6"/></pattern></defs>""");
        Add($"""<rect width="{width:0.#}" height="{height:0.#}" fill="#fff"/>""");
        Blocks();
        DoorZones();
        foreach (var strip in report.Plan.Strips)
        {
            Strip(strip);
        }

        Walls();
        Doors();
        Dimensions();
        Foot(Top + Scaled(Hall.Width) + 34);
        Add($"</svg>");
        return svg.ToString();
    }

    private string Title => N(
        report.Plan.Strips.Length,
        "Plan of the hall, {1} by {2} m, with {0} strip",
        "Plan of the hall, {1} by {2} m, with {0} strips",
        Metres(Hall.Length),
        Metres(Hall.Width));

    private void Blocks()
    {
        foreach (var (block, i) in Hall.Blocks.Select((block, i) => (block, i)))
        {
            Rectangle(block.Area, BlockLook);
            Label(block.Area, block.Name ?? $"#{i + 1}", 14);
        }
    }

    private void DoorZones()
    {
        foreach (var door in Hall.Doors)
        {
            Rectangle(Within(Hall.InFrontOf(door)), DoorLook);
        }
    }

    private void Strip(PlannedStrip strip)
    {
        Rectangle(strip.FirstRunOff, RunOffLook);
        Rectangle(strip.SecondRunOff, RunOffLook);
        Rectangle(strip.Strip, """fill="#fff" stroke="#000" stroke-width="2" """);
        if (strip.Table is { Width: > 0, Height: > 0 })
        {
            Rectangle(strip.Table, TableLook);
        }

        var length = report.Asked.Figures.StripLength;
        CrossLine(strip, length / 2, """stroke-width="2" """);
        CrossLine(strip, (length / 2) - StripRule.OnGuardDistance, """stroke-width="1.2" """);
        CrossLine(strip, (length / 2) + StripRule.OnGuardDistance, """stroke-width="1.2" """);
        CrossLine(strip, StripRule.WarningZone, """stroke-width="1.2" stroke-dasharray="3 2" """);
        CrossLine(strip, length - StripRule.WarningZone, """stroke-width="1.2" stroke-dasharray="3 2" """);
        var (x, y) = Middle(strip.Strip);
        var number = Number(strip.Number);
        var size = NumberSize;
        var plate = size * PlateWidth(number.Length);
        Add($"""<rect x="{x - (plate / 2):0.#}" y="{y - (size * 0.55):0.#}" width="{plate:0.#}" height="{size * 1.1:0.#}" fill="#fff"/>""");
        Write(x, y + (size * 0.36), number, $"""font-size="{Number(size)}" font-weight="700" text-anchor="middle" """);
    }

    /// <summary>The largest in which every number stays between the sides of a strip, however it lies.</summary>
    private double NumberSize =>
        Math.Clamp(Scaled(report.Asked.Figures.StripWidth) * Math.Min(0.62, 0.86 / PlateWidth(Number(report.Plan.Strips.Length).Length)), 4, 26);

    private static double PlateWidth(int digits) => (0.62 * digits) + 0.35;

    private void CrossLine(PlannedStrip strip, int from, string look)
    {
        var area = strip.Strip;
        var line = strip.Direction == StripDirection.Across
            ? new FloorArea(area.X + from, area.Y, 0, area.Height)
            : new FloorArea(area.X, area.Y + from, area.Width, 0);
        Add($"""<path d="M{X(line.X):0.##} {Y(line.Y):0.##}L{X(line.Right):0.##} {Y(line.Bottom):0.##}" stroke="#000" {look}/>""");
    }

    private void Walls() => Add(
        $"""<rect x="{left - (WallThickness / 2):0.#}" y="{Top - (WallThickness / 2):0.#}" width="{Scaled(Hall.Length) + WallThickness:0.##}" height="{Scaled(Hall.Width) + WallThickness:0.##}" fill="none" stroke="#000" stroke-width="{WallThickness:0.#}"/>""");

    private void Doors()
    {
        foreach (var (door, i) in Hall.Doors.Select((door, i) => (door, i)))
        {
            var (from, to) = (door.Offset * unit, (door.Offset + door.Width) * unit);
            var ((x1, y1), (x2, y2), (labelX, labelY), anchor) = door.Wall switch
            {
                Wall.Top => ((left + from, Top - 2.5), (left + to, Top - 2.5), (left + ((from + to) / 2), Top - 10), "middle"),
                Wall.Bottom => ((left + from, Y(Hall.Width) + 2.5), (left + to, Y(Hall.Width) + 2.5), (left + ((from + to) / 2), Y(Hall.Width) + 18), "middle"),
                Wall.Left => ((left - 2.5, Top + from), (left - 2.5, Top + to), (left - 9, Top + ((from + to) / 2) + 5), "end"),
                _ => ((X(Hall.Length) + 2.5, Top + from), (X(Hall.Length) + 2.5, Top + to), (X(Hall.Length) + 9, Top + ((from + to) / 2) + 5), "start"),
            };
            Add($"""<path d="M{x1:0.##} {y1:0.##}L{x2:0.##} {y2:0.##}" stroke="#fff" stroke-width="{WallThickness - 1.5:0.#}"/>""");
            Write(labelX, labelY, DoorName(i + 1), $"""font-size="13" font-weight="700" text-anchor="{anchor}" """);
        }
    }

    private void Dimensions()
    {
        Write(left + (Scaled(Hall.Length) / 2), 22, T("{0} m", Metres(Hall.Length)), """text-anchor="middle" """);
        var middle = Top + (Scaled(Hall.Width) / 2);
        Write(left - 46, middle, T("{0} m", Metres(Hall.Width)), $"""text-anchor="middle" transform="rotate(-90 {Number(left - 46)} {Number(middle)})" """);
    }

    private void Foot(double y)
    {
        var metres = BarMetres.First(m => m == 1 || m * 1000 * unit <= 220);
        var step = metres * 1000 * unit / 5;
        for (var part = 0; part < 5; part++)
        {
            Add($"""<rect x="{left + (part * step):0.##}" y="{y:0.#}" width="{step:0.##}" height="8" fill="{(part % 2 == 0 ? "#000" : "#fff")}" stroke="#000" stroke-width="1"/>""");
        }

        Write(left, y + 25, "0", """font-size="13" text-anchor="middle" """);
        Write(left + (5 * step), y + 25, T("{0} m", metres), """font-size="13" text-anchor="middle" """);

        var x = Beside;
        y += 38;
        Key(report.Plan.Strips.Any(s => s.FirstRunOff is { Width: > 0, Height: > 0 }), RunOffLook, T("run-off"));
        Key(report.Plan.Strips.Any(s => s.Table is { Width: > 0, Height: > 0 }), TableLook, T("table for the scoring set"));
        Key(!Hall.Doors.IsEmpty, DoorLook, T("in front of a door: stays free"));
        Key(!Hall.Blocks.IsEmpty, BlockLook, T("taken"));

        void Key(bool isShown, string look, string text)
        {
            if (!isShown)
            {
                return;
            }

            Add($"""<rect x="{x:0.#}" y="{y:0.#}" width="24" height="13" {look}/>""");
            Write(x + 31, y + 12, text, """font-size="13" """);
            x += 31 + (text.Length * 6.6) + 24;
        }
    }

    /// <summary>Text in the middle of an area, along its longer side and as large as it fits.</summary>
    private void Label(FloorArea area, string text, double most)
    {
        var (x, y) = Middle(area);
        var upright = area.Height > area.Width * 1.5;
        var (along, deep) = upright ? (Scaled(area.Height), Scaled(area.Width)) : (Scaled(area.Width), Scaled(area.Height));
        var size = Math.Min(most, Math.Min(along / (0.6 * text.Length), deep * 0.8));
        // Smaller could not be read anyway.
        if (size >= 6)
        {
            var turned = upright ? $"""transform="rotate(-90 {Number(x)} {Number(y)})" """ : string.Empty;
            Write(x, y + (size * 0.35), text, $"""font-size="{Number(size)}" text-anchor="middle" {turned}""");
        }
    }

    private FloorArea Within(FloorArea area)
    {
        var (x, y) = (Math.Max(area.X, 0), Math.Max(area.Y, 0));
        return new FloorArea(x, y, Math.Min(area.Right, Hall.Length) - x, Math.Min(area.Bottom, Hall.Width) - y);
    }

    private void Rectangle(FloorArea area, string look) =>
        Add($"""<rect x="{X(area.X):0.##}" y="{Y(area.Y):0.##}" width="{Scaled(area.Width):0.##}" height="{Scaled(area.Height):0.##}" {look}/>""");

    private void Write(double x, double y, string text, string look) =>
        Add($"""<text x="{x:0.##}" y="{y:0.##}" {look}>{Encoded(text)}</text>""");

    private (double X, double Y) Middle(FloorArea area) => (X(area.X) + (Scaled(area.Width) / 2), Y(area.Y) + (Scaled(area.Height) / 2));

    private double X(int x) => left + Scaled(x);

    private double Y(int y) => Top + Scaled(y);

    private double Scaled(int length) => length * unit;

    /// <summary>What the drawing calls a door.</summary>
    public static string DoorName(int number) => T("D{0}", number);

    private static string Metres(int length) => length.InMetres().ToString("0.###", CultureInfo.CurrentCulture);

    private static string Number(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);

    private static string Number(int value) => value.ToString(CultureInfo.InvariantCulture);

    private static string Encoded(string text) => Encoder.Encode(text);

    private void Add(FormattableString markup) => svg.Append(markup.ToString(CultureInfo.InvariantCulture));
}
