namespace BoutDesk.Api;

/// <summary>
/// Ends the service because it must not go on with what it is or remembers. Whoever looks after its process starts it
/// again; it finishes the requests it has, says that it is not ready, and its exit code is not 0.
/// </summary>
internal sealed partial class Ending
{
    private readonly IHostApplicationLifetime lifetime;
    private readonly ILogger<Ending> logger;
    private string? why;

    public Ending(IHostApplicationLifetime lifetime, ILogger<Ending> logger) => (this.lifetime, this.logger) = (lifetime, logger);

    /// <summary>Whether it has begun to end.</summary>
    public bool HasBegun => Volatile.Read(ref why) is not null;

    /// <summary>Begins to end, unless it has begun for another reason.</summary>
    /// <param name="reason">A sentence for whoever reads the log.</param>
    public void Begin(string reason)
    {
        if (Interlocked.CompareExchange(ref why, reason, null) is null)
        {
            Ends(reason);
            lifetime.StopApplication();
        }
    }

    [LoggerMessage(Level = LogLevel.Critical, Message = "{Reason} This service ends and has to be started again.")]
    private partial void Ends(string reason);
}
