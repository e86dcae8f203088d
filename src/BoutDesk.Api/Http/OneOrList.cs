using System.Collections.Immutable;
using BoutDesk.Api.Entries;
using BoutDesk.Api.EventStore;
using BoutDesk.Domain;

namespace BoutDesk.Api.Http;

/// <summary>What can be sent one by one in JSON, or as a list in CSV.</summary>
internal static class OneOrList
{
    /// <summary>Whether a list was sent.</summary>
    /// <exception cref="BadHttpRequestException">Neither JSON nor CSV was.</exception>
    public static bool IsList(HttpRequest request)
    {
        if (string.Equals(request.GetTypedHeaders().ContentType?.MediaType.ToString(), Formats.Csv, StringComparison.OrdinalIgnoreCase))
        {
            return true;
        }

        return request.HasJsonContentType()
            ? false
            : throw new BadHttpRequestException("Neither JSON nor CSV.", StatusCodes.Status415UnsupportedMediaType);
    }

    /// <summary>Reads the one that was sent, or null when the body says null.</summary>
    public static async Task<T?> OneAsync<T>(HttpContext http)
        where T : class => await http.Request.ReadFromJsonAsync<T>(JsonSetup.Options, http.RequestAborted);

    /// <summary>Reads the list as it was sent.</summary>
    public static async Task<byte[]> ListAsync(HttpContext http)
    {
        using var buffer = new MemoryStream();
        await http.Request.Body.CopyToAsync(buffer, http.RequestAborted);
        return buffer.ToArray();
    }

    /// <summary>Keeps the good rows of a list if all are good or the good ones are wanted, and reports on all of them.</summary>
    /// <param name="ledger">Takes what is kept.</param>
    /// <param name="decision">Takes the good rows in, or refuses.</param>
    /// <param name="good">How many rows are good.</param>
    /// <param name="problems">What is wrong with the others.</param>
    /// <param name="ignored">Columns that are not known.</param>
    /// <param name="wanted">Whether it is a dry run, and whether the good rows alone are wanted.</param>
    /// <param name="refused">What to say when nothing is kept, given how many rows are wrong.</param>
    public static Outcome Take(
        Ledger ledger,
        Decision decision,
        int good,
        IEnumerable<RowProblem> problems,
        ImmutableArray<string> ignored,
        (bool DryRun, bool Partial) wanted,
        Func<int, FormattableString> refused)
    {
        if (decision.Refusal is { } refusal)
        {
            return refusal;
        }

        ImmutableArray<RowProblem> rows = [.. problems.OrderBy(p => p.Line)];
        var rejected = rows.Select(p => p.Line).Distinct().Count();
        var report = new ImportReport(good, rejected, rows, ignored);
        if (wanted.DryRun)
        {
            return Answer.Ok(report);
        }

        if (rejected > 0 && !wanted.Partial)
        {
            return new Problem(ProblemKinds.RowsRejected, refused(rejected))
            {
                More = new Dictionary<string, object?> { ["added"] = 0, ["rejected"] = rejected, ["rows"] = rows, ["ignored"] = ignored },
            };
        }

        ledger.Keep(decision);
        return Answer.Ok(report);
    }
}
