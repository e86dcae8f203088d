using System.Globalization;
using ScottPlot;
using ScottPlot.TickGenerators;
using SkiaSharp;

namespace BoutDesk.Benchmarks.Growth;

/// <summary>Draws how the times grew: a panel for each part side by side, all with the same logarithmic scale of time, and one legend.</summary>
internal static class GrowthChart
{
    private const int Margin = 8, PanelWidth = 430, LegendWidth = 230, Height = 520;

    // Told apart by readers who see few colours too, and besides by their markers (palette of Okabe and Ito).
    private static readonly (string Colour, MarkerShape Marker)[] Looks =
    [
        ("#000000", MarkerShape.FilledDiamond),
        ("#0072B2", MarkerShape.FilledCircle),
        ("#56B4E9", MarkerShape.FilledSquare),
        ("#009E73", MarkerShape.FilledTriangleUp),
        ("#E69F00", MarkerShape.FilledTriangleDown),
        ("#D55E00", MarkerShape.FilledCircle),
        ("#CC79A7", MarkerShape.FilledSquare),
    ];

    private static readonly (string Colour, MarkerShape Marker)[] ReferenceLooks = [("#555555", MarkerShape.OpenDiamond), ("#999999", MarkerShape.OpenCircle)];

    /// <summary>Draws the chart.</summary>
    /// <param name="parts">What grew, with the same figures each.</param>
    /// <param name="file">The file, of which the end of the name decides what kind it is.</param>
    public static void Draw(IReadOnlyList<GrowthPart> parts, string file)
    {
        var width = Margin + (parts.Count * PanelWidth) + LegendWidth;
        ChartFile.Write(file, width, Height, canvas => Draw(parts, canvas, width));
    }

    private static void Draw(IReadOnlyList<GrowthPart> parts, SKCanvas canvas, int width)
    {
        var times = parts.SelectMany(part => part.Figures).SelectMany(figure => figure.At).Select(at => at.Times).ToArray();
        var (least, most) = (times.Min(t => t.Within(0.5)) / 1.3, times.Max(t => t.Within(0.95)) * 1.3);
        var plots = parts.Select(part => Panel(part, least, most)).ToArray();
        foreach (var (i, plot) in plots.Index())
        {
            plot.Render(canvas, new PixelRect(Margin + (i * PanelWidth), Margin + ((i + 1) * PanelWidth), Height - Margin, Margin));
        }

        using var paint = Paint.NewDisposablePaint();
        plots[0].Legend.Render(canvas, paint, new PixelRect(width - LegendWidth, width, Height, 0), Alignment.MiddleLeft);
    }

    private static Plot Panel(GrowthPart part, double least, double most)
    {
        var plot = new Plot();
        // Else it would take away what was drawn before.
        plot.RenderManager.ClearCanvasBeforeEachRender = false;
        plot.Font.Set(ChartFile.Font);
        plot.Title(part.Title, 13);
        plot.XLabel($"{part.Unit} (logarithmic)", 12);
        plot.YLabel("milliseconds (logarithmic); mark: median, line: up to 95 of 100", 12);
        plot.HideLegend();
        plot.Legend.OutlineWidth = 0;
        plot.Legend.ShadowColor = Colors.Transparent;
        var (services, references) = (Looks.AsEnumerable().GetEnumerator(), ReferenceLooks.AsEnumerable().GetEnumerator());
        var (first, last) = (Math.Log10(part.Sizes[0]), Math.Log10(part.Sizes[^1]));
        foreach (var (i, figure) in part.Figures.Index())
        {
            var looks = figure.IsReference ? references : services;
            looks.MoveNext();
            // Side by side, so that one does not hide the other.
            var beside = (i - (part.Figures.Count / 2)) * 0.01 * (last - first);
            Add(plot, figure, beside, looks.Current.Colour, looks.Current.Marker);
        }

        plot.Axes.Bottom.TickGenerator = new NumericManual(
            [.. part.Sizes.Select(size => Math.Log10(size))], [.. part.Sizes.Select(size => size.ToString("#,0", CultureInfo.InvariantCulture))]);
        var scale = Scale(least, most);
        plot.Axes.Left.TickGenerator = new NumericManual([.. scale.Select(Math.Log10)], [.. scale.Select(ms => ms.ToString(CultureInfo.InvariantCulture))]);
        plot.Axes.SetLimits(first - (0.08 * (last - first)), last + (0.08 * (last - first)), Math.Log10(least), Math.Log10(most));
        return plot;
    }

    private static void Add(Plot plot, GrowthFigure figure, double beside, string colour, MarkerShape marker)
    {
        var drawn = Color.FromHex(colour);
        double[] xs = [.. figure.At.Select(at => Math.Log10(at.Size) + beside)];
        double[] medians = [.. figure.At.Select(at => Math.Log10(at.Times.Within(0.5)))];
        foreach (var (i, at) in figure.At.Index())
        {
            plot.Add.Line(xs[i], medians[i], xs[i], Math.Log10(at.Times.Within(0.95))).Color = drawn.WithAlpha(0.6);
        }

        var line = plot.Add.Scatter(xs, medians, drawn);
        line.LegendText = figure.Name;
        line.LineWidth = figure.IsReference ? 1.2f : 1.8f;
        line.LinePattern = figure.IsReference ? LinePattern.Dashed : LinePattern.Solid;
        line.MarkerShape = marker;
        line.MarkerSize = 7;
    }

    /// <summary>1, 2 and 5 in each power of ten, as far as they lie within.</summary>
    private static double[] Scale(double least, double most) =>
    [
        .. Enumerable.Range(-3, 9).SelectMany(power => new[] { 1, 2, 5 }.Select(digit => digit * Math.Pow(10, power))).Where(ms => ms >= least && ms <= most),
    ];
}
