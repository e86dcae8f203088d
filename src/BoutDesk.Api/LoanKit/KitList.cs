using System.Collections.Immutable;
using BoutDesk.Api.Entries;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;

namespace BoutDesk.Api.LoanKit;

/// <summary>A list of loan kit as read from CSV: rows that could be read, and what is wrong with the others.</summary>
/// <param name="Rows">The rows with the line each stands on, and how many items each is.</param>
/// <param name="Problems">What is wrong, by line.</param>
/// <param name="Ignored">Columns that are not known.</param>
internal sealed record KitList(
    ImmutableArray<(int Line, KitDetails Details, int Count)> Rows, ImmutableArray<RowProblem> Problems, ImmutableArray<string> Ignored)
{
    private static readonly ImmutableArray<string> Columns = ["item", "weapon", "club", "size", "hand", "label", "count"];

    private static readonly ImmutableArray<string> Needed = ["item"];

    /// <summary>
    /// Reads a list in UTF-8, comma, semicolon or tab between the fields, as spreadsheets write it. The columns have the
    /// names of the fields of <see cref="AddKit"/>.
    /// </summary>
    /// <returns>The list, or the problem with the file as a whole.</returns>
    public static (KitList? List, Problem? Problem) Read(byte[] file)
    {
        var (table, problem) = CsvTable.Read(
            file, Columns, Needed, LoanDecider.MostItems, $"The list has more than {LoanDecider.MostItems} rows, which is more than a tournament keeps.");
        if (table is null)
        {
            return (null, problem);
        }

        (CsvRow Row, KitDetails Details, int Count)[] rows = [.. table.Rows.Select(row => (row, DetailsOf(row), CountOf(row)))];
        return (new KitList(
            [.. rows.Where(r => r.Row.Problems.Count == 0).Select(r => (r.Row.Line, r.Details, r.Count))],
            [.. rows.SelectMany(r => r.Row.Problems)],
            table.Ignored), null);
    }

    private static KitDetails DetailsOf(CsvRow row)
    {
        if (row.Text("item") is null)
        {
            row.Wrong("item", $"Is needed.");
        }

        return new KitDetails(
            row.Named<EquipmentItem>("item") ?? default,
            row.Named<Weapon>("weapon"),
            row.Text("club"),
            row.Text("size"),
            row.Named<KitHand>("hand") ?? KitHand.Either,
            row.Text("label")).Tidied();
    }

    private static int CountOf(CsvRow row)
    {
        var count = row.Number("count") ?? 1;
        if (count is < 1 or > AddKit.MostAtOnce)
        {
            row.Wrong("count", $"Must be from {1} to {AddKit.MostAtOnce}, but is {count}.");
        }

        return count;
    }
}
