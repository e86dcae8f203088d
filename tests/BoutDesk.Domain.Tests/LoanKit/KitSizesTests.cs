using BoutDesk.Domain.LoanKit;
using Xunit;

namespace BoutDesk.Domain.Tests.LoanKit;

public class KitSizesTests
{
    // The sizes of children's clothing in shops, EN 13402-3 from memory: 98, 104, 110, …, 164, 170, 176.
    [Theory]
    [InlineData(98, 98)]
    [InlineData(100, 98)]
    [InlineData(101, 104)]
    [InlineData(116, 116)]
    [InlineData(118, 116)]
    [InlineData(119, 122)]
    [InlineData(152, 152)]
    [InlineData(176, 176)]
    public void Children_are_sized_by_height_in_steps_of_6_cm(int height, int size) => Assert.Equal(size, KitSizes.ByHeight(height));

    // Practice: a chest of 96 cm wears a 48. EN 13402-3 has the chests of men 4 cm apart.
    [Theory]
    [InlineData(84, 42)]
    [InlineData(93, 46)]
    [InlineData(94, 48)]
    [InlineData(96, 48)]
    [InlineData(97, 48)]
    [InlineData(98, 50)]
    [InlineData(120, 60)]
    public void Adults_are_sized_by_half_the_chest(int chest, int size) => Assert.Equal(size, KitSizes.ByChest(chest));

    // The table of EN 420:2003, protective gloves: the girth of the hand in millimetres for the sizes 6 to 11.
    [Theory]
    [InlineData(152, 6)]
    [InlineData(178, 7)]
    [InlineData(203, 8)]
    [InlineData(229, 9)]
    [InlineData(254, 10)]
    [InlineData(279, 11)]
    public void Gloves_are_sized_as_the_standard_has_it(int handMm, int size) => Assert.Equal(size, KitSizes.ByHand(handMm));

    [Fact]
    public void Between_two_sizes_of_glove_is_a_half() => Assert.Equal(7.5m, KitSizes.ByHand(191));

    [Fact]
    public void Every_height_and_chest_is_in_the_range_of_its_size_and_in_no_other()
    {
        Assert.All(Enumerable.Range(90, 131), h =>
        {
            var size = KitSizes.ByHeight(h);
            Assert.InRange(h, KitSizes.HeightsOf(size).From, KitSizes.HeightsOf(size).To);
            Assert.Equal(KitSizes.HeightsOf(size).To + 1, KitSizes.HeightsOf(size + 6).From);
        });
        Assert.All(Enumerable.Range(50, 111), c =>
        {
            var size = KitSizes.ByChest(c);
            Assert.InRange(c, KitSizes.ChestsOf(size).From, KitSizes.ChestsOf(size).To);
            Assert.Equal(KitSizes.ChestsOf(size).To + 1, KitSizes.ChestsOf(size + 2).From);
        });
    }

    // Practice: children under about 10 use shorter blades; size 5 is the full length.
    [Theory]
    [InlineData(8, 0, 2)]
    [InlineData(10, 0, 2)]
    [InlineData(12, 2, 5)]
    [InlineData(13, 5, 5)]
    [InlineData(null, 5, 5)]
    public void Children_use_shorter_blades(int? ageLimit, int from, int to) => Assert.Equal(new SizeRange(from, to), KitSizes.Blades(ageLimit));
}
