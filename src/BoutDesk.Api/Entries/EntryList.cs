using System.Collections.Immutable;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Api.Entries;

/// <summary>An entry list as read from CSV: rows that could be read, and what is wrong with the others.</summary>
/// <param name="Rows">The rows with the line each stands on.</param>
/// <param name="Problems">What is wrong, by line.</param>
/// <param name="Ignored">Columns that are not known.</param>
internal sealed record EntryList(
    ImmutableArray<(int Line, EntrantDetails Details)> Rows, ImmutableArray<RowProblem> Problems, ImmutableArray<string> Ignored)
{
    /// <summary>The most rows a list may have.</summary>
    public const int MostRows = 2000;

    private static readonly ImmutableArray<string> Columns =
        ["familyName", "givenName", "club", "country", "ranking", "hand", "birthYear"];

    private static readonly ImmutableArray<string> Needed = ["familyName", "givenName"];

    /// <summary>
    /// Reads a list in UTF-8, comma, semicolon or tab between the fields, as spreadsheets write it.
    /// </summary>
    /// <returns>The list, or the problem with the file as a whole.</returns>
    public static (EntryList? List, Problem? Problem) Read(byte[] file)
    {
        var (table, problem) = CsvTable.Read(
            file, Columns, Needed, MostRows, $"The list has more than {MostRows} rows, which no competition takes. Split it by competition.");
        if (table is null)
        {
            return (null, problem);
        }

        (CsvRow Row, EntrantDetails Details)[] rows = [.. table.Rows.Select(row => (row, DetailsOf(row)))];
        return (new EntryList(
            [.. rows.Where(r => r.Row.Problems.Count == 0).Select(r => (r.Row.Line, r.Details))],
            [.. rows.SelectMany(r => r.Row.Problems)],
            table.Ignored), null);
    }

    private static EntrantDetails DetailsOf(CsvRow row) => new EntrantDetails(
        row.Text("familyName") ?? string.Empty,
        row.Text("givenName") ?? string.Empty,
        row.Text("club"),
        row.Text("country"),
        row.Number("ranking"),
        HandOf(row),
        row.Number("birthYear")).Tidied();

    private static Hand? HandOf(CsvRow row)
    {
        switch (row.Text("hand")?.ToUpperInvariant())
        {
            case null:
                return null;
            case "LEFT" or "L":
                return Hand.Left;
            case "RIGHT" or "R":
                return Hand.Right;
            default:
                row.Wrong("hand", $"Must be left, right or empty, but is '{row.Text("hand")}'.");
                return null;
        }
    }
}
