namespace BoutDesk.Domain.Forecasting;

/// <summary>
/// What is known of how long the bouts of a kind take: their logarithms are normal, with mean and spread that are
/// themselves uncertain. What was planned with counts like a few bouts, and gives way to what is measured.
/// </summary>
/// <remarks>
/// The conjugate update of a normal distribution with unknown mean and variance, as in any textbook of Bayesian
/// statistics. A bout under way tells that it takes longer than it has lasted; without that the first results of a round,
/// which are those of its short bouts, would make all seem short. It is put in by the value expected for it, until nothing
/// changes (expectation-maximisation), and adds to the certainty by the share of bouts that would be over by now.
/// </remarks>
internal sealed class LengthEstimate
{
    // So many bouts the planned mean and spread are worth. A mean of practice is off by a fifth or so (four bouts with a
    // spread of 0.4), the spread by less.
    private const double MeanIsWorth = 4;
    private const double SpreadIsWorth = 10;
    private const int Rounds = 20;

    private readonly double centre;
    private readonly double worth;
    private readonly double freedom;
    private readonly double scale;

    private LengthEstimate(double centre, double worth, double freedom, double scale)
    {
        this.centre = centre;
        this.worth = worth;
        this.freedom = freedom;
        this.scale = scale;
    }

    /// <summary>The mean in minutes.</summary>
    public double Mean => Math.Exp(centre + (Variance / 2));

    private double Variance => scale / (freedom - 2);

    /// <summary>Makes the estimate.</summary>
    /// <param name="lengths">What was planned and measured.</param>
    /// <param name="underWay">How long bouts under way have lasted, in minutes.</param>
    public static LengthEstimate Of(BoutLengths lengths, IReadOnlyCollection<double> underWay)
    {
        var planned = Planned(lengths);
        double[] measured = [.. lengths.Measured.Select(m => Math.Log((double)m))];
        if (measured.Length == 0 && underWay.Count == 0)
        {
            return planned;
        }

        var now = Update(planned, measured, [], 0);
        double[] lasted = [.. underWay.Where(t => t > 0).Select(t => Math.Log(t))];
        for (var round = 0; round < Rounds && lasted.Length > 0; round++)
        {
            var spread = Math.Sqrt(now.Variance);
            if (spread == 0)
            {
                break;
            }

            var expected = new (double Value, double Variance)[lasted.Length];
            var certain = 0.0;
            for (var i = 0; i < lasted.Length; i++)
            {
                var a = Math.Min(4, (lasted[i] - now.centre) / spread);
                var below = Normal.Below(a);
                var hazard = Normal.Density(a) / (1 - below);
                expected[i] = (now.centre + (spread * hazard), spread * spread * Math.Max(0, 1 + (a * hazard) - (hazard * hazard)));
                certain += below;
            }

            now = Update(planned, measured, expected, certain);
        }

        return now;
    }

    /// <summary>What was planned with alone.</summary>
    public static LengthEstimate Planned(BoutLengths lengths)
    {
        var spread = (double)lengths.Spread;
        var variance = Math.Log(1 + (spread * spread));
        return new LengthEstimate(
            Math.Log((double)lengths.UsualMinutes) - (variance / 2), MeanIsWorth, SpreadIsWorth, variance * (SpreadIsWorth - 2));
    }

    /// <summary>A mean and a spread that bouts can have by what is known, of the logarithms.</summary>
    /// <param name="mean">A standard normal lot for the mean.</param>
    /// <param name="spread">Another for the spread.</param>
    public (double Mean, double Spread) Draw(double mean, double spread)
    {
        // Chi-square by the cube of a normal variable (Wilson and Hilferty 1931); close enough from ten degrees on.
        var step = 2 / (9 * freedom);
        var chi = freedom * Math.Pow(Math.Max(0.01, 1 - step + (spread * Math.Sqrt(step))), 3);
        var deviation = Math.Sqrt(scale / chi);
        return (centre + (mean * deviation / Math.Sqrt(worth)), deviation);
    }

    private static LengthEstimate Update(LengthEstimate planned, double[] measured, (double Value, double Variance)[] expected, double certain)
    {
        var count = measured.Length + expected.Length;
        if (count == 0)
        {
            return planned;
        }

        var mean = (measured.Sum() + expected.Sum(e => e.Value)) / count;
        var squares = measured.Sum(m => (m - mean) * (m - mean)) + expected.Sum(e => ((e.Value - mean) * (e.Value - mean)) + e.Variance);
        var off = mean - planned.centre;
        var all = planned.worth + count;
        var whole = new LengthEstimate(
            planned.centre + (off * count / all),
            all,
            planned.freedom + count,
            planned.scale + squares + (planned.worth * count * off * off / all));

        // The variance is that of all, the certainty only what is really known.
        var known = planned.freedom + measured.Length + certain;
        return new LengthEstimate(whole.centre, planned.worth + measured.Length + certain, known, whole.Variance * (known - 2));
    }
}
