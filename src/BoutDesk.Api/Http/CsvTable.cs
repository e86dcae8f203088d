using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using System.Text.Json;
using BoutDesk.Api.Entries;
using CsvHelper;
using CsvHelper.Configuration;

namespace BoutDesk.Api.Http;

/// <summary>A list as people save it from a spreadsheet, with the columns that are known.</summary>
/// <param name="Rows">Its rows, in order.</param>
/// <param name="Ignored">Columns that are not known.</param>
internal sealed record CsvTable(ImmutableArray<CsvRow> Rows, ImmutableArray<string> Ignored)
{
    /// <summary>
    /// Reads a list in UTF-8, comma, semicolon or tab between the fields, its first line naming the columns.
    /// </summary>
    /// <param name="file">The list.</param>
    /// <param name="columns">The columns that are known.</param>
    /// <param name="needed">Those that must be there.</param>
    /// <param name="mostRows">The most rows that it may have.</param>
    /// <param name="tooMany">What to say when it has more.</param>
    /// <returns>The list, or the problem with the file as a whole.</returns>
    public static (CsvTable? Table, Problem? Problem) Read(
        byte[] file, ImmutableArray<string> columns, ImmutableArray<string> needed, int mostRows, FormattableString tooMany)
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
            return Read(csv, columns, needed, mostRows, tooMany);
        }
        catch (CsvHelperException)
        {
            return (null, Unreadable($"The list cannot be read from its {csv.Parser.Row}. row on, the header counted. Look for a quotation mark that is not closed."));
        }
    }

    private static (CsvTable? Table, Problem? Problem) Read(
        CsvReader csv, ImmutableArray<string> columns, ImmutableArray<string> needed, int mostRows, FormattableString tooMany)
    {
        if (!csv.Read() || !csv.ReadHeader() || csv.HeaderRecord is not { } header)
        {
            return (null, Unreadable($"The file is empty. Its first line must name the columns: {string.Join(',', columns)}."));
        }

        if (header.GroupBy(h => h.Trim(), StringComparer.OrdinalIgnoreCase).FirstOrDefault(g => g.Count() > 1 && g.Key.Length > 0) is { Key: var twice })
        {
            return (null, Unreadable($"The column {twice} stands twice in the first line. Leave one out."));
        }

        var column = columns.ToDictionary(
            name => name, name => Array.FindIndex(header, h => string.Equals(h.Trim(), name, StringComparison.OrdinalIgnoreCase)));
        if (needed.Where(name => column[name] < 0).ToArray() is { Length: > 0 } missing)
        {
            return (null, Unreadable($"The column {string.Join(" and ", missing)} is missing. The first line must name the columns; known are {string.Join(", ", columns)}."));
        }

        var rows = ImmutableArray.CreateBuilder<CsvRow>();
        while (csv.Read())
        {
            if (rows.Count >= mostRows)
            {
                return (null, Unreadable(tooMany));
            }

            var record = csv.Parser.RawRecord.Trim('\r', '\n');
            if (record.Count(c => c == '"') % 2 == 1)
            {
                return (null, Unreadable($"The quotation mark in '{record[..Math.Min(record.Length, 40)].Split('\n')[0].Trim()}' is not closed. Close it; inside a quoted text write it twice."));
            }

            // The parser stands on the line where the row ends.
            var row = new CsvRow(csv.Parser.RawRow - record.Count(c => c == '\n'), columns.ToDictionary(name => name, Field));
            if (csv.Parser.Record!.Skip(header.Length).Any(field => field.Length > 0))
            {
                row.Wrong(string.Empty, $"Has {csv.Parser.Count} fields, but the first line names {header.Length}. Put a text that contains a comma in quotation marks.");
            }

            rows.Add(row);
        }

        var ignored = header.Where(h => !columns.Contains(h.Trim(), StringComparer.OrdinalIgnoreCase) && h.Trim().Length > 0);
        return (new CsvTable(rows.ToImmutable(), [.. ignored]), null);

        string? Field(string name) => column[name] is >= 0 and var at && csv.TryGetField<string>(at, out var value) && value?.Length > 0 ? Csv.Unescaped(value) : null;
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

/// <summary>A row of a list, and what is wrong with it.</summary>
internal sealed class CsvRow
{
    private readonly Dictionary<string, string?> fields;
    private readonly List<RowProblem> problems = [];

    public CsvRow(int line, Dictionary<string, string?> fields)
    {
        Line = line;
        this.fields = fields;
    }

    /// <summary>The line in the file on which it begins, the header being 1.</summary>
    public int Line { get; }

    /// <summary>What was found wrong so far.</summary>
    public IReadOnlyList<RowProblem> Problems => problems;

    /// <summary>The text of a column; null where it is empty or the column is not there.</summary>
    public string? Text(string name) => fields[name];

    /// <summary>The whole number of a column; null where it is empty, and where it is none, which is a problem then.</summary>
    public int? Number(string name)
    {
        if (Text(name) is not { } value)
        {
            return null;
        }

        if (int.TryParse(value, NumberStyles.None, CultureInfo.InvariantCulture, out var number))
        {
            return number;
        }

        Wrong(name, $"Must be a whole number or empty, but is '{value}'.");
        return null;
    }

    /// <summary>The name of a column, upper and lower case alike; null where it is empty, and where it is none of these, which is a problem then.</summary>
    public T? Named<T>(string name)
        where T : struct, Enum => Text(name) is { } value ? NameOf<T>(name, value) : null;

    /// <summary>The names of a column, blanks between them; those that are none of these are a problem.</summary>
    public ImmutableArray<T> NamedSeveral<T>(string name)
        where T : struct, Enum =>
        [.. (Text(name) ?? string.Empty).Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(value => NameOf<T>(name, value)).OfType<T>()];

    /// <summary>Notes that something is wrong.</summary>
    public void Wrong(string name, FormattableString sentence) => problems.Add(new RowProblem(Line, name, sentence));

    private T? NameOf<T>(string name, string value)
        where T : struct, Enum
    {
        foreach (var one in Enum.GetValues<T>())
        {
            if (string.Equals(one.ToString(), value, StringComparison.OrdinalIgnoreCase))
            {
                return one;
            }
        }

        Wrong(name, $"Must be one of: {string.Join(", ", Enum.GetNames<T>().Select(JsonNamingPolicy.CamelCase.ConvertName))}.");
        return null;
    }
}
