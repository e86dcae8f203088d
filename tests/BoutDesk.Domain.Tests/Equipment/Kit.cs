using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using Xunit;

namespace BoutDesk.Domain.Tests.Equipment;

/// <summary>Short ways to competitions, checks and records.</summary>
internal static class Kit
{
    public const string RecordId = "t-1-e1-kit";

    public static readonly DateTimeOffset Morning = new(2026, 11, 28, 8, 0, 0, TimeSpan.Zero);

    public static Competition Of(Weapon weapon, Category category = Category.Women, string ageGroup = "senior", Hand? hand = null) => new()
    {
        Id = "t-1",
        TournamentId = "t",
        Name = "c",
        Weapon = weapon,
        Category = category,
        AgeGroup = ageGroup,
        Formula = new Formula(),
        Entrants = [new Entrant("t-1-e1", new EntrantDetails("Lindqvist", "Ada", null, null, null, hand, null), EntrantStatus.CheckedIn, null)],
    };

    public static EquipmentChecked Check(
        EquipmentItem item, Verdict verdict, int? piece = null, int minute = 0, JacketOpening? opens = null, int? bladeSize = null, Weapon? madeFor = null) =>
        new("t-1", item, verdict, null, null, piece, null, opens, bladeSize, madeFor, Morning.AddMinutes(minute));

    public static EquipmentRecord Record(params IEnumerable<IEquipmentEvent> events) =>
        events.Aggregate((EquipmentRecord?)null, (record, happened) => EquipmentRecord.Evolve(record, RecordId, happened))!;

    /// <summary>The record after a decision.</summary>
    public static EquipmentRecord After(this EquipmentRecord? record, Decision decision)
    {
        Assert.Null(decision.Refusal);
        return decision.Facts.Aggregate(record, (before, fact) => EquipmentRecord.Evolve(before, fact.StreamId, (IEquipmentEvent)fact.Event))!;
    }

    public static EquipmentState StateOf(this EquipmentRecord? record, Competition competition) =>
        EquipmentState.Of(EquipmentRules.Usual, competition.Weapon, competition.Category, record);
}
