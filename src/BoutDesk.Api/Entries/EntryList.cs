using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Entries;
using CsvHelper;
using CsvHelper.Configuration;

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
        string text;
        try
        {
            text = Decode(file);
        }
        catch (DecoderFallbackException)
        {
            return (null, Unreadable($"The file is not in UTF-8. In the spreadsheet choose 'CSV UTF-8' when saving, and send it again."));
        }

        using var reader = new StringReader(text);
        using var csv = new CsvReader(reader, new CsvConfiguration(CultureInfo.InvariantCulture)
        {
            Delimiter = DelimiterOf(text),
            TrimOptions = TrimOptions.Trim,
            IgnoreBlankLines = true,
            BadDataFound = null,
            MissingFieldFound = null,
            MaxFieldSize = 2000,
        });

        try
        {
            return Read(csv);
        }
        catch (CsvHelperException)
        {
            return (null, Unreadable($"The list cannot be read from its {csv.Parser.Row}. row on, the header counted. Look for a quotation mark that is not closed."));
        }
    }

    private static (EntryList? List, Problem? Problem) Read(CsvReader csv)
    {
        if (!csv.Read() || !csv.ReadHeader() || csv.HeaderRecord is not { } header)
        {
            return (null, Unreadable($"The file is empty. Its first line must name the columns: {string.Join(',', Columns)}."));
        }

        if (header.GroupBy(h => h.Trim(), StringComparer.OrdinalIgnoreCase).FirstOrDefault(g => g.Count() > 1 && g.Key.Length > 0) is { Key: var twice })
        {
            return (null, Unreadable($"The column {twice} stands twice in the first line. Leave one out."));
        }

        var column = Columns.ToDictionary(
            name => name, name => Array.FindIndex(header, h => string.Equals(h.Trim(), name, StringComparison.OrdinalIgnoreCase)));
        if (Needed.Where(name => column[name] < 0).ToArray() is { Length: > 0 } missing)
        {
            return (null, Unreadable($"The column {string.Join(" and ", missing)} is missing. The first line must name the columns; known are {string.Join(", ", Columns)}."));
        }

        var rows = ImmutableArray.CreateBuilder<(int, EntrantDetails)>();
        var problems = ImmutableArray.CreateBuilder<RowProblem>();
        while (csv.Read())
        {
            if (rows.Count + problems.Count >= MostRows)
            {
                return (null, Unreadable($"The list has more than {MostRows} rows, which no competition takes. Split it by competition."));
            }

            var row = csv.Parser.RawRecord.Trim('\r', '\n');
            if (row.Count(c => c == '"') % 2 == 1)
            {
                return (null, Unreadable($"The quotation mark in '{row[..Math.Min(row.Length, 40)].Split('\n')[0].Trim()}' is not closed. Close it; inside a quoted text write it twice."));
            }

            // The parser stands on the line where the row ends.
            var line = csv.Parser.RawRow - row.Count(c => c == '\n');

            var before = problems.Count;
            if (csv.Parser.Record!.Skip(header.Length).Any(field => field.Length > 0))
            {
                problems.Add(new RowProblem(line, string.Empty, $"Has {csv.Parser.Count} fields, but the first line names {header.Length}. Put a text that contains a comma in quotation marks."));
            }

            var details = new EntrantDetails(
                Text("familyName") ?? string.Empty,
                Text("givenName") ?? string.Empty,
                Text("club"),
                Text("country"),
                Number("ranking"),
                HandOf(),
                Number("birthYear")).Tidied();
            if (problems.Count == before)
            {
                rows.Add((line, details));
            }

            string? Text(string name) => column[name] is >= 0 and var at && csv.TryGetField<string>(at, out var value) && value?.Length > 0 ? Csv.Unescaped(value) : null;

            int? Number(string name)
            {
                if (Text(name) is not { } value)
                {
                    return null;
                }

                if (int.TryParse(value, NumberStyles.None, CultureInfo.InvariantCulture, out var number))
                {
                    return number;
                }

                problems.Add(new RowProblem(line, name, $"Must be a whole number or empty, but is '{value}'."));
                return null;
            }

            Hand? HandOf()
            {
                switch (Text("hand")?.ToUpperInvariant())
                {
                    case null:
                        return null;
                    case "LEFT" or "L":
                        return Hand.Left;
                    case "RIGHT" or "R":
                        return Hand.Right;
                    default:
                        problems.Add(new RowProblem(line, "hand", $"Must be left, right or empty, but is '{Text("hand")}'."));
                        return null;
                }
            }
        }

        var ignored = header.Where(h => !Columns.Contains(h.Trim(), StringComparer.OrdinalIgnoreCase) && h.Trim().Length > 0);
        return (new EntryList(rows.ToImmutable(), problems.ToImmutable(), [.. ignored]), null);
    }

    private static string Decode(byte[] file)
    {
        var strict = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);
        return file switch
        {
            [0xEF, 0xBB, 0xBF, .. var rest] => strict.GetString(rest),
            [0xFF, 0xFE, .. var rest] => new UnicodeEncoding(false, false, true).GetString(rest),
            [0xFE, 0xFF, .. var rest] => new UnicodeEncoding(true, false, true).GetString(rest),
            _ => strict.GetString(file),
        };
    }

    private static string DelimiterOf(string text)
    {
        var header = text.AsSpan()[..Math.Max(0, text.IndexOf('\n') is var end && end < 0 ? text.Length : end)];
        var (commas, semicolons, tabs) = (header.Count(','), header.Count(';'), header.Count('\t'));
        return semicolons > commas && semicolons >= tabs ? ";" : tabs > commas ? "\t" : ",";
    }

    private static Problem Unreadable(FormattableString detail) => new(ProblemKinds.UnreadableFile, detail);
}
