namespace BoutDesk.Domain.Forecasting;

/// <summary>The standard normal distribution.</summary>
internal static class Normal
{
    /// <summary>The share below x; off by less than 1e-7 (Abramowitz and Stegun, 26.2.17, from memory).</summary>
    public static double Below(double x)
    {
        if (x < 0)
        {
            return 1 - Below(-x);
        }

        var t = 1 / (1 + (0.2316419 * x));
        var sum = t * (0.319381530 + (t * (-0.356563782 + (t * (1.781477937 + (t * (-1.821255978 + (t * 1.330274429))))))));
        return 1 - (Density(x) * sum);
    }

    /// <summary>The density at x.</summary>
    public static double Density(double x) => Math.Exp(-0.5 * x * x) / Math.Sqrt(2 * Math.PI);

    /// <summary>
    /// The value that a share p lies below, p between 0 and 1; off by less than a millionth (rational approximation by
    /// P. J. Acklam, 2003, from memory).
    /// </summary>
    public static double Quantile(double p)
    {
        const double Low = 0.02425;
        if (p < Low)
        {
            return Tail(Math.Sqrt(-2 * Math.Log(p)));
        }

        if (p > 1 - Low)
        {
            return -Tail(Math.Sqrt(-2 * Math.Log(1 - p)));
        }

        var q = p - 0.5;
        var r = q * q;
        return ((((((((((-39.69683028665376 * r) + 220.9460984245205) * r) - 275.9285104469687) * r) + 138.3577518672690) * r) - 30.66479806614716) * r) + 2.506628277459239) * q
            / ((((((((((-54.47609879822406 * r) + 161.5858368580409) * r) - 155.6989798598866) * r) + 66.80131188771972) * r) - 13.28068155288572) * r) + 1);
    }

    private static double Tail(double q) =>
        ((((((((((-0.007784894002430293 * q) - 0.3223964580411365) * q) - 2.400758277161838) * q) - 2.549732539343734) * q) + 4.374664141464968) * q) + 2.938163982698783)
        / ((((((((0.007784695709041462 * q) + 0.3224671290700398) * q) + 2.445134137142996) * q) + 3.754408661907416) * q) + 1);
}
