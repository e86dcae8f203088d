using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Api.Competitions;

/// <summary>How a competition is fenced, as far as the organiser says so. What is left out has the default of the age group.</summary>
/// <param name="Pools">The pool rounds.</param>
/// <param name="Elimination">The elimination.</param>
internal sealed record FormulaSettings(PoolSettings? Pools = null, EliminationSettings? Elimination = null)
{
    public Formula Over(Formula defaults) => new()
    {
        Pools = Pools?.Over(defaults.Pools) ?? defaults.Pools,
        Elimination = Elimination?.Over(defaults.Elimination) ?? defaults.Elimination,
    };
}

/// <summary>How pools are drawn and fenced, as far as it is said.</summary>
/// <param name="Size">The largest pool wanted, 3 to 12 fencers.</param>
/// <param name="Touches">The touches that win a bout, 1 to 45.</param>
/// <param name="Minutes">Fencing time of a bout in minutes, 1 to 15.</param>
/// <param name="Rounds">How many pool rounds are fenced, 0 to 5.</param>
/// <param name="Promote">Who goes on from each round.</param>
/// <param name="Exempt">How many of the best seeds skip the pools.</param>
/// <param name="SeparateBy">What is spread over the pools, most important first.</param>
/// <param name="TiesAtCut">Who goes on of those tied at the cut.</param>
/// <param name="SeedingBy">Which rounds seed the tableau.</param>
internal sealed record PoolSettings(
    int? Size = null,
    int? Touches = null,
    int? Minutes = null,
    int? Rounds = null,
    Promotion? Promote = null,
    int? Exempt = null,
    ImmutableArray<AffiliationKind>? SeparateBy = null,
    TiesAtCut? TiesAtCut = null,
    SeedingBy? SeedingBy = null)
{
    public PoolFormula Over(PoolFormula defaults) => new()
    {
        Size = Size ?? defaults.Size,
        Touches = Touches ?? defaults.Touches,
        Minutes = Minutes ?? defaults.Minutes,
        Rounds = Rounds ?? defaults.Rounds,
        Promote = Promote ?? defaults.Promote,
        Exempt = Exempt ?? defaults.Exempt,
        SeparateBy = SeparateBy ?? defaults.SeparateBy,
        TiesAtCut = TiesAtCut ?? defaults.TiesAtCut,
        SeedingBy = SeedingBy ?? defaults.SeedingBy,
    };
}

/// <summary>How the elimination is fenced, as far as it is said.</summary>
/// <param name="Touches">The touches that win a bout, 1 to 45.</param>
/// <param name="Periods">The periods of a bout, 1 to 9.</param>
/// <param name="Minutes">Fencing time of a period in minutes, 1 to 15.</param>
/// <param name="ThirdPlace">Whether third place is shared or fenced for.</param>
/// <param name="RepechageFrom">The table from which losers fence on in a repechage.</param>
/// <param name="RepechageInto">The last table after a repechage.</param>
/// <param name="FencedPlaces">Down to which place losers fence on.</param>
internal sealed record EliminationSettings(
    int? Touches = null,
    int? Periods = null,
    int? Minutes = null,
    ThirdPlace? ThirdPlace = null,
    int? RepechageFrom = null,
    int? RepechageInto = null,
    int? FencedPlaces = null)
{
    public EliminationFormula Over(EliminationFormula defaults) => new()
    {
        Touches = Touches ?? defaults.Touches,
        Periods = Periods ?? defaults.Periods,
        Minutes = Minutes ?? defaults.Minutes,
        ThirdPlace = ThirdPlace ?? defaults.ThirdPlace,
        RepechageFrom = RepechageFrom ?? defaults.RepechageFrom,
        RepechageInto = RepechageInto ?? defaults.RepechageInto,
        FencedPlaces = FencedPlaces ?? defaults.FencedPlaces,
    };
}
