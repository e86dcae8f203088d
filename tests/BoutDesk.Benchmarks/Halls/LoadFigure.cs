using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>How so many tournaments at once went.</summary>
/// <param name="Tournaments">How many.</param>
/// <param name="Pace">How many times as fast as usual: 1 usual.</param>
/// <param name="AskedTouches">Touches that were due, a second.</param>
/// <param name="AnsweredTouches">Touches that were acknowledged, a second; the clock and results come on top.</param>
/// <param name="Writes">All writes that were acknowledged, a second.</param>
/// <param name="Reads">Reads that were answered, a second.</param>
/// <param name="Touch">How long touches took from when they were due.</param>
/// <param name="Read">How long reads took from when they were due.</param>
/// <param name="Told">How long after the phone each listener was told of a touch.</param>
/// <param name="Refused">Requests that were refused, and touches that a listener was not told of.</param>
/// <param name="Use">What it used.</param>
internal sealed record LoadFigure(
    int Tournaments, int Pace, double AskedTouches, double AnsweredTouches, double Writes, double Reads, Times Touch, Times Read, Times Told, int Refused, Use Use)
{
    private const double SlowestMs = 1_000;

    /// <summary>The tournaments of usual pace that make as many requests.</summary>
    public int AsMuchAs => Tournaments * Pace;

    /// <summary>Whether nothing was refused, as much was answered as was asked for, and 99 of 100 touches within a second.</summary>
    public bool KeptPace => Refused == 0 && AskedTouches - AnsweredTouches <= (0.01 * AskedTouches) + 0.05 && Touch.Within(0.99) < SlowestMs;
}
