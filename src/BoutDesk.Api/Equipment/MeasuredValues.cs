using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Equipment;
using UnitsNet;
using UnitsNet.Units;

namespace BoutDesk.Api.Equipment;

/// <summary>Measured values as requests tell them: a number with its unit, or yes and no for a gauge.</summary>
internal static partial class MeasuredValues
{
    // Unicode has a letter and a sign for it; keyboards give either.
    private const char Omega = '\u03A9';
    private const char OhmSign = '\u2126';

    private static readonly Dictionary<string, Measure> ByName =
        Enum.GetValues<Measure>().ToDictionary(m => JsonNamingPolicy.CamelCase.ConvertName(m.ToString()));

    static MeasuredValues()
    {
        // A phone's keyboard has no Ω.
        UnitsNetSetup.Default.UnitAbbreviations.MapUnitToAbbreviation(ElectricResistanceUnit.Ohm, CultureInfo.InvariantCulture, "ohm", "ohms");
    }

    /// <summary>Reads them into the unit of each measure, and adds what cannot be read to the errors.</summary>
    public static ImmutableArray<Reading> Read(IReadOnlyDictionary<string, JsonElement>? measured, FieldErrors errors)
    {
        var readings = ImmutableArray.CreateBuilder<Reading>();
        foreach (var (name, value) in measured ?? new Dictionary<string, JsonElement>())
        {
            var field = $"measured.{name}";
            if (!ByName.TryGetValue(name, out var measure))
            {
                errors.Add(field, $"Is nothing that is measured. Known are {string.Join(", ", ByName.Keys)}.");
            }
            else if (measure == Measure.GuardGauge)
            {
                if (value.ValueKind is JsonValueKind.True or JsonValueKind.False)
                {
                    readings.Add(new Reading(measure, null, value.GetBoolean()));
                }
                else
                {
                    errors.Add(field, $"Must be true when the gauge passes, else false.");
                }
            }
            else if (value.ValueKind == JsonValueKind.String && Amount(measure, value.GetString()!) is { } amount)
            {
                readings.Add(new Reading(measure, amount));
            }
            else
            {
                errors.Add(field, $"Must be a number with its unit in a text, such as \"{Example(measure)}\".");
            }
        }

        return readings.ToImmutable();
    }

    private static decimal? Amount(Measure measure, string text)
    {
        if (!NumberWithUnit().IsMatch(text))
        {
            return null;
        }

        // A comma is the decimal mark of half of Europe; thousands are not written at an equipment table.
        var (tidy, format) = (text.Trim().Replace(',', '.').Replace(OhmSign, Omega), CultureInfo.InvariantCulture);
        double? amount = Measures.UnitOf(measure) switch
        {
            "g" => Mass.TryParse(tidy, format, out var mass) ? mass.Grams : null,
            "kg" => Mass.TryParse(tidy, format, out var mass) ? mass.Kilograms : null,
            "mm" => Length.TryParse(tidy, format, out var length) ? length.Millimeters : null,
            _ => ElectricResistance.TryParse(tidy, format, out var resistance) ? resistance.Ohms : null,
        };
        return amount is { } number && Math.Abs(number) < 1e12 ? Math.Round((decimal)number, 6) : null;
    }

    private static string Example(Measure measure) => Measures.UnitOf(measure) switch
    {
        "g" => "487 g",
        "kg" => "12 kg",
        "mm" => "893 mm",
        _ => "0.8 Ω",
    };

    [GeneratedRegex(@"^\s*[+-]?[0-9]{1,9}([.,][0-9]{1,9})?\s*[^0-9\s.,]{1,8}\s*$")]
    private static partial Regex NumberWithUnit();
}
