using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Growth;

/// <summary>How long one thing took at each size.</summary>
/// <param name="Name">What it was.</param>
/// <param name="IsReference">Whether it is what the others are held against.</param>
/// <param name="At">The sizes, ascending, each with the times.</param>
internal sealed record GrowthFigure(string Name, bool IsReference, IReadOnlyList<(int Size, Times Times)> At);

/// <summary>What grew, with what became of the times.</summary>
/// <param name="Name">Its name, as it is given on the command line.</param>
/// <param name="Title">What grew, in words.</param>
/// <param name="Unit">What is counted.</param>
/// <param name="Sizes">How many of them, ascending.</param>
/// <param name="Figures">The times of each thing at these sizes.</param>
internal sealed record GrowthPart(string Name, string Title, string Unit, IReadOnlyList<int> Sizes, IReadOnlyList<GrowthFigure> Figures);
