using System.Text.Json;
using System.Text.Json.Serialization;
using BoutDesk.Api.Pages;

namespace BoutDesk.Api.Http;

/// <summary>How requests and answers are written as JSON. Wrong input is refused rather than ignored.</summary>
internal static class JsonSetup
{
    public static JsonSerializerOptions Options { get; } = Apply(new JsonSerializerOptions(JsonSerializerDefaults.Web));

    public static JsonSerializerOptions Apply(JsonSerializerOptions options)
    {
        options.UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow;
        options.RespectNullableAnnotations = true;
        options.RespectRequiredConstructorParameters = true;
        options.NumberHandling = JsonNumberHandling.Strict;
        options.AllowDuplicateProperties = false;
        // Events are shown in histories as they are stored: without what is computed from them.
        options.IgnoreReadOnlyProperties = true;
        options.MaxDepth = 16;
        options.Converters.Add(new EnumNamesFactory());
        options.Converters.Add(new SentenceConverter());
        return options;
    }

    /// <summary>Writes a sentence as it is said in the language that was asked for, English if none was.</summary>
    private sealed class SentenceConverter : JsonConverter<FormattableString>
    {
        public override bool CanConvert(Type typeToConvert) => typeToConvert.IsAssignableTo(typeof(FormattableString));

        public override FormattableString Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            throw new NotSupportedException("Sentences are answered, not sent.");

        public override void Write(Utf8JsonWriter writer, FormattableString value, JsonSerializerOptions options) =>
            writer.WriteStringValue(Texts.Said(value));
    }

    /// <summary>Writes enumerations as camelCase names, and says which there are when a name is wrong.</summary>
    private sealed class EnumNamesFactory : JsonConverterFactory
    {
        public override bool CanConvert(Type typeToConvert) => typeToConvert.IsEnum;

        public override JsonConverter CreateConverter(Type typeToConvert, JsonSerializerOptions options) =>
            (JsonConverter)Activator.CreateInstance(typeof(EnumNames<>).MakeGenericType(typeToConvert))!;
    }

    private sealed class EnumNames<TEnum> : JsonConverter<TEnum>
        where TEnum : struct, Enum
    {
        private static readonly Dictionary<string, TEnum> ByName =
            Enum.GetValues<TEnum>().ToDictionary(v => JsonNamingPolicy.CamelCase.ConvertName(v.ToString()));

        private static readonly Dictionary<TEnum, string> Names = ByName.ToDictionary(p => p.Value, p => p.Key);

        public override TEnum Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
        {
            if (reader.TokenType == JsonTokenType.String && ByName.TryGetValue(reader.GetString()!, out var value))
            {
                return value;
            }

            throw new JsonException($"Must be one of: {string.Join(", ", ByName.Keys)}.");
        }

        public override void Write(Utf8JsonWriter writer, TEnum value, JsonSerializerOptions options) =>
            writer.WriteStringValue(Names[value]);
    }
}
