using System.Collections.Immutable;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Equipment;

/// <summary>Looks up what was checked.</summary>
internal static class EquipmentBook
{
    /// <summary>The records of a competition, by the identifier of the entrant.</summary>
    public static async Task<Dictionary<string, EquipmentRecord>> OfAsync(
        IQuerySession session, string competitionId, CancellationToken cancellation) =>
        (await session.Query<EquipmentRecord>().Where(r => r.CompetitionId == competitionId).ToListAsync(cancellation))
        .ToDictionary(r => Identifiers.EntrantOf(r.Id));

    /// <summary>The rules in force at a tournament.</summary>
    public static async Task<EquipmentRules> RulesAsync(IQuerySession session, string tournamentId, CancellationToken cancellation) =>
        (await session.LoadAsync<Tournament>(tournamentId, cancellation))!.EquipmentRules;

    /// <summary>
    /// Those of the entrants whose equipment has not passed and was not waived, in the order given; nobody where the
    /// competition does not ask.
    /// </summary>
    public static async Task<ImmutableArray<Unready>> UnreadyAsync(
        IQuerySession session, Competition competition, IReadOnlyCollection<string> entrantIds, CancellationToken cancellation)
    {
        if (competition.EquipmentGate == EquipmentGate.Off)
        {
            return [];
        }

        var records = await session.LoadManyAsync<EquipmentRecord>(cancellation, entrantIds.Select(Identifiers.EquipmentRecord));
        return Unready(
            competition,
            await RulesAsync(session, competition.TournamentId, cancellation),
            records.ToDictionary(r => Identifiers.EntrantOf(r.Id)),
            entrantIds);
    }

    /// <summary>The same from records that were read.</summary>
    public static ImmutableArray<Unready> Unready(
        Competition competition, EquipmentRules rules, IReadOnlyDictionary<string, EquipmentRecord> records, IEnumerable<string> entrantIds) =>
        competition.EquipmentGate == EquipmentGate.Off
            ? []
            : [.. entrantIds.Select(competition.Entrant).OfType<Entrant>().Select(e => UnreadyOf(competition, rules, e, records.GetValueOrDefault(e.Id))).OfType<Unready>()];

    /// <summary>The entrants of a bout, as far as they are known and fence.</summary>
    public static string[] FencersOf(Bout bout) =>
        [.. new[] { bout.Left, bout.Right }.Where(s => !s.Out).Select(s => s.EntrantId).OfType<string>()];

    private static Unready? UnreadyOf(Competition competition, EquipmentRules rules, Entrant entrant, EquipmentRecord? record)
    {
        var state = EquipmentState.Of(rules, competition.Weapon, competition.Category, record);
        return state.MayFence
            ? null
            : new Unready(
                entrant.Id,
                entrant.Details.Name,
                [.. state.Items.Where(i => i.Missing > 0).Select(i => i.Item)],
                record?.Items(Verdict.Failed) ?? []);
    }
}
