using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Passes;
using BoutDesk.Api.Timetables;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.ModelBinding;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace BoutDesk.Api.Http;

/// <summary>The OpenAPI document at <c>/openapi/v1.json</c> and its interactive page at <c>/openapi</c>.</summary>
internal static class OpenApiSetup
{
    private const string Bearer = "pass";

    private static readonly Dictionary<string, string> Statuses = new()
    {
        ["200"] = "Done.",
        ["201"] = "Made.",
        ["204"] = "Done; there is nothing to show.",
        ["304"] = "What the client has is still in force.",
        ["400"] = "Something in the request is not right; errors says what, by field.",
        ["401"] = "A pass is needed, or it is unknown, expired or revoked.",
        ["403"] = "The pass does not cover that.",
        ["404"] = "There is no such thing.",
        ["406"] = "That format is not offered.",
        ["409"] = "The state does not allow it; the type and the detail say what must happen first.",
        ["412"] = "Somebody changed it meanwhile.",
        ["413"] = "The request is too large.",
        ["415"] = "The content type is not understood.",
        ["422"] = "The Idempotency-Key was used for something else.",
        ["428"] = "The version to be corrected must be named by If-Match.",
        ["429"] = "Too many requests.",
        ["503"] = "The store does not answer just now.",
    };

    public static void AddOpenApiDocument(this IServiceCollection services)
    {
        services.AddEndpointsApiExplorer();
        services.AddSwaggerGen(document =>
        {
            document.SwaggerDoc("v1", new OpenApiInfo
            {
                Title = "BoutDesk",
                Version = "v1",
                Description =
                    "The desk of a fencing tournament day: from the entry list to the classification. Reads are public; writes carry a pass. "
                    + "Every refusal is a problem document (RFC 9457) with a stable type. A POST or PUT with an Idempotency-Key counts once, however often it is sent.",
            });
            document.AddSecurityDefinition(Bearer, new OpenApiSecurityScheme
            {
                Type = SecuritySchemeType.Http,
                Scheme = "bearer",
                Description = "A pass of kind desk, armourer or referee.",
            });
            foreach (var assembly in new[] { typeof(OpenApiSetup).Assembly, typeof(Domain.Decision).Assembly })
            {
                document.IncludeXmlComments(assembly, includeControllerXmlComments: false);
            }

            document.SupportNonNullableReferenceTypes();
            // A reference takes no description beside it, and a null of it could not be told, without this.
            document.UseAllOfToExtendReferenceSchemas();
            document.MapType<FormattableString>(() => new OpenApiSchema { Type = JsonSchemaType.String });
            document.MapType<JsonElement>(() => new OpenApiSchema
            {
                Type = JsonSchemaType.String | JsonSchemaType.Boolean,
                Description = "A number with its unit, such as 487 g, 89.5 cm, 0.8 Ω or 12 kg; for a gauge whether it passes.",
            });
            document.MapType<JsonObject>(() => new OpenApiSchema { Type = JsonSchemaType.Object, AdditionalPropertiesAllowed = true });
            document.SchemaFilter<NeededFields>();
            document.SchemaFilter<ProblemMembers>();
            document.OperationFilter<Conventions>();
            document.DocumentFilter<SharedProblems>();
            document.DocumentFilter<Chapters>();
            document.CustomSchemaIds(type => SchemaId(type));
        });
    }

    public static void UseOpenApiDocument(this WebApplication app)
    {
        app.UseSwagger(document => document.RouteTemplate = "openapi/{documentName}.json");
        app.UseSwaggerUI(page =>
        {
            page.RoutePrefix = "openapi";
            page.DocumentTitle = "BoutDesk API";
            // Left out, the page would send the document to a validator on the internet.
            page.EnableValidator("none");
            page.SwaggerEndpoint("/openapi/v1.json", "BoutDesk v1");
        });
    }

    private static Dictionary<string, IOpenApiHeader> Header(string name, string description) =>
        new() { [name] = new OpenApiHeader { Description = description, Schema = new OpenApiSchema { Type = JsonSchemaType.String } } };

    private static string SchemaId(Type type)
    {
        if (type == typeof(ProblemDetails))
        {
            return "Problem";
        }

        var name = type.Name.Split('`')[0];
        name = name.EndsWith("View", StringComparison.Ordinal) ? name[..^4] : name;
        return string.Concat(type.GetGenericArguments().Select(SchemaId)) + name;
    }

    /// <summary>What the constructor of a body has no default for is needed in a request and always there in an answer.</summary>
    private sealed class NeededFields : ISchemaFilter
    {
        public void Apply(IOpenApiSchema schema, SchemaFilterContext context)
        {
            if (schema is not OpenApiSchema { Properties.Count: > 0 } body || context.Type.GetConstructors() is not [.., { } constructor])
            {
                return;
            }

            var needed = constructor.GetParameters()
                .Where(p => !p.HasDefaultValue)
                .Select(p => JsonNamingPolicy.CamelCase.ConvertName(p.Name!))
                .Where(body.Properties.ContainsKey);
            body.Required = new SortedSet<string>(needed, StringComparer.Ordinal);
        }
    }

    /// <summary>The problems, which every operation refers to by status.</summary>
    private sealed class SharedProblems : IDocumentFilter
    {
        public static string NameOf(string status) => "Problem" + status;

        public void Apply(OpenApiDocument swaggerDoc, DocumentFilterContext context)
        {
            var problem = context.SchemaGenerator.GenerateSchema(typeof(ProblemDetails), context.SchemaRepository);
            (swaggerDoc.Components ??= new OpenApiComponents()).Responses = Statuses
                .Where(status => OpenApiExamples.OfProblem(int.Parse(status.Key, CultureInfo.InvariantCulture)) is not null)
                .ToDictionary(status => NameOf(status.Key), IOpenApiResponse (status) => new OpenApiResponse
                {
                    Description = status.Value,
                    Headers = status.Key is "429" or "503" ? Header("Retry-After", "Seconds after which to try again.") : null,
                    Content = new Dictionary<string, IOpenApiMediaType>
                    {
                        ["application/problem+json"] = new OpenApiMediaType
                        {
                            Schema = problem,
                            Example = OpenApiExamples.OfProblem(int.Parse(status.Key, CultureInfo.InvariantCulture)),
                        },
                    },
                });
        }
    }

    /// <summary>Puts the groups of operations in the order of a tournament day.</summary>
    private sealed class Chapters : IDocumentFilter
    {
        public void Apply(OpenApiDocument swaggerDoc, DocumentFilterContext context)
        {
            var chapters = new (string Name, string Description)[]
            {
                ("Tournaments", "A tournament and its strips."),
                ("Passes", "Who may do what."),
                ("Competitions", "The competitions of a tournament, how they are fenced, and how they ended."),
                ("Entrants", "Entries, check-in, and who leaves."),
                ("Equipment", "Checks at the equipment table, the rules they follow, and what waits for them. An aid: the rule book in force and a qualified armourer decide."),
                ("Loan kit", "What a club lends on the day: handed out, taken in, mended."),
                ("Pools", "Pool rounds: draw, sheets, standings, seeding."),
                ("Bouts", "A bout of a pool or of the tableau, touch by touch or by its result."),
                ("Elimination", "The tableau."),
                ("Refereeing", "Referees by name, and who referees which pool or bout."),
                ("Feed", "What happens, as it happens."),
                ("Planning", "The day plan: when, on which strips, and when it ends; and the timetable of the day as it goes."),
                ("Calculators", "The arithmetic of the sport, for checking a sheet by hand."),
            };
            swaggerDoc.Tags = new HashSet<OpenApiTag>();
            foreach (var (name, description) in chapters)
            {
                swaggerDoc.Tags.Add(new OpenApiTag { Name = name, Description = description });
            }
        }
    }

    /// <summary>Says what a problem has besides the members of the standard.</summary>
    private sealed class ProblemMembers : ISchemaFilter
    {
        public void Apply(IOpenApiSchema schema, SchemaFilterContext context)
        {
            if (context.Type != typeof(ProblemDetails) || schema is not OpenApiSchema problem)
            {
                return;
            }

            problem.Description = "A problem as in RFC 9457.";
            problem.Properties!.Remove("instance");
            problem.AdditionalPropertiesAllowed = true;
            foreach (var (name, description) in new[]
            {
                ("type", "What kind of problem it is; stable, so that a client can decide by it."),
                ("title", "The same in words."),
                ("status", "The HTTP status."),
                ("detail", "What is the matter here, and what to do."),
            })
            {
                ((OpenApiSchema)problem.Properties[name]).Description = description;
            }

            problem.Properties["errors"] = new OpenApiSchema
            {
                Type = JsonSchemaType.Object,
                Description = "What is wrong, by field of the request; $ is the whole body.",
                AdditionalProperties = new OpenApiSchema { Type = JsonSchemaType.Array, Items = new OpenApiSchema { Type = JsonSchemaType.String } },
            };
            problem.Properties["concerns"] = new OpenApiSchema
            {
                Type = JsonSchemaType.Array,
                Description = "The bouts, entrants or consequences that the detail speaks of.",
                Items = new OpenApiSchema { Type = JsonSchemaType.String },
            };
        }
    }

    /// <summary>Adds what holds for every operation: passes, repeats, versions, parameters, headers of answers.</summary>
    private sealed class Conventions : IOperationFilter
    {
        private static readonly Dictionary<string, string> Parameters = new()
        {
            ["tournamentId"] = "The tournament.",
            ["competitionId"] = "The competition.",
            ["entrantId"] = "The entrant.",
            ["refereeId"] = "The referee.",
            ["itemId"] = "The item of loan kit.",
            ["state"] = "Only what is in, out, to be mended (mend) or gone.",
            ["poolId"] = "The pool.",
            ["boutId"] = "The bout.",
            ["announcementId"] = "The announcement.",
            ["stripId"] = "The strip.",
            ["later"] = "scrap clears later bouts that have begun and in which other fencers meet then; left out, they are listed instead.",
            ["passId"] = "The pass, by its identifier and not by itself.",
            ["round"] = "The pool round, from 1.",
            ["limit"] = "At most so many items, 1 to 2000; all when left out. A Link header leads to the next page.",
            ["after"] = "Begin after the item with this identifier.",
            ["dryRun"] = "Only say what would be done; for entries, referees and loan kit with CSV.",
            ["partial"] = "For CSV: take the rows that are right, and leave the others out.",
            ["reason"] = "Why, to 200 characters.",
            ["restMinutes"] = "The rest between two elimination bouts in minutes, 0 to 120; 10 when left out.",
            ["boutMinutes"] = "How long a bout holds its strip, for the plan, 1 to 120 minutes; 20 when left out.",
            ["entrant"] = "Only what concerns this entrant, by his identifier.",
            ["club"] = "Only what concerns fencers of this club, by its name.",
            ["referee"] = "Only the bouts that this referee is appointed to, by his identifier.",
            ["competition"] = "Only what concerns this competition, by its identifier.",
            ["strips"] = "How many strips there are for this tableau, 1 to 100; those of the tournament that serve the weapon when left out.",
        };

        // The two letters with which every zip file begins.
        private const string ZipBegins = "PK";

        public void Apply(OpenApiOperation operation, OperationFilterContext context)
        {
            var method = context.ApiDescription.HttpMethod;
            foreach (var parameter in (operation.Parameters ?? []).OfType<OpenApiParameter>())
            {
                parameter.Description ??= Parameters[parameter.Name!];
            }

            DescribeBody(operation, context);
            DescribeAnswers(operation, context);
            if (operation.Responses!.TryGetValue("200", out var shown) && shown.Content?.ContainsKey(Formats.Csv) == true)
            {
                if (shown.Content.ContainsKey(Formats.Calendar))
                {
                    AddChoice(operation, WantedFormat.FormatName, "csv, ics or json, for a plain link that cannot say Accept; csv comes as a file for a spreadsheet, ics as a calendar.", "csv", "ics", "json");
                }
                else
                {
                    AddChoice(operation, WantedFormat.FormatName, "csv or json, for a plain link that cannot say Accept; csv comes as a file for a spreadsheet.", "csv", "json");
                }

                AddChoice(operation, WantedFormat.SeparatorName, "For CSV: what stands between the fields, comma when left out; with semicolon numbers have a decimal comma.", "comma", "semicolon");
            }

            if (operation.Responses!.ContainsKey("304"))
            {
                AddHeader(operation, "If-None-Match", "The ETag of what the client has; answered with 304 when it is still in force.");
            }

            if (context.ApiDescription.ActionDescriptor.EndpointMetadata.OfType<KeptRead>().Any())
            {
                AddHeader(operation, Standbys.Header, "The position of an answer to a write, which this read must not be older than. Matters where standbys answer reads, for clients that keep no cookies.");
            }

            if (context.ApiDescription.ActionDescriptor.EndpointMetadata.OfType<NeedsPass>().FirstOrDefault() is not { } needs)
            {
                return;
            }

            operation.Security = [new OpenApiSecurityRequirement { [new OpenApiSecuritySchemeReference(Bearer, context.Document)] = [] }];
            operation.Description = $"Pass: {string.Join(" or ", needs.Kinds.Select(k => k.ToString().ToLowerInvariant()))}. {operation.Description}".TrimEnd();
            if (method == "GET")
            {
                return;
            }

            foreach (var done in operation.Responses.Where(r => r.Key[0] == '2').Select(r => (OpenApiResponse)r.Value))
            {
                var headers = done.Headers ??= new Dictionary<string, IOpenApiHeader>();
                foreach (var (name, header) in Header(Standbys.Header, "Where standbys may answer reads: the position that a read has to send back so as not to be older than this write."))
                {
                    headers[name] = header;
                }
            }

            AddHeader(operation, "Idempotency-Key", "A key made by the client for this action. A repeat with the same key and body gets the first answer again; the key with another body is refused.");
            if (operation.Responses.ContainsKey("412"))
            {
                AddHeader(operation, "If-Match", "The ETag that was read last; refused with 412 when somebody changed it meanwhile.");
            }
        }

        private static void DescribeBody(OpenApiOperation operation, OperationFilterContext context)
        {
            foreach (var (format, body) in (operation.RequestBody?.Content ?? new Dictionary<string, IOpenApiMediaType>()).Select(c => (c.Key, (OpenApiMediaType)c.Value)))
            {
                if (format == Formats.Csv)
                {
                    body.Schema = Text();
                    body.Example = OpenApiExamples.CsvToSend(context.ApiDescription.ParameterDescriptions.First(p => p.Source == BindingSource.Body).Type);
                }
                else if (format == Formats.Zip)
                {
                    body.Schema = Binary();
                    body.Example = ZipBegins;
                }
                else
                {
                    body.Example = OpenApiExamples.Of(context.ApiDescription.ParameterDescriptions.First(p => p.Source == BindingSource.Body).Type);
                }
            }
        }

        private static void DescribeAnswers(OpenApiOperation operation, OperationFilterContext context)
        {
            foreach (var status in operation.Responses!.Keys.Order(StringComparer.Ordinal).ToArray())
            {
                var answer = (OpenApiResponse)operation.Responses[status];
                // Back at the end, so that they stand in order.
                operation.Responses.Remove(status);
                if (answer.Content?.ContainsKey("application/problem+json") == true)
                {
                    if (CanHappen(operation, status))
                    {
                        operation.Responses[status] = new OpenApiResponseReference(SharedProblems.NameOf(status), context.Document);
                    }

                    continue;
                }

                operation.Responses[status] = answer;
                answer.Description = Statuses[status];
                answer.Headers = HeadersOf(operation, status);
                var type = context.ApiDescription.SupportedResponseTypes.First(r => r.StatusCode.ToString(CultureInfo.InvariantCulture) == status).Type;
                foreach (var (format, body) in (answer.Content ?? new Dictionary<string, IOpenApiMediaType>()).Select(c => (c.Key, (OpenApiMediaType)c.Value)))
                {
                    body.Schema = format == Formats.Zip ? Binary() : format == Formats.Svg || format.StartsWith("text/", StringComparison.Ordinal) ? Text() : body.Schema;
                    body.Example = format switch
                    {
                        Formats.Zip => ZipBegins,
                        Formats.Svg => OpenApiExamples.Drawing,
                        Formats.Csv => OpenApiExamples.CsvOf(type!.GetElementType() ?? typeof(TimetableRow)),
                        Formats.Calendar => OpenApiExamples.Calendar,
                        "text/event-stream" => OpenApiExamples.EventOf(type!),
                        _ => OpenApiExamples.Of(type!),
                    };
                }
            }
        }

        private static bool CanHappen(OpenApiOperation operation, string status) => status switch
        {
            "404" => operation.Parameters?.Any(p => p.In == ParameterLocation.Path) == true,
            "413" or "415" => operation.RequestBody is not null,
            _ => true,
        };

        private static Dictionary<string, IOpenApiHeader>? HeadersOf(OpenApiOperation operation, string status) => status switch
        {
            "200" or "304" when operation.Responses!.ContainsKey("304") => Header("ETag", "The version of what is shown."),
            "201" => Header("Location", "Where it is."),
            _ => null,
        };

        private static OpenApiSchema Binary() => new() { Type = JsonSchemaType.String, Format = "binary" };

        private static OpenApiSchema Text() => new() { Type = JsonSchemaType.String };

        private static void AddChoice(OpenApiOperation operation, string name, string description, params string[] choices) =>
            (operation.Parameters ??= []).Add(new OpenApiParameter
            {
                Name = name,
                In = ParameterLocation.Query,
                Required = false,
                Description = description,
                Schema = new OpenApiSchema { Type = JsonSchemaType.String, Enum = [.. choices.Select(c => (JsonNode)JsonValue.Create(c))] },
            });

        private static void AddHeader(OpenApiOperation operation, string name, string description) =>
            (operation.Parameters ??= []).Add(new OpenApiParameter
            {
                Name = name,
                In = ParameterLocation.Header,
                Required = false,
                Description = description,
                Schema = new OpenApiSchema { Type = JsonSchemaType.String },
            });
    }
}
