using System.Collections.Immutable;
using System.Reflection;
using System.Runtime.CompilerServices;
using BoutDesk.Domain.Seeding;
using Xunit;

namespace BoutDesk.Domain.Tests.Architecture;

public class DomainIsPureTests
{
    private static readonly HashSet<Type> ImmutableTypesOfThePlatform =
    [
        typeof(string), typeof(bool), typeof(int), typeof(long), typeof(decimal), typeof(object), typeof(DateOnly), typeof(DateTimeOffset), typeof(TimeSpan), typeof(FormattableString),
    ];

    [Fact]
    public void The_domain_refers_to_nothing_but_the_platform()
    {
        var platform = Path.GetDirectoryName(typeof(object).Assembly.Location);
        Assert.All(DomainEvents.Domain.GetReferencedAssemblies(), reference =>
            Assert.Equal(platform, Path.GetDirectoryName(Assembly.Load(reference).Location)));
    }

    [Fact]
    public void The_domain_uses_no_files_network_or_threads()
    {
        string[] banned = ["System.Net", "System.IO", "System.Threading", "System.Diagnostics.Process", "System.Console"];
        Assert.DoesNotContain(
            DomainEvents.Domain.GetReferencedAssemblies(),
            reference => banned.Any(b => reference.Name!.StartsWith(b, StringComparison.Ordinal)));
    }

    [Fact]
    public void Every_class_is_sealed_or_static() => Assert.All(
        PublicTypes.Where(t => t.IsClass), t => Assert.True(t.IsSealed, $"{t.Name} can be derived from."));

    [Fact]
    public void Nothing_public_can_be_changed_after_it_was_made() => Assert.All(
        // A sequence of lots moves on with each lot; it says so.
        PublicTypes.Where(t => !t.IsEnum && t != typeof(LotSequence)), type =>
        {
            var flags = BindingFlags.Instance | BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.DeclaredOnly;
            Assert.All(type.GetFields(flags), f => Assert.True(f.IsInitOnly || f.IsLiteral, $"{type.Name}.{f.Name} can be set."));
            Assert.All(type.GetProperties(flags), p => Assert.True(p.SetMethod is null || IsInit(p.SetMethod), $"{type.Name}.{p.Name} can be set."));
        });

    [Fact]
    public void What_a_record_holds_cannot_be_changed_either() => Assert.All(
        PublicTypes.Where(IsRecord).SelectMany(t => t.GetProperties(BindingFlags.Instance | BindingFlags.Public)),
        p => Assert.True(IsImmutable(p.PropertyType), $"{p.DeclaringType!.Name}.{p.Name} is a {p.PropertyType}, which can be changed."));

    private static IEnumerable<Type> PublicTypes => DomainEvents.Domain.GetExportedTypes();

    private static bool IsRecord(Type type) =>
        type.GetMethod("<Clone>$") is not null || (type.IsValueType && type.GetMethod("PrintMembers", BindingFlags.Instance | BindingFlags.NonPublic) is not null);

    private static bool IsInit(MethodInfo setter) =>
        setter.ReturnParameter.GetRequiredCustomModifiers().Contains(typeof(IsExternalInit));

    private static bool IsImmutable(Type type)
    {
        if (ImmutableTypesOfThePlatform.Contains(type) || type.IsEnum || type.IsGenericParameter)
        {
            return true;
        }

        if (type.IsGenericType)
        {
            return (type.Namespace == typeof(ImmutableArray).Namespace || type.GetGenericTypeDefinition() == typeof(Nullable<>)
                || type.FullName!.StartsWith("System.ValueTuple", StringComparison.Ordinal))
                && type.GetGenericArguments().All(IsImmutable);
        }

        return type.Assembly == DomainEvents.Domain;
    }
}
