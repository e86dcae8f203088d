using BoutDesk.Domain.Planning;

namespace BoutDesk.Api.Planning;

/// <summary>The planner with an exact solver, which not every installation has: its libraries are larger than all the rest.</summary>
internal static class ExactPlanner
{
    /// <summary>The planner, or null where it is not installed.</summary>
    public static IDayPlanner? Installed { get; } =
        Type.GetType("BoutDesk.ProvenPlans.ProvenDayPlanner, BoutDesk.ProvenPlans") is { } type ? (IDayPlanner)Activator.CreateInstance(type)! : null;
}
