using System.Collections.Immutable;
using BoutDesk.Api.Pages;
using BoutDesk.Domain;
using Microsoft.AspNetCore.Mvc;

namespace BoutDesk.Api.Http;

/// <summary>A kind of problem: the stable end of its <c>type</c> URI, the status it is answered with, and its title.</summary>
/// <param name="Name">The stable name.</param>
/// <param name="Status">The HTTP status.</param>
/// <param name="Title">What a referee or volunteer reads first.</param>
internal sealed record ProblemKind(string Name, int Status, string Title)
{
    public const string Prefix = "urn:boutdesk:problem:";

    public string Type => Prefix + Name;
}

/// <summary>Every kind of problem that the service answers with. README lists them; a test compares.</summary>
internal static class ProblemKinds
{
    public static readonly ProblemKind InvalidInput = new("invalid-input", 400, "Something in the request is not right");
    public static readonly ProblemKind UnreadableFile = new("unreadable-file", 400, "The list cannot be read");
    public static readonly ProblemKind UnreadableArchive = new("unreadable-archive", 400, "The archive cannot be read");
    public static readonly ProblemKind AlreadyHere = new("already-here", 409, "The tournament is here already");
    public static readonly ProblemKind RowsRejected = new("rows-rejected", 400, "Some rows of the list cannot be taken");
    public static readonly ProblemKind PassMissing = new("pass-missing", 401, "A pass is needed");
    public static readonly ProblemKind PassInvalid = new("pass-invalid", 401, "This pass is not valid");
    public static readonly ProblemKind PassInsufficient = new("pass-insufficient", 403, "This pass does not cover that");
    public static readonly ProblemKind NotFound = new("not-found", 404, "There is no such thing");
    public static readonly ProblemKind MethodNotAllowed = new("method-not-allowed", 405, "This address does not take that method");
    public static readonly ProblemKind NotAcceptable = new("not-acceptable", 406, "That format is not offered");
    public static readonly ProblemKind Stale = new("stale", 412, "Somebody changed it meanwhile");
    public static readonly ProblemKind TooLarge = new("too-large", 413, "The request is too large");
    public static readonly ProblemKind MediaType = new("media-type", 415, "The content type is not understood");
    public static readonly ProblemKind KeyReused = new("key-reused", 422, "The idempotency key was used for something else");
    public static readonly ProblemKind VersionNeeded = new("version-needed", 428, "Say which version you correct");
    public static readonly ProblemKind TooManyRequests = new("too-many-requests", 429, "Too many requests");
    public static readonly ProblemKind Internal = new("internal", 500, "Something went wrong here");
    public static readonly ProblemKind StoreUnavailable = new("store-unavailable", 503, "The store does not answer");
    public static readonly ProblemKind BeingMoved = new("being-moved", 503, "This organiser is being moved");
    public static readonly ProblemKind BusyStream = new("busy", 503, "Others are changing the same thing");

    private static readonly ImmutableDictionary<RefusalReason, ProblemKind> Refusals = new Dictionary<RefusalReason, ProblemKind>
    {
        [RefusalReason.InvalidValue] = InvalidInput,
        [RefusalReason.BoutNotReady] = new("bout-not-ready", 409, "The fencers are not known yet"),
        [RefusalReason.BoutDecided] = new("bout-decided", 409, "The bout is over"),
        [RefusalReason.BoutAnnulled] = new("bout-annulled", 409, "The bout does not count"),
        [RefusalReason.NothingToTakeBack] = new("nothing-to-take-back", 409, "There is nothing to take back"),
        [RefusalReason.NoDoubleTouch] = new("no-double-touch", 400, "There are no double touches at this weapon"),
        [RefusalReason.AlreadyWarned] = new("already-warned", 409, "The fencer has a card already"),
        [RefusalReason.PriorityMissing] = new("priority-missing", 409, "Priority must be drawn first"),
        [RefusalReason.PriorityNotDue] = new("priority-not-due", 409, "Priority is not due"),
        [RefusalReason.DeskOnly] = new("desk-only", 409, "Only the desk can change that now"),
        [RefusalReason.CorrectionHasConsequences] = new("correction-has-consequences", 409, "The correction changes later stages"),
        [RefusalReason.RoundClosed] = new("round-closed", 409, "The round is closed"),
        [RefusalReason.BoutsOpen] = new("bouts-open", 409, "Bouts are still open"),
        [RefusalReason.AlreadyDone] = new("already-done", 409, "That was done already"),
        [RefusalReason.StepMissing] = new("step-missing", 409, "Something else must come first"),
        [RefusalReason.CheckInOpen] = new("check-in-open", 409, "Check-in is not finished"),
        [RefusalReason.TooFewFencers] = new("too-few-fencers", 409, "There are too few fencers"),
        [RefusalReason.BoutsBegun] = new("bouts-begun", 409, "Bouts have begun"),
        [RefusalReason.EntriesClosed] = new("entries-closed", 409, "The draw is made"),
        [RefusalReason.DuplicateEntrant] = new("duplicate-entrant", 409, "This fencer is entered already"),
        [RefusalReason.EquipmentNotPassed] = new("equipment-not-passed", 409, "The equipment has not passed"),
        [RefusalReason.EntrantState] = new("entrant-state", 409, "The fencer's state does not allow it"),
        [RefusalReason.KitOut] = new("kit-out", 409, "Somebody has this item"),
        [RefusalReason.KitToMend] = new("kit-to-mend", 409, "This item is to be mended first"),
        [RefusalReason.KitGone] = new("kit-gone", 409, "This item is not in the stock any more"),
        [RefusalReason.RefereeUnsuited] = new("referee-unsuited", 409, "This referee does not suit"),
    }.ToImmutableDictionary();

    public static IEnumerable<ProblemKind> All =>
        typeof(ProblemKinds).GetFields().Select(f => f.GetValue(null)).OfType<ProblemKind>().Concat(Refusals.Values).Distinct();

    public static ProblemKind Of(RefusalReason reason) => Refusals[reason];
}

/// <summary>A problem to be answered, as in RFC 9457.</summary>
/// <param name="Kind">Its kind.</param>
/// <param name="Detail">What is the matter and what to do. It is said in the language that was asked for, English if none was.</param>
internal sealed record Problem(ProblemKind Kind, FormattableString Detail) : IResult
{
    /// <summary>What is wrong, by field of the request; where there is nothing but that, it is the detail too.</summary>
    public IReadOnlyDictionary<string, FormattableString[]>? Errors { get; init; }

    /// <summary>The bouts and entrants concerned.</summary>
    public ImmutableArray<string> Concerns { get; init; } = [];

    /// <summary>What would follow if it were done; answered among what is concerned.</summary>
    public ImmutableArray<FormattableString> Consequences { get; init; } = [];

    /// <summary>Further members of the answer.</summary>
    public IReadOnlyDictionary<string, object?>? More { get; init; }

    /// <summary>Seconds after which to try again.</summary>
    public int? RetryAfter { get; init; }

    public static Problem Of(Refusal refusal) => new(ProblemKinds.Of(refusal.Reason), refusal.Sentence)
    {
        Errors = refusal.Field is { } field ? new Dictionary<string, FormattableString[]> { [field] = [refusal.Sentence] } : null,
        Concerns = refusal.Concerns,
        Consequences = refusal.Consequences,
    };

    public static Problem NotFound(string what) => new(ProblemKinds.NotFound, $"There is no {what} of that identifier. Check the address, or start from the list.");

    public static Problem Invalid(string field, FormattableString sentence) => Of(Refusal.Invalid(field, sentence));

    public static Problem Invalid(string field, ArgumentException unusable) => Of(Refusal.Invalid(field, unusable));

    public ProblemDetails ToDetails()
    {
        var details = new ProblemDetails { Type = Kind.Type, Title = Texts.T(Kind.Title), Status = Kind.Status, Detail = Texts.Said(Detail) };
        if (Errors is not null)
        {
            details.Extensions["errors"] = Errors;
        }

        string[] concerns = [.. Concerns, .. Consequences.Select(Texts.Said)];
        if (concerns.Length > 0)
        {
            details.Extensions["concerns"] = concerns;
        }

        foreach (var (name, value) in More ?? ImmutableDictionary<string, object?>.Empty)
        {
            details.Extensions[name] = value;
        }

        return details;
    }

    public Task ExecuteAsync(HttpContext httpContext)
    {
        if (RetryAfter is { } seconds)
        {
            httpContext.Response.Headers.RetryAfter = seconds.ToString(System.Globalization.CultureInfo.InvariantCulture);
        }

        Languages.Vary(httpContext.Response);
        httpContext.Response.StatusCode = Kind.Status;
        return httpContext.Response.WriteAsJsonAsync(ToDetails(), JsonSetup.Options, "application/problem+json", httpContext.RequestAborted);
    }
}

/// <summary>Gathers what is wrong with a request, field by field.</summary>
internal sealed class FieldErrors
{
    // Enough to begin with; a list of ten thousand wrong items is not answered with as many sentences.
    private const int Most = 100;

    private readonly Dictionary<string, List<FormattableString>> errors = [];

    /// <summary>How many are wrong.</summary>
    public int Count { get; private set; }

    public void Add(string field, FormattableString sentence)
    {
        if (++Count > Most)
        {
            return;
        }

        if (!errors.TryGetValue(field, out var messages))
        {
            errors[field] = messages = [];
        }

        messages.Add(sentence);
    }

    public void Text(string field, string? value, int most, bool needed = true)
    {
        if (string.IsNullOrWhiteSpace(value))
        {
            if (needed)
            {
                Add(field, $"Is needed.");
            }
        }
        else if (value.Length > most)
        {
            Add(field, $"Must have at most {most} characters, but has {value.Length}.");
        }
        else if (value.Any(char.IsControl))
        {
            Add(field, $"Must not contain line breaks, tabs or other control characters.");
        }
    }

    /// <summary>Refuses a list that holds null in the place of an item, which JSON allows.</summary>
    public void Items<T>(string field, IEnumerable<T?> items)
        where T : class
    {
        if (items.Any(item => item is null))
        {
            Add(field, $"Must hold objects, and no null among them.");
        }
    }

    public void Range(string field, int? value, int least, int most)
    {
        if (value < least || value > most)
        {
            Add(field, $"Must be from {least} to {most}, but is {value}.");
        }
    }

    /// <summary>A length in metres as millimetres, what is finer rounded; 0 when it is outside its range.</summary>
    public int Metres(string field, decimal value, decimal least, decimal most)
    {
        if (value < least || value > most)
        {
            Add(field, $"Must be from {least:0.###} to {most:0.###} m, but is {value} m.");
            return 0;
        }

        return (int)Math.Round(value * 1000, MidpointRounding.AwayFromZero);
    }

    /// <summary>What is wrong, by field.</summary>
    public IReadOnlyDictionary<string, FormattableString[]> ByField => errors.ToDictionary(e => e.Key, e => e.Value.ToArray());

    /// <summary>The problem to answer with, or null when nothing is wrong.</summary>
    public Problem? ToProblem() => errors.Count == 0
        ? null
        : new Problem(ProblemKinds.InvalidInput, $"{string.Join(' ', errors.Select(e => $"{e.Key}: {string.Join(' ', e.Value.Select(Texts.Said))}"))}")
        {
            Errors = ByField,
        };
}

/// <summary>Reasons, as requests give them.</summary>
internal static class Reasons
{
    /// <summary>Why the reason does not do, or null: it has at most 200 characters.</summary>
    public static Problem? Problem(string? reason, bool needed)
    {
        var errors = new FieldErrors();
        errors.Text("reason", reason, 200, needed);
        return errors.ToProblem();
    }
}
