using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using JasperFx.Events;
using Marten.Events.Aggregation;

namespace BoutDesk.Api.EventStore;

// The domain folds its own events; the store only has to be told which belong to which state. Each state is kept
// beside its stream in the same transaction, so that a read never lags behind what was acknowledged.

internal sealed partial class TournamentProjection : SingleStreamProjection<Tournament, string>
{
    public TournamentProjection()
    {
        foreach (var type in EventNames.OfKind<ITournamentEvent>())
        {
            IncludeType(type);
        }
    }

    public override Tournament Evolve(Tournament? snapshot, string id, IEvent e) =>
        Tournament.Evolve(snapshot, id, (ITournamentEvent)e.Data);
}

internal sealed partial class CompetitionProjection : SingleStreamProjection<Competition, string>
{
    public CompetitionProjection()
    {
        foreach (var type in EventNames.OfKind<ICompetitionEvent>())
        {
            IncludeType(type);
        }
    }

    public override Competition Evolve(Competition? snapshot, string id, IEvent e) =>
        Competition.Evolve(snapshot, id, (ICompetitionEvent)e.Data);
}

internal sealed partial class BoutProjection : SingleStreamProjection<Bout, string>
{
    public BoutProjection()
    {
        foreach (var type in EventNames.OfKind<IBoutEvent>())
        {
            IncludeType(type);
        }
    }

    public override Bout Evolve(Bout? snapshot, string id, IEvent e) =>
        BoutTimes.Note(snapshot, Bout.Evolve(snapshot, id, (IBoutEvent)e.Data), e.Timestamp);
}

internal sealed partial class EquipmentProjection : SingleStreamProjection<EquipmentRecord, string>
{
    public EquipmentProjection()
    {
        foreach (var type in EventNames.OfKind<IEquipmentEvent>())
        {
            IncludeType(type);
        }
    }

    public override EquipmentRecord Evolve(EquipmentRecord? snapshot, string id, IEvent e) =>
        EquipmentRecord.Evolve(snapshot, id, (IEquipmentEvent)e.Data);
}

internal sealed partial class LoanProjection : SingleStreamProjection<LoanStore, string>
{
    public LoanProjection()
    {
        foreach (var type in EventNames.OfKind<ILoanEvent>())
        {
            IncludeType(type);
        }
    }

    public override LoanStore Evolve(LoanStore? snapshot, string id, IEvent e) =>
        LoanStore.Evolve(snapshot, id, (ILoanEvent)e.Data);
}
