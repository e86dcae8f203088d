using System.Globalization;
using System.Text;
using BoutDesk.Api.Board;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Forecasting;
using Ical.Net.CalendarComponents;
using Ical.Net.DataTypes;
using Ical.Net.Serialization;
using Calendar = Ical.Net.Calendar;

namespace BoutDesk.Api.Timetables;

/// <summary>A timetable as a calendar (RFC 5545): the bouts of people, or the stages of competitions.</summary>
internal sealed class TimetableCalendar
{
    private static readonly TimeSpan Step = TimeSpan.FromMinutes(5);

    private readonly Timetable timetable;
    private readonly CalendarRevisions revisions;
    private readonly Calendar calendar = new() { ProductId = "-//BoutDesk//Timetable//EN" };

    private TimetableCalendar(Timetable timetable, CalendarRevisions revisions)
    {
        this.timetable = timetable;
        this.revisions = revisions;
    }

    /// <summary>The calendar as a file.</summary>
    public static byte[] Of(Timetable timetable, CalendarRevisions revisions)
    {
        var made = new TimetableCalendar(timetable, revisions);
        made.calendar.AddProperty("X-WR-CALNAME", timetable.Tournament.Name);
        made.calendar.AddProperty("X-PUBLISHED-TTL", "PT10M");
        if (timetable.OfBouts)
        {
            made.AddBouts();
        }
        else
        {
            made.AddStages();
        }

        return Encoding.UTF8.GetBytes(new CalendarSerializer().SerializeToString(made.calendar)!);
    }

    private void AddBouts()
    {
        var told = new HashSet<string>();
        foreach (var (state, bout, begin) in timetable.Bouts())
        {
            var forecast = timetable.Forecast.Of(state.Id)!;
            var card = new BoutCard(state, bout);
            Add(
                bout.Id,
                $"{card.Who(Side.Left)} – {card.Who(Side.Right)}",
                $"{state.Competition.Name}, {card.What}",
                card.Strip,
                begin,
                Rounded(begin.Expected) + Up(TimeSpan.FromMinutes((double)(bout.InPool ? forecast.PoolBoutMinutes : forecast.EliminationBoutMinutes))));
            told.UnionWith(new[] { bout.Left.EntrantId, bout.Right.EntrantId }.OfType<string>());
        }

        // Who is in no draw yet is told when his competition goes on.
        foreach (var (state, entrantId, begin) in timetable.Next().Where(n => !told.Contains(n.EntrantId)))
        {
            Add(entrantId + "-next", ForecastWords.NextBout(state.Name(entrantId)), state.Competition.Name, null, begin, Rounded(begin.Expected) + (2 * Step));
        }
    }

    private void AddStages()
    {
        var states = timetable.Competitions.ToDictionary(c => c.Id);
        foreach (var stage in timetable.Forecast.Forecast.Stages.Where(s => states.ContainsKey(s.CompetitionId)))
        {
            var state = states[stage.CompetitionId];
            var begun = timetable.Forecast.StageOf(stage).BegunAt;
            var begin = begun is { } at ? new ForecastTime(at, at, at) : stage.Begin;
            if (begin is { } from)
            {
                Add(
                    string.Create(CultureInfo.InvariantCulture, $"{state.Id}-{stage.Kind}-{stage.Round}"),
                    $"{state.Competition.Name}: {ForecastWords.Stage(stage.Kind, stage.Round, state.Competition.Formula.Pools.Rounds)}",
                    ForecastWords.Ends(timetable.Tournament, stage.End),
                    null,
                    from,
                    Up(stage.End.Expected));
            }
        }
    }

    private void Add(string id, string summary, string what, string? strip, ForecastTime begin, DateTimeOffset end)
    {
        var (from, uid) = (Rounded(begin.Expected), id + "@boutdesk");
        var till = end > from ? end : from + Step;
        var between = ForecastWords.About(timetable.Tournament, begin);
        var where = strip is null ? timetable.Tournament.Venue : $"{strip}, {timetable.Tournament.Venue}";
        // What is said of it in words is not in it: the language of who asks is no change.
        var changed = revisions.ChangedAt(uid, string.Create(CultureInfo.InvariantCulture, $"{from:O} {till:O} {where} {Rounded(begin.From):O} {Rounded(begin.To):O}"));
        calendar.Events.Add(new CalendarEvent
        {
            Uid = uid,
            Summary = summary,
            Description = $"{what}\n{between}",
            Location = where,
            Start = At(from),
            End = At(till),
            DtStamp = At(changed),
            LastModified = At(changed),
            Sequence = CalendarRevisions.Sequence(changed),
        });
    }

    private static CalDateTime At(DateTimeOffset moment) => new(moment.UtcDateTime);

    private static DateTimeOffset Rounded(DateTimeOffset moment) => new((moment.UtcTicks + (Step.Ticks / 2)) / Step.Ticks * Step.Ticks, TimeSpan.Zero);

    private static DateTimeOffset Up(DateTimeOffset moment) => new((moment.UtcTicks + Step.Ticks - 1) / Step.Ticks * Step.Ticks, TimeSpan.Zero);

    private static TimeSpan Up(TimeSpan length) => TimeSpan.FromTicks((length.Ticks + Step.Ticks - 1) / Step.Ticks * Step.Ticks);
}
