using System.Security.Claims;
using System.Text.Encodings.Web;
using System.Threading.RateLimiting;
using BoutDesk.Api.Desk;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using Marten;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authorization;
using Microsoft.Extensions.Caching.Memory;
using Microsoft.Extensions.Options;

namespace BoutDesk.Api.Passes;

/// <summary>Finds the pass that a request carries. A pass of one organiser is unknown to every other.</summary>
internal sealed class PassBook : IDisposable
{
    // Long enough to spare a phone's touches the look-up, short enough for a pass revoked on another node.
    private static readonly TimeSpan Remembered = TimeSpan.FromSeconds(5);

    // A tournament day.
    private static readonly TimeSpan GoodFor = TimeSpan.FromHours(12);

    private readonly MemoryCache cache = new(new MemoryCacheOptions { SizeLimit = 10_000 });
    private readonly MemoryCache good = new(new MemoryCacheOptions { SizeLimit = 10_000 });
    private readonly TimeProvider clock;
    private long forgotten;

    public PassBook(TimeProvider clock) => this.clock = clock;

    /// <summary>The pass as kept, or null when there is none, or it has expired or was revoked.</summary>
    public async Task<PassRecord?> FindAsync(Organiser organiser, string pass, CancellationToken cancellation)
    {
        var key = Key(organiser, pass);
        if (!cache.TryGetValue(key, out PassRecord? record))
        {
            var before = Volatile.Read(ref forgotten);
            await using var session = organiser.Read();
            record = await session.Query<PassRecord>().FirstOrDefaultAsync(p => p.Hash == key.Hash, cancellation);
            // What was read while a pass was being revoked may be of the time before, so it is not remembered.
            if (record is not null && before == Volatile.Read(ref forgotten))
            {
                cache.Set(key, record, new MemoryCacheEntryOptions { AbsoluteExpirationRelativeToNow = Remembered, Size = 1 });
            }
        }

        if (record is not { RevokedAt: null } || record.ExpiresAt <= clock.GetUtcNow())
        {
            return null;
        }

        good.Set(key, true, new MemoryCacheEntryOptions { SlidingExpiration = GoodFor, Size = 1 });
        return record;
    }

    /// <summary>Whether this pass was let in here lately: then it is no guess, and looking it up tells a guesser nothing.</summary>
    public bool WasGood(Organiser organiser, string pass) => good.TryGetValue(Key(organiser, pass), out _);

    /// <summary>Looks the pass up again next time.</summary>
    public void Forget(Organiser organiser, PassRecord record)
    {
        Interlocked.Increment(ref forgotten);
        cache.Remove((organiser.Id, record.Hash));
    }

    public void Dispose()
    {
        cache.Dispose();
        good.Dispose();
    }

    private static (string Organiser, string Hash) Key(Organiser organiser, string pass) => (organiser.Id, PassRecord.HashOf(pass));
}

/// <summary>Reads <c>Authorization: Bearer</c>, and answers with problems where a pass is missing or does not do.</summary>
internal sealed class PassAuthentication : AuthenticationHandler<AuthenticationSchemeOptions>
{
    public const string SchemeName = "Pass";

    private readonly Organiser organiser;
    private readonly PassBook book;
    private readonly WrongPassLimit wrongPasses;
    private bool tooMany;

    public PassAuthentication(
        IOptionsMonitor<AuthenticationSchemeOptions> options, ILoggerFactory logger, UrlEncoder encoder, Organiser organiser, PassBook book, WrongPassLimit wrongPasses)
        : base(options, logger, encoder)
    {
        this.organiser = organiser;
        this.book = book;
        this.wrongPasses = wrongPasses;
    }

    protected override async Task<AuthenticateResult> HandleAuthenticateAsync()
    {
        var header = Request.Headers.Authorization.ToString();
        if (!header.StartsWith("Bearer ", StringComparison.OrdinalIgnoreCase))
        {
            return AuthenticateResult.NoResult();
        }

        var caller = Limits.DeviceOf(Context);
        var pass = header["Bearer ".Length..].Trim();
        // Behind the router of a hall all have one address: who is in stays in, whatever others try.
        if (wrongPasses.Exhausted(caller) && !book.WasGood(organiser, pass))
        {
            tooMany = true;
            return AuthenticateResult.Fail("Too many wrong passes.");
        }

        if (await book.FindAsync(organiser, pass, Context.RequestAborted) is not { } record)
        {
            wrongPasses.Count(caller, pass);
            return AuthenticateResult.Fail("Unknown, expired or revoked pass.");
        }

        Context.Features.Set(record);
        var identity = new ClaimsIdentity([new Claim(ClaimTypes.NameIdentifier, record.Id)], SchemeName);
        return AuthenticateResult.Success(new AuthenticationTicket(new ClaimsPrincipal(identity), SchemeName));
    }

    protected override async Task HandleChallengeAsync(AuthenticationProperties properties)
    {
        var result = await HandleAuthenticateOnceSafeAsync();
        if (DeskDoor.Redirects(Context))
        {
            return;
        }

        if (tooMany)
        {
            await new Problem(ProblemKinds.TooManyRequests, $"Too many wrong passes came from this device. Wait a minute, then scan or type the pass again.") { RetryAfter = 60 }.ExecuteAsync(Context);
            return;
        }

        Response.Headers.WWWAuthenticate = "Bearer";
        await (result.Failure is not null
            ? new Problem(ProblemKinds.PassInvalid, $"The pass is unknown at this address, has expired or was revoked. Check the address, or ask the desk for a new one.")
            : new Problem(ProblemKinds.PassMissing, $"Send the pass as 'Authorization: Bearer <pass>'. The desk gives passes out.")).ExecuteAsync(Context);
    }

    protected override Task HandleForbiddenAsync(AuthenticationProperties properties) =>
        DeskDoor.Redirects(Context) ? Task.CompletedTask : PassRules.Insufficient(Context.Pass()).ExecuteAsync(Context);
}

/// <summary>
/// Counts wrong passes by caller: so many different ones a minute, then a pause. A phone that goes on with a pass that was
/// revoked tries one only. The number is BoutDesk:WrongPassesPerMinute, 20 when
/// left out; 0 sets no limit, for a service behind a proxy that does.
/// </summary>
internal sealed class WrongPassLimit : IDisposable
{
    private static readonly TimeSpan Window = TimeSpan.FromMinutes(1);

    private readonly PartitionedRateLimiter<string> limiter;
    private readonly MemoryCache counted = new(new MemoryCacheOptions { SizeLimit = 10_000 });

    public WrongPassLimit(IConfiguration configuration)
    {
        var perMinute = configuration.GetValue("BoutDesk:WrongPassesPerMinute", 20);
        limiter = PartitionedRateLimiter.Create<string, string>(caller => perMinute <= 0
            ? RateLimitPartition.GetNoLimiter(caller)
            : RateLimitPartition.GetFixedWindowLimiter(caller, _ => new FixedWindowRateLimiterOptions { PermitLimit = perMinute, Window = Window }));
    }

    public bool Exhausted(string caller)
    {
        using var lease = limiter.AttemptAcquire(caller, 0);
        return !lease.IsAcquired;
    }

    public void Count(string caller, string pass)
    {
        var attempt = (caller, PassRecord.HashOf(pass));
        if (!counted.TryGetValue(attempt, out _))
        {
            counted.Set(attempt, true, new MemoryCacheEntryOptions { AbsoluteExpirationRelativeToNow = Window, Size = 1 });
            limiter.AttemptAcquire(caller).Dispose();
        }
    }

    public void Dispose()
    {
        limiter.Dispose();
        counted.Dispose();
    }
}

/// <summary>Which kinds of pass an operation takes.</summary>
/// <param name="Kinds">The kinds.</param>
internal sealed record NeedsPass(params PassKind[] Kinds) : IAuthorizationRequirement
{
    /// <summary>True where the operation is about the pass itself, so that the address names no tournament.</summary>
    public bool AboutItself { get; init; }
}

/// <summary>A pass must be of the right kind and for the tournament that the address names.</summary>
internal sealed class PassRules : AuthorizationHandler<NeedsPass>
{
    protected override Task HandleRequirementAsync(AuthorizationHandlerContext context, NeedsPass requirement)
    {
        if (context.Resource is HttpContext http && http.Features.Get<PassRecord>() is { } pass)
        {
            var ids = http.Request.RouteValues.Where(v => v.Key.EndsWith("Id", StringComparison.Ordinal)).Select(v => v.Value).OfType<string>();
            if (requirement.Kinds.Contains(pass.Kind) && ids.All(pass.IsFor) && (ids.Any() || pass.TournamentId is null || requirement.AboutItself))
            {
                context.Succeed(requirement);
            }
        }

        return Task.CompletedTask;
    }

    /// <summary>The problem of a pass that does not do.</summary>
    public static Problem Insufficient(PassRecord pass) => new(
        ProblemKinds.PassInsufficient,
        pass.Kind == PassKind.Desk
            ? (FormattableString)$"This desk pass is for another tournament."
            : $"This is a {pass.Kind.ToString().ToLowerInvariant()} pass, which does not cover that. Ask the desk for one that does.");
}

/// <summary>Reaching the pass of a request.</summary>
internal static class PassExtensions
{
    /// <summary>The pass that authenticated the request.</summary>
    public static PassRecord Pass(this HttpContext http) =>
        http.Features.Get<PassRecord>() ?? throw new InvalidOperationException("The operation takes no pass.");

    /// <summary>The pass of the request, or null: reads are public.</summary>
    public static PassRecord? PassOrNull(this HttpContext http) => http.Features.Get<PassRecord>();

    /// <summary>True when the request carries a desk pass for the tournament of this identifier.</summary>
    public static bool IsDeskFor(this HttpContext http, string id) =>
        http.PassOrNull() is { Kind: PassKind.Desk } pass && pass.IsFor(id);

    /// <summary>Lets only these kinds of pass in.</summary>
    public static TBuilder Needs<TBuilder>(this TBuilder builder, params PassKind[] kinds)
        where TBuilder : IEndpointConventionBuilder => builder.Needs(new NeedsPass(kinds));

    /// <summary>Lets every pass of any tournament in, to learn about itself.</summary>
    public static TBuilder TellsOfItself<TBuilder>(this TBuilder builder)
        where TBuilder : IEndpointConventionBuilder => builder.Needs(new NeedsPass(Enum.GetValues<PassKind>()) { AboutItself = true });

    /// <summary>Lets a desk pass of any tournament in, where the address names none.</summary>
    public static TBuilder NeedsAnyDesk<TBuilder>(this TBuilder builder)
        where TBuilder : IEndpointConventionBuilder => builder.Needs(new NeedsPass(PassKind.Desk) { AboutItself = true });

    private static TBuilder Needs<TBuilder>(this TBuilder builder, NeedsPass needs)
        where TBuilder : IEndpointConventionBuilder =>
        builder.RequireAuthorization(policy => policy.AddAuthenticationSchemes(PassAuthentication.SchemeName).AddRequirements(needs))
            .WithMetadata(needs);
}
