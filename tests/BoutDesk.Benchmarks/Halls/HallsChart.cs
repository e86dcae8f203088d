using System.Globalization;
using BoutDesk.Benchmarks.Day;
using ScottPlot;
using ScottPlot.TickGenerators;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>Draws what people waited for, and what was used, as tournaments were added; two panels side by side.</summary>
internal static class HallsChart
{
    private const int Margin = 8, PanelWidth = 560, Height = 520;

    // As in the chart of growth: told apart by readers who see few colours too, and by their markers.
    private static readonly (string Colour, MarkerShape Marker)[] Looks =
        [("#0072B2", MarkerShape.FilledCircle), ("#E69F00", MarkerShape.FilledTriangleDown), ("#009E73", MarkerShape.FilledTriangleUp), ("#555555", MarkerShape.OpenDiamond)];

    /// <summary>Draws the chart.</summary>
    /// <param name="figures">The figures, ascending.</param>
    /// <param name="cores">Cores of the machine.</param>
    /// <param name="file">The file, of which the end of the name decides what kind it is.</param>
    public static void Draw(IReadOnlyList<LoadFigure> figures, int cores, string file) =>
        ChartFile.Write(file, (2 * PanelWidth) + (2 * Margin), Height, canvas =>
        {
            Waits(figures).Render(canvas, Panel(0));
            Processors(figures, cores).Render(canvas, Panel(1));
        });

    private static PixelRect Panel(int number) => new(Margin + (number * PanelWidth), Margin + ((number + 1) * PanelWidth), Height - Margin, Margin);

    private static Plot Waits(IReadOnlyList<LoadFigure> figures)
    {
        var plot = Empty("What was waited for", figures);
        plot.YLabel("milliseconds (logarithmic); mark: median, line: up to 99 of 100", 12);
        (string Name, Func<LoadFigure, Times> Times)[] all = [("a touch", figure => figure.Touch), ("a read", figure => figure.Read), ("told of a touch by the feed", figure => figure.Told)];
        foreach (var (i, (name, times)) in all.Index())
        {
            // Side by side, so that one does not hide the other.
            double[] xs = [.. figures.Select(figure => X(figure) + ((i - 1) * 0.03))];
            Line(plot, name, i, xs, [.. figures.Select(figure => Math.Log10(times(figure).Within(0.5)))]);
            foreach (var (figure, x) in figures.Zip(xs))
            {
                plot.Add.Line(x, Math.Log10(times(figure).Within(0.5)), x, Math.Log10(times(figure).Within(0.99))).Color = Color.FromHex(Looks[i].Colour).WithAlpha(0.6);
            }
        }

        var waits = figures.SelectMany(figure => all.Select(one => one.Times(figure))).ToArray();
        var (least, most) = (waits.Min(times => times.Within(0.5)) / 1.5, waits.Max(times => times.Within(0.99)) * 1.5);
        var scale = Enumerable.Range(-1, 7).Select(power => Math.Pow(10, power)).Where(ms => ms >= least && ms <= most).ToArray();
        plot.Axes.Left.TickGenerator = new NumericManual([.. scale.Select(Math.Log10)], [.. scale.Select(ms => ms.ToString("#,0.#", CultureInfo.InvariantCulture))]);
        plot.Axes.SetLimitsY(Math.Log10(least), Math.Log10(most));
        plot.ShowLegend(Edge.Bottom);
        return plot;
    }

    private static Plot Processors(IReadOnlyList<LoadFigure> figures, int cores)
    {
        var plot = Empty($"Cores kept busy, of {cores}", figures);
        plot.YLabel("cores", 12);
        double[] xs = [.. figures.Select(X)];
        (string Name, Func<Use, double> Seconds)[] all =
            [("the service", use => use.Services), ("PostgreSQL", use => use.Database), ("the clients of the measurement", use => use.Clients), ("other work on the machine", use => use.Others)];
        foreach (var (i, (name, seconds)) in all.Index())
        {
            Line(plot, name, i, xs, [.. figures.Select(figure => seconds(figure.Use) / figure.Use.Seconds)]);
        }

        plot.Axes.SetLimitsY(0, cores);
        plot.ShowLegend(Edge.Bottom);
        return plot;
    }

    private static Plot Empty(string title, IReadOnlyList<LoadFigure> figures)
    {
        var plot = new Plot();
        // Else it would take away what was drawn before.
        plot.RenderManager.ClearCanvasBeforeEachRender = false;
        plot.Font.Set(ChartFile.Font);
        plot.Title(title, 13);
        var quicker = figures.Any(figure => figure.Pace > 1) ? $"; from {figures.First(figure => figure.Pace > 1).AsMuchAs} on fewer at a quicker pace" : "";
        plot.XLabel($"tournaments at the same hour (logarithmic{quicker})", 12);
        plot.Legend.OutlineWidth = 0;
        plot.Legend.ShadowColor = Colors.Transparent;
        plot.Legend.Orientation = Orientation.Horizontal;
        plot.Axes.Bottom.TickGenerator = new NumericManual(
            [.. figures.Select(X)], [.. figures.Select(figure => figure.AsMuchAs.ToString("#,0", CultureInfo.InvariantCulture))]);
        plot.Axes.SetLimitsX(X(figures[0]) - 0.2, X(figures[^1]) + 0.2);
        return plot;
    }

    private static void Line(Plot plot, string name, int number, double[] xs, double[] ys)
    {
        var line = plot.Add.Scatter(xs, ys, Color.FromHex(Looks[number].Colour));
        line.LegendText = name;
        line.LineWidth = 1.8f;
        line.MarkerShape = Looks[number].Marker;
        line.MarkerSize = 7;
    }

    private static double X(LoadFigure figure) => Math.Log10(figure.AsMuchAs);
}
