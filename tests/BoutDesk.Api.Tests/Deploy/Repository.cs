namespace BoutDesk.Api.Tests.Deploy;

/// <summary>The working copy that the tests were built from.</summary>
internal static class Repository
{
    /// <summary>Its top folder.</summary>
    public static string Folder { get; } = Find(new DirectoryInfo(AppContext.BaseDirectory));

    private static string Find(DirectoryInfo? folder) => folder switch
    {
        null => throw new InvalidOperationException($"The tests run outside of the repository, in {AppContext.BaseDirectory}."),
        _ when File.Exists(Path.Combine(folder.FullName, "BoutDesk.sln")) => folder.FullName,
        _ => Find(folder.Parent),
    };
}
