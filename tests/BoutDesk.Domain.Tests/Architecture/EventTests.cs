using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using Xunit;

namespace BoutDesk.Domain.Tests.Architecture;

/// <summary>What holds for every event, whoever adds the next one.</summary>
public class EventTests
{
    public static TheoryData<Type> Events => [.. DomainEvents.All];

    [Fact]
    public void There_are_events_of_every_kind() =>
        Assert.All(DomainEvents.Markers, marker => Assert.NotEmpty(DomainEvents.Of(marker)));

    [Fact]
    public void No_two_events_have_one_name() =>
        Assert.Equal(DomainEvents.All.Length, DomainEvents.All.Select(t => t.Name).Distinct(StringComparer.OrdinalIgnoreCase).Count());

    [Theory]
    [MemberData(nameof(Events))]
    public void An_event_is_a_sealed_public_record_of_one_kind(Type type)
    {
        Assert.True(type.IsSealed && type.IsPublic && type.GetMethod("<Clone>$") is not null);
        Assert.Single(DomainEvents.Markers, marker => marker.IsAssignableFrom(type));
    }

    [Theory]
    [MemberData(nameof(Events))]
    public void An_event_keeps_every_value_it_is_made_of(Type type) => Assert.All(
        type.GetConstructors().MaxBy(c => c.GetParameters().Length)!.GetParameters(),
        parameter => Assert.Equal(parameter.ParameterType, type.GetProperty(parameter.Name!)?.PropertyType));

    [Theory]
    [MemberData(nameof(Events))]
    public void Every_event_is_folded_and_counted(Type type)
    {
        var happened = DomainEvents.Sample(type);
        var (before, after) = Fold(happened);
        Assert.Equal(happened is BoutProgrammed or CompetitionOpened or TournamentOpened ? 1 : before + 1, after);
    }

    [Theory]
    [MemberData(nameof(Events))]
    public void A_stream_begins_with_its_first_event_only(Type type)
    {
        var happened = DomainEvents.Sample(type);
        if (happened is BoutProgrammed or CompetitionOpened or TournamentOpened or EquipmentChecked or EquipmentWaived or KitAdded)
        {
            Assert.Equal(1, FoldFirst(happened));
        }
        else
        {
            Assert.Throws<InvalidOperationException>(() => FoldFirst(happened));
        }
    }

    [Fact]
    public void An_event_nobody_knows_is_not_passed_over()
    {
        Assert.Throws<InvalidOperationException>(() => Fold(new UnknownBoutEvent()));
        Assert.Throws<InvalidOperationException>(() => Fold(new UnknownCompetitionEvent()));
        Assert.Throws<InvalidOperationException>(() => Fold(new UnknownTournamentEvent()));
        Assert.Throws<InvalidOperationException>(() => Fold(new UnknownEquipmentEvent()));
        Assert.Throws<InvalidOperationException>(() => Fold(new UnknownLoanEvent()));
    }

    [Fact]
    public void Taking_back_what_was_never_there_is_not_passed_over()
    {
        var bout = Bout.Evolve(null, "b", (IBoutEvent)DomainEvents.Sample(typeof(BoutProgrammed)));
        Assert.Throws<InvalidOperationException>(() => Bout.Evolve(bout, "b", new TouchTakenBack(default)));
        Assert.Throws<InvalidOperationException>(() => Bout.Evolve(bout, "b", new CardTakenBack(default)));
        Assert.Throws<InvalidOperationException>(() => Bout.Evolve(bout, "b", new TimeTakenBack()));
        Assert.Throws<InvalidOperationException>(() => Bout.Evolve(bout, "b", new PriorityTakenBack()));
        Assert.Throws<InvalidOperationException>(() => Bout.Evolve(bout, "b", new BreakTakenBack()));
        var record = EquipmentRecord.Evolve(null, "k", Sample<EquipmentWaived>());
        Assert.Throws<InvalidOperationException>(() => EquipmentRecord.Evolve(record, "k", new EquipmentCheckTakenBack()));
        var store = LoanStore.Evolve(null, "l", Sample<KitAdded>());
        Assert.Throws<InvalidOperationException>(() => LoanStore.Evolve(store, "l", Sample<KitIssueTakenBack>()));
        Assert.Throws<InvalidOperationException>(() => LoanStore.Evolve(store, "l", Sample<KitReturnTakenBack>()));
        Assert.Throws<InvalidOperationException>(() => LoanStore.Evolve(store, "l", Sample<KitReturned>()));
    }

    private static (int Before, int After) Fold(object happened)
    {
        switch (happened)
        {
            case IBoutEvent bout:
                // Everything that can be taken back or restored is there.
                IBoutEvent[] fenced =
                [
                    Sample<BoutProgrammed>(), Sample<TouchScored>(), Sample<CardShown>(), Sample<TimeRanOut>(), Sample<PriorityDrawn>(),
                    Sample<BreakTaken>(), Sample<BoutAnnulled>(),
                ];
                var state = fenced.Aggregate((Bout?)null, (b, e) => Bout.Evolve(b, "b", e))!;
                return (state.Version, Bout.Evolve(state, "b", bout).Version);
            case ICompetitionEvent competition:
                ICompetitionEvent[] day =
                [
                    Sample<CompetitionOpened>(), Sample<EntrantEntered>(), Sample<PoolRoundDrawn>(), Sample<PoolRoundClosed>(), Sample<TableauDrawn>(),
                ];
                var held = day.Aggregate((Competition?)null, (c, e) => Competition.Evolve(c, "c", e))!;
                return (held.Version, Competition.Evolve(held, "c", competition).Version);
            case ITournamentEvent tournament:
                // Who is corrected or away is listed before, and a strip that is corrected was added.
                ITournamentEvent[] set = [Sample<TournamentOpened>(), Sample<RefereeListed>(), Sample<StripAdded>()];
                var opened = set.Aggregate((Tournament?)null, (t, e) => Tournament.Evolve(t, "t", e))!;
                return (opened.Version, Tournament.Evolve(opened, "t", tournament).Version);
            case IEquipmentEvent equipment:
                var record = EquipmentRecord.Evolve(null, "k", Sample<EquipmentChecked>());
                return (record.Version, EquipmentRecord.Evolve(record, "k", equipment).Version);
            case ILoanEvent loan:
                // What comes back is out before it; what is taken back or mended is back.
                ILoanEvent[] lent = loan is KitReturnTakenBack or KitMended
                    ? [Sample<KitAdded>(), Sample<KitIssued>(), Sample<KitReturned>()]
                    : [Sample<KitAdded>(), Sample<KitIssued>()];
                var store = lent.Aggregate((LoanStore?)null, (s, e) => LoanStore.Evolve(s, "l", e))!;
                return (store.Version, LoanStore.Evolve(store, "l", loan).Version);
            default:
                throw new ArgumentException("Of no kind.", nameof(happened));
        }
    }

    private static int FoldFirst(object happened) => happened switch
    {
        IBoutEvent bout => Bout.Evolve(null, "b", bout).Version,
        ICompetitionEvent competition => Competition.Evolve(null, "c", competition).Version,
        ITournamentEvent tournament => Tournament.Evolve(null, "t", tournament).Version,
        IEquipmentEvent equipment => EquipmentRecord.Evolve(null, "k", equipment).Version,
        ILoanEvent loan => LoanStore.Evolve(null, "l", loan).Version,
        _ => throw new ArgumentException("Of no kind.", nameof(happened)),
    };

    private static T Sample<T>() => (T)DomainEvents.Sample(typeof(T));

    private sealed record UnknownBoutEvent : IBoutEvent;

    private sealed record UnknownCompetitionEvent : ICompetitionEvent;

    private sealed record UnknownTournamentEvent : ITournamentEvent;

    private sealed record UnknownEquipmentEvent : IEquipmentEvent;

    private sealed record UnknownLoanEvent : ILoanEvent;
}
