using System.Globalization;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Board;

/// <summary>How the pages call things.</summary>
internal static class Wording
{
    public static string Of(Weapon weapon) => weapon switch
    {
        Weapon.Foil => T("foil"),
        Weapon.Epee => T("épée"),
        _ => T("sabre"),
    };

    public static string Of(Category category) => category switch
    {
        Category.Women => T("women"),
        Category.Men => T("men"),
        _ => T("mixed"),
    };

    public static string Of(Stage stage) => stage switch
    {
        Stage.Entries => T("Entries"),
        Stage.Pools => T("Pools"),
        Stage.Elimination => T("Elimination"),
        _ => T("Finished"),
    };

    public static string Of(EntrantStatus status) => status switch
    {
        EntrantStatus.Entered => T("entered"),
        EntrantStatus.CheckedIn => T("checked in"),
        EntrantStatus.Absent => T("absent"),
        EntrantStatus.Withdrawn => T("withdrew"),
        _ => T("excluded"),
    };

    public static string Of(EquipmentItem item) => item switch
    {
        EquipmentItem.Mask => T("Mask"),
        EquipmentItem.Jacket => T("Jacket"),
        EquipmentItem.Plastron => T("Plastron"),
        EquipmentItem.Breeches => T("Breeches"),
        EquipmentItem.Glove => T("Glove"),
        EquipmentItem.ChestProtector => T("Chest protector"),
        EquipmentItem.Weapon => T("Weapon"),
        EquipmentItem.BodyCord => T("Body cord"),
        EquipmentItem.MaskCord => T("Mask cord"),
        EquipmentItem.ConductiveJacket => T("Conductive jacket"),
        _ => T("Conductive cuff"),
    };

    /// <summary>The weapons that a strip serves, when it does not serve all.</summary>
    public static string Only(IEnumerable<Weapon> weapons) => T("only {0}", string.Join(", ", weapons.Select(Of)));

    /// <summary>Weapon, category and age group in a line.</summary>
    public static string Kind(Competition competition) =>
        $"{Of(competition.Weapon)}, {Of(competition.Category)}, {competition.AgeGroup}";

    public static string Day(DateOnly day) => T("{0:dddd, d MMMM yyyy}", day);

    /// <summary>The order of names as the reader's language has it.</summary>
    public static StringComparer Alphabet => StringComparer.Create(CultureInfo.CurrentCulture, ignoreCase: true);

    /// <summary>A table of the tree by its size.</summary>
    public static string Table(int tableOf) => tableOf switch
    {
        2 => T("Final"),
        4 => T("Semi-finals"),
        8 => T("Quarter-finals"),
        _ => T("Table of {0}", tableOf),
    };

    /// <summary>What a bout of the tableau is.</summary>
    public static string Bout(Bout bout) => bout.Stage! switch
    {
        { Part: TableauPart.Places } stage when bout.TableOf == 2 => T("Bout for {0} place", Ordinal(stage.FromPlace)),
        { Part: TableauPart.Places } stage => T("For the places {0} to {1}", stage.FromPlace, stage.LoserWorst),
        { Part: TableauPart.Repechage } => T("Repechage"),
        _ => bout.TableOf switch
        {
            2 => T("Final"),
            4 => T("Semi-final"),
            8 => T("Quarter-final"),
            { } table => T("Table of {0}", table),
            _ => string.Empty,
        },
    };

    /// <summary>How far a fencer of the classification came.</summary>
    public static string Reached(ClassifiedFencer line) => line switch
    {
        { Table: 1 } => T("Winner"),
        { Table: 2 } => T("Final"),
        { Table: 4 } => T("Semi-final"),
        { Table: 8 } => T("Quarter-final"),
        { Table: { } table } => T("Table of {0}", table),
        _ => T("Pool round {0}", line.Round),
    };

    /// <summary>A place in words: 1st, 2nd, 3rd, 11th. In French as before <i>place</i>: 1re, 2e.</summary>
    public static string Ordinal(int number) => (number, number % 100, number % 10) switch
    {
        (1, _, _) => T("1st"),
        (_, 11 or 12 or 13, _) => T("{0}th", number),
        (_, _, 1) => T("{0}st", number),
        (_, _, 2) => T("{0}nd", number),
        (_, _, 3) => T("{0}rd", number),
        _ => T("{0}th", number),
    };

    /// <summary>A number with its sign, with a real minus.</summary>
    public static string Signed(int number) => number switch
    {
        > 0 => Invariant($"+{number}"),
        < 0 => Invariant($"\u2212{-number}"),
        _ => "0",
    };

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
