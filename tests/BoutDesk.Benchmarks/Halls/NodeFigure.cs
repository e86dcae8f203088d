namespace BoutDesk.Benchmarks.Halls;

/// <summary>What so many services on one database come to when they are asked as fast as they answer; the sum of all turns.</summary>
/// <param name="services">How many.</param>
internal sealed class NodeFigure(int services)
{
    /// <summary>How many.</summary>
    public int Services => services;

    /// <summary>The writes.</summary>
    public Part Writes { get; } = new();

    /// <summary>The reads.</summary>
    public Part Reads { get; } = new();

    /// <summary>Requests of one kind.</summary>
    internal sealed class Part
    {
        private long answered;
        private double seconds, ofServices, ofDatabase, ofClients, ofOthers;

        /// <summary>Answered a second.</summary>
        public double ASecond => answered / seconds;

        /// <summary>Processor time of the services for each, in milliseconds.</summary>
        public double ServicesMs => 1_000 * ofServices / answered;

        /// <summary>Processor time of PostgreSQL for each, in milliseconds.</summary>
        public double DatabaseMs => 1_000 * ofDatabase / answered;

        /// <summary>How many cores of the machine were busy on average, whoever kept them so.</summary>
        public double BusyCores => (ofServices + ofDatabase + ofClients + ofOthers) / seconds;

        /// <summary>Adds a turn.</summary>
        public void Add(long count, Use use)
        {
            answered += count;
            seconds += use.Seconds;
            ofServices += use.Services;
            ofDatabase += use.Database;
            ofClients += use.Clients;
            ofOthers += use.Others;
        }
    }
}
