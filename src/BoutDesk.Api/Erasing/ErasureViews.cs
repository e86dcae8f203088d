using System.Collections.Immutable;

namespace BoutDesk.Api.Erasing;

/// <summary>Whose data are to be erased.</summary>
/// <param name="AlsoAs">Further entrants and referees of the tournament who are the same person, at most 50.</param>
internal sealed record ErasePerson(string[]? AlsoAs = null);

/// <summary>What was erased. There is no name in it.</summary>
/// <param name="Erased">The entrants and referees whose data were erased.</param>
/// <param name="Events">How many entries of the log were rewritten; 0 when there was nothing left to erase.</param>
/// <param name="LooksLike">Others of the tournament who were listed under the same names and club, and who were not erased: it may be the same person.</param>
internal sealed record ErasedView(ImmutableArray<string> Erased, int Events, ImmutableArray<string> LooksLike);
