using BoutDesk.Api.Board;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Api.Desk;

/// <summary>A fencer who was looked for.</summary>
/// <param name="State">The competition.</param>
/// <param name="Entrant">The fencer.</param>
public sealed record FoundFencer(CompetitionState State, Entrant Entrant);
