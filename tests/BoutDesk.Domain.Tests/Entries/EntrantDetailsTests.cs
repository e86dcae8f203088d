using BoutDesk.Domain.Entries;
using Xunit;

namespace BoutDesk.Domain.Tests.Entries;

public class EntrantDetailsTests
{
    private static readonly EntrantDetails Good = new("Arden", "Mila", "Hill Club", "NED", 12, Hand.Left, 2008);

    [Fact]
    public void A_usual_entry_has_no_problem() => Assert.Empty(Good.Problems());

    [Fact]
    public void Only_the_family_name_is_needed() =>
        Assert.Empty(new EntrantDetails("Arden", "", null, null, null, null, null).Problems());

    [Fact]
    public void The_longest_texts_and_the_outermost_numbers_are_taken()
    {
        var text = new string('x', 80);
        Assert.Empty(new EntrantDetails(text, text, text, new string('x', 40), 1, null, 1900).Problems());
        Assert.Empty((Good with { Ranking = 1_000_000, BirthYear = 2100 }).Problems());
    }

    public static TheoryData<string, string> Wrong => new()
    {
        { "familyName", "no family name" }, { "familyName", "long family name" }, { "familyName", "line break" },
        { "givenName", "long given name" }, { "club", "long club" }, { "country", "long country" },
        { "ranking", "ranking 0" }, { "ranking", "ranking 1000001" }, { "birthYear", "1899" }, { "birthYear", "2101" },
    };

    [Theory]
    [MemberData(nameof(Wrong))]
    public void What_is_wrong_is_said_by_field(string field, string what)
    {
        var details = what switch
        {
            "no family name" => Good with { FamilyName = "" },
            "long family name" => Good with { FamilyName = new string('x', 81) },
            "line break" => Good with { FamilyName = "Ard\nen" },
            "long given name" => Good with { GivenName = new string('x', 81) },
            "long club" => Good with { Club = new string('x', 81) },
            "long country" => Good with { Country = new string('x', 41) },
            "ranking 0" => Good with { Ranking = 0 },
            "ranking 1000001" => Good with { Ranking = 1_000_001 },
            "1899" => Good with { BirthYear = 1899 },
            _ => Good with { BirthYear = 2101 },
        };
        var problem = Assert.Single(details.Problems());
        Assert.Equal((RefusalReason.InvalidValue, field), (problem.Reason, problem.Field));
    }

    [Fact]
    public void Every_problem_is_said_at_once() => Assert.Equal(
        ["familyName", "ranking", "birthYear"],
        (Good with { FamilyName = "", Ranking = -3, BirthYear = 8 }).Problems().Select(p => p.Field));

    [Fact]
    public void Blanks_are_trimmed_and_empty_texts_left_out() => Assert.Equal(
        new EntrantDetails("Arden", "", "Hill Club", null, null, null, null),
        new EntrantDetails("  Arden ", " ", " Hill Club", "  ", null, null, null).Tidied());

    [Fact]
    public void The_name_on_sheets_is_the_family_name_first()
    {
        Assert.Equal("Arden Mila", Good.Name);
        Assert.Equal("Arden", (Good with { GivenName = "" }).Name);
    }

    [Fact]
    public void One_person_is_recognised_in_upper_and_lower_case_and_without_year_of_birth()
    {
        Assert.True(Good.LooksLike(Good with { FamilyName = "ARDEN", GivenName = "mila", Club = "HILL CLUB", Ranking = null }));
        Assert.True(Good.LooksLike(Good with { BirthYear = null }));
    }

    [Fact]
    public void Another_name_club_or_year_of_birth_is_another_person()
    {
        Assert.False(Good.LooksLike(Good with { GivenName = "Milan" }));
        Assert.False(Good.LooksLike(Good with { FamilyName = "Ardenne" }));
        Assert.False(Good.LooksLike(Good with { Club = null }));
        Assert.False(Good.LooksLike(Good with { BirthYear = 2009 }));
    }
}
