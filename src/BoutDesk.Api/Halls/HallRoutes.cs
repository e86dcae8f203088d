using System.Text;
using BoutDesk.Api.Board;
using BoutDesk.Api.Http;
using BoutDesk.Api.Pages;
using BoutDesk.Domain.Strips;

namespace BoutDesk.Api.Halls;

/// <summary>Strips and the hall that they are laid out in: calculators, and a page for a coach. Nothing is kept.</summary>
internal static class HallRoutes
{
    public static void MapHalls(this IEndpointRouteBuilder app)
    {
        var calculators = app.MapGroup("/api/calculators").WithTags("Calculators").RequireRateLimiting(Limits.Computing);
        calculators.MapPost("/strip", Check)
            .Does("checkStrip", "The dimensions of a strip beside the rule", "The rule is practice and from memory: the governing body's rules in force decide.")
            .Produces<CheckedStrip>(200).Refuses(400, 413, 415);
        calculators.MapPost("/hall-plan", Plan)
            .Does(
                "planHall",
                "The most strips that a hall takes, and what they need",
                "Places of equal size in rows from wall to wall, around doors and blocks. With Accept: image/svg+xml the plan is drawn to scale. The venue's safety plan and local law come first.")
            .Produces<PlannedHall>(200, Formats.Json, Formats.Svg).Refuses(400, 406, 413, 415);
        app.MapGet("/hall", PageAsync).ExcludeFromDescription();
    }

    private static IResult Check(StripToCheck body)
    {
        (StripMeasure Measure, decimal? Metres)[] given =
        [
            (StripMeasure.Length, body.Length),
            (StripMeasure.Width, body.Width),
            (StripMeasure.LeftOnGuardLine, body.LeftOnGuardLine),
            (StripMeasure.RightOnGuardLine, body.RightOnGuardLine),
            (StripMeasure.LeftWarningZone, body.LeftWarningZone),
            (StripMeasure.RightWarningZone, body.RightWarningZone),
            (StripMeasure.LeftRunOff, body.LeftRunOff),
            (StripMeasure.RightRunOff, body.RightRunOff),
        ];
        var errors = new FieldErrors();
        KeyValuePair<StripMeasure, int>[] measured =
        [
            .. given.Where(g => g.Metres is not null).Select(g =>
                KeyValuePair.Create(g.Measure, errors.Metres(System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(g.Measure.ToString()), g.Metres!.Value, 0, 50))),
        ];
        var tolerance = errors.Metres("tolerance", body.Tolerance, 0, 0.1m);
        if (measured.Length == 0)
        {
            errors.Add("$", $"Give at least one measure of the strip, such as its length.");
        }

        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        var findings = StripCheck.Of(measured, tolerance);
        return Calculated(new CheckedStrip(
            findings.All(f => f.OffBy == 0),
            [.. findings.Select(CheckedMeasure.Of)],
            [.. given.Where(g => g.Metres is null).Select(g => g.Measure)],
            [HallCautions.Rules]));
    }

    private static IResult Plan(HallToPlan body, HttpContext http)
    {
        if (Formats.Preferred(http.Request, Formats.Json, Formats.Svg) is not { } format)
        {
            return new Problem(ProblemKinds.NotAcceptable, $"The plan is offered as application/json and image/svg+xml.");
        }

        var errors = new FieldErrors();
        if (ReadHall.Of(body, errors) is not { } asked)
        {
            return errors.ToProblem()!;
        }

        Languages.Vary(http.Response);
        http.Response.Headers.Append("Vary", "Accept");
        var report = HallReport.Of(asked);
        return format == Formats.Svg
            ? Results.Text(HallDrawing.Svg(report), Formats.Svg, Encoding.UTF8)
            : Calculated(PlannedHall.Of(report));
    }

    private static async Task PageAsync(HttpContext http, BoardPages pages)
    {
        var form = HallForm.Of(http.Request.Query);
        if (form.Report is null)
        {
            http.Response.StatusCode = StatusCodes.Status400BadRequest;
        }

        await pages.SendOnceAsync(http, WebPage.Of<HallPage>(("Form", form)));
    }

    private static IResult Calculated<T>(T answer) => Results.Json(answer, JsonSetup.Options);
}
