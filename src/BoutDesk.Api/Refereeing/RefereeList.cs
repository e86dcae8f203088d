using System.Collections.Immutable;
using BoutDesk.Api.Entries;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;

namespace BoutDesk.Api.Refereeing;

/// <summary>A list of referees as read from CSV: rows that could be read, and what is wrong with the others.</summary>
/// <param name="Rows">The rows with the line each stands on.</param>
/// <param name="Problems">What is wrong, by line.</param>
/// <param name="Ignored">Columns that are not known.</param>
internal sealed record RefereeList(
    ImmutableArray<(int Line, RefereeDetails Details)> Rows, ImmutableArray<RowProblem> Problems, ImmutableArray<string> Ignored)
{
    private static readonly ImmutableArray<string> Columns =
        ["familyName", "givenName", "club", "country", "weapons", "level", "from", "to", "breaks"];

    private static readonly ImmutableArray<string> Needed = ["familyName", "givenName", "weapons"];

    /// <summary>
    /// Reads a list in UTF-8, comma, semicolon or tab between the fields, as spreadsheets write it. The columns have the
    /// names of the fields of <see cref="ListReferee"/>; several weapons or breaks stand in one field with blanks between.
    /// </summary>
    /// <returns>The list, or the problem with the file as a whole.</returns>
    public static (RefereeList? List, Problem? Problem) Read(byte[] file)
    {
        var (table, problem) = CsvTable.Read(
            file, Columns, Needed, RefereeDecider.MostReferees, $"The list has more than {RefereeDecider.MostReferees} rows, which is more than a tournament lists.");
        if (table is null)
        {
            return (null, problem);
        }

        (CsvRow Row, RefereeDetails Details)[] rows = [.. table.Rows.Select(row => (row, DetailsOf(row)))];
        return (new RefereeList(
            [.. rows.Where(r => r.Row.Problems.Count == 0).Select(r => (r.Row.Line, r.Details))],
            [.. rows.SelectMany(r => r.Row.Problems)],
            table.Ignored), null);
    }

    private static RefereeDetails DetailsOf(CsvRow row)
    {
        var errors = new FieldErrors();
        var details = new ListReferee(
            row.Text("familyName") ?? string.Empty,
            row.NamedSeveral<Weapon>("weapons"),
            row.Text("givenName") ?? string.Empty,
            row.Text("club"),
            row.Text("country"),
            row.Named<RefereeLevel>("level") ?? RefereeLevel.Club,
            row.Text("from"),
            row.Text("to"),
            [.. (row.Text("breaks") ?? string.Empty).Split(' ', StringSplitOptions.RemoveEmptyEntries)]).ToDetails(errors);
        foreach (var (field, sentences) in errors.ByField)
        {
            row.Wrong(field, sentences[0]);
        }

        return details;
    }
}
