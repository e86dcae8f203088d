using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Planning;

/// <summary>How long a bout takes with its change-over, on average.</summary>
/// <param name="PoolBout">A pool bout, in minutes, more than 0.</param>
/// <param name="EliminationBout">An elimination bout, in minutes, more than 0.</param>
public sealed record BoutDurations(decimal PoolBout, decimal EliminationBout)
{
    /// <summary>
    /// The figures to plan with where nothing was measured: a pool bout to 5 takes 4 minutes in foil, 5 in épée and 2.5
    /// in sabre, an elimination bout to 15 takes 15, 20 and 9; other targets in proportion. From memory of practice.
    /// </summary>
    public static BoutDurations Usual(Weapon weapon, Formula formula)
    {
        var (pool, elimination) = weapon switch
        {
            Weapon.Foil => (4m, 15m),
            Weapon.Epee => (5m, 20m),
            _ => (2.5m, 9m),
        };
        return new BoutDurations(pool * formula.Pools.Touches / 5, elimination * formula.Elimination.Touches / 15);
    }
}
