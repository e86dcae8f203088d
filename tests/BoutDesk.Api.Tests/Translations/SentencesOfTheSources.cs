using BoutDesk.Api.Tests.Deploy;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;

namespace BoutDesk.Api.Tests.Translations;

/// <summary>
/// The sentences of domain and service that are said in the reader's language: every text with values that the compiler
/// makes a <see cref="FormattableString"/>.
/// </summary>
internal static class SentencesOfTheSources
{
    // As the projects have them by themselves.
    private const string Usings = """
        global using System;
        global using System.Collections.Generic;
        global using System.IO;
        global using System.Linq;
        global using System.Threading;
        global using System.Threading.Tasks;
        global using Microsoft.AspNetCore.Builder;
        global using Microsoft.AspNetCore.Hosting;
        global using Microsoft.AspNetCore.Http;
        global using Microsoft.AspNetCore.Routing;
        global using Microsoft.Extensions.Configuration;
        global using Microsoft.Extensions.DependencyInjection;
        global using Microsoft.Extensions.Hosting;
        global using Microsoft.Extensions.Logging;
        """;

    /// <summary>Reads the sources, those of some folders left out, and lists the formats of their sentences.</summary>
    public static IReadOnlyList<string> Read(params string[] leftOut)
    {
        var files = Directory.GetFiles(Path.Combine(Repository.Folder, "src"), "*.cs", SearchOption.AllDirectories)
            .Where(file => !file.Split(Path.DirectorySeparatorChar).Intersect([.. leftOut, "obj", "bin"]).Any());
        SyntaxTree[] trees = [CSharpSyntaxTree.ParseText(Usings), .. files.Select(file => CSharpSyntaxTree.ParseText(File.ReadAllText(file)))];
        var references = ((string)AppContext.GetData("TRUSTED_PLATFORM_ASSEMBLIES")!).Split(Path.PathSeparator)
            .Where(file => !Path.GetFileName(file).StartsWith("BoutDesk.", StringComparison.Ordinal))
            .Select(file => MetadataReference.CreateFromFile(file));
        var compilation = CSharpCompilation.Create("Sentences", trees, references, new CSharpCompilationOptions(OutputKind.DynamicallyLinkedLibrary));
        return
        [
            .. from tree in trees
               let model = compilation.GetSemanticModel(tree)
               from text in tree.GetRoot().DescendantNodes().OfType<InterpolatedStringExpressionSyntax>()
               where model.GetTypeInfo(text.Parent is CastExpressionSyntax cast ? cast : text).ConvertedType?.Name == nameof(FormattableString)
               select Format(text),
        ];
    }

    private static string Format(InterpolatedStringExpressionSyntax text)
    {
        var values = 0;
        return string.Concat(text.Contents.Select(part => part is InterpolatedStringTextSyntax words
            ? words.TextToken.ValueText
            : $"{{{values++}{((InterpolationSyntax)part).FormatClause}}}"));
    }
}
