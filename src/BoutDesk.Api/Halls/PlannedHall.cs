using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BoutDesk.Domain.Strips;

namespace BoutDesk.Api.Halls;

/// <summary>A strip as checked.</summary>
/// <param name="Fits">Whether nothing that was measured is off.</param>
/// <param name="Findings">The measures, each with its rule.</param>
/// <param name="NotMeasured">What was not measured, and so not checked.</param>
/// <param name="Cautions">What the check cannot know.</param>
internal sealed record CheckedStrip(
    bool Fits, ImmutableArray<CheckedMeasure> Findings, ImmutableArray<StripMeasure> NotMeasured, ImmutableArray<FormattableString> Cautions);

/// <summary>A measure beside its rule, in metres.</summary>
/// <param name="Measure">The measure.</param>
/// <param name="Measured">What was measured.</param>
/// <param name="Least">The least that the rule asks for.</param>
/// <param name="Most">The most that it allows.</param>
/// <param name="OffBy">By how much it is off: 0 within the rule, negative when too little.</param>
/// <param name="Rule">The rule in a sentence.</param>
/// <param name="Provenance">Where the rule comes from, and how sure that is.</param>
internal sealed record CheckedMeasure(
    StripMeasure Measure, decimal Measured, decimal Least, decimal Most, decimal OffBy, FormattableString Rule, FormattableString Provenance)
{
    public static CheckedMeasure Of(StripFinding finding) => new(
        finding.Limit.Measure,
        finding.Measured.InMetres(),
        finding.Limit.Least.InMetres(),
        finding.Limit.Most.InMetres(),
        finding.OffBy.InMetres(),
        finding.Limit.Sentence,
        HallCautions.Provenance);
}

/// <summary>A hall as planned; all in metres.</summary>
/// <param name="Count">How many strips.</param>
/// <param name="Alike">How many there could be if all had to lie alike.</param>
/// <param name="Strips">The strips, row by row.</param>
/// <param name="Findings">The strip that was asked for beside the rule.</param>
/// <param name="Materials">What the strips need.</param>
/// <param name="Cautions">What the plan cannot know. It is to be read before the hall is laid out.</param>
internal sealed record PlannedHall(
    int Count,
    int Alike,
    ImmutableArray<PlannedStripView> Strips,
    ImmutableArray<CheckedMeasure> Findings,
    MaterialsView Materials,
    ImmutableArray<FormattableString> Cautions)
{
    public static PlannedHall Of(HallReport report) => new(
        report.Plan.Strips.Length,
        report.Plan.Alike,
        [.. report.Plan.Strips.Select(PlannedStripView.Of)],
        [.. report.Findings.Select(CheckedMeasure.Of)],
        MaterialsView.Of(report.Materials),
        report.Cautions);
}

/// <summary>A strip of the plan.</summary>
/// <param name="Number">Its number, from 1.</param>
/// <param name="Direction">How it lies.</param>
/// <param name="Strip">From end line to end line.</param>
/// <param name="FirstRunOff">The run-off at its left or upper end.</param>
/// <param name="SecondRunOff">The run-off at its right or lower end.</param>
/// <param name="Lane">The lane that belongs to it.</param>
/// <param name="Table">The table for its scoring apparatus.</param>
internal sealed record PlannedStripView(
    int Number, StripDirection Direction, AreaView Strip, AreaView FirstRunOff, AreaView SecondRunOff, AreaView Lane, AreaView Table)
{
    public static PlannedStripView Of(PlannedStrip strip) => new(
        strip.Number,
        strip.Direction,
        AreaView.Of(strip.Strip),
        AreaView.Of(strip.FirstRunOff),
        AreaView.Of(strip.SecondRunOff),
        AreaView.Of(strip.Lane),
        AreaView.Of(strip.Table));
}

/// <summary>A rectangle of floor in metres, from the upper left corner of the hall.</summary>
/// <param name="X">From the wall on the left.</param>
/// <param name="Y">From the wall at the top.</param>
/// <param name="Width">From left to right.</param>
/// <param name="Height">From top to bottom.</param>
[method: JsonConstructor]
internal readonly record struct AreaView(decimal X, decimal Y, decimal Width, decimal Height)
{
    public static AreaView Of(FloorArea area) => new(area.X.InMetres(), area.Y.InMetres(), area.Width.InMetres(), area.Height.InMetres());
}

/// <summary>What the strips need. Body cables are the fencers' own.</summary>
/// <param name="Pieces">The cut list, for one strip and for all.</param>
/// <param name="Tapes">The tape, kind by kind.</param>
/// <param name="Reels">Spring reels, two a strip.</param>
/// <param name="ScoringSets">Scoring sets, one a strip.</param>
/// <param name="Tables">Tables for them.</param>
/// <param name="Outlets">Power outlets for them.</param>
internal sealed record MaterialsView(
    ImmutableArray<PieceView> Pieces, ImmutableArray<TapeNeedView> Tapes, int Reels, int ScoringSets, int Tables, int Outlets)
{
    public static MaterialsView Of(StripMaterials need) => new(
        [.. need.PiecesOfOne.Zip(need.Pieces, (one, all) => new PieceView(one.Line, one.Tape, one.Length.InMetres(), one.Count, all.Count))],
        [.. need.Tapes.Select(t => new TapeNeedView(t.Tape, t.Length.InMetres(), t.Rolls))],
        need.Reels,
        need.ScoringSets,
        need.Tables,
        need.Outlets);
}

/// <summary>Pieces of tape of one length.</summary>
/// <param name="Line">What they are for.</param>
/// <param name="Tape">Which tape: any two that are told apart easily.</param>
/// <param name="Length">The length of a piece in metres.</param>
/// <param name="OneStrip">How many for one strip.</param>
/// <param name="AllStrips">How many for all strips.</param>
internal sealed record PieceView(StripLine Line, Tape Tape, decimal Length, int OneStrip, int AllStrips);

/// <summary>The tape of one kind for all strips.</summary>
/// <param name="Tape">Which tape.</param>
/// <param name="Length">All of its pieces together in metres, without what is lost at the cuts.</param>
/// <param name="Rolls">How many rolls to bring.</param>
internal sealed record TapeNeedView(Tape Tape, decimal Length, int Rolls);

/// <summary>Millimetres as they are shown.</summary>
internal static class Lengths
{
    /// <summary>In metres, to the millimetre, without noughts at the end.</summary>
    public static decimal InMetres(this int millimetres) => ((long)millimetres).InMetres();

    /// <summary>In metres, to the millimetre, without noughts at the end.</summary>
    public static decimal InMetres(this long millimetres) => millimetres / 1000m;
}
