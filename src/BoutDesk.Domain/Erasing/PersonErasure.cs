using System.Collections.Immutable;
using System.Text.RegularExpressions;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Domain.Erasing;

/// <summary>
/// Says what is left of the events of a tournament when the data of a person are erased from them. Results, draws, places,
/// verdicts and who refereed what stay, under an identifier that names nobody; names, club, country, ranking, hand, year of
/// birth, hours, measurements and reasons go, and every text in which a name of the person occurs goes as a whole. Pure.
/// </summary>
/// <remarks>
/// Events are never changed otherwise. This is the one exception, since the law of many countries gives a person the right
/// to it; that it was done is an event of its own.
/// </remarks>
public sealed class PersonErasure
{
    /// <summary>What stands in the place of a text that was erased and cannot be left out.</summary>
    public const string Struck = "—";

    /// <summary>
    /// What stands in the place of a family name that was erased, in every language: nomen nescio, "the name is not known to me".
    /// </summary>
    public const string NoName = "N. N.";

    private readonly ImmutableHashSet<string> ids;
    private readonly Regex? names;

    /// <summary>An erasure of one person.</summary>
    /// <param name="ids">The person's identifiers in the tournament, as an entrant and as a referee.</param>
    /// <param name="events">The events of the tournament, from which all names are learned that the person was ever listed under.</param>
    public PersonErasure(IEnumerable<string> ids, IEnumerable<object> events)
    {
        this.ids = [.. ids];
        var families = events.Select(FamilyName).OfType<string>().Where(name => name.Length > 0 && name != NoName)
            .Distinct(StringComparer.OrdinalIgnoreCase).Select(Regex.Escape).ToArray();
        names = families.Length == 0
            ? null
            : new Regex($@"(?<![\p{{L}}\p{{N}}])(?:{string.Join('|', families)})(?![\p{{L}}\p{{N}}])", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant);
    }

    /// <summary>The details that are left of an entrant; two of them never look like one person.</summary>
    /// <param name="entrantId">The entrant.</param>
    public static EntrantDetails LeftOf(string entrantId) => new(NoName, NumberOf(entrantId), null, null, null, null, null);

    /// <summary>The details that are left of a referee: what he was qualified for.</summary>
    /// <param name="refereeId">The referee.</param>
    /// <param name="details">The details before.</param>
    public static RefereeDetails LeftOf(string refereeId, RefereeDetails details) =>
        new(NoName, NumberOf(refereeId), null, null, details.Weapons, details.Level, null, null, []);

    /// <summary>The events of a stream without the person, in the same order; those that hold nothing of him are the same objects.</summary>
    /// <param name="streamId">The identifier of the tournament, competition, bout, equipment record or loan kit.</param>
    /// <param name="events">The events, from the first on; those that <see cref="Concerns"/> leaves out may be missing.</param>
    public ImmutableArray<object> Without(string streamId, IReadOnlyList<object> events)
    {
        var fencers = new Dictionary<Side, string?>();
        var left = ImmutableArray.CreateBuilder<object>(events.Count);
        foreach (var happened in events)
        {
            Seat(happened, fencers);
            left.Add(Without(streamId, happened, fencers));
        }

        return left.MoveToImmutable();
    }

    /// <summary>Whether an event of this type can hold anything of a person, or tells who fences a bout.</summary>
    /// <param name="type">The type of the event.</param>
    public static bool Concerns(Type type) => Concerned.Contains(type);

    private static readonly ImmutableHashSet<Type> Concerned =
    [
        typeof(EntrantEntered), typeof(EntrantCorrected), typeof(EntrantWithdrew), typeof(EntrantExcluded), typeof(EntrantReinstated),
        typeof(PoolRoundScrapped), typeof(RankingRevised), typeof(TableauScrapped), typeof(RefereesAppointed),
        typeof(RefereeListed), typeof(RefereeCorrected), typeof(AnnouncementMade),
        typeof(BoutProgrammed), typeof(SeatTaken), typeof(CardShown), typeof(ResultCorrected), typeof(ResultTakenBack), typeof(BoutCleared),
        typeof(FencerOut), typeof(BoutAnnulled), typeof(BoutStruck),
        typeof(EquipmentChecked), typeof(EquipmentWaived),
        typeof(KitAdded), typeof(KitCorrected), typeof(KitReturned),
    ];

    private object Without(string streamId, object happened, Dictionary<Side, string?> fencers)
    {
        var ours = fencers.Values.Any(IsOurs);
        return happened switch
        {
            EntrantEntered e when IsOurs(e.EntrantId) => Changed(e, e with { Details = LeftOf(e.EntrantId) }),
            EntrantCorrected e when IsOurs(e.EntrantId) => Changed(e, e with { Details = LeftOf(e.EntrantId) }),
            // What made him withdraw can be his health.
            EntrantWithdrew e => IsOurs(e.EntrantId) ? Changed(e, e with { Reason = Struck, Cause = null }) : Changed(e, e with { Reason = Text(e.Reason) }),
            EntrantExcluded e => Changed(e, e with { Reason = Text(e.Reason, IsOurs(e.EntrantId)) }),
            EntrantReinstated e => Changed(e, e with { Reason = Text(e.Reason, IsOurs(e.EntrantId)) }),
            PoolRoundScrapped e => Changed(e, e with { Reason = Text(e.Reason) }),
            RankingRevised e => Changed(e, e with { Reason = Text(e.Reason) }),
            TableauScrapped e => Changed(e, e with { Reason = Text(e.Reason) }),
            RefereesAppointed e when e.Appointments.Any(a => Text(a.Despite, IsOurs(a.RefereeId)) != a.Despite) =>
                e with { Appointments = [.. e.Appointments.Select(a => a with { Despite = Text(a.Despite, IsOurs(a.RefereeId)) })] },

            RefereeListed e when IsOurs(e.RefereeId) && !e.Details.SameAs(LeftOf(e.RefereeId, e.Details)) => e with { Details = LeftOf(e.RefereeId, e.Details) },
            RefereeCorrected e when IsOurs(e.RefereeId) && !e.Details.SameAs(LeftOf(e.RefereeId, e.Details)) => e with { Details = LeftOf(e.RefereeId, e.Details) },
            AnnouncementMade e => Changed(e, e with { Text = Text(e.Text) }),

            CardShown e => Changed(e, e with { Reason = Text(e.Reason, IsOurs(fencers.GetValueOrDefault(e.Side))) }),
            FencerOut e => Changed(e, e with { Reason = Text(e.Reason, IsOurs(fencers.GetValueOrDefault(e.Side))) }),
            BoutAnnulled e => Changed(e, e with { Reason = Text(e.Reason, IsOurs(e.EntrantId)) }),
            ResultCorrected e => Changed(e, e with { Reason = Text(e.Reason, ours) }),
            ResultTakenBack e => Changed(e, e with { Reason = Text(e.Reason, ours) }),
            BoutCleared e => Changed(e, e with { Reason = Text(e.Reason, ours) }),
            BoutStruck e => Changed(e, e with { Reason = Text(e.Reason, ours) }),

            EquipmentChecked e => IsOurs(Identifiers.EntrantOf(streamId))
                ? Changed(e, e with { Mark = null, Note = null, Findings = null, Opens = null, BladeSize = null, MadeFor = null })
                : Changed(e, e with { Mark = TextOrNull(e.Mark), Note = TextOrNull(e.Note) }),
            EquipmentWaived e => Changed(e, e with { Reason = Text(e.Reason, IsOurs(Identifiers.EntrantOf(streamId))) }),

            KitAdded e => Changed(e, e with { Details = Without(e.Details) }),
            KitCorrected e => Changed(e, e with { Details = Without(e.Details) }),
            KitReturned e => Changed(e, e with { Note = TextOrNull(e.Note) }),
            _ => happened,
        };
    }

    private KitDetails Without(KitDetails details) =>
        details with { Club = TextOrNull(details.Club), Size = TextOrNull(details.Size), Label = TextOrNull(details.Label) };

    private string? FamilyName(object happened) => happened switch
    {
        EntrantEntered e when IsOurs(e.EntrantId) => e.Details.FamilyName,
        EntrantCorrected e when IsOurs(e.EntrantId) => e.Details.FamilyName,
        RefereeListed e when IsOurs(e.RefereeId) => e.Details.FamilyName,
        RefereeCorrected e when IsOurs(e.RefereeId) => e.Details.FamilyName,
        _ => null,
    };

    private static void Seat(object happened, Dictionary<Side, string?> fencers)
    {
        switch (happened)
        {
            case BoutProgrammed programmed:
                (fencers[Side.Left], fencers[Side.Right]) = (programmed.Left.EntrantId, programmed.Right.EntrantId);
                break;
            case SeatTaken taken:
                fencers[taken.Side] = taken.Seat.EntrantId;
                break;
        }
    }

    private bool IsOurs(string? id) => id is not null && ids.Contains(id);

    private bool Names(string text) => names?.IsMatch(text) == true;

    [return: System.Diagnostics.CodeAnalysis.NotNullIfNotNull(nameof(text))]
    private string? Text(string? text, bool ours = false) => text is null ? null : ours || Names(text) ? Struck : text;

    private string? TextOrNull(string? text) => text is not null && Names(text) ? null : text;

    /// <summary>The event as it was where nothing changed, so that the caller can tell.</summary>
    private static T Changed<T>(T before, T after)
        where T : class => before.Equals(after) ? before : after;

    private static string NumberOf(string id) => id[(id.IndexOf('-', StringComparison.Ordinal) + 1)..];
}
