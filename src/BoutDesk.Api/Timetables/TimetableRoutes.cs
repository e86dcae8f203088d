using BoutDesk.Api.Http;
using BoutDesk.Api.Pages;

namespace BoutDesk.Api.Timetables;

internal static class TimetableRoutes
{
    private const string CalendarFile = "ics";

    public static void MapTimetables(this IEndpointRouteBuilder app) =>
        app.MapGroup("/api/tournaments/{tournamentId}/timetable").WithTags("Planning").MapGet("", TimetableAsync)
            .Does(
                "getTimetable",
                "When bouts, stages and competitions are expected, and how sure that is",
                "A forecast that corrects itself with each result: four of five moments come within their spans. Of one entrant, one club, one referee or one competition, or all. As CSV a line for each bout to come; as a calendar the bouts of an entrant, a club or a referee, else the stages of competitions. A calendar can be followed: its events keep their identifiers, and their sequence numbers grow when they move.")
            .Produces<TimetableView>(200, Formats.Json, Formats.Csv, Formats.Calendar).Produces(304).Refuses(400, 404, 406);

    private static async Task<IResult> TimetableAsync(
        string tournamentId, string? entrant, string? club, string? competition, string? referee, HttpContext http, ForecastBook book, CalendarRevisions revisions)
    {
        if (await book.OfAsync(tournamentId) is not { } forecast)
        {
            return Problem.NotFound("tournament");
        }

        var timetable = new Timetable(forecast, Given(entrant), Given(club), Given(competition), Given(referee));
        return Wrong(timetable) ?? Answer(timetable, http.Request, revisions);
    }

    private static Problem? Wrong(Timetable timetable)
    {
        var errors = new FieldErrors();
        var competitions = timetable.Forecast.State.Competitions;
        if (timetable.Competition is { } competition && competitions.All(c => c.Id != competition))
        {
            errors.Add("competition", $"Must be a competition of this tournament.");
        }

        if (timetable.Entrant is { } entrant && competitions.All(c => !c.Entrants.ContainsKey(entrant)))
        {
            errors.Add("entrant", $"Must be an entrant of this tournament.");
        }

        if (timetable.Club is { } club && competitions.All(c => c.Competition.Entrants.All(e => !string.Equals(e.Details.Club, club, StringComparison.OrdinalIgnoreCase))))
        {
            errors.Add("club", $"Nobody of this club is entered. Write it as the entry list does.");
        }

        if (timetable.Referee is { } referee && timetable.Tournament.Referees.All(r => r.Id != referee))
        {
            errors.Add("referee", $"Must be a referee of this tournament.");
        }

        return errors.ToProblem();
    }

    private static IResult Answer(Timetable timetable, HttpRequest request, CalendarRevisions revisions)
    {
        var format = request.Query[WantedFormat.FormatName].ToString();
        if (format is not ("" or "csv" or "json" or CalendarFile))
        {
            return Problem.Invalid(WantedFormat.FormatName, $"Must be csv, ics or json, or left out.");
        }

        var preferred = format.Length > 0 ? format : Formats.Preferred(request, Formats.Json, Formats.Csv, Formats.Calendar);
        return preferred switch
        {
            null => new Problem(ProblemKinds.NotAcceptable, $"The timetable is offered as application/json, text/csv and text/calendar."),
            CalendarFile or Formats.Calendar => new CalendarAnswer(TimetableCalendar.Of(timetable, revisions), timetable.Tournament.Name),
            "csv" or Formats.Csv => new FreshList<TimetableRow>(timetable.Rows(), r => r.BoutId, default, $"{timetable.Tournament.Name} timetable"),
            _ => new Fresh<TimetableView>(timetable.View()),
        };
    }

    private static string? Given(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();

    private sealed record CalendarAnswer(byte[] File, string Name) : IResult
    {
        public Task ExecuteAsync(HttpContext httpContext)
        {
            Languages.Vary(httpContext.Response);
            httpContext.Response.Headers.ContentDisposition = FileNames.Attachment(Name, CalendarFile);
            return ETags.SendAsync(httpContext, File, "text/calendar; charset=utf-8", ETags.Of(File));
        }
    }
}
