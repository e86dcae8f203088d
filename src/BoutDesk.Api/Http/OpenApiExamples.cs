using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Api.Bouts;
using BoutDesk.Api.Calculators;
using BoutDesk.Api.Competitions;
using BoutDesk.Api.Elimination;
using BoutDesk.Api.Entries;
using BoutDesk.Api.Equipment;
using BoutDesk.Api.Erasing;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Halls;
using BoutDesk.Api.LoanKit;
using BoutDesk.Api.Passes;
using BoutDesk.Api.Planning;
using BoutDesk.Api.Pools;
using BoutDesk.Api.Refereeing;
using BoutDesk.Api.Timetables;
using BoutDesk.Api.Tournaments;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Strips;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Http;

/// <summary>
/// An example of every body in the OpenAPI document. They are values of the types themselves, so that they cannot
/// lag behind them. All people and clubs are invented.
/// </summary>
internal static class OpenApiExamples
{
    private const string Tournament = "k7mq3zba";
    private const string Competition = Tournament + "-1";
    private const string Entrant = Competition + "-e1";
    private const string Opponent = Competition + "-e2";
    private const string PoolOne = Competition + "-d1p1";
    private const string StripOne = Tournament + "-s1";
    private const string Harbour = "Harbour Blades";
    private const string Millbrook = "Millbrook Fencing";

    private static readonly DateTimeOffset Morning = new(2026, 11, 28, 9, 30, 0, TimeSpan.FromHours(1));

    private static readonly ExpectedTime Soon = new(Morning.AddMinutes(130), Morning.AddMinutes(115), Morning.AddMinutes(155));

    private static readonly StandingView First = new(1, Entrant, "Aubert Maïa", Harbour, "FRA", 5, 5, 1m, 25, 9, 16, false, 1, 3, true, Fate.Promoted);

    private static readonly Announcement FoodIsReady = new(Tournament + "-n1", "Lunch is served until one o'clock.");

    private static readonly NextCards OneWarned =
        new([Card.Yellow, Card.Red, Card.Red, Card.Black], [Card.Red, Card.Red, Card.Red, Card.Black]);

    private static readonly StandingView Second = new(2, Opponent, "Berg Nils", Millbrook, "SWE", 4, 5, 0.8m, 22, 14, 8, false, 1, 4, true, Fate.Open);

    private static readonly Entrant Maia =
        new(Entrant, new EntrantDetails("Aubert", "Maïa", Harbour, "FRA", 12, Hand.Left, 2004), EntrantStatus.CheckedIn, null);

    private static readonly Competition Epee = new()
    {
        Id = Competition,
        TournamentId = Tournament,
        Name = "Women's épée",
        Weapon = Weapon.Epee,
        Category = Category.Women,
        AgeGroup = "senior",
        Formula = new Formula(),
        Entrants = [Maia],
    };

    private static readonly EquipmentRules BroughtRules = new(
        "Millbrook youth rules",
        "2026",
        [new RequiredItem(EquipmentItem.Mask, 1, "§ 4"), new RequiredItem(EquipmentItem.Weapon, 2, "§ 5", Weapon: Weapon.Epee)],
        [new EquipmentLimit(EquipmentItem.Weapon, Measure.Mass, LimitRelation.Below, "§ 5", Bound: 770, Weapon: Weapon.Epee)]);

    private static readonly EquipmentRecord TooHeavy = new()
    {
        Id = Entrant + "-kit",
        CompetitionId = Competition,
        Checks =
        [
            new EquipmentChecked(Competition, EquipmentItem.Mask, Verdict.Passed, "green 14", null, At: Morning),
            new EquipmentChecked(
                Competition,
                EquipmentItem.Weapon,
                Verdict.Failed,
                null,
                "Too heavy.",
                2,
                Inspection.Of(BroughtRules, EquipmentItem.Weapon, Weapon.Epee, [new Reading(Measure.Mass, 781)]),
                BladeSize: 5,
                At: Morning),
        ],
    };

    private static readonly BoutView Halted = new BoutView(
        PoolOne + "b1",
        Competition,
        PoolOne,
        null,
        1,
        StripOne,
        BoutStatus.Fencing,
        new BoutFencerView(Entrant, "Aubert Maïa", Harbour, "FRA", Hand.Left, false),
        new BoutFencerView(Opponent, "Berg Nils", Millbrook, "SWE", null, false),
        new ScoreView(1, 0),
        null,
        false,
        1,
        null,
        false,
        [ShownCard.Of(Side.Right, Card.Yellow, 1)],
        Weapon.Epee,
        5,
        1,
        3,
        BoutPhase.Halted,
        null,
        new ClockView(1, 94_200, null, true),
        OneWarned,
        [],
        [new BoutActionView(BoutActionKind.Card, Side.Right, Card.Yellow, 1), new BoutActionView(BoutActionKind.Touch, Side.Left, null, null)],
        new BoutActionView(BoutActionKind.Touch, Side.Left, null, null),
        BoutStep.Fence);

    private static readonly HallToPlan SmallHall =
        new(20, 12, [new DoorToKeep(Wall.Left, 9.5m, 1.8m)], [new BlockToKeep(14, 10.5m, 6, 1.5m, "bleachers")]);

    private static readonly PlannedCompetition PlannedEpee = new(
        Competition, "Women's épée", 24, Morning, Morning.AddHours(6), 5, 20, false, 0, true, 0, [new PlannedStageView(StageKind.Pools, 1, 66, 1, Morning, Morning.AddHours(1.25), [1, 2, 3, 4])]);

    private static readonly KitView LentGlove = new(
        Tournament + "-k3", 3, EquipmentItem.Glove, null, Harbour, "8", KitHand.Right, "G3", KitState.Out, Entrant, "Aubert Maïa", Harbour, Competition, "Women's épée", null, null, null);

    private static readonly RefereeView MaraLind = new(
        Tournament + "-r1", "Lind", "Mara", "Riverside", "AUT", [Weapon.Foil, Weapon.Epee], RefereeLevel.National, "09:00", "17:00", ["12:00-12:45"], false);

    private static readonly AppointmentView LindAtPoolOne = new(PoolOne, 1, null, Tournament + "-r1", "Lind Mara", "Riverside", [], null);

    private static readonly Dictionary<Type, object> ByType = new object[]
    {
        // What is sent.
        new OpenTournament("Millbrook Open", "Millbrook Hall", new DateOnly(2026, 11, 28), "Europe/Paris"),
        new BoutDesk.Api.Archives.ImportedArchive(Tournament, 1204),
        new Announce("Lunch is served until one o'clock."),
        new AddStrip("Strip 1", "floor", [Weapon.Foil, Weapon.Epee]),
        new GivePass(PassKind.Armourer, ExpiresAt: new DateTimeOffset(2099, 11, 28, 20, 0, 0, TimeSpan.Zero)),
        new OpenCompetition("Women's épée", Weapon.Epee, Category.Women, "senior", new FormulaSettings(new PoolSettings(Size: 7))),
        new FormulaSettings(new PoolSettings(Size: 6, Promote: new Promotion { Percent = 80 })),
        new EnterFencer("Aubert", "Maïa", Harbour, "FRA", 12, Hand.Left, 2004),
        new GiveReason("Injured in the warm-up."),
        new WithdrawEntrant("A sprained ankle.", WithdrawalCause.Injury),
        new ReinstateEntrant("Withdrawn by mistake."),
        new ErasePerson([Tournament + "-2-e5"]),
        new ErasedView([Entrant, Tournament + "-2-e5"], 7, []),
        new CheckEquipment(
            EquipmentItem.Weapon,
            new Dictionary<string, JsonElement> { ["mass"] = JsonSerializer.SerializeToElement("781 g"), ["guardGauge"] = JsonSerializer.SerializeToElement(true) },
            Piece: 2,
            Note: "Too heavy.",
            BladeSize: 5),
        new PassTheRest("green 14"),
        new SetEquipmentGate(EquipmentGate.Warn),
        new PlanDay("09:00", "18:00", 6, 5, [new ClosedSpan("12:30", "13:15")], [new ExpectedCompetition(Competition, 24, "09:30")], 500, WhatIf: new PlanWhatIf(RefereesMissing: 1)),
        BroughtRules,
        new AddKit(EquipmentItem.Glove, null, Harbour, "8", KitHand.Right, "G1", 6),
        new CorrectKit(EquipmentItem.Glove, null, Harbour, "8.5", KitHand.Right, "G3"),
        new IssueKit(Entrant),
        new ReturnKit(KitCondition.ToMend, "The seam of the thumb is open."),
        new BodyToFit(128, null, 165, "U10"),
        new ListReferee("Lind", [Weapon.Foil, Weapon.Epee], "Mara", "Riverside", "AUT", RefereeLevel.National, "09:00", "17:00", ["12:00-12:45"]),
        new AssignReferees(RefereeLevel.Club, AtOnce: 4, Begins: "09:30"),
        new AppointReferee(Tournament + "-r1"),
        new DrawPoolRound(PoolSize: 6),
        new ExchangeFencers(Entrant, Opponent),
        new CloseRound(DrawSeed: 2026),
        new AssignStrip(null),
        new RecordResult(5, 3, Side.Left),
        new ScoreTouch(TouchSide.Left),
        new ShowCard(Side.Right, "Covering the target.", Card.Yellow),
        new TakeBreak(Side.Right, BreakKind.Medical),
        new HandleClock(ClockAction.Start, 174_500),
        new DrawPriority(Side.Left),
        new DrawTableau(DrawSeed: 2026),
        new PoolResults(4, [new PoolResult(1, 4, 5, 2), new PoolResult(2, 3, 4, 4, Side.Right), new PoolResult(1, 3, 3, 5)]),
        new RoundSoFar([new PoolResults(3, [new PoolResult(1, 3, 5, 2), new PoolResult(2, 3, 4, 5)])], Promote: 2),
        new PoolOfPositions(4, [[1, 2]]),
        new FencersToDeal(
            [
                new FencerToDeal("aubert", Harbour, "FRA"),
                new FencerToDeal("berg", Millbrook, "SWE"),
                new FencerToDeal("costa", Harbour, "POR"),
                new FencerToDeal("dorn", Millbrook, "GER"),
                new FencerToDeal("egan", null, "IRL"),
                new FencerToDeal("faber", Harbour, "GER"),
            ],
            PoolCount: 2),
        new TableauOfSeeds(6),
        new TableauResults(4, [new SeedResult(1, 4, 1), new SeedResult(3, 2, 3), new SeedResult(1, 3, 3)]),
        new TableauToPlan(4, Strips: 1),
        new PathOfSeed(4, 1),
        new StripToCheck(Length: 13.96m, Width: 1.8m, LeftRunOff: 2m),
        SmallHall,

        new BoutToFollow(
            Weapon.Foil,
            [
                new ActionToFollow(BoutActionKind.Touch, Side.Left),
                new ActionToFollow(BoutActionKind.Card, Side.Right, Group: 1),
                new ActionToFollow(BoutActionKind.Card, Side.Right, Group: 1),
                new ActionToFollow(BoutActionKind.Time),
            ]),

        // What is answered.
        new TournamentView(Tournament, "Millbrook Open", "Millbrook Hall", new DateOnly(2026, 11, 28), "Europe/Paris", [new Strip(StripOne, "Strip 1", "floor", [Weapon.Foil, Weapon.Epee])], [Competition], [FoodIsReady]),
        FoodIsReady,
        new Strip(StripOne, "Strip 1", "floor", [Weapon.Foil, Weapon.Epee]),
        new GivenPass(
            Tournament + "-pass-0198f2", PassKind.Referee, "mJ1vXc0T8nYqR5wLkP2eZs7HdUaB4gFo", $"http://localhost:5080/strip/{Tournament}#mJ1vXc0T8nYqR5wLkP2eZs7HdUaB4gFo", "<svg …>", [PoolOne], [], [], null),
        new OwnPass(PassKind.Referee, Tournament, "Millbrook Open", [new NamedPart(PoolOne, "Women's épée, pool 1")], [], [], null, new OwnForecast(Morning, [])),
        new PassView(Tournament + "-pass-0198f2", PassKind.Referee, [PoolOne], [], [], Morning, "desk-first", null, null),
        new CompetitionView(
            Competition, Tournament, "Women's épée", Weapon.Epee, Category.Women, "senior", Stage.Pools, 24, 23, [new PoolRoundSummary(1, 4, false)], null, new Formula(), EquipmentGate.Warn),
        new EntrantView(Entrant, "Aubert", "Maïa", Harbour, "FRA", 12, Hand.Left, null, EntrantStatus.CheckedIn, null, null, [EquipmentItem.Mask], []),
        new LeavingView(
            new EntrantView(Entrant, "Aubert", "Maïa", Harbour, "FRA", 12, Hand.Left, 2004, EntrantStatus.Withdrawn, "A sprained ankle.", WithdrawalCause.Injury, [EquipmentItem.Mask], []),
            [new Consequence($"5 bout(s) of the pool do not count, for the opponents either.", LeavingRule.PoolBoutsAnnulled)]),
        new ImportReport(22, 1, [new RowProblem(7, "ranking", $"Must be a whole number or empty, but is 'A'.")], ["licence"]),
        EquipmentLine.Of(Epee, Maia, EquipmentRules.Usual, TooHeavy),
        EquipmentView.Of(Epee, Maia, EquipmentRules.Usual, TooHeavy, forDesk: false),
        new InspectedView(
            EquipmentView.Of(Epee, Maia, EquipmentRules.Usual, TooHeavy, forDesk: false),
            Verdict.Failed,
            [.. TooHeavy.Checks[^1].Findings!.Value.Select(LimitView.Of)]),
        new EquipmentTableView(
            31,
            12,
            24.5m,
            Morning.AddMinutes(30),
            [new FailureCount(EquipmentItem.BodyCord, 64, 5)],
            [TableFencerView.Of(Epee, Maia, here: true, TooHeavy, EquipmentState.Of(EquipmentRules.Usual, Weapon.Epee, Category.Women, TooHeavy))],
            Cautions.Equipment),
        new PlanView(
            Morning.AddHours(6),
            Morning.AddHours(8.5),
            true,
            Morning.AddHours(5.75),
            4.3m,
            new BoundBy(DayLimit.Strips, [Competition]),
            false,
            0,
            0,
            6,
            5,
            true,
            [new StripOfKind(1, "Strip 1", [Weapon.Foil, Weapon.Epee])],
            [PlannedEpee],
            [],
            [],
            [new WhatIf(PlanChange.StripsFewer, 1, Morning.AddHours(6.5), 30, true, 0, 0, 5, 5, [PlannedEpee with { To = Morning.AddHours(6.5), LaterMinutes = 30 }])],
            [],
            $"A plan by usual times."),
        new PlanProgress(40_000, 100_000, Morning.AddHours(6), Morning.AddHours(5.75), 0, false),
        new KeptStageView(Competition, "Women's épée", StageKind.Pools, 1, 1, Morning, Morning.AddHours(1.25), "1 2 3 4"),
        new KeptPlanView(
            Morning,
            Morning.AddHours(9),
            6,
            5,
            [new ClosedTime(Morning.AddHours(3.5), Morning.AddHours(4.25))],
            Morning.AddHours(6),
            Morning.AddHours(5.75),
            [new KeptStageView(Competition, "Women's épée", StageKind.Pools, 1, 1, Morning, Morning.AddHours(1.25), "1 2 3 4")],
            new MadeFor([new MadeForCompetition(Competition, "Women's épée", 24, true, Morning)], new PlanWhatIf(), true, [], true),
            [MovedView.Of(new MovedNumber(Competition, 24, 27), "Women's épée")]),
        new TimetableView(
            Morning.AddHours(1),
            Soon,
            [
                new TimetableCompetition(
                    Competition,
                    "Women's épée",
                    Soon,
                    5.4m,
                    20,
                    [new TimetableStage(StageKind.Pools, 1, Morning, Morning.AddMinutes(5), null, Soon)],
                    [new TimetableBout(PoolOne + "b7", 1, null, 7, "Aubert Maïa", "Berg Nils", StripOne, Soon)]),
            ],
            [new TimetableFencer(Entrant, "Aubert Maïa", Soon)],
            [new TimetableWarning(Competition, Morning.AddMinutes(90), Soon, LateReason.LateStart, $"Women's épée is late.", $"It began late.")]),
        new TimetableRow(Competition, "Women's épée", PoolOne + "b7", 1, null, 7, "Aubert Maïa", "Berg Nils", "Strip 1", Soon.At, Soon.From, Soon.To),
        MaraLind,
        new AssignedReferees(
            [LindAtPoolOne],
            [new UncoveredView(PoolOne, UncoveredReason.OwnClub, "Pool 2: All who are free belong to clubs of its fencers: Harbour Blades.", [new WayOut(Tournament + "-r2", "Otero Paz", Bars.Away)])]),
        LindAtPoolOne,
        new CompetitionReferees([LindAtPoolOne], [new RefereeLoad(MaraLind.Id, "Lind Mara", 15, 36)]),
        new RulesInForce(true, BroughtRules, Cautions.Equipment),
        new BoutEquipment(EquipmentGate.Block, true, [new Unready(Entrant, "Aubert Maïa", [EquipmentItem.Weapon], [EquipmentItem.Weapon])]),
        LentGlove,
        new IssuedKit(LentGlove, [new LoanWarning($"Note: it is for the right hand, and {"Aubert Maïa"} is entered as left-handed.", LoanWarningKind.OtherHand)]),
        new AddedKit([LentGlove with { State = KitState.In, EntrantId = null, Fencer = null, FencerClub = null, CompetitionId = null, Competition = null }]),
        new KitSizeHints(
            new ClothingSize(128, SizeScale.BodyHeight, new SizeRange(125, 130)),
            new ClothingSize(128, SizeScale.BodyHeight, new SizeRange(125, 130)),
            6.5m,
            new SizeRange(0, 2),
            ["XS", "S"],
            [$"These are hints only: sizes differ between makers, and trying on decides."]),
        new PoolRoundView(
            1,
            false,
            2026,
            [new Separation(AffiliationKind.Club, 1, 1)],
            [],
            [new PoolSummary(PoolOne, 1, StripOne, [new PoolFencerView(1, Entrant, "Aubert Maïa", Harbour, "FRA", EntrantStatus.CheckedIn)], 15, 4)],
            [First, Second]),
        new ExchangeView(
            1,
            new ExchangedFencerView(Entrant, "Aubert Maïa", 1, 1, 2, [new PoolMateView(Competition + "-e3", "Costa Rui", AffiliationKind.Club)]),
            new ExchangedFencerView(Opponent, "Berg Nils", 2, 2, 1, []),
            true,
            [new ExchangedSeparation(AffiliationKind.Club, 0, 1, 0)]),
        new ClosedRoundView(
            1,
            2026,
            [First with { WorstPlace = 1 }, Second with { BestPlace = 2, WorstPlace = 2, Fate = Fate.Out }],
            [First with { WorstPlace = 1 }],
            [Second with { BestPlace = 2, WorstPlace = 2, Fate = Fate.Out }]),
        First,
        new PoolView(
            PoolOne,
            Competition,
            1,
            1,
            false,
            StripOne,
            [
                new PoolFencerView(1, Entrant, "Aubert Maïa", Harbour, "FRA", EntrantStatus.CheckedIn),
                new PoolFencerView(2, Opponent, "Berg Nils", Millbrook, "SWE", EntrantStatus.CheckedIn),
            ],
            [new PoolBoutView(PoolOne + "b1", 1, 1, 2, BoutStatus.Decided, new ScoreView(5, 3), Side.Left, 4)],
            [First with { WorstPlace = 2, Fate = null }, Second with { WorstPlace = 3, Fate = null }]),
        new PoolFencerLine(PoolOne, 1, StripOne, 1, Entrant, "Aubert Maïa", Harbour, "FRA", EntrantStatus.CheckedIn),
        new PoolBoutLine(
            PoolOne + "b1", 1, 1, StripOne, 1, Entrant, "Aubert Maïa", Harbour, 2, Opponent, "Berg Nils", Millbrook, BoutStatus.Decided, 5, 3, Side.Left),
        new SeedView(1, Entrant, "Aubert Maïa", Harbour, "FRA", 5, 5, 1m, 16, 25, 9, false),
        Halted,
        new CalledView(Halted with { Status = BoutStatus.Open, Score = null, Actions = [], Cards = [], LastAction = null }, new BoutEquipment(EquipmentGate.Warn, false, [])),
        new PenaltyView(Halted, []),
        new OwnBout(7, "Women's épée", 1, Halted, null),
        new HistoryLine(2, Morning, Tournament + "-pass-0198f2", "touch-scored", null, new JsonObject { ["side"] = "left", ["score"] = new JsonObject { ["left"] = 1, ["right"] = 0 }, ["at"] = null }),
        new TableauView(
            4,
            [
                new TableView(
                    4,
                    [
                        new TableauBoutView(
                            Competition + "-d2t4b1",
                            1,
                            null,
                            new TableauFencerView(1, Entrant, "Aubert Maïa", Harbour, "FRA", false),
                            new TableauFencerView(4, Opponent, "Berg Nils", Millbrook, "SWE", false),
                            BoutStatus.Open,
                            null,
                            null),
                    ]),
            ],
            null,
            [],
            []),
        new TableauBoutLine(
            Competition + "-d2t4b1",
            TableauPart.Main,
            1,
            4,
            1,
            StripOne,
            1,
            Entrant,
            "Aubert Maïa",
            Harbour,
            4,
            Opponent,
            "Berg Nils",
            Millbrook,
            BoutStatus.Decided,
            15,
            9,
            Side.Left),
        new CallView(1, Competition + "-d2t4b1", 4, StripOne, "Aubert Maïa", "Berg Nils", true, Morning, Morning),
        new PathView(
            Entrant,
            1,
            false,
            [
                new PathBoutView(
                    Competition + "-d2t4b1",
                    4,
                    TableauPart.Main,
                    [new TableauFencerView(4, Opponent, "Berg Nils", Millbrook, "SWE", false)],
                    new IfLostView(false, 3, 4)),
            ]),
        new TableauTimetable(
            70,
            [
                new PlannedCall("t4b1", 4, TableauPart.Main, 1, 4, 0),
                new PlannedCall("t4b2", 4, TableauPart.Main, 3, 2, 20),
                new PlannedCall("t2b1", 2, TableauPart.Main, null, null, 50),
            ]),
        new SeedPath(
            [
                new SeedPathBout("t4b1", 4, TableauPart.Main, [4], new IfLostView(false, 3, 4)),
                new SeedPathBout("t2b1", 2, TableauPart.Main, [2, 3], new IfLostView(false, 2, 2)),
            ]),
        new ClassificationLine(1, Entrant, "Aubert Maïa", Harbour, "FRA", "winner"),
        new FeedItem("touch-scored", Morning, Competition, PoolOne, PoolOne + "b1", null, new ScoreView(3, 2), null),
        new PlacesSoFar(2, [new PositionPlaces(1, 1, 1, 3, true, Fate.Open)]),
        new PositionStandings([new PositionStanding(1, 1, 1, 2, 0.5m, 8, 7, 1, false)]),
        new PoolOrder([[1, 2], [3, 4], [1, 3], [2, 4], [1, 4], [2, 3]]),
        new DealtPools([["aubert", "dorn", "egan"], ["berg", "costa", "faber"]], 1, 1, 0, true, [new Separation(AffiliationKind.Club, 1, 1)]),
        new FirstTable(8, [[1, null], [5, 4], [3, 6], [2, null]]),
        new FollowedBout(
            new ScoreView(2, 0),
            Side.Left,
            1,
            null,
            false,
            BoutPhase.Over,
            null,
            [ShownCard.Of(Side.Right, Card.Yellow, 1), ShownCard.Of(Side.Right, Card.Red, 1)],
            OneWarned,
            [],
            BoutStep.ConfirmResult),
        new CheckedStrip(
            false,
            [.. StripCheck.Of([new(StripMeasure.Length, 13_960), new(StripMeasure.Width, 1_800)]).Select(CheckedMeasure.Of)],
            [StripMeasure.LeftRunOff, StripMeasure.RightRunOff],
            [HallCautions.Rules]),
        PlannedHall.Of(HallReport.Of(ReadHall.Of(SmallHall, new FieldErrors())!)),
        new SeedPlaces([new SeedPlace(3, 1), new SeedPlace(1, 2), new SeedPlace(2, 3), new SeedPlace(4, 3)]),
    }.ToDictionary(example => example.GetType());

    /// <summary>An entry list as CSV.</summary>
    private static string EntryList { get; } =
        "familyName,givenName,club,country,ranking,hand,birthYear\r\nAubert,Maïa,Harbour Blades,FRA,12,left,2004\r\nBerg,Nils,Millbrook Fencing,SWE,,right,\r\n";

    /// <summary>A drawing, in short.</summary>
    public const string Drawing = "<svg …>";

    /// <summary>A calendar, shortened.</summary>
    public const string Calendar = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n…\r\nEND:VCALENDAR\r\n";

    /// <summary>A list of loan kit as CSV.</summary>
    private static string KitList { get; } =
        "item,weapon,club,size,hand,label,count\r\nglove,,Harbour Blades,8,right,G1,6\r\nmask,,Harbour Blades,M,,M7,\r\nweapon,foil,Millbrook Fencing,0,right,,2\r\n";

    /// <summary>A list of referees as CSV.</summary>
    private static string RefereeList { get; } =
        "familyName,givenName,club,country,weapons,level,from,to,breaks\r\nLind,Mara,Riverside,AUT,foil epee,national,09:00,17:00,12:00-12:45\r\nOtero,Paz,Harbour Blades,ESP,sabre,club,,,\r\n";

    /// <summary>The same as an example body, as a list in CSV.</summary>
    public static string CsvToSend(Type type) => type == typeof(AddKit) ? KitList : type == typeof(ListReferee) ? RefereeList : EntryList;

    /// <summary>The example of a type, or of a list of it.</summary>
    public static JsonNode Of(Type type) => type.GetElementType() is { } item
        ? new JsonArray(Of(item))
        : JsonSerializer.SerializeToNode(ByType[type], type, JsonSetup.Options)!;

    /// <summary>A list of the example of a type, as CSV.</summary>
    public static string CsvOf(Type type) => Encoding.UTF8.GetString(Csv.Write(type, [ByType[type]], CsvForm.Commas));

    /// <summary>What a stream tells: of the search for a plan, else of a tournament.</summary>
    public static string EventOf(Type type) => type == typeof(PlanView)
        ? $"event: progress\ndata: {Of(typeof(PlanProgress)).ToJsonString()}\n\n"
        : $"id: 42\nevent: touch-scored\ndata: {Of(typeof(FeedItem)).ToJsonString()}\n\n";

    /// <summary>A problem of the kind that an operation is most likely to answer a status with.</summary>
    public static JsonNode? OfProblem(int status)
    {
        var problem = status switch
        {
            400 => Problem.Invalid("ranking", $"Must be from 1 (best) to 1000000, or left out when unranked, but is 0."),
            404 => Problem.NotFound("competition"),
            409 => new Problem(ProblemKinds.Of(Domain.RefusalReason.BoutsOpen), $"1 bout(s) of the round have no result yet. Finish them, or let fencers who left withdraw.") { Concerns = [PoolOne + "b7"] },
            _ => ProblemKinds.All.FirstOrDefault(kind => kind.Status == status) is { } kind ? new Problem(kind, $"What is the matter here, and what to do.") : null,
        };
        return problem is null ? null : JsonSerializer.SerializeToNode(problem.ToDetails(), JsonSetup.Options);
    }
}
