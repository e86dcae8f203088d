namespace BoutDesk.Domain.Bouts;

/// <summary>Which card follows an offence (Technical book, penalties; from memory).</summary>
/// <remarks>
/// Which offence belongs to which group is for the referee. Cards for lack of combativity follow rules of their own,
/// which change often; they are not counted here.
/// </remarks>
public static class Penalties
{
    /// <summary>The groups of offences: 1 to this.</summary>
    public const int Groups = 4;

    /// <summary>
    /// The card for an offence: first group a yellow, and a red for a fencer who has a card in this bout already; second
    /// group a red; third group a red, and a black for the second offence of this group; fourth group a black.
    /// </summary>
    /// <param name="recorded">What was recorded in the bout so far.</param>
    /// <param name="side">The offender.</param>
    /// <param name="group">The group of the offence, 1 to 4.</param>
    /// <exception cref="ArgumentOutOfRangeException">There is no such group.</exception>
    public static Card CardFor(IEnumerable<BoutAction> recorded, Side side, int group)
    {
        var cards = recorded.Where(a => a.Kind == BoutActionKind.Card && a.Side == side);
        return group switch
        {
            1 => cards.Any() ? Card.Red : Card.Yellow,
            2 => Card.Red,
            3 => cards.Any(c => c.Group == 3) ? Card.Black : Card.Red,
            4 => Card.Black,
            _ => throw new ArgumentOutOfRangeException(nameof(group), $"There are groups 1 to {Groups}, but {group} was given."),
        };
    }
}
