using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>What reads come to when the primary answers them, or a standby may; the sum of all turns.</summary>
internal sealed class StandbyFigure
{
    private long answered;
    private double seconds, ofService, ofPrimary, ofStandby, ofAll;

    /// <summary>How long reads took that were asked for as fast as they are answered.</summary>
    public Times Reads { get; } = new();

    /// <summary>How long it took to read what the reader had just written.</summary>
    public Times OwnReads { get; } = new();

    /// <summary>Reads answered a second.</summary>
    public double ASecond => answered / seconds;

    /// <summary>Processor time of the service for each, in milliseconds.</summary>
    public double ServiceMs => 1_000 * ofService / answered;

    /// <summary>Processor time of the primary for each, in milliseconds.</summary>
    public double PrimaryMs => 1_000 * ofPrimary / answered;

    /// <summary>Processor time of the standby for each, in milliseconds.</summary>
    public double StandbyMs => 1_000 * ofStandby / answered;

    /// <summary>How many cores of the machine were busy on average, whoever kept them so.</summary>
    public double BusyCores => ofAll / seconds;

    /// <summary>Adds a turn.</summary>
    public void Add(long count, TimeSpan length, Processors used)
    {
        answered += count;
        seconds += length.TotalSeconds;
        ofService += used.Service;
        ofPrimary += used.Primary;
        ofStandby += used.Standby;
        ofAll += used.All;
    }
}

/// <summary>Processor seconds, by whom.</summary>
internal readonly record struct Processors(double Service, double Primary, double Standby, double All)
{
    public static Processors operator -(Processors to, Processors from) =>
        new(to.Service - from.Service, to.Primary - from.Primary, to.Standby - from.Standby, to.All - from.All);
}
