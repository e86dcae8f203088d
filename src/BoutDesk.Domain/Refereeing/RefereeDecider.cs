using System.Collections.Immutable;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Domain.Refereeing;

/// <summary>Decides on the list of the referees of a tournament. Pure.</summary>
public static class RefereeDecider
{
    /// <summary>The most referees that a tournament lists.</summary>
    public const int MostReferees = 500;

    /// <summary>Says what is wrong with referees that are to be listed, by row from 0: in themselves, beside the list and beside one another.</summary>
    /// <param name="tournament">The tournament.</param>
    /// <param name="rows">The referees, tidied.</param>
    public static ImmutableArray<(int Row, Refusal Problem)> CheckReferees(Tournament tournament, IReadOnlyList<RefereeDetails> rows)
    {
        var problems = ImmutableArray.CreateBuilder<(int, Refusal)>();
        var known = tournament.Referees.Select(r => r.Details.Person()).ToHashSet();
        var earlier = new HashSet<string>();
        foreach (var (i, row) in rows.Index())
        {
            problems.AddRange(row.Problems().Select(problem => (i, problem)));
            if (known.Contains(row.Person()))
            {
                problems.Add((i, ListedAlready(row)));
            }
            else if (!earlier.Add(row.Person()))
            {
                problems.Add((i, new Refusal(RefusalReason.AlreadyDone, $"{row.Name} stands twice in the list, with the same club. Leave one out.") { Field = "familyName" }));
            }
        }

        return problems.ToImmutable();
    }

    /// <summary>Lists referees that were checked with <see cref="CheckReferees"/>.</summary>
    /// <param name="tournament">The tournament.</param>
    /// <param name="rows">The referees, tidied.</param>
    public static Decision List(Tournament tournament, IReadOnlyList<RefereeDetails> rows)
    {
        var had = tournament.Referees.Length;
        return had + rows.Count > MostReferees
            ? new Refusal(RefusalReason.InvalidValue, $"A tournament lists {MostReferees} referees; these would make {had + rows.Count}.")
            : Decision.Accept(rows.Select((details, i) => new Fact(
                tournament.Id, new RefereeListed(Identifiers.Referee(tournament.Id, had + i + 1), details))));
    }

    /// <summary>Corrects the details of a referee. What he was appointed for already stays his.</summary>
    /// <param name="tournament">The tournament.</param>
    /// <param name="referee">The referee.</param>
    /// <param name="details">The details, tidied.</param>
    public static Decision Correct(Tournament tournament, Referee referee, RefereeDetails details)
    {
        if (details.Problems() is [var problem, ..])
        {
            return problem;
        }

        if (tournament.Referees.Any(other => other.Id != referee.Id && other.Details.LooksLike(details)))
        {
            return ListedAlready(details);
        }

        return details.SameAs(referee.Details) ? Decision.Nothing : Decision.Accept(tournament.Id, new RefereeCorrected(referee.Id, details));
    }

    /// <summary>Says that a referee is not to be asked at present. Once more changes nothing.</summary>
    public static Decision SendAway(Tournament tournament, Referee referee) =>
        referee.Away ? Decision.Nothing : Decision.Accept(tournament.Id, new RefereeAway(referee.Id));

    /// <summary>Says that a referee can be asked again. Once more changes nothing.</summary>
    public static Decision BringBack(Tournament tournament, Referee referee) =>
        referee.Away ? Decision.Accept(tournament.Id, new RefereeBack(referee.Id)) : Decision.Nothing;

    private static Refusal ListedAlready(RefereeDetails details) => new(
        RefusalReason.AlreadyDone,
        $"There is a referee {details.Name} of this club already. Correct that entry, or tell the two apart by name or club.") { Field = "familyName" };
}
