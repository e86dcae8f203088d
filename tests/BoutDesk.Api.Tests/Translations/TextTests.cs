using System.Text.RegularExpressions;
using System.Xml.Linq;
using BoutDesk.Api.Http;
using BoutDesk.Api.Tests.Deploy;
using Xunit;

namespace BoutDesk.Api.Tests.Translations;

/// <summary>The sources of the pages and of the pad beside their French: nothing is missing, nothing left over.</summary>
public partial class TextTests
{
    private static readonly string Service = Path.Combine(Repository.Folder, "src", "BoutDesk.Api");

    [Fact]
    public void Every_text_of_the_pages_has_its_French()
    {
        var french = French();
        var english = Sources("Pages", "Board", "Desk", "Halls").SelectMany(source => Texts(source, "T", "N")).Concat(Titles).Distinct().ToArray();
        Assert.True(english.Length > 300, $"Only {english.Length} texts were found in the sources.");
        AssertNone(english.Where(text => !french.ContainsKey(text)));
    }

    [Fact]
    public void Every_sentence_that_the_desk_can_be_told_has_its_French()
    {
        var french = French();
        // One of each place where sentences are made: in a call, cast, in a switch, joined to another.
        Assert.Superset(
            new HashSet<string>
            {
                "Pool round {0} is closed already.", "{0} goes on.", "This bout is off the programme, because its draw was scrapped. Open the new draw.",
                "The fencer is not drawn.", "Is needed.", "The column {0} stands twice in the first line. Leave one out.", "Must lie ahead.",
                "There is no {0} of that identifier. Check the address, or start from the list.",
            },
            Sentences);
        AssertNone(Sentences.Where(sentence => !french.ContainsKey(sentence)));
    }

    [Fact]
    public void Every_French_text_of_the_pages_is_used()
    {
        var sources = Sources("Pages", "Board", "Desk", "Halls").ToArray();
        AssertNone(French().Keys.Where(text => !Titles.Contains(text) && !Sentences.Contains(text) && !sources.Any(source => Says(source, text))));
    }

    [Fact]
    public void No_two_texts_of_the_pages_differ_by_capitals_only() =>
        AssertNone(French().Keys.GroupBy(text => text, StringComparer.OrdinalIgnoreCase).Where(same => same.Count() > 1).Select(same => string.Join(" | ", same)));

    [Theory]
    [InlineData("pad")]
    [InlineData("armourer")]
    public void Every_text_of_a_page_that_a_phone_keeps_has_its_French_and_every_French_one_is_used(string folder)
    {
        var french = KeptFrench(folder);
        var sources = Directory.GetFiles(Path.Combine(Service, "Web", folder), "*.js").Where(f => Path.GetFileName(f) != "words.js").Select(File.ReadAllText).ToArray();
        var english = sources.SelectMany(source => Texts(source, "t", "n")).Distinct().ToArray();
        Assert.True(english.Length > 90, $"Only {english.Length} texts were found in the sources.");
        AssertNone(english.Where(text => !french.ContainsKey(text)));
        AssertNone(french.Keys.Where(text => !Titles.Contains(text) && !sources.Any(source => Says(source, text))));
    }

    [Fact]
    public void The_French_takes_the_same_values_as_the_English_and_the_pad_has_the_titles_of_the_pages()
    {
        var pages = French();
        var pad = KeptFrench("pad");
        AssertNone(pages.Concat(pad).Concat(KeptFrench("armourer")).Where(text => !Values(text.Key).SetEquals(Values(text.Value))).Select(text => $"{text.Key} | {text.Value}"));
        AssertNone(pad.Where(text => Titles.Contains(text.Key) && pages[text.Key] != text.Value).Select(text => text.Key));
    }

    [Theory]
    [InlineData("T(\"one\")", "one")]
    [InlineData("T(late ? \"one \\\"two\\\"\" : \"three\", T(\"four\"), \"five\")", "one \"two\"|three|four")]
    [InlineData("T((string?)problem[\"title\"] ?? \"one\")", "one")]
    [InlineData("N(Count(\"zero\", 1), \"one\", \"two\", \"three\") + Other.T(\"four\") + AT(\"five\")", "one|two")]
    public void The_texts_are_found_in_the_sources(string source, string found) => Assert.Equal(found.Split('|'), Texts(source, "T", "N"));

    /// <summary>Names all that are wrong at once.</summary>
    private static void AssertNone(IEnumerable<string> wrong)
    {
        var told = string.Join('\n', wrong);
        Assert.True(told.Length == 0, told);
    }

    /// <summary>
    /// What ends as a sentence does, and not as an address. Calculators have no page, and examples are read by programs.
    /// </summary>
    private static HashSet<string> Sentences { get; } =
        [.. SentencesOfTheSources.Read("Calculators", "Demo", "PrivatePostgres", "OpenApiExamples.cs").Where(format => format.EndsWith('.'))];

    private static HashSet<string> Titles { get; } = ProblemKinds.All.Select(kind => kind.Title).ToHashSet();

    private static Dictionary<string, string> French() => XDocument.Load(Path.Combine(Service, "Pages", "Texts.fr.resx")).Root!.Elements("data")
        .ToDictionary(text => text.Attribute("name")!.Value, text => text.Element("value")!.Value);

    private static Dictionary<string, string> KeptFrench(string folder) =>
        KeptLine().Matches(File.ReadAllText(Path.Combine(Service, "Web", folder, "words.js"))).ToDictionary(line => Read(line.Groups[1].Value), line => Read(line.Groups[2].Value));

    private static IEnumerable<string> Sources(params string[] folders) =>
        folders.SelectMany(folder => Directory.GetFiles(Path.Combine(Service, folder))).Where(file => Path.GetExtension(file) is ".cs" or ".razor").Select(File.ReadAllText);

    private static HashSet<string> Values(string text) => [.. Placeholder().Matches(text).Select(value => value.Groups[1].Value)];

    /// <summary>
    /// The texts that a source looks up: the first argument of one function, the second and third of the other. Where an
    /// argument is not a text itself, those texts in it that it can come out as.
    /// </summary>
    private static IEnumerable<string> Texts(string source, string one, string byNumber)
    {
        foreach (Match call in Regex.Matches(source, $@"(?<![\w.])({one}|{byNumber})\("))
        {
            var arguments = Arguments(source, call.Index + call.Length);
            foreach (var argument in call.Groups[1].Value == one ? arguments.Take(1) : arguments.Skip(1).Take(2))
            {
                foreach (Match text in Outcome().Matches(argument))
                {
                    yield return Read(text.Groups[1].Value);
                }
            }
        }
    }

    /// <summary>Whether a text stands in a source at all: some are put into a variable before they are looked up.</summary>
    private static bool Says(string source, string text) =>
        source.Contains($"\"{text.Replace("\"", "\\\"", StringComparison.Ordinal)}\"", StringComparison.Ordinal) || source.Contains($"'{text}'", StringComparison.Ordinal);

    /// <summary>The arguments of a call, from behind its opening bracket.</summary>
    private static IEnumerable<string> Arguments(string source, int from)
    {
        var depth = 0;
        var begun = from;
        for (var at = from; at < source.Length; at++)
        {
            if (Literal().Match(source, at) is { Success: true } text)
            {
                at += text.Length - 1;
            }
            else if (depth == 0 && (source[at] is ',' or ')'))
            {
                yield return source[begun..at];
                begun = at + 1;
                if (source[at] == ')')
                {
                    yield break;
                }
            }
            else
            {
                depth += source[at] is '(' or '[' or '{' ? 1 : source[at] is ')' or ']' or '}' ? -1 : 0;
            }
        }
    }

    private static string Read(string literal) => Escape().Replace(literal[1..^1], "$1");

    [GeneratedRegex("""\G(?:"(?:[^"\\\n]|\\.)*"|'(?:[^'\\\n]|\\.)*')""")]
    private static partial Regex Literal();

    [GeneratedRegex("""(?:^|[?:])\s*("(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')""")]
    private static partial Regex Outcome();

    [GeneratedRegex("""^  ("(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*'): ('(?:[^'\\]|\\.)*'),$""", RegexOptions.Multiline)]
    private static partial Regex KeptLine();

    [GeneratedRegex(@"\{(\d)(?::[^}]*)?\}")]
    private static partial Regex Placeholder();

    [GeneratedRegex(@"\\(.)")]
    private static partial Regex Escape();
}
