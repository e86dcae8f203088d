using System.Threading.RateLimiting;
using BoutDesk.Api.Passes;

namespace BoutDesk.Api.Http;

/// <summary>
/// How much the service takes from one device and with one pass, how much it computes at once, how many connections and
/// listeners it holds. A whole hall behind one router is one device here, so the limits are wide; they stop a program that
/// has gone wild, not a person. Each is a setting, and 0 sets none.
/// </summary>
internal static class Limits
{
    /// <summary>The policy of operations that anybody may ask to compute something.</summary>
    public const string Computing = "computing";

    /// <summary>The most bytes that the body of a request may have, except where a list or an archive is taken.</summary>
    public const int BodyBytes = 1024 * 1024;

    // Who waits for an answer to a calculation stands in a row of this length at most.
    private const int MostWaiting = 100;

    public static void AddLimits(this WebApplicationBuilder builder)
    {
        // Read at once, so that a wrong one is told before anything is started.
        var settings = builder.Configuration;
        int? connections = settings.GetValue("BoutDesk:Connections", 5000) is > 0 and var most ? most : null;
        var (requests, writes) = (settings.GetValue("BoutDesk:RequestsPerSecond", 1000), settings.GetValue("BoutDesk:WritesPerSecond", 500));
        builder.WebHost.ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = BodyBytes;
            kestrel.Limits.MaxConcurrentConnections = connections;
        });
        builder.Services.AddSingleton<FeedPlaces>();
        builder.Services.AddRateLimiter(limiter =>
        {
            limiter.GlobalLimiter = PartitionedRateLimiter.CreateChained(
                PerSecond(requests, DeviceOf),
                PerSecond(writes, WriterOf));
            limiter.AddPolicy(Computing, _ => RateLimitPartition.GetConcurrencyLimiter(
                Computing, _ => new ConcurrencyLimiterOptions { PermitLimit = Environment.ProcessorCount, QueueLimit = MostWaiting }));
            limiter.OnRejected = async (rejected, _) => await TooMany(1).ExecuteAsync(rejected.HttpContext);
        });
    }

    /// <summary>The device that a request comes from, as far as the network tells.</summary>
    public static string DeviceOf(HttpContext http) => http.Connection.RemoteIpAddress?.ToString() ?? "unknown";

    /// <summary>The problem of a request that is too many.</summary>
    /// <param name="seconds">After how many to come back.</param>
    public static Problem TooMany(int seconds) =>
        new(ProblemKinds.TooManyRequests, $"More came from this device, or with this pass, than the service takes at a time. Wait a moment, then go on.") { RetryAfter = seconds };

    /// <summary>Whoever writes, by his pass; null for reads, and for who has none and is turned away anyway.</summary>
    private static string? WriterOf(HttpContext http) =>
        HttpMethods.IsGet(http.Request.Method) || HttpMethods.IsHead(http.Request.Method) || http.Request.Headers.Authorization.ToString() is not { Length: > 0 } pass
            ? null
            : PassRecord.HashOf(pass);

    private static PartitionedRateLimiter<HttpContext> PerSecond(int most, Func<HttpContext, string?> whose) => PartitionedRateLimiter.Create<HttpContext, string>(http =>
        most <= 0 || whose(http) is not { } key
            ? RateLimitPartition.GetNoLimiter(string.Empty)
            : RateLimitPartition.GetTokenBucketLimiter(key, _ => new TokenBucketRateLimiterOptions
            {
                TokenLimit = 2 * most,
                TokensPerPeriod = Math.Max(1, most / 10),
                ReplenishmentPeriod = TimeSpan.FromSeconds(most < 10 ? 1.0 / most : 0.1),
                AutoReplenishment = true,
            }));
}

/// <summary>The places of those who follow a feed: each holds a connection for as long as he listens.</summary>
internal sealed class FeedPlaces : IDisposable
{
    private readonly PartitionedRateLimiter<HttpContext> places;

    public FeedPlaces(IConfiguration settings) => places = PartitionedRateLimiter.CreateChained(
        Places(settings.GetValue("BoutDesk:Listeners", 4000), _ => "all"),
        Places(settings.GetValue("BoutDesk:ListenersPerDevice", 2000), Limits.DeviceOf));

    /// <summary>Takes a place, to be given back at the end; none is acquired when all are taken.</summary>
    public RateLimitLease Take(HttpContext http) => places.AttemptAcquire(http);

    public void Dispose() => places.Dispose();

    private static PartitionedRateLimiter<HttpContext> Places(int most, Func<HttpContext, string> whose) => PartitionedRateLimiter.Create<HttpContext, string>(http =>
        most <= 0 ? RateLimitPartition.GetNoLimiter(string.Empty) : RateLimitPartition.GetConcurrencyLimiter(whose(http), _ => new ConcurrencyLimiterOptions { PermitLimit = most }));
}
