namespace BoutDesk.Benchmarks.Halls;

/// <summary>What a tournament costs, worked out from the largest number of them that was kept pace with.</summary>
/// <param name="idle">What service and database used while nothing was asked.</param>
/// <param name="opening">What the opening of the tournaments used.</param>
/// <param name="opened">How many were opened.</param>
/// <param name="figure">What so many at once used.</param>
internal sealed class TournamentCost(Use idle, IReadOnlyList<Use> opening, int opened, LoadFigure figure)
{
    /// <summary>The hours of a tournament day.</summary>
    public const int HoursOfADay = 8;

    /// <summary>How many it was worked out from.</summary>
    public int Tournaments => figure.Tournaments;

    /// <summary>Cores that a service keeps busy while nothing is asked.</summary>
    public double IdleService => idle.Services / idle.Seconds;

    /// <summary>Cores that PostgreSQL keeps busy while nothing is asked, with one service on it.</summary>
    public double IdleDatabase => idle.Database / idle.Seconds;

    /// <summary>Processor seconds of the service for an hour of one tournament.</summary>
    public double ServiceOfAnHour => OfAnHour(figure.Use.Services / figure.Use.Seconds, IdleService);

    /// <summary>Processor seconds of PostgreSQL for an hour of one tournament.</summary>
    public double DatabaseOfAnHour => OfAnHour(figure.Use.Database / figure.Use.Seconds, IdleDatabase);

    /// <summary>Bytes on the disk of the database for an hour of one tournament.</summary>
    public double BytesOfAnHour => OfAnHour(figure.Use.Store.Bytes / figure.Use.Seconds, 0);

    /// <summary>Bytes of the write-ahead log for an hour of one tournament. What is written without tournaments comes by fits and starts and is not taken off.</summary>
    public double LogBytesOfAnHour => OfAnHour(figure.Use.Store.LogBytes / figure.Use.Seconds, 0);

    /// <summary>Transactions for an hour of one tournament, those of reads among them.</summary>
    public double CommitsOfAnHour => OfAnHour(figure.Use.Store.Commits / figure.Use.Seconds, idle.Store.Commits / idle.Seconds);

    /// <summary>Writes for a second of one tournament.</summary>
    public double WritesOfASecond => figure.Writes / figure.Tournaments;

    /// <summary>Processor seconds of the service for the entry list, the draw and the passes of one tournament.</summary>
    public double ServiceOfOpening => opening.Sum(use => use.Services) / opened;

    /// <summary>The same of PostgreSQL.</summary>
    public double DatabaseOfOpening => opening.Sum(use => use.Database) / opened;

    /// <summary>Bytes on the disk of the database for them.</summary>
    public double BytesOfOpening => (double)opening.Sum(use => use.Store.Bytes) / opened;

    /// <summary>Bytes of the write-ahead log for them.</summary>
    public double LogBytesOfOpening => (double)opening.Sum(use => use.Store.LogBytes) / opened;

    /// <summary>Memory of a service for one tournament with its clients, in MiB.</summary>
    public double ServiceMiB => Math.Max(0, figure.Use.ServicesMiB - idle.ServicesMiB) / figure.Tournaments;

    /// <summary>Memory of a service without tournaments, in MiB.</summary>
    public double IdleServiceMiB => idle.ServicesMiB;

    private double OfAnHour(double aSecond, double idleASecond) => 3_600 * Math.Max(0, aSecond - idleASecond) / figure.Tournaments;
}
