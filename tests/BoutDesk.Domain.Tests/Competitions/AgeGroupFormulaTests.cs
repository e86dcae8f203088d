using BoutDesk.Domain.Competitions;
using Xunit;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Common practice; for under 12 and under 10 the published format of one national federation.</summary>
public class AgeGroupFormulaTests
{
    [Theory]
    [InlineData("senior", 3, 15, 3, 3)]
    [InlineData("junior", 3, 15, 3, 3)]
    [InlineData("cadet", 3, 15, 3, 3)]
    [InlineData("U14", 3, 15, 3, 3)]
    [InlineData("under 20", 3, 15, 3, 3)]
    [InlineData("veteran", 3, 10, 2, 3)]
    [InlineData("VETERANS", 3, 10, 2, 3)]
    [InlineData("Veterans 50+", 3, 10, 2, 3)]
    [InlineData("vet 60", 3, 10, 2, 3)]
    [InlineData("under12", 3, 10, 3, 2)]
    [InlineData("U12", 3, 10, 3, 2)]
    [InlineData("under-11", 3, 10, 3, 2)]
    [InlineData("Girls u12", 3, 10, 3, 2)]
    [InlineData("under10", 2, 10, 3, 2)]
    [InlineData("Under 10", 2, 10, 3, 2)]
    [InlineData("U8", 2, 10, 3, 2)]
    [InlineData("veterinarians", 3, 15, 3, 3)]
    [InlineData("Menu12", 3, 15, 3, 3)]
    [InlineData("U120", 3, 15, 3, 3)]
    [InlineData("", 3, 15, 3, 3)]
    public void An_age_group_has_its_formula(string ageGroup, int poolMinutes, int touches, int periods, int minutes)
    {
        var formula = AgeGroupFormula.For(ageGroup);
        Assert.Equal((poolMinutes, touches, periods, minutes), (formula.Pools.Minutes, formula.Elimination.Touches, formula.Elimination.Periods, formula.Elimination.Minutes));
        Assert.Equal(5, formula.Pools.Touches);
        Assert.Empty(formula.Problems());
    }
}
