using System.Globalization;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Api.Board;

/// <summary>How the pages call things.</summary>
internal static class Wording
{
    public static string Of(Weapon weapon) => weapon switch
    {
        Weapon.Foil => "foil",
        Weapon.Epee => "épée",
        _ => "sabre",
    };

    public static string Of(Category category) => category switch
    {
        Category.Women => "women",
        Category.Men => "men",
        _ => "mixed",
    };

    public static string Of(Stage stage) => stage switch
    {
        Stage.Entries => "Entries",
        Stage.Pools => "Pools",
        Stage.Elimination => "Elimination",
        _ => "Finished",
    };

    public static string Of(EntrantStatus status) => status switch
    {
        EntrantStatus.Entered => "entered",
        EntrantStatus.CheckedIn => "checked in",
        EntrantStatus.Absent => "absent",
        EntrantStatus.Withdrawn => "withdrew",
        _ => "excluded",
    };

    /// <summary>Weapon, category and age group in a line.</summary>
    public static string Kind(Competition competition) =>
        $"{Of(competition.Weapon)}, {Of(competition.Category)}, {competition.AgeGroup}";

    public static string Day(DateOnly day) => day.ToString("dddd, d MMMM yyyy", CultureInfo.InvariantCulture);

    /// <summary>A table of the tree by its size.</summary>
    public static string Table(int tableOf) => tableOf switch
    {
        2 => "Final",
        4 => "Semi-finals",
        8 => "Quarter-finals",
        _ => Invariant($"Table of {tableOf}"),
    };

    /// <summary>What a bout of the tableau is.</summary>
    public static string Bout(Bout bout) => bout.Stage! switch
    {
        { Part: TableauPart.Places } stage when bout.TableOf == 2 => $"Bout for {Ordinal(stage.FromPlace)} place",
        { Part: TableauPart.Places } stage => Invariant($"For the places {stage.FromPlace} to {stage.LoserWorst}"),
        { Part: TableauPart.Repechage } => "Repechage",
        _ => bout.TableOf switch
        {
            2 => "Final",
            4 => "Semi-final",
            8 => "Quarter-final",
            { } table => Invariant($"Table of {table}"),
            _ => string.Empty,
        },
    };

    /// <summary>How far a fencer of the classification came.</summary>
    public static string Reached(ClassifiedFencer line) => line switch
    {
        { Table: 1 } => "winner",
        { Table: 2 } => "final",
        { Table: 4 } => "semi-final",
        { Table: 8 } => "quarter-final",
        { Table: { } table } => Invariant($"table of {table}"),
        _ => Invariant($"pool round {line.Round}"),
    };

    /// <summary>A place in words: 1st, 2nd, 3rd, 11th.</summary>
    public static string Ordinal(int number) => (number % 100, number % 10) switch
    {
        (11 or 12 or 13, _) => Invariant($"{number}th"),
        (_, 1) => Invariant($"{number}st"),
        (_, 2) => Invariant($"{number}nd"),
        (_, 3) => Invariant($"{number}rd"),
        _ => Invariant($"{number}th"),
    };

    /// <summary>A number with its sign, with a real minus.</summary>
    public static string Signed(int number) => number switch
    {
        > 0 => Invariant($"+{number}"),
        < 0 => Invariant($"\u2212{-number}"),
        _ => "0",
    };

    public static string Count(int number, string one, string many) => Invariant($"{number} {(number == 1 ? one : many)}");

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
