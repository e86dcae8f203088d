namespace BoutDesk.Domain.Pools;

/// <summary>
/// How long to look for a smaller displacement. The separation of affiliations does not depend on it.
/// The effort is counted in steps, never in time, so that a draw comes out the same on a slow machine.
/// </summary>
public enum PoolSearchEffort
{
    /// <summary>The default: for 200 fencers a fraction of a second.</summary>
    Standard,

    /// <summary>
    /// Only the separation, and the displacement that falls out of it: milliseconds. Nothing is proven about the
    /// displacement then, unless it is 0.
    /// </summary>
    SeparationOnly,

    /// <summary>Five times the steps of <see cref="Standard"/>.</summary>
    Thorough,
}
