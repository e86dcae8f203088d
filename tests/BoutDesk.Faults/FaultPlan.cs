namespace BoutDesk.Faults;

/// <summary>What can be done to a service.</summary>
internal enum Fault
{
    /// <summary>The service is killed (SIGKILL) and started again; its PostgreSQL goes on.</summary>
    ServiceKilled,

    /// <summary>The PostgreSQL is killed (SIGKILL); the service is to start it again.</summary>
    PostgresKilled,

    /// <summary>Service and PostgreSQL with all its processes are killed at once, as when the laptop's battery dies.</summary>
    PowerLost,

    /// <summary>All connections between the service and its PostgreSQL are cut.</summary>
    StoreConnectionsCut,

    /// <summary>All connections of the phones are cut, and for a while none can be made.</summary>
    NetworkGone,

    /// <summary>The time of service and PostgreSQL is put on or back, by minutes up to a year, while a number of the events' sequence is missing.</summary>
    ClockJumped,

    /// <summary>The disk that the data is on is filled up to the last byte for some seconds.</summary>
    DiskFull,
}

/// <summary>A run: who posts, and how often each fault comes. The order of the faults follows from the seed.</summary>
/// <param name="Seed">Starts all chance of the run. What the scheduler of the machine does is not in it.</param>
/// <param name="Phones">Phones that post, each the bouts of its own pools.</param>
/// <param name="PoolsPerPhone">Pools of seven for each phone. The run fails if the phones are through before the faults.</param>
/// <param name="Pause">The mean time between an answer and the next action of a phone.</param>
/// <param name="DiskMiB">The size of the disk for the data, in MiB.</param>
/// <param name="Faults">How often each fault comes.</param>
internal sealed record FaultPlan(
    int Seed, int Phones, int PoolsPerPhone, TimeSpan Pause, int DiskMiB, IReadOnlyDictionary<Fault, int> Faults)
{
    /// <summary>About two minutes.</summary>
    public static FaultPlan Short(int seed) => new(seed, 60, 1, TimeSpan.FromSeconds(1), 400, new Dictionary<Fault, int>
    {
        [Fault.ServiceKilled] = 2,
        [Fault.PostgresKilled] = 2,
        [Fault.PowerLost] = 1,
        [Fault.StoreConnectionsCut] = 1,
        [Fault.NetworkGone] = 1,
        [Fault.ClockJumped] = 2,
        [Fault.DiskFull] = 1,
    });

    /// <summary>The service is killed 103 times, PostgreSQL 32 times; half an hour.</summary>
    public static FaultPlan Long(int seed) => new(seed, 60, 6, TimeSpan.FromSeconds(1), 2000, new Dictionary<Fault, int>
    {
        [Fault.ServiceKilled] = 79,
        [Fault.PostgresKilled] = 8,
        [Fault.PowerLost] = 24,
        [Fault.StoreConnectionsCut] = 4,
        [Fault.NetworkGone] = 4,
        [Fault.ClockJumped] = 10,
        [Fault.DiskFull] = 4,
    });

    /// <summary>The faults in the order in which they come.</summary>
    public IReadOnlyList<Fault> Order()
    {
        var order = Faults.SelectMany(fault => Enumerable.Repeat(fault.Key, fault.Value)).ToArray();
        new Random(Seed).Shuffle(order);
        return order;
    }
}
