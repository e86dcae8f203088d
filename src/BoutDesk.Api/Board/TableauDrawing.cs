using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Unicode;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Elimination;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Board;

/// <summary>
/// Draws a part of a tableau as a tree of slips, one for each bout, in SVG. Its bytes are counted: a tree of 256 goes to a
/// phone in one page, so that shapes of one kind are one path and only text is an element of its own.
/// </summary>
/// <remarks>
/// The drawing is for the eye; the same bouts stand in a list beside it for everybody else. Byes are not drawn: who has
/// one appears in the next table.
/// </remarks>
internal sealed class TableauDrawing
{
    private const int SlipWidth = 208;
    private const int SlipHeight = 42;
    private const int Slot = 50;
    private const int Pitch = 232;
    private const int Head = 26;
    private const int Indent = 112;
    private const int NameRoom = 17;
    private const int MarkRoom = 22;

    private static readonly HtmlEncoder Encoder = HtmlEncoder.Create(UnicodeRanges.All);

    private readonly CompetitionState state;
    private readonly ImmutableArray<ImmutableArray<Bout>> columns;
    private readonly bool twoSided;
    private readonly IReadOnlyList<PageMark> marks;
    private readonly string prefix;
    private readonly int height;
    private readonly Dictionary<string, (int X, int Y, bool Mirrored)> places = [];

    private TableauDrawing(CompetitionState state, ImmutableArray<ImmutableArray<Bout>> columns, bool twoSided, IReadOnlyList<PageMark> marks)
    {
        this.state = state;
        this.marks = marks;
        this.columns = columns;
        this.twoSided = twoSided && columns.Length > 1 && columns[^1].Length == 1;
        prefix = Identifiers.TableauBout(state.Id, state.Competition.Tableau!.Draw, string.Empty);
        height = columns.Max(c => c.Length) / (this.twoSided ? 2 : 1) * Slot;
    }

    /// <summary>The parts of a tableau in the order in which they are shown, each with its tables, first to last.</summary>
    public static IEnumerable<(string Title, ImmutableArray<ImmutableArray<Bout>> Tables)> Parts(CompetitionState state) =>
        state.Tableau
            .GroupBy(b => (b.Stage!.Part, Places: b.Stage.Part == TableauPart.Places ? b.Stage.FromPlace : 0))
            .OrderBy(p => p.Key.Part).ThenBy(p => p.Key.Places)
            .Select(part => (Title(part), Tables(part)));

    /// <summary>The tables of one part, first to last, their bouts from the top.</summary>
    public static ImmutableArray<ImmutableArray<Bout>> Tables(IEnumerable<Bout> part) =>
    [
        .. part.GroupBy(b => (TableOf: b.TableOf!.Value, b.Stage!.LoserWorst))
            .OrderByDescending(g => g.Key.TableOf).ThenByDescending(g => g.Key.LoserWorst)
            .Select(g => g.OrderBy(b => b.Order).ToImmutableArray()),
    ];

    /// <summary>A quarter of the tree, from its first table to its quarter-final.</summary>
    public static ImmutableArray<ImmutableArray<Bout>> Quarter(ImmutableArray<ImmutableArray<Bout>> tables, int quarter) => Slice(tables, quarter - 1, 4);

    /// <summary>One of several equal slices of the tree, from its first table to the last one of which each slice has a bout.</summary>
    /// <param name="tables">The tables, first to last.</param>
    /// <param name="slice">Which slice, from 0.</param>
    /// <param name="slices">How many there are, a power of two.</param>
    public static ImmutableArray<ImmutableArray<Bout>> Slice(ImmutableArray<ImmutableArray<Bout>> tables, int slice, int slices) =>
    [
        .. tables.Where(t => t.Length >= slices).Select(t => t.Skip(slice * t.Length / slices).Take(t.Length / slices).ToImmutableArray()),
    ];

    /// <summary>The tree.</summary>
    /// <param name="state">The competition.</param>
    /// <param name="tables">The tables, first to last.</param>
    /// <param name="twoSided">Whether both halves grow towards the final in the middle.</param>
    /// <param name="marks">Where it goes on from page to page; those of bouts that are not in it are not drawn.</param>
    public static string Svg(
        CompetitionState state, ImmutableArray<ImmutableArray<Bout>> tables, bool twoSided = false, IReadOnlyList<PageMark>? marks = null) =>
        new TableauDrawing(state, tables, twoSided, marks ?? []).Draw();

    /// <summary>A name that fits: the given name as its first letter, and if that is still too long, cut.</summary>
    internal static string Fit(string familyName, string givenName, int room)
    {
        var whole = givenName.Length == 0 ? familyName : $"{familyName} {givenName}";
        if (Width(whole) <= room)
        {
            return whole;
        }

        var initialled = givenName.Length == 0 ? familyName : $"{familyName} {StringInfo.GetNextTextElement(givenName)}.";
        if (Width(initialled) <= room)
        {
            return initialled;
        }

        var cut = new StringBuilder();
        var elements = StringInfo.GetTextElementEnumerator(familyName);
        for (var width = 1; elements.MoveNext() && (width += Width(elements.GetTextElement())) <= room;)
        {
            cut.Append(elements.GetTextElement());
        }

        return cut.Append('…').ToString();
    }

    /// <summary>About how wide a text is, in letters: those of East Asia take two.</summary>
    private static int Width(string text) => text.EnumerateRunes().Sum(r =>
        Rune.GetUnicodeCategory(r) is UnicodeCategory.NonSpacingMark or UnicodeCategory.EnclosingMark or UnicodeCategory.Format ? 0
        : r.Value is (>= 0x1100 and < 0x1200) or (>= 0x2E80 and < 0xD800) or (>= 0xF900 and < 0xFB00) or (>= 0xFF00 and < 0xFF61) or >= 0x1F000 ? 2
        : 1);

    private static string Title(IEnumerable<Bout> part) => part.MinBy(b => b.TableOf)!.Stage! switch
    {
        { Part: TableauPart.Main } => T("Tableau"),
        { Part: TableauPart.Last } => T("The last table"),
        { Part: TableauPart.Repechage } => T("Repechage"),
        { FromPlace: var best, LoserWorst: var worst } when worst == best + 1 => T("For {0} place", Wording.Ordinal(best)),
        { FromPlace: var best } => T("For the places {0} to {1}", best, best + part.Max(b => b.TableOf)!.Value - 1),
    };

    private string Draw()
    {
        var width = (twoSided ? 2 * Offset(columns.Length - 1) : Offset(columns.Length - 1)) + SlipWidth;
        Place(width);
        var svg = new StringBuilder();
        var margin = marks.Count > 0 ? MarkRoom : 0;
        svg.Append(CultureInfo.InvariantCulture, $"<svg class=\"tree\" viewBox=\"{-margin} 0 {width + 2 + (2 * margin)} {height + Head}\" width=\"{width + 2 + (2 * margin)}\" height=\"{height + Head}\" aria-hidden=\"true\" data-bouts=\"{prefix}\" data-target=\"{state.Competition.Formula.Elimination.Touches}\">");
        var shown = columns.SelectMany(c => c).Where(IsDrawn).ToArray();
        Headings(svg, width);
        Joints(svg, shown);
        Slips(svg, "slips", shown.Where(b => b.Status != BoutStatus.Fencing));
        Slips(svg, "slips play", shown.Where(b => b.Status == BoutStatus.Fencing));
        foreach (var bout in shown)
        {
            Words(svg, bout);
        }

        foreach (var mark in marks.Where(m => places.ContainsKey(m.BoutId)))
        {
            Mark(svg, mark);
        }

        return svg.Append("</svg>").ToString();
    }

    private static bool IsDrawn(Bout bout) => !bout.Left.Vacant && !bout.Right.Vacant;

    private void Place(int width)
    {
        foreach (var (column, bouts) in columns.Index())
        {
            foreach (var (number, bout) in bouts.Index())
            {
                var inHalf = twoSided && bouts.Length > 1;
                var count = inHalf ? bouts.Length / 2 : bouts.Length;
                var mirrored = inHalf && number >= count;
                var middle = Head + ((((2 * (mirrored ? number - count : number)) + 1) * height) / (2 * count));
                var x = Offset(column);
                places[bout.Id] = (mirrored ? width - x - SlipWidth : x, middle, mirrored);
            }
        }
    }

    /// <summary>
    /// Where a column begins. Two halves side by side are wide: there the slips from the third table on are put between
    /// those of the table before, indented.
    /// </summary>
    private int Offset(int column)
    {
        var offset = 0;
        for (var c = 1; c <= column; c++)
        {
            offset += IsIndented(c) ? Indent : Pitch;
        }

        return offset;
    }

    private bool IsIndented(int column) => twoSided && column >= 2 && column < columns.Length - 1;

    private void Headings(StringBuilder svg, int width)
    {
        foreach (var (column, bouts) in columns.Index())
        {
            var bout = bouts[0];
            var heading = Encoder.Encode(bout.Stage!.Part is TableauPart.Main or TableauPart.Last ? Wording.Table(bout.TableOf!.Value) : Wording.Bout(bout));
            if (IsIndented(column) && IsIndented(column + 1))
            {
                // There is no room for a heading between its neighbours'.
                continue;
            }

            var x = Offset(column) + 1;
            svg.Append(CultureInfo.InvariantCulture, $"<text class=\"head\" x=\"{x}\" y=\"16\">{heading}</text>");
            if (twoSided && bouts.Length > 1)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<text class=\"head\" x=\"{width - x - SlipWidth + 2}\" y=\"16\">{heading}</text>");
            }
        }
    }

    private void Joints(StringBuilder svg, IEnumerable<Bout> shown)
    {
        svg.Append("<path class=\"joints\" d=\"");
        foreach (var bout in shown)
        {
            if (bout.WinnerTo is { } link && places.TryGetValue(link.BoutId, out var to))
            {
                var from = places[bout.Id];
                if (Math.Abs(to.X - from.X) < SlipWidth)
                {
                    var x = from.Mirrored ? to.X + SlipWidth - (Indent / 2) : to.X + (Indent / 2);
                    svg.Append(CultureInfo.InvariantCulture, $"M{x} {from.Y}V{to.Y}");
                    continue;
                }

                var bend = (Pitch - SlipWidth) / 2;
                svg.Append(from.Mirrored
                    ? Text($"M{from.X + 1} {from.Y}h-{bend}V{to.Y}h-{bend}")
                    : Text($"M{from.X + SlipWidth + 1} {from.Y}h{bend}V{to.Y}h{bend}"));
            }
        }

        svg.Append("\"/>");
    }

    private void Slips(StringBuilder svg, string kind, IEnumerable<Bout> bouts)
    {
        var path = new StringBuilder();
        foreach (var bout in bouts)
        {
            var (x, y, _) = places[bout.Id];
            path.Append(CultureInfo.InvariantCulture, $"M{x + 1} {y - (SlipHeight / 2)}h{SlipWidth}v{SlipHeight}h-{SlipWidth}z");
        }

        if (path.Length > 0)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"{kind}\" d=\"{path}\"/>");
        }
    }

    private void Mark(StringBuilder svg, PageMark mark)
    {
        var (x, y, _) = places[mark.BoutId];
        var (middle, height) = mark.Comes switch
        {
            null => (x + SlipWidth + 1 + (MarkRoom / 2), y),
            Side.Left => (x - (MarkRoom / 2) + 1, y - 10),
            _ => (x - (MarkRoom / 2) + 1, y + 10),
        };
        svg.Append(CultureInfo.InvariantCulture, $"<circle class=\"mark\" cx=\"{middle}\" cy=\"{height}\" r=\"9\"/><text class=\"mark\" x=\"{middle}\" y=\"{height + 4}\">{mark.Letter}</text>");
    }

    private void Words(StringBuilder svg, Bout bout)
    {
        var (x, y, _) = places[bout.Id];
        var strip = bout.Status == BoutStatus.Open ? state.Strip(bout.StripId) : null;
        Seat(Side.Left, y - 5);
        Seat(Side.Right, y + 15);

        void Seat(Side side, int baseline)
        {
            if (bout.SeatOf(side).EntrantId is { } id)
            {
                var details = state.Entrants[id].Details;
                var name = Encoder.Encode(Fit(details.FamilyName, details.GivenName, NameRoom));
                var kind = bout.Winner is not { } winner ? string.Empty : winner == side ? " class=\"won\"" : " class=\"lost\"";
                svg.Append(CultureInfo.InvariantCulture, $"<text x=\"{x + 7}\" y=\"{baseline}\"{kind}><tspan>{state.Seed(id)}</tspan> {name}</text>");
            }

            var score = BoutCard.ScoreText(bout, side);
            if (bout.Left.IsKnown && bout.Right.IsKnown && !bout.Walkover)
            {
                var kind = bout.Winner == side ? " won" : bout.Status == BoutStatus.Fencing ? " now" : string.Empty;
                // Touches come to open bouts only, so that only their cells have to be found.
                var cell = bout.Status == BoutStatus.Decided ? string.Empty : Text($" data-bout=\"{bout.Id[prefix.Length..]}{(side == Side.Left ? 'l' : 'r')}\"");
                svg.Append(CultureInfo.InvariantCulture, $"<text class=\"to{kind}\" x=\"{x + SlipWidth - 6}\" y=\"{baseline}\"{cell}>{score}</text>");
            }

            if (strip is not null && side == Side.Right)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<text class=\"where\" x=\"{x + SlipWidth - 6}\" y=\"{y + 4}\">{Encoder.Encode(Fit(strip, string.Empty, 8))}</text>");
            }
        }
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}

/// <summary>A letter where a tree goes on from one page to another.</summary>
/// <param name="BoutId">The bout beside which it stands.</param>
/// <param name="Comes">The seat into which somebody comes from another page, or null where the winner leaves the page.</param>
/// <param name="Letter">The letter, or two.</param>
internal readonly record struct PageMark(string BoutId, Side? Comes, string Letter);
