using System.Text;
using BoutDesk.Api.EventStore;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Tournaments;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.Contract;

/// <summary>
/// The events as they are stored. What is in Contract/events is in the stores of past tournaments: when a test here
/// fails, the code must learn to read the old form, and the file stays.
/// </summary>
[Collection(OneService.Name)]
public class EventContractTests
{
    private static readonly Seat Robin = new("a-1-e1");
    private static readonly Formula Formula = new()
    {
        Pools = new PoolFormula { Size = 6, Touches = 4, Minutes = 2, Rounds = 2, Promote = new Promotion { Percent = 80 }, Exempt = 4, SeparateBy = [AffiliationKind.Country, AffiliationKind.Club] },
        Elimination = new EliminationFormula { Touches = 10, Periods = 2, Minutes = 3, ThirdPlace = ThirdPlace.Bout },
    };

    private static readonly DateTimeOffset Morning = new(2026, 11, 28, 9, 0, 0, TimeSpan.FromHours(1));

    private static readonly EntrantDetails Details = new("Marchetti", "Noé", "Salle Étoile", "FRA", 17, Hand.Left, 2011);

    private static readonly KitDetails Foil = new(EquipmentItem.Weapon, Weapon.Foil, "Harbour Blades", "0", KitHand.Left, "F 3");

    private static readonly RefereeDetails Lind = new("Lind", "", null, null, [Weapon.Sabre], RefereeLevel.Club, null, null, []);

    /// <summary>An event of each type, and of those with optional parts another without them; by the name of its file.</summary>
    private static readonly Dictionary<string, object> Samples = new()
    {
        ["tournament-opened"] = new TournamentOpened("Millbrook Open", "Millbrook Hall", new DateOnly(2026, 11, 28), "Europe/Paris"),
        ["strip-added"] = new StripAdded("a-s1", "Blue", "podium"),
        ["strip-added.bare"] = new StripAdded("a-s1", "Blue", null),
        ["strip-added.weapons"] = new StripAdded("a-s1", "Blue", "podium", [Weapon.Foil, Weapon.Epee]),
        ["strip-corrected"] = new StripCorrected("a-s1", "Blue", "podium", [Weapon.Sabre]),
        ["strip-corrected.bare"] = new StripCorrected("a-s1", "Blue", null),
        ["competition-added"] = new CompetitionAdded("a-1"),
        ["announcement-made"] = new AnnouncementMade("a-n1", "Lunch is served until one."),
        ["announcement-taken-down"] = new AnnouncementTakenDown("a-n1"),

        ["equipment-rules-brought"] = new EquipmentRulesBrought(new EquipmentRules(
            "Millbrook youth rules",
            "2026",
            [new RequiredItem(EquipmentItem.Mask, 1, "§ 1"), new RequiredItem(EquipmentItem.ChestProtector, 1, "§ 2", Certainty.Practice, Weapon.Foil, Category.Women)],
            [
                new EquipmentLimit(EquipmentItem.Weapon, Measure.Mass, LimitRelation.Below, "§ 3", Bound: 499.5m),
                new EquipmentLimit(EquipmentItem.Weapon, Measure.GuardGauge, LimitRelation.Passes, "§ 4", Certainty.FromMemory, Gauge: "12 cm", Weapon: Weapon.Foil),
            ])),
        ["equipment-rules-given-up"] = new EquipmentRulesGivenUp(),
        ["day-plan-kept"] = new DayPlanKept(new KeptPlan(
            Morning,
            Morning.AddHours(9),
            6,
            5,
            [new ClosedTime(Morning.AddHours(3), Morning.AddHours(4))],
            Morning.AddHours(8),
            Morning.AddHours(7.5),
            [new KeptStage("a-1", StageKind.Pools, 1, 2, Morning, Morning.AddHours(2), [1, 2]), new KeptStage("a-1", StageKind.LastEight, 0, 1, Morning.AddHours(3), Morning.AddHours(8), [4])])),
        ["day-plan-kept.for-numbers"] = new DayPlanKept(new KeptPlan(
            Morning,
            Morning.AddHours(9),
            6,
            5,
            [],
            Morning.AddHours(8),
            Morning.AddHours(7.5),
            [new KeptStage("a-1", StageKind.Pools, 1, 2, Morning, Morning.AddHours(2), [1, 2])],
            new PlannedFor([new PlannedField("a-1", 40, true, Morning.AddHours(1)), new PlannedField("a-2", 17, false, null)], 1, 2, 12, true, ["a-3"]))),
        ["day-plan-kept.strips-by-list"] = new DayPlanKept(new KeptPlan(
            Morning,
            Morning.AddHours(9),
            6,
            5,
            [],
            Morning.AddHours(8),
            Morning.AddHours(7.5),
            [new KeptStage("a-1", StageKind.Pools, 1, 2, Morning, Morning.AddHours(2), [1, 4])],
            new PlannedFor([new PlannedField("a-1", 40, true, null)], 1, 2, 12, false, [], StripsByList: true))),
        ["day-plan-given-up"] = new DayPlanGivenUp(),
        ["referee-listed"] = new RefereeListed("a-r1", new RefereeDetails("Lind", "Mara", "Riverside", "AUT", [Weapon.Foil, Weapon.Epee], RefereeLevel.National, 540, 1020, [new HallSpan(720, 765)])),
        ["referee-listed.bare"] = new RefereeListed("a-r1", Lind),
        ["referee-corrected"] = new RefereeCorrected("a-r1", Lind),
        ["referee-away"] = new RefereeAway("a-r1"),
        ["referee-back"] = new RefereeBack("a-r1"),
        ["referee-erased"] = new RefereeErased("a-r1"),

        ["competition-opened"] = new CompetitionOpened("a", "Women's épée", Weapon.Epee, Category.Women, "senior", Formula),
        ["competition-opened.defaults"] = new CompetitionOpened("a", "Open sabre", Weapon.Sabre, Category.Mixed, "veteran", new Formula()),
        ["formula-changed"] = new FormulaChanged(Formula with { Pools = Formula.Pools with { Promote = new Promotion { Count = 16 } } }),
        ["formula-changed.all-rounds"] = new FormulaChanged(new Formula { Pools = new PoolFormula { TiesAtCut = TiesAtCut.PromoteAll, SeedingBy = SeedingBy.AllRounds } }),
        ["equipment-gate-set"] = new EquipmentGateSet(EquipmentGate.Block),
        ["entrant-entered"] = new EntrantEntered("a-1-e1", Details),
        ["entrant-entered.bare"] = new EntrantEntered("a-1-e1", new EntrantDetails("Marchetti", "", null, null, null, null, null)),
        ["entrant-corrected"] = new EntrantCorrected("a-1-e1", Details with { Hand = Hand.Right }),
        ["entrant-checked-in"] = new EntrantCheckedIn("a-1-e1"),
        ["check-in-taken-back"] = new CheckInTakenBack("a-1-e1"),
        ["entrant-marked-absent"] = new EntrantMarkedAbsent("a-1-e1"),
        ["entrant-withdrew"] = new EntrantWithdrew("a-1-e1", "hurt"),
        ["entrant-withdrew.cause"] = new EntrantWithdrew("a-1-e1", "hurt", WithdrawalCause.Injury),
        ["entrant-excluded"] = new EntrantExcluded("a-1-e1", "violence"),
        ["entrant-reinstated"] = new EntrantReinstated("a-1-e1", "a mistake"),
        ["entrant-erased"] = new EntrantErased("a-1-e1"),
        ["pool-round-drawn"] = new PoolRoundDrawn(
            1, 3, DrawSeed.MaxValue, ["a-1-e7"], ["a-1-e1", "a-1-e2", "a-1-e3"], [new DrawnPool("a-1-d3p1", 1, ["a-1-e1", "a-1-e3", "a-1-e2"])], [new Separation(AffiliationKind.Club, 1, 0)]),
        ["fencers-exchanged"] = new FencersExchanged(
            1, "a-1-e2", "a-1-e4", [new DrawnPool("a-1-d3p1", 1, ["a-1-e1", "a-1-e4"]), new DrawnPool("a-1-d3p2", 2, ["a-1-e2", "a-1-e3"])], [new Separation(AffiliationKind.Club, 1, 0)]),
        ["pool-round-scrapped"] = new PoolRoundScrapped(1, "late entry"),
        ["pool-round-closed"] = new PoolRoundClosed(1, 7, [new RankedFencer("a-1-e1", 1, new Tally(2, 2, 10, 4), false), new RankedFencer("a-1-e2", 2, new Tally(0, 1, 2, 5), true)], 1),
        ["ranking-revised"] = new RankingRevised(1, "a-1-d3p1b2", 7, [new RankedFencer("a-1-e1", 1, new Tally(2, 2, 10, 4), false)], 1, "misheard"),
        ["tableau-drawn"] = new TableauDrawn(4, 7, ["a-1-e1", "a-1-e2"]),
        ["tableau-drawn.after-pools"] = new TableauDrawn(4, null, ["a-1-e1", "a-1-e2"]),
        ["tableau-scrapped"] = new TableauScrapped("misheard"),

        ["referees-appointed"] = new RefereesAppointed(
            [new Appointment("a-1-d1p1", "a-r1"), new Appointment("a-1-d1p2", null), new Appointment("a-1-d2t8b1", "a-r2", "nobody else is left")]),

        ["bout-programmed"] = new BoutProgrammed("a-1", "a-1-d3p1", 1, null, null, 2, new BoutRules(Weapon.Foil, 5, 1, 3), Robin, new Seat("a-1-e2"), null, null),
        ["bout-programmed.elimination"] = new BoutProgrammed(
            "a-1", null, null, 4, new TableauStage(TableauPart.Main, 1, 3, 4), 1, new BoutRules(Weapon.Foil, 15, 3, 3), Seat.Awaited, Seat.Nobody, new SeatLink("a-1-d4t2b1", Side.Left), new SeatLink("a-1-d4f3t2b1", Side.Right)),
        ["seat-taken"] = new SeatTaken(Side.Left, Robin with { Out = true }),
        ["strip-assigned"] = new StripAssigned("a-s1"),
        ["strip-assigned.off"] = new StripAssigned(null),
        ["touch-scored"] = new TouchScored(TouchSide.Both, new Score(3, 4), new DateTimeOffset(2026, 11, 28, 9, 15, 30, 250, TimeSpan.Zero)),
        ["touch-scored.untimed"] = new TouchScored(TouchSide.Left, new Score(3, 4), null),
        ["touch-taken-back"] = new TouchTakenBack(new Score(2, 4)),
        ["card-shown"] = new CardShown(Side.Right, Card.Red, "turned his back", new Score(1, 0)),
        ["card-shown.by-group"] = new CardShown(Side.Right, Card.Red, "turned his back", new Score(1, 0), 2),
        ["card-taken-back"] = new CardTakenBack(new Score(0, 0)),
        ["time-ran-out"] = new TimeRanOut(),
        ["time-taken-back"] = new TimeTakenBack(),
        ["priority-drawn"] = new PriorityDrawn(Side.Right, 7),
        ["priority-drawn.by-hand"] = new PriorityDrawn(Side.Left, null),
        ["priority-taken-back"] = new PriorityTakenBack(),
        ["break-taken"] = new BreakTaken(Side.Left, BreakKind.Medical, new DateTimeOffset(2026, 11, 28, 9, 15, 30, 250, TimeSpan.Zero)),
        ["break-taken.untimed"] = new BreakTaken(Side.Right, BreakKind.Medical, null),
        ["break-taken-back"] = new BreakTakenBack(),
        ["clock-started"] = new ClockStarted(180_000, new DateTimeOffset(2026, 11, 28, 9, 15, 30, 250, TimeSpan.Zero)),
        ["clock-halted"] = new ClockHalted(147_250, new DateTimeOffset(2026, 11, 28, 9, 16, 3, 0, TimeSpan.Zero)),
        ["clock-set"] = new ClockSet(65_000, new DateTimeOffset(2026, 11, 28, 9, 20, 0, 0, TimeSpan.Zero)),
        ["result-recorded"] = new ResultRecorded(new Score(4, 4), Side.Right),
        ["result-corrected"] = new ResultCorrected(new Score(5, 4), Side.Left, "sides were exchanged"),
        ["result-taken-back"] = new ResultTakenBack("typed in for the wrong bout"),
        ["bout-cleared"] = new BoutCleared("other fencers meet"),
        ["fencer-out"] = new FencerOut(Side.Left, "hurt"),
        ["fencer-back"] = new FencerBack(Side.Left),
        ["bout-annulled"] = new BoutAnnulled("a-1-e1", "hurt"),
        ["bout-restored"] = new BoutRestored("a-1-e1"),
        ["bout-sealed"] = new BoutSealed(),
        ["bout-struck"] = new BoutStruck("late entry"),

        ["equipment-checked"] = new EquipmentChecked("a-1", EquipmentItem.ConductiveJacket, Verdict.Failed, "M-17", "a hole under the arm"),
        ["equipment-checked.measured"] = new EquipmentChecked(
            "a-1",
            EquipmentItem.Weapon,
            Verdict.Failed,
            null,
            "too heavy",
            2,
            [new LimitFinding(new EquipmentLimit(EquipmentItem.Weapon, Measure.Mass, LimitRelation.Below, "Book 3", Certainty.FromMemory, 500), new Reading(Measure.Mass, 512.5m), LimitOutcome.Broken, 12.5m)],
            BladeSize: 5,
            At: new DateTimeOffset(2026, 11, 28, 8, 15, 30, TimeSpan.Zero)),
        ["equipment-checked.jacket"] = new EquipmentChecked(
            "a-1", EquipmentItem.ConductiveJacket, Verdict.Passed, null, null, Opens: JacketOpening.Back, MadeFor: Weapon.Foil),
        ["equipment-check-taken-back"] = new EquipmentCheckTakenBack(),
        ["equipment-waived"] = new EquipmentWaived("a-1", "lent by the club"),
        ["equipment-waiver-taken-back"] = new EquipmentWaiverTakenBack(),
        ["equipment-checked.bare"] = new EquipmentChecked("a-1", EquipmentItem.Mask, Verdict.Passed, null, null),

        ["kit-added"] = new KitAdded("a-k1", Foil),
        ["kit-added.bare"] = new KitAdded("a-k1", new KitDetails(EquipmentItem.Mask, null, null, null, KitHand.Either, null)),
        ["kit-corrected"] = new KitCorrected("a-k1", Foil with { Hand = KitHand.Right }),
        ["kit-issued"] = new KitIssued("a-k1", "a-1-e1"),
        ["kit-issue-taken-back"] = new KitIssueTakenBack("a-k1"),
        ["kit-returned"] = new KitReturned("a-k1", KitCondition.ToMend, "the blade is bent"),
        ["kit-returned.bare"] = new KitReturned("a-k1", KitCondition.Good, null),
        ["kit-return-taken-back"] = new KitReturnTakenBack("a-k1"),
        ["kit-mended"] = new KitMended("a-k1"),
        ["kit-taken-out"] = new KitTakenOut("a-k1"),
    };

    private readonly ISerializer serializer;

    public EventContractTests(SharedDesk shared)
    {
        var store = (DocumentStore)shared.Host.Services.GetRequiredService<IDocumentStore>();
        serializer = store.Options.Serializer();
    }

    public static TheoryData<string> Files => [.. Samples.Keys];

    [Fact]
    public void Every_event_of_the_domain_has_a_stored_name_of_its_own()
    {
        Type[] markers = [typeof(ITournamentEvent), typeof(ICompetitionEvent), typeof(IBoutEvent), typeof(IEquipmentEvent), typeof(ILoanEvent)];
        var events = typeof(Identifiers).Assembly.GetTypes().Where(t => !t.IsInterface && markers.Any(m => m.IsAssignableFrom(t)));

        Assert.Equal(
            events.Select(t => t.Name).Order(StringComparer.Ordinal),
            EventNames.All.Keys.Select(t => t.Name).Order(StringComparer.Ordinal));
        Assert.Equal(EventNames.All.Count, EventNames.All.Values.Distinct().Count());
    }

    [Fact]
    public void Every_stored_name_has_an_approved_form_and_every_approved_form_a_sample()
    {
        Assert.Equal(
            EventNames.All.OrderBy(e => e.Value, StringComparer.Ordinal).Select(e => (e.Value, e.Key)),
            Samples.Where(s => !s.Key.Contains('.', StringComparison.Ordinal)).OrderBy(s => s.Key, StringComparer.Ordinal).Select(s => (s.Key, s.Value.GetType())));
        Assert.All(Samples, s => Assert.Equal(s.Key.Split('.')[0], EventNames.Of(s.Value)));
        Assert.Equal(
            Samples.Keys.Order(StringComparer.Ordinal),
            Directory.EnumerateFiles(Folder, "*.json").Select(f => Path.GetFileNameWithoutExtension(f)).Order(StringComparer.Ordinal));
    }

    [Theory]
    [MemberData(nameof(Files))]
    public void An_event_is_written_as_approved(string file) =>
        Assert.Equal(Approved(file), serializer.ToJson(Samples[file]));

    [Theory]
    [MemberData(nameof(Files))]
    public void An_approved_event_is_read_back_as_it_was(string file)
    {
        using var json = new MemoryStream(Encoding.UTF8.GetBytes(Approved(file)));
        var read = serializer.FromJson(Samples[file].GetType(), json);
        Assert.Equivalent(Samples[file], read, strict: true);
        // Equivalence leaves the order of lists open; written again, it shows.
        Assert.Equal(Approved(file), serializer.ToJson(read));
    }

    private static string Folder => Path.Combine(AppContext.BaseDirectory, "Contract", "events");

    private static string Approved(string file) => File.ReadAllText(Path.Combine(Folder, file + ".json")).TrimEnd('\n');
}
