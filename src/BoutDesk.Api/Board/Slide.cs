using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Standings;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Board;

/// <summary>One page of the hall's screen.</summary>
/// <param name="Title">What it shows.</param>
public abstract record Slide(string Title)
{
    private const int StripsOnSlide = 8;
    private const int PoolsOnSlide = 4;
    private const int LargestOfFour = 7;
    private const int LinesOnSlide = 24;
    private const int MostBoutsOnSlide = 32;
    private const int LastBouts = 8;
    private const int MostPlaces = 48;

    /// <summary>
    /// The pages of a tournament: what is on the strips, then of each competition what matters at its stage. What is
    /// finished is shown by its classification.
    /// </summary>
    public static ImmutableArray<Slide> Of(TournamentState tournament)
    {
        var slides = ImmutableArray.CreateBuilder<Slide>();
        foreach (var strips in StripCard.Of(tournament).Chunk(StripsOnSlide))
        {
            slides.Add(new StripsSlide([.. strips]));
        }

        foreach (var state in tournament.Competitions)
        {
            slides.AddRange(state.Stage switch
            {
                Stage.Pools => Pools(state),
                Stage.Elimination => Trees(state),
                Stage.Finished => Places(state),
                _ => [],
            });
        }

        if (slides.Count == 0)
        {
            slides.Add(new CompetitionsSlide(tournament));
        }

        return slides.ToImmutable();
    }

    private static IEnumerable<Slide> Pools(CompetitionState state)
    {
        var round = state.LastRound!;
        var name = state.Competition.Name;
        if (round.Closed is null)
        {
            var onSlide = round.Drawn.Pools.Max(p => p.Fencers.Length) <= LargestOfFour ? PoolsOnSlide : PoolsOnSlide / 2;
            foreach (var pools in round.Drawn.Pools.Chunk(onSlide))
            {
                yield return new PoolsSlide(T("{0}: pools", name), [.. pools.Select(p => PoolSheet.Of(state, round, p))]);
            }
        }

        foreach (var lines in state.Standings(round).Chunk(LinesOnSlide))
        {
            yield return new RankingSlide(round.Closed is null ? T("{0}: ranking so far", name) : T("{0}: ranking", name), state, [.. lines]);
        }
    }

    private static IEnumerable<Slide> Trees(CompetitionState state)
    {
        var name = state.Competition.Name;
        var main = TableauDrawing.Parts(state).First().Tables;
        var early = main.Where(t => t.Length > MostBoutsOnSlide).ToArray();
        if (early.Any(table => table.Any(b => b.Status != BoutStatus.Decided)))
        {
            // What does not fit on one page whole is shown by its quarters, as long as its first tables are fenced.
            for (var quarter = 1; quarter <= 4; quarter++)
            {
                yield return new TreeSlide(T("{0}: quarter {1}", name, quarter), state, TableauDrawing.Quarter(main, quarter));
            }
        }

        yield return new TreeSlide(T("{0}: tableau", name), state, [.. main.Where(t => t.Length <= MostBoutsOnSlide)]);
        if (main.Any(t => t.Length > LastBouts) && main.All(t => t.Length <= LastBouts || t.All(b => b.Status == BoutStatus.Decided)))
        {
            yield return new TreeSlide(T("{0}: the last {1}", name, 2 * LastBouts), state, [.. main.Where(t => t.Length <= LastBouts)]);
        }
    }

    private static IEnumerable<Slide> Places(CompetitionState state) =>
        state.Places.Take(MostPlaces).Chunk(LinesOnSlide).Select(lines => new PlacesSlide(T("{0}: classification", state.Competition.Name), state, [.. lines]));
}

/// <summary>What is fenced where.</summary>
/// <param name="Strips">The strips.</param>
public sealed record StripsSlide(ImmutableArray<StripCard> Strips) : Slide(T("On the strips"));

/// <summary>Some pools of a round.</summary>
/// <param name="Title">The title.</param>
/// <param name="Sheets">The pools.</param>
public sealed record PoolsSlide(string Title, ImmutableArray<PoolSheet> Sheets) : Slide(Title);

/// <summary>Some lines of a ranking.</summary>
/// <param name="Title">The title.</param>
/// <param name="State">The competition.</param>
/// <param name="Lines">The lines.</param>
public sealed record RankingSlide(string Title, CompetitionState State, ImmutableArray<Standing<string>> Lines) : Slide(Title);

/// <summary>A tree, or a quarter of it.</summary>
/// <param name="Title">The title.</param>
/// <param name="State">The competition.</param>
/// <param name="Tables">Its tables.</param>
public sealed record TreeSlide(string Title, CompetitionState State, ImmutableArray<ImmutableArray<Bout>> Tables) : Slide(Title);

/// <summary>Some lines of a classification.</summary>
/// <param name="Title">The title.</param>
/// <param name="State">The competition.</param>
/// <param name="Lines">The lines.</param>
public sealed record PlacesSlide(string Title, CompetitionState State, ImmutableArray<ClassifiedFencer> Lines) : Slide(Title);

/// <summary>The competitions of a tournament on which nothing is fenced yet.</summary>
/// <param name="State">The tournament.</param>
public sealed record CompetitionsSlide(TournamentState State) : Slide(T("Competitions"));
