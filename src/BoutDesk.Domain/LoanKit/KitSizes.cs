namespace BoutDesk.Domain.LoanKit;

/// <summary>Numbers from and to.</summary>
/// <param name="From">The smallest.</param>
/// <param name="To">The largest.</param>
public readonly record struct SizeRange(int From, int To);

/// <summary>
/// Which size to try on first. Hints and no more: sizes differ between makers, and trying on decides.
/// </summary>
public static class KitSizes
{
    /// <summary>
    /// The size of children's clothing by body height: the nearest of 98, 104, 110 and so on in steps of 6 cm, the larger
    /// one in the middle between two. The steps are those of EN 13402-3, from memory.
    /// </summary>
    /// <param name="heightCm">The height in centimetres, 90 to 220.</param>
    public static int ByHeight(int heightCm) => (heightCm + 1) / 6 * 6 + 2;

    /// <summary>The heights for which a size of children's clothing is the nearest one, in centimetres.</summary>
    /// <param name="size">A size, as <see cref="ByHeight"/> gives it.</param>
    public static SizeRange HeightsOf(int size) => new(size - 3, size + 2);

    /// <summary>
    /// The size of adults' clothing by half the chest girth: the nearest of 40, 42, 44 and so on, which are 4 cm of girth
    /// apart (EN 13402-3 for men), the larger one in the middle between two. Women's clothing is often numbered
    /// otherwise, and differently by country. Practice.
    /// </summary>
    /// <param name="chestCm">The girth of the chest in centimetres, 50 to 160.</param>
    public static int ByChest(int chestCm) => (chestCm + 2) / 4 * 2;

    /// <summary>The girths of the chest for which a size of adults' clothing is the nearest one, in centimetres.</summary>
    /// <param name="size">A size, as <see cref="ByChest"/> gives it.</param>
    public static SizeRange ChestsOf(int size) => new((2 * size) - 2, (2 * size) + 1);

    /// <summary>
    /// The size of a glove: the girth of the hand in inches, to the nearest half, the larger one in the middle between two.
    /// The whole sizes 6 to 11 are those of EN 420.
    /// </summary>
    /// <param name="handMm">The girth of the weapon hand over the knuckles, without the thumb, in millimetres, 100 to 350.</param>
    public static decimal ByHand(int handMm) => Math.Floor((handMm / 12.7m) + 0.5m) / 2;

    /// <summary>
    /// The sizes of blade for an age group: children under about 10 use shorter ones, 0 to 2; those under 12 change to the
    /// full length, size 5, earlier or later by federation. Practice, from memory: national rules say which are allowed.
    /// </summary>
    /// <param name="ageLimit">The age that those of the group have not reached; null for no limit.</param>
    public static SizeRange Blades(int? ageLimit) => ageLimit switch
    {
        <= 10 => new SizeRange(0, 2),
        <= 12 => new SizeRange(2, 5),
        _ => new SizeRange(5, 5),
    };
}
