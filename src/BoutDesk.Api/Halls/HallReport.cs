using System.Collections.Immutable;
using BoutDesk.Domain.Strips;

namespace BoutDesk.Api.Halls;

/// <summary>All that is said of a hall.</summary>
/// <param name="Asked">What was asked for.</param>
/// <param name="Plan">The plan.</param>
/// <param name="Findings">The strip that was asked for beside the rule.</param>
/// <param name="Materials">What the strips need.</param>
public sealed record HallReport(ReadHall Asked, HallPlan Plan, ImmutableArray<StripFinding> Findings, StripMaterials Materials)
{
    /// <summary>Beside the table somebody must get through: our own planning figure, from practice.</summary>
    private const int LeastBesideTable = 1_000;

    /// <summary>What is wrong with this hall, and what no plan can know.</summary>
    public ImmutableArray<FormattableString> Cautions =>
    [
        .. Plan.BlockedDoors.Select(b => (FormattableString)$"{Asked.Hall.Blocks[b.Block - 1].Name ?? $"#{b.Block}"} stands in front of door {b.Door}. Move it, or that door is no way out."),
        .. Asked.Figures.Gap - Asked.Figures.TableDepth < LeastBesideTable
            ? [(FormattableString)$"Beside the table less than {LeastBesideTable.InMetres():0.#} m of the lane is left. That is narrow for a referee and for those who pass."]
            : Array.Empty<FormattableString>(),
        HallCautions.WayOut,
        HallCautions.Cables,
        HallCautions.Rules,
    ];

    /// <summary>Plans what was asked for.</summary>
    public static HallReport Of(ReadHall asked)
    {
        var plan = HallPlan.For(asked.Hall, asked.Figures);
        return new HallReport(
            asked,
            plan,
            StripCheck.Of(
            [
                new(StripMeasure.Length, asked.Figures.StripLength),
                new(StripMeasure.Width, asked.Figures.StripWidth),
                new(StripMeasure.LeftRunOff, asked.Figures.RunOff),
                new(StripMeasure.RightRunOff, asked.Figures.RunOff),
            ]),
            StripMaterials.For(plan.Strips.Length, asked.Figures, asked.RollLength, asked.CutLoss));
    }
}

/// <summary>What no arithmetic knows of a hall.</summary>
internal static class HallCautions
{
    public static FormattableString Provenance { get; } = $"Practice; the Material book (Book 3) from memory.";

    public static FormattableString WayOut { get; } =
        $"Emergency exits and escape routes stay free at all times. The venue's safety plan, the fire service and local law come before this plan.";

    public static FormattableString Cables { get; } =
        $"Lay cables along the lanes, tape them down, and keep them out of run-offs and passages. Ask the venue which tape its floor takes.";

    public static FormattableString Rules { get; } =
        $"The rules of the governing body in force decide over strips and distances; lanes, passages and clearance here are only our planning figures.";
}
