using System.Globalization;
using System.Resources;

namespace BoutDesk.Api.Pages;

/// <summary>
/// The texts of the pages. A text is looked up by its English form, which is also what is shown in English; the other
/// languages stand in Texts.*.resx beside this file.
/// </summary>
internal static class Texts
{
    private static readonly ResourceManager Resources = new(typeof(Texts));

    /// <summary>The text in the reader's language, or in English where it was not translated.</summary>
    /// <param name="english">The English text.</param>
    public static string T(string english) =>
        Resources.GetResourceSet(CultureInfo.CurrentUICulture, createIfNotExists: true, tryParents: false)?.GetString(english) ?? english;

    /// <summary>The text in the reader's language, with values put in for {0}, {1} and so on.</summary>
    /// <param name="english">The English text.</param>
    /// <param name="values">The values, written as the language does.</param>
    public static string T(string english, params object?[] values) => string.Format(CultureInfo.CurrentCulture, T(english), values);

    /// <summary>A sentence of the domain or of a refusal in the reader's language, or in English where it was not translated.</summary>
    /// <param name="sentence">The sentence; its format is the English text that is looked up.</param>
    public static string Said(FormattableString sentence) =>
        string.Format(CultureInfo.InvariantCulture, T(sentence.Format), sentence.GetArguments());

    /// <summary>One of two texts by number, the number put in for {0}.</summary>
    /// <param name="number">The number.</param>
    /// <param name="one">The English text for one.</param>
    /// <param name="many">The English text for any other number.</param>
    /// <param name="values">Further values, put in for {1} and so on.</param>
    public static string N(int number, string one, string many, params IEnumerable<object?> values) =>
        T(number == 1 || (number == 0 && CultureInfo.CurrentUICulture.TwoLetterISOLanguageName == "fr") ? one : many, [number, .. values]);
}
