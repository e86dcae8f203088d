using System.Text.RegularExpressions;
using Xunit;
using YamlDotNet.Core;
using YamlDotNet.Serialization;

namespace BoutDesk.Api.Tests.Deploy;

/// <summary>The set of containers agrees with itself, with the balancer's file and with the containers of a single service.</summary>
public sealed partial class ComposeTests
{
    private static readonly Dictionary<string, Dictionary<string, object>> Set = Services("deploy/compose.set.yml");
    private static readonly Dictionary<string, Dictionary<string, object>> Single = Services("docker-compose.yml");

    [Theory]
    [InlineData("desk1")]
    [InlineData("desk2")]
    public void A_service_of_the_set_may_do_no_more_than_a_single_one_and_does_not_take_itself_for_the_only_one(string name)
    {
        var (service, single) = (Set[name], Single["boutdesk"]);
        foreach (var limit in new[] { "read_only", "tmpfs", "cap_drop", "security_opt", "stop_grace_period" })
        {
            Assert.Equal(single[limit], service[limit]);
        }

        Assert.DoesNotContain("BoutDesk__OnlyNode", Environment(service).Keys);
        Assert.DoesNotContain("ports", service.Keys);
    }

    [Fact]
    public void The_balancer_is_told_the_address_of_every_service()
    {
        var nginx = File.ReadAllText(Path.Combine(Repository.Folder, "deploy", "nginx.conf"));
        var command = ((List<object>)Set["nginx"]["command"])[^1].ToString()!;
        var put = Exchange().Matches(command).ToDictionary(match => match.Groups[1].Value, match => match.Groups[2].Value);

        Assert.Equal(Upstream().Matches(nginx).Select(match => match.Groups[1].Value).Order(), put.Keys.Order());
        Assert.Equal(Set.Keys.Where(name => name.StartsWith("desk", StringComparison.Ordinal)).Select(name => $"{name}:5080").Order(), put.Values.Order());
    }

    [Fact]
    public void The_standby_is_set_as_the_primary_and_both_as_the_PostgreSQL_of_a_single_service()
    {
        string[] primary = [.. ((List<object>)Set["primary"]["command"]).Skip(1).Cast<string>()];
        Assert.Equal(primary, ((List<object>)Set["standby"]["command"]).Cast<string>());
        Assert.Subset(primary.ToHashSet(), ((List<object>)Single["postgres"]["command"]).Skip(1).Cast<string>().ToHashSet());
        Assert.All(new[] { "primary", "standby" }, name => Assert.Equal(Single["postgres"]["image"], Set[name]["image"]));
        Assert.Equal(Environment(Set["primary"])["REPLICATION_PASSWORD"], Environment(Set["standby"])["REPLICATION_PASSWORD"]);
    }

    [Fact]
    public void Every_variable_that_has_to_be_set_is_in_the_example()
    {
        var example = File.ReadAllLines(Path.Combine(Repository.Folder, ".env.example")).Select(line => line.Split('=')[0]).ToHashSet();
        foreach (var file in new[] { "deploy/compose.set.yml", "docker-compose.yml" })
        {
            Assert.All(Needed().Matches(File.ReadAllText(Path.Combine(Repository.Folder, file))), match => Assert.Contains(match.Groups[1].Value, example));
        }
    }

    private static Dictionary<string, object> Environment(Dictionary<string, object> service) =>
        ((Dictionary<object, object>)service["environment"]).ToDictionary(pair => (string)pair.Key, pair => pair.Value);

    private static Dictionary<string, Dictionary<string, object>> Services(string file)
    {
        // "<<" takes in what stands under an anchor, as compose does it.
        var parser = new MergingParser(new Parser(new StringReader(File.ReadAllText(Path.Combine(Repository.Folder, file)))));
        var read = new DeserializerBuilder().Build().Deserialize<Dictionary<string, object>>(parser);
        return ((Dictionary<object, object>)read["services"]).ToDictionary(
            service => (string)service.Key, service => ((Dictionary<object, object>)service.Value).ToDictionary(pair => (string)pair.Key, pair => pair.Value));
    }

    [GeneratedRegex("s/([^/]+)/([^/]+)/")]
    private static partial Regex Exchange();

    [GeneratedRegex("^ *server ([^ ;]+:[0-9]+)", RegexOptions.Multiline)]
    private static partial Regex Upstream();

    [GeneratedRegex(@"\$\{([A-Z_]+):\?")]
    private static partial Regex Needed();
}
