using System.Collections.Immutable;
using System.Globalization;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Strips;

namespace BoutDesk.Api.Halls;

/// <summary>A door as typed.</summary>
/// <param name="Wall">The name of the wall, or nothing.</param>
/// <param name="Offset">Where it begins.</param>
/// <param name="Width">How wide it is.</param>
/// <param name="FreeDepth">How deep the floor stays free.</param>
public sealed record DoorRow(string Wall, string Offset, string Width, string FreeDepth)
{
    internal bool IsEmpty => Wall.Length + Offset.Length + Width.Length == 0;
}

/// <summary>Something that stands in the hall, as typed.</summary>
/// <param name="Name">What it is.</param>
/// <param name="X">From the wall on the left.</param>
/// <param name="Y">From the wall at the top.</param>
/// <param name="Width">From left to right.</param>
/// <param name="Height">From top to bottom.</param>
public sealed record BlockRow(string Name, string X, string Y, string Width, string Height)
{
    internal bool IsEmpty => X.Length + Y.Length + Width.Length + Height.Length + Name.Length == 0;
}

/// <summary>
/// The form of the page: what was typed, as it was typed, and what came of it. Numbers are taken with a point or a comma;
/// what is left empty stands for its planning figure.
/// </summary>
public sealed class HallForm
{
    // More than are taken, so that too many are refused and not passed over.
    private const int MostRows = 45;
    private const int LongestText = 80;

    // A hall to look at until the coach has typed the own one.
    private static readonly HallToPlan Example = new(44, 22);

    private static readonly Dictionary<string, decimal> Figures = new()
    {
        ["length"] = Example.Length,
        ["width"] = Example.Width,
        ["stripLength"] = Example.StripLength,
        ["stripWidth"] = Example.StripWidth,
        ["runOff"] = Example.RunOff,
        ["gap"] = Example.Gap,
        ["endGap"] = Example.EndGap,
        ["tableLength"] = Example.TableLength,
        ["tableDepth"] = Example.TableDepth,
        ["clearance"] = Example.Clearance,
        ["rollLength"] = Example.RollLength,
        ["cutLoss"] = Example.CutLoss,
    };

    private readonly IQueryCollection query;

    private HallForm(IQueryCollection query)
    {
        this.query = query;
        IsExample = !Figures.Keys.Any(query.ContainsKey);
        Doors = [.. Rows(i => new DoorRow(Text($"door{i}Wall"), Text($"door{i}Offset"), Text($"door{i}Width"), Text($"door{i}FreeDepth"))).Where(r => !r.IsEmpty)];
        Blocks = [.. Rows(i => new BlockRow(Text($"block{i}Name"), Text($"block{i}X"), Text($"block{i}Y"), Text($"block{i}Width"), Text($"block{i}Height"))).Where(r => !r.IsEmpty)];
        var errors = new FieldErrors();
        Report = Read(errors) is { } asked ? HallReport.Of(asked) : null;
        Errors = errors.ByField;
    }

    /// <summary>Whether nothing was typed yet.</summary>
    public bool IsExample { get; }

    /// <summary>The doors that were typed.</summary>
    public ImmutableArray<DoorRow> Doors { get; }

    /// <summary>What stands in the hall, as typed.</summary>
    public ImmutableArray<BlockRow> Blocks { get; }

    /// <summary>What came of it, or null when something cannot be used.</summary>
    public HallReport? Report { get; }

    /// <summary>What cannot be used, by field of the request that the form stands for.</summary>
    public IReadOnlyDictionary<string, FormattableString[]> Errors { get; }

    /// <summary>Reads what was typed.</summary>
    public static HallForm Of(IQueryCollection query) => new(query);

    /// <summary>What stands in a field for a figure.</summary>
    public string Value(string figure) => Text(figure) is { Length: > 0 } typed ? typed : Figures[figure].ToString("0.###", CultureInfo.CurrentCulture);

    private ReadHall? Read(FieldErrors errors)
    {
        var figures = Figures.Keys.ToDictionary(name => name, name => Number(name, Value(name), errors));
        DoorToKeep[] doors =
        [
            .. Doors.Select((row, i) => new DoorToKeep(
                WallOf(row.Wall, $"doors[{i}].wall", errors),
                Number($"doors[{i}].offset", row.Offset, errors),
                Number($"doors[{i}].width", row.Width, errors),
                row.FreeDepth.Length == 0 ? DoorToKeep.UsualFreeDepth : Number($"doors[{i}].freeDepth", row.FreeDepth, errors))),
        ];
        BlockToKeep[] blocks =
        [
            .. Blocks.Select((row, i) => new BlockToKeep(
                Number($"blocks[{i}].x", row.X, errors),
                Number($"blocks[{i}].y", row.Y, errors),
                Number($"blocks[{i}].width", row.Width, errors),
                Number($"blocks[{i}].height", row.Height, errors),
                row.Name)),
        ];
        var body = new HallToPlan(
            figures["length"],
            figures["width"],
            [.. doors],
            [.. blocks],
            figures["stripLength"],
            figures["stripWidth"],
            figures["runOff"],
            figures["gap"],
            figures["endGap"],
            figures["tableLength"],
            figures["tableDepth"],
            figures["clearance"],
            figures["rollLength"],
            figures["cutLoss"]);
        var unreadable = errors.ByField.Keys.Select(RowOf).ToHashSet();
        var further = new FieldErrors();
        var read = ReadHall.Of(body, further);
        // A row of which something could not be read is not judged by the rest.
        foreach (var (field, sentences) in further.ByField.Where(e => !unreadable.Contains(RowOf(e.Key))))
        {
            Array.ForEach(sentences, sentence => errors.Add(field, sentence));
        }

        return errors.Count > 0 ? null : read;
    }

    private static string RowOf(string field) => field.Split('.')[0];

    private static Wall WallOf(string name, string field, FieldErrors errors)
    {
        if (Enum.TryParse<Wall>(name, ignoreCase: true, out var wall) && Enum.IsDefined(wall))
        {
            return wall;
        }

        errors.Add(field, $"Choose the wall that the door is in.");
        return default;
    }

    private static decimal Number(string field, string typed, FieldErrors errors)
    {
        const NumberStyles Plain = NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign;
        if (decimal.TryParse(typed.Replace(',', '.'), Plain, CultureInfo.InvariantCulture, out var number))
        {
            return number;
        }

        errors.Add(field, $"Write a number of metres, such as 1.5.");
        return 0;
    }

    private static IEnumerable<T> Rows<T>(Func<int, T> row) => Enumerable.Range(1, MostRows).Select(row);

    private string Text(string name) => query[name].ToString().Trim() is var text && text.Length > LongestText ? text[..LongestText] : text;
}
