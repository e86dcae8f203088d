using System.Security.Cryptography;
using System.Text;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Passes;
using BoutDesk.Domain;
using JasperFx;
using Marten.Exceptions;
using Npgsql;

namespace BoutDesk.Api.Http;

/// <summary>What became of a command: an answer, or a problem.</summary>
/// <param name="Answer">The answer, or null.</param>
/// <param name="Problem">The problem, or null.</param>
internal readonly record struct Outcome(Answer? Answer, Problem? Problem)
{
    public static implicit operator Outcome(Answer answer) => new(answer, null);

    public static implicit operator Outcome(Problem problem) => new(null, problem);

    public static implicit operator Outcome(Refusal refusal) => new(null, Problem.Of(refusal));
}

/// <summary>
/// Carries a command out: reads, decides, keeps the facts and the answer in one transaction. A lost race is tried
/// again on the new state; a repeat of a request with its Idempotency-Key gets the first answer.
/// </summary>
/// <remarks>
/// Only answers of success are kept. A refusal changed nothing, so a repeat is judged anew.
/// </remarks>
internal sealed class Commands
{
    private const int Tries = 8;

    private readonly Organiser organiser;
    private readonly CompetitionShelf competitions;
    private readonly BoutCommands bouts;
    private readonly FeedHub hub;
    private readonly TimeProvider clock;

    public Commands(
        Organiser organiser, CompetitionShelf competitions, BoutCommands bouts, FeedHub hub, TimeProvider clock)
    {
        this.bouts = bouts;
        this.organiser = organiser;
        this.competitions = competitions;
        this.hub = hub;
        this.clock = clock;
    }

    public Task<IResult> RunAsync(HttpContext http, Func<Ledger, Task<Outcome>> decide) => RunAsync(http, decide, alone: false);

    /// <summary>
    /// The same while no other command runs in any service: for what changes states without their versions telling it.
    /// Commands under way are waited for, and those that come meanwhile wait.
    /// </summary>
    public Task<IResult> RunAloneAsync(HttpContext http, Func<Ledger, Task<Outcome>> decide) => RunAsync(http, decide, alone: true);

    private async Task<IResult> RunAsync(HttpContext http, Func<Ledger, Task<Outcome>> decide, bool alone)
    {
        if (RepeatKeyProblem(http.Request) is { } problem)
        {
            return problem;
        }

        var pass = http.Pass();
        var key = await RepeatKeyAsync(http.Request, pass.Id);
        var (turns, gate) = (organiser.Database.Turns, organiser.Database.Gate);
        using var turn = await turns.TakeAsync(organiser, Subject(http.Request), http.RequestAborted);
        if (!turn.IsAcquired)
        {
            return Busy();
        }

        using var place = await turns.RunAsync(alone, http.RequestAborted);
        await using var closed = alone ? await gate.CloseAsync(http.RequestAborted) : null;
        var boutId = http.Request.RouteValues["boutId"] as string;
        if (boutId is not null && Identifiers.CompetitionOf(boutId) is { } competitionId)
        {
            var command = new BoutCommand(boutId, competitionId, pass.Id, key, Identifiers.TournamentOf(boutId), decide, http.RequestAborted);
            if (await bouts.TryAsync(command) is { } answered)
            {
                return answered;
            }
        }

        for (var attempt = 1; ; attempt++)
        {
            await using var ledger = new Ledger(organiser.Write(pass.Id), competitions);
            if (!alone)
            {
                await gate.PassAsync(ledger.Session, http.RequestAborted);
            }

            if (key is not null && await ledger.Session.LoadAsync<KeptAnswer>(key.Id, http.RequestAborted) is { } kept)
            {
                await gate.SaveAsync(ledger.Session);
                return Repeat(key, kept);
            }

            try
            {
                var outcome = await decide(ledger);
                if (outcome.Answer is not { } answer)
                {
                    return outcome.Problem!;
                }

                if (key is not null)
                {
                    ledger.Session.Insert(key.Keep(answer, TournamentOf(http.Request), clock.GetUtcNow(), hub.Position));
                }

                // Once it is being saved the client's hanging up no longer matters.
                ledger.Append();
                await gate.SaveAsync(ledger.Session);
                return new Given(answer);
            }
            catch (Exception race) when (IsRace(race))
            {
                if (attempt == Tries)
                {
                    return Busy();
                }

                await Task.Delay(TimeSpan.FromMilliseconds(RandomNumberGenerator.GetInt32(1, 5 * attempt)), clock, http.RequestAborted);
            }
        }
    }

    /// <summary>Whether somebody else was faster, so that nothing was kept and it can be tried again.</summary>
    public static bool IsRace(Exception exception) => exception switch
    {
        ConcurrencyException or DocumentAlreadyExistsException or ExistingStreamIdCollisionException => true,
        AggregateException several => several.InnerExceptions.All(IsRace),
        MartenCommandException { InnerException: PostgresException { SqlState: PostgresErrorCodes.DeadlockDetected } } => true,
        _ => false,
    };

    /// <summary>What the address names. What is done to an entrant is kept with the competition, an item of loan kit with all others, a referee with the tournament.</summary>
    private static string Subject(HttpRequest request)
    {
        var named = request.Named();
        var id = named.Value as string;
        return named.Key switch
        {
            "entrantId" => Identifiers.CompetitionOf(id!),
            "itemId" or "refereeId" => Identifiers.TournamentOf(id!),
            _ => id,
        } ?? request.HttpContext.TraceIdentifier;
    }

    private static string? TournamentOf(HttpRequest request) =>
        request.Named().Value is string id ? Identifiers.TournamentOf(id) : null;

    private static Problem Busy() =>
        new(ProblemKinds.BusyStream, $"Others are changing the same thing at this moment. Nothing was kept; try again.") { RetryAfter = 1 };

    private static Problem? RepeatKeyProblem(HttpRequest request)
    {
        var given = request.Headers["Idempotency-Key"];
        return given.Count > 1 || given.ToString().Length > 200
            ? Problem.Invalid("Idempotency-Key", $"Give one key of at most 200 characters.")
            : null;
    }

    private static async Task<RepeatKey?> RepeatKeyAsync(HttpRequest request, string passId)
    {
        var given = request.Headers["Idempotency-Key"].ToString().Trim();
        if (given.Length == 0)
        {
            return null;
        }

        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(Encoding.UTF8.GetBytes($"{passId}\n{request.Method} {request.Path}{request.QueryString}\n"));
        request.Body.Position = 0;
        var buffer = new byte[8192];
        int read;
        while ((read = await request.Body.ReadAsync(buffer, request.HttpContext.RequestAborted)) > 0)
        {
            hash.AppendData(buffer, 0, read);
        }

        return new RepeatKey(given, Convert.ToHexStringLower(hash.GetHashAndReset()));
    }

    /// <summary>The answer to a request that came before.</summary>
    public static IResult Repeat(RepeatKey key, KeptAnswer kept) => kept.Request == key.Request
        ? kept.Body.Length == 0
            ? new Problem(ProblemKinds.KeyReused, $"This was done already. The answer to it is no longer kept, because personal data were erased since. Read what you need anew.")
            : new Repeated(kept, key.Open(kept))
        : new Problem(ProblemKinds.KeyReused, $"This Idempotency-Key came with another request before. Make a new key for each action, and keep it for repeats of that action only.");

    /// <summary>The answer of success.</summary>
    public sealed class Given(Answer answer) : IResult
    {
        public Task ExecuteAsync(HttpContext httpContext)
        {
            Head(httpContext, answer.Status, answer.Location, answer.ETag);
            return answer.Body is null ? Task.CompletedTask : SendAsync(httpContext, answer.Json);
        }
    }

    private sealed class Repeated(KeptAnswer kept, byte[] body) : IResult
    {
        public async Task ExecuteAsync(HttpContext httpContext)
        {
            Head(httpContext, kept.Status, kept.Location, kept.ETag);
            httpContext.Response.Headers["Idempotency-Repeated"] = "true";
            if (kept.Status != StatusCodes.Status204NoContent)
            {
                await SendAsync(httpContext, body);
            }
        }
    }

    private static Task SendAsync(HttpContext http, byte[] json)
    {
        http.Response.ContentType = "application/json; charset=utf-8";
        http.Response.ContentLength = json.Length;
        return http.Response.Body.WriteAsync(json, http.RequestAborted).AsTask();
    }

    private static void Head(HttpContext http, int status, string? location, string? etag)
    {
        http.Response.StatusCode = status;
        http.RequestServices.GetRequiredService<Organiser>().Database.Standbys.Say(http);
        if (location is not null)
        {
            http.Response.Headers.Location = location;
        }

        if (etag is not null)
        {
            http.Response.Headers.ETag = etag;
        }
    }
}
