using System.Collections.Immutable;
using System.Reflection;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Domain.Tests.Architecture;

/// <summary>Every event of the domain, found by reflection, with an instance of each.</summary>
internal static class DomainEvents
{
    public static Assembly Domain { get; } = typeof(Bout).Assembly;

    public static Type[] Markers { get; } =
        [typeof(IBoutEvent), typeof(ICompetitionEvent), typeof(ITournamentEvent), typeof(IEquipmentEvent), typeof(ILoanEvent)];

    public static Type[] All { get; } = [.. Markers.SelectMany(Of)];

    public static IEnumerable<Type> Of(Type marker) => Domain.GetTypes().Where(t => t != marker && marker.IsAssignableFrom(t));

    /// <summary>Some value of a type: entrant 1, number 1, and lists of one.</summary>
    public static object Sample(Type type)
    {
        if (Nullable.GetUnderlyingType(type) is { } underlying)
        {
            return Sample(underlying);
        }

        if (type == typeof(string))
        {
            return "t-1-e1";
        }

        if (type.IsEnum)
        {
            return Enum.GetValues(type).GetValue(0)!;
        }

        if (type.IsGenericType && type.GetGenericTypeDefinition() == typeof(ImmutableArray<>))
        {
            var item = type.GetGenericArguments()[0];
            return typeof(DomainEvents).GetMethod(nameof(OneOf), BindingFlags.NonPublic | BindingFlags.Static)!
                .MakeGenericMethod(item).Invoke(null, [Sample(item)])!;
        }

        if (type.IsPrimitive)
        {
            return Convert.ChangeType(1, type, System.Globalization.CultureInfo.InvariantCulture);
        }

        if (type.Assembly != Domain)
        {
            return Activator.CreateInstance(type)!;
        }

        var constructor = type.GetConstructors().MaxBy(c => c.GetParameters().Length)!;
        return constructor.Invoke([.. constructor.GetParameters().Select(p => Sample(p.ParameterType))]);
    }

    private static ImmutableArray<T> OneOf<T>(T item) => [item];
}
