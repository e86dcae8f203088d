using System.Collections.Immutable;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.LoanKit;

namespace BoutDesk.Api.LoanKit;

/// <summary>Somebody to find kit for. What is left out gives no hint.</summary>
/// <param name="HeightCm">Body height in centimetres, 90 to 220.</param>
/// <param name="ChestCm">Girth of the chest in centimetres, 50 to 160.</param>
/// <param name="HandMm">Girth of the weapon hand over the knuckles, without the thumb, in millimetres, 100 to 350.</param>
/// <param name="AgeGroup">The age group, to 40 characters: U10, under 12 or senior.</param>
internal sealed record BodyToFit(int? HeightCm = null, int? ChestCm = null, int? HandMm = null, string? AgeGroup = null);

/// <summary>What a size of clothing is counted by.</summary>
internal enum SizeScale
{
    /// <summary>The body height in centimetres, as for children.</summary>
    BodyHeight,

    /// <summary>Half the girth of the chest in centimetres, as for adults.</summary>
    HalfChest,
}

/// <summary>A size of clothing to try on first.</summary>
/// <param name="Size">The size.</param>
/// <param name="Scale">What it is counted by.</param>
/// <param name="BodyCm">The heights or girths of the chest that it is the nearest size for, in centimetres.</param>
internal sealed record ClothingSize(int Size, SizeScale Scale, SizeRange BodyCm);

/// <summary>Sizes to try on first. Hints: sizes differ between makers, and trying on decides.</summary>
/// <param name="Jacket">For jacket and plastron; null without a measure.</param>
/// <param name="Breeches">For breeches; null without a measure.</param>
/// <param name="Glove">For the glove, the girth of the hand in inches; null without one.</param>
/// <param name="Blade">For the blade, 5 being the full length.</param>
/// <param name="Mask">For the mask, from and to, in letters.</param>
/// <param name="Notes">What to keep in mind.</param>
internal sealed record KitSizeHints(
    ClothingSize? Jacket, ClothingSize? Breeches, decimal? Glove, SizeRange Blade, ImmutableArray<string> Mask, ImmutableArray<FormattableString> Notes);

/// <summary>Which size to try on first. Nothing is kept.</summary>
internal static class KitSizeRoutes
{
    // Practice: children's clothing ends about here, and so does the choice by height where no age group is given.
    private const int TallestChildCm = 164;
    private const int OldestChild = 14;

    public static void MapKitSizes(this IEndpointRouteBuilder app) =>
        app.MapPost("/api/calculators/kit-size", Sizes).WithTags("Calculators")
            .Does("calculateKitSize", "Which sizes of kit to try on first", "Common practice and partly from memory: sizes differ between makers, and trying on decides.")
            .Produces<KitSizeHints>(200).Refuses(400, 413, 415);

    private static IResult Sizes(BodyToFit body)
    {
        var errors = new FieldErrors();
        errors.Range("heightCm", body.HeightCm, 90, 220);
        errors.Range("chestCm", body.ChestCm, 50, 160);
        errors.Range("handMm", body.HandMm, 100, 350);
        errors.Text("ageGroup", body.AgeGroup, 40, needed: false);
        if (body is { HeightCm: null, ChestCm: null, HandMm: null, AgeGroup: null })
        {
            errors.Add("$", $"Give at least one measure, or the age group.");
        }

        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        var ageLimit = body.AgeGroup is null ? null : AgeGroupFormula.AgeLimit(body.AgeGroup);
        var child = ageLimit is { } limit ? limit <= OldestChild : string.IsNullOrWhiteSpace(body.AgeGroup) && body.HeightCm <= TallestChildCm;
        var clothing = Clothing(body, child);
        return TypedResults.Json(
            new KitSizeHints(clothing, clothing, body.HandMm is { } hand ? KitSizes.ByHand(hand) : null, KitSizes.Blades(ageLimit), Mask(ageLimit, child), [.. Notes(clothing, ageLimit)]),
            JsonSetup.Options);
    }

    private static ClothingSize? Clothing(BodyToFit body, bool child)
    {
        var byHeight = body.HeightCm is { } height ? KitSizes.ByHeight(height) : (int?)null;
        var byChest = body.ChestCm is { } chest ? KitSizes.ByChest(chest) : (int?)null;
        return (child, byHeight, byChest) switch
        {
            (true, { } size, _) => new ClothingSize(size, SizeScale.BodyHeight, KitSizes.HeightsOf(size)),
            (_, _, { } size) => new ClothingSize(size, SizeScale.HalfChest, KitSizes.ChestsOf(size)),
            _ => null,
        };
    }

    // Practice: makers letter them, children mostly wear the first two.
    private static ImmutableArray<string> Mask(int? ageLimit, bool child) => (ageLimit, child) switch
    {
        ( <= 12, _) => ["XS", "S"],
        (_, true) => ["S", "M"],
        _ => ["M", "L"],
    };

    private static IEnumerable<FormattableString> Notes(ClothingSize? clothing, int? ageLimit)
    {
        yield return $"These are hints only: sizes differ between makers, and trying on decides.";
        yield return $"A mask must not move when the head is shaken; a jacket must reach over the breeches also in a lunge.";
        if (clothing?.Scale == SizeScale.HalfChest)
        {
            yield return $"Women's clothing is often numbered otherwise, and differently by country: go by the girth of the chest.";
        }

        if (ageLimit <= 12)
        {
            yield return $"Which blades an age group may use is for the national rules.";
        }

        yield return $"Whether an item protects and may be used is for the rule book in force and a qualified armourer.";
    }
}
