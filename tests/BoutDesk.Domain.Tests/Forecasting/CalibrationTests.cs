using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Domain.Tests.Forecasting;

/// <summary>
/// Over days that go by as <see cref="ActualDay"/> has it, with lengths that the forecaster is not told and a distribution
/// that is not its own, four of five times must come within their spans.
/// </summary>
public class CalibrationTests(ITestOutputHelper output)
{
    private const long Seed = 20_260_307;
    private const int Days = 200;

    [Fact]
    public void Spans_cover_four_times_of_five()
    {
        var told = new List<Told>();
        for (var i = 0; i < Days; i++)
        {
            // From days with strips to spare to such whose pools are fenced in three flights.
            told.AddRange(Calibration.Of(new ActualDay(Seed + i, 3, 3 + (i % 4), 8, 20), 99));
        }

        output.WriteLine($"Days from seed {Seed} on.");
        output.WriteLine("| forecast | times | mean error, min | of it late | width of span | within |");
        output.WriteLine(Calibration.Line("all", told));
        foreach (var what in told.GroupBy(t => t.What))
        {
            output.WriteLine(Calibration.Line(what.Key, [.. what]));
        }

        foreach (var hour in told.GroupBy(t => t.Hour).OrderBy(g => g.Key))
        {
            output.WriteLine(Calibration.Line($"hour {hour.Key}", [.. hour]));
        }

        Assert.InRange(Covered(told), 0.75, 0.85);

        // Each kind by itself, with room for fewer times.
        Assert.All(told.GroupBy(t => t.What), what => Assert.InRange(Covered([.. what]), 0.70, 0.90));
    }

    private static double Covered(List<Told> told) => (double)told.Count(t => t.Within) / told.Count;
}
