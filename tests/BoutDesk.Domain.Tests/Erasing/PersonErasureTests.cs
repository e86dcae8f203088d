using System.Collections.Immutable;
using System.Reflection;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Erasing;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tests.Architecture;
using BoutDesk.Domain.Tournaments;
using Xunit;

namespace BoutDesk.Domain.Tests.Erasing;

public class PersonErasureTests
{
    private const string She = "t-1-e1";

    private static readonly EntrantEntered Entered = new(She, new EntrantDetails("Nyström", "Ida", "Riverside", "SWE", 3, Hand.Left, 2009));

    /// <summary>Texts of events that name no person: identifiers, and what belongs to the organiser.</summary>
    private static readonly string[] NoTextOfAPerson =
    [
        "TournamentOpened.Name", "TournamentOpened.Venue", "TournamentOpened.TimeZone", "StripAdded.StripId", "StripAdded.Name", "StripAdded.Kind",
        "StripCorrected.StripId", "StripCorrected.Name", "StripCorrected.Kind",
        "CompetitionAdded.CompetitionId", "AnnouncementMade.AnnouncementId", "AnnouncementTakenDown.AnnouncementId",
        "EquipmentRulesBrought.Rules.Name", "EquipmentRulesBrought.Rules.Edition", "EquipmentRulesBrought.Rules.Required.Source",
        "EquipmentRulesBrought.Rules.Limits.Source", "EquipmentRulesBrought.Rules.Limits.Gauge",
        "DayPlanKept.Plan.Stages.CompetitionId", "DayPlanKept.Plan.For.Fields.CompetitionId", "DayPlanKept.Plan.For.LeftOut",
        "RefereeListed.RefereeId", "RefereeCorrected.RefereeId", "RefereeAway.RefereeId", "RefereeBack.RefereeId", "RefereeErased.RefereeId",
        "CompetitionOpened.TournamentId", "CompetitionOpened.Name", "CompetitionOpened.AgeGroup",
        "EntrantEntered.EntrantId", "EntrantCorrected.EntrantId", "EntrantCheckedIn.EntrantId", "CheckInTakenBack.EntrantId", "EntrantMarkedAbsent.EntrantId",
        "EntrantWithdrew.EntrantId", "EntrantExcluded.EntrantId", "EntrantReinstated.EntrantId", "EntrantErased.EntrantId",
        "PoolRoundDrawn.Exempt", "PoolRoundDrawn.Seeding", "PoolRoundDrawn.Pools.Id", "PoolRoundDrawn.Pools.Fencers",
        "FencersExchanged.First", "FencersExchanged.Second", "FencersExchanged.Pools.Id", "FencersExchanged.Pools.Fencers",
        "PoolRoundClosed.Ranking.EntrantId", "RankingRevised.BoutId", "RankingRevised.Ranking.EntrantId", "TableauDrawn.Seeds",
        "RefereesAppointed.Appointments.At", "RefereesAppointed.Appointments.RefereeId",
        "BoutProgrammed.CompetitionId", "BoutProgrammed.PoolId", "BoutProgrammed.Left.EntrantId", "BoutProgrammed.Right.EntrantId",
        "BoutProgrammed.WinnerTo.BoutId", "BoutProgrammed.LoserTo.BoutId", "SeatTaken.Seat.EntrantId", "StripAssigned.StripId",
        "BoutAnnulled.EntrantId", "BoutRestored.EntrantId",
        "EquipmentChecked.CompetitionId", "EquipmentWaived.CompetitionId",
        "EquipmentChecked.Findings.Limit.Source", "EquipmentChecked.Findings.Limit.Gauge",
        "KitAdded.ItemId", "KitCorrected.ItemId", "KitIssued.ItemId", "KitIssued.EntrantId", "KitIssueTakenBack.ItemId", "KitReturned.ItemId",
        "KitReturnTakenBack.ItemId", "KitMended.ItemId", "KitTakenOut.ItemId",
    ];

    [Fact]
    public void Every_text_of_every_event_is_erased_where_it_names_the_person_unless_it_is_known_to_name_nobody()
    {
        var erasure = new PersonErasure([She], [Entered]);
        var kept = new List<string>();
        foreach (var type in DomainEvents.All)
        {
            foreach (var path in Texts(type, type.Name))
            {
                var happened = DomainEvents.Sample(type);
                if (!erasure.Without("t-1-e2-kit", [Naming(happened, path)]).Any(left => Said(left).All(text => !text.Contains("Nyström", StringComparison.Ordinal))))
                {
                    kept.Add(path);
                }
                else
                {
                    Assert.True(PersonErasure.Concerns(type), $"{type.Name} holds a text, but is left out.");
                }
            }
        }

        Assert.Equal(NoTextOfAPerson.Order(StringComparer.Ordinal), kept.Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Only_the_side_of_the_person_loses_the_reasons_of_its_cards()
    {
        var programmed = new BoutProgrammed("t-1", "t-1-d1p1", 1, null, null, 1, new BoutRules(Weapon.Epee, 5, 1, 3), new Seat("t-1-e2"), new Seat(She), null, null);
        object[] events =
        [
            programmed, new CardShown(Side.Left, Card.Yellow, "late", new Score(0, 0)), new CardShown(Side.Right, Card.Yellow, "late", new Score(0, 0)),
            new SeatTaken(Side.Right, new Seat("t-1-e3")), new CardShown(Side.Right, Card.Yellow, "late", new Score(0, 0)),
        ];
        var left = new PersonErasure([She], [Entered]).Without("t-1-d1p1b1", events);
        Assert.Equal(["late", PersonErasure.Struck, "late"], left.OfType<CardShown>().Select(c => c.Reason));
        Assert.Same(events[1], left[1]);
    }

    [Theory]
    [InlineData("Ask NYSTRÖM's coach", true)]
    [InlineData("(nyström)", true)]
    [InlineData("Nyströmer", false)]
    [InlineData("Ida from the other club", false)]
    [InlineData("Nystrom", false)]
    public void A_text_goes_where_the_family_name_stands_in_it_as_a_word(string text, bool goes)
    {
        var left = new PersonErasure([She], [Entered]).Without("t", [new AnnouncementMade("t-n1", text)]);
        Assert.Equal(goes ? PersonErasure.Struck : text, Assert.IsType<AnnouncementMade>(Assert.Single(left)).Text);
    }

    [Fact]
    public void Erased_people_are_told_apart_and_a_second_erasure_finds_nothing()
    {
        Assert.NotEqual(PersonErasure.LeftOf("t-1-e1").Person(), PersonErasure.LeftOf("t-2-e1").Person());
        Assert.Empty(PersonErasure.LeftOf("t-1-e1").Problems());
        object[] events = [Entered, new EntrantWithdrew(She, "hurt", WithdrawalCause.Injury), new AnnouncementMade("t-n1", "Nyström to strip 2. N. N.")];
        var once = new PersonErasure([She], events).Without("t-1", events);
        Assert.Equal(new EntrantWithdrew(She, PersonErasure.Struck), once[1]);
        var twice = new PersonErasure([She], once).Without("t-1", once);
        Assert.All(once.Zip(twice), pair => Assert.Same(pair.First, pair.Second));
    }

    [Fact]
    public void Of_a_referee_the_qualification_is_left()
    {
        var listed = new RefereeListed("t-r1", new RefereeDetails("Nyström", "Ida", "Riverside", "SWE", [Weapon.Epee], RefereeLevel.National, 540, 1020, [new HallSpan(720, 765)]));
        var left = Assert.IsType<RefereeListed>(Assert.Single(new PersonErasure(["t-r1"], [listed]).Without("t", [listed])));
        Assert.True(left.Details.SameAs(new RefereeDetails(PersonErasure.NoName, "r1", null, null, [Weapon.Epee], RefereeLevel.National, null, null, [])));
        Assert.Empty(left.Details.Problems());
    }

    /// <summary>The texts within a type, by their path.</summary>
    private static IEnumerable<string> Texts(Type type, string path)
    {
        foreach (var property in type.GetProperties(BindingFlags.Public | BindingFlags.Instance).Where(p => p.CanWrite))
        {
            var of = Nullable.GetUnderlyingType(property.PropertyType) ?? property.PropertyType;
            var item = of.IsGenericType && of.GetGenericTypeDefinition() == typeof(ImmutableArray<>) ? of.GetGenericArguments()[0] : of;
            var here = $"{path}.{property.Name}";
            if (item == typeof(string))
            {
                yield return here;
            }
            else if (item.Assembly == DomainEvents.Domain && !item.IsEnum)
            {
                foreach (var deeper in Texts(item, here))
                {
                    yield return deeper;
                }
            }
        }
    }

    /// <summary>The event with the name of the person in one of its texts.</summary>
    private static object Naming(object happened, string path)
    {
        Put(happened, path.Split('.')[1..]);
        return happened;

        static void Put(object within, string[] path)
        {
            var property = within.GetType().GetProperty(path[0])!;
            var value = property.GetValue(within)!;
            if (path.Length == 1)
            {
                property.SetValue(within, value is ImmutableArray<string> ? (object)ImmutableArray.Create("asks for Nyström") : "asks for Nyström");
            }
            else
            {
                Put(value is System.Collections.IEnumerable list and not string ? list.Cast<object>().First() : value, path[1..]);
            }
        }
    }

    /// <summary>All texts that are said in an event.</summary>
    private static IEnumerable<string> Said(object? thing) => thing switch
    {
        null => [],
        string text => [text],
        System.Collections.IEnumerable list => list.Cast<object?>().SelectMany(Said),
        _ when thing.GetType().Assembly == DomainEvents.Domain && !thing.GetType().IsEnum =>
            thing.GetType().GetProperties(BindingFlags.Public | BindingFlags.Instance).Where(p => p.CanWrite).SelectMany(p => Said(p.GetValue(thing))),
        _ => [],
    };
}
