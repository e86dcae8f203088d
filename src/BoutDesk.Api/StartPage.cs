using System.Globalization;
using System.Net;
using System.Text;
using BoutDesk.Api.EventStore;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api;

/// <summary>A plain page that shows the way to what there is.</summary>
internal static class StartPage
{
    public static void MapStartPage(this IEndpointRouteBuilder app) =>
        app.MapGet("/", async (Organiser organiser, CancellationToken cancellation) =>
        {
            await using var session = organiser.Read();
            var tournaments = await session.Query<Tournament>().ToListAsync(cancellation);
            var competitions = (await session.Query<Competition>().ToListAsync(cancellation)).ToLookup(c => c.TournamentId);
            return Results.Text(Html(tournaments, competitions), "text/html; charset=utf-8");
        }).ExcludeFromDescription();

    private static string Html(IEnumerable<Tournament> tournaments, ILookup<string, Competition> competitions)
    {
        var html = new StringBuilder("""
            <!doctype html>
            <html lang="en">
            <meta charset="utf-8">
            <meta name="viewport" content="width=device-width, initial-scale=1">
            <title>BoutDesk</title>
            <style>
              :root { color-scheme: light dark; }
              body { font: 1.05rem/1.5 system-ui, sans-serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; }
              h1 { margin-bottom: 0; } h2 { margin: 2rem 0 .3rem; font-size: 1.2rem; }
              ul { list-style: none; padding: 0; } li { padding: .5rem 0; border-top: 1px solid #8886; }
              li a { margin-right: .8rem; white-space: nowrap; }
            </style>
            <main>
            <h1>BoutDesk</h1>
            <p>The desk of a fencing tournament day. Here is what it knows, as data; <a href="/openapi">the API page</a> explains it and tries it out.</p>

            """);
        var any = false;
        foreach (var t in tournaments.OrderByDescending(t => t.StartsOn).ThenBy(t => t.Id, StringComparer.Ordinal))
        {
            any = true;
            html.Append(CultureInfo.InvariantCulture, $"<h2>{Text(t.Name)}</h2><p>{Text(t.Venue)}, {t.StartsOn:d MMMM yyyy}</p><ul>");
            foreach (var c in competitions[t.Id].OrderBy(c => t.Competitions.IndexOf(c.Id)))
            {
                var at = $"/api/competitions/{c.Id}";
                html.Append(CultureInfo.InvariantCulture, $"<li><strong>{Text(c.Name)}</strong><br><a href=\"{at}\">overview</a><a href=\"{at}/entrants\">entrants</a><a href=\"{at}/seeding\">seeding</a>");
                foreach (var round in c.Rounds)
                {
                    html.Append(CultureInfo.InvariantCulture, $"<a href=\"{at}/pool-rounds/{round.Number}\">pool round {round.Number}</a>");
                }

                html.Append(c.Tableau is null ? string.Empty : $"<a href=\"{at}/tableau\">tableau</a>");
                html.Append(CultureInfo.InvariantCulture, $"<a href=\"{at}/classification\">classification</a></li>");
            }

            html.Append("</ul>");
        }

        return html.Append(any ? "</main></html>" : "<p>There is no tournament yet. Start the service with --demo on an empty store to look around, or open one through the API.</p></main></html>").ToString();
    }

    private static string Text(string text) => WebUtility.HtmlEncode(text);
}
