using System.Globalization;
using System.Text.Json;
using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>What was measured, as tables for people and as lines of JSON for programs.</summary>
internal static class HallsReport
{
    private const double MiB = 1024.0 * 1024;

    public static void Begin(Machine machine, string postgres) => Console.WriteLine($"\n{machine}; PostgreSQL {postgres}");

    public static void BeginLoad() => Console.WriteLine($"""

        Tournaments at the same hour on one service. Each: {LoadedTournament.Entrants} entrants, {LoadedTournament.Strips} strips, at each a touch every {LoadMeasurement.SecondsOfATouch} s with the clock started and halted before it, {LoadMeasurement.Listeners} listeners of the feed, {LoadMeasurement.ReadsASecond} read a second.

        | tournaments | touches a second: asked, answered | writes, reads a second | touch: median, 99 % within, ms | read: median, 99 % within, ms | told after: median, 99 % within, ms | cores: service, PostgreSQL, clients, others | MiB: service, PostgreSQL | connections | refused | kept pace |
        | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | --- |
        """);

    public static void Add(LoadFigure figure, Machine machine)
    {
        var use = figure.Use;
        var name = figure.Pace == 1 ? F($"{figure.Tournaments}") : F($"{figure.Tournaments} at {figure.Pace} times the pace");
        Console.WriteLine(
            F($"| {name} | {figure.AskedTouches:0.0}, {figure.AnsweredTouches:0.0} | {figure.Writes:0.0}, {figure.Reads:0.0} | {Of(figure.Touch)} | {Of(figure.Read)} | {Of(figure.Told)} ")
            + F($"| {Cores(use.Services, use)}, {Cores(use.Database, use)}, {Cores(use.Clients, use)}, {Cores(use.Others, use)} | {use.ServicesMiB:0}, {use.DatabaseMiB:0} | {use.Store.Connections} | {figure.Refused} | {(figure.KeptPace ? "yes" : "no")} |"));
        Json(new { figure.Tournaments, figure.Pace, figure.AskedTouches, figure.AnsweredTouches, figure.Writes, figure.Reads, touch = Json(figure.Touch), read = Json(figure.Read), told = Json(figure.Told), figure.Refused, use, figure.KeptPace, machine });
    }

    public static void Cost(TournamentCost cost)
    {
        const int Hours = TournamentCost.HoursOfADay;
        Console.WriteLine(F($"""

            What a tournament costs, from {cost.Tournaments} at once less what nothing costs.

            | | without tournaments | entry list, draw, passes | an hour | a day of {Hours} hours |
            | --- | ---: | ---: | ---: | ---: |
            | service, processor | {cost.IdleService:0.00} cores | {cost.ServiceOfOpening:0.0} s | {cost.ServiceOfAnHour:0.0} s | {cost.ServiceOfOpening + (Hours * cost.ServiceOfAnHour):0} s |
            | PostgreSQL, processor | {cost.IdleDatabase:0.00} cores | {cost.DatabaseOfOpening:0.0} s | {cost.DatabaseOfAnHour:0.0} s | {cost.DatabaseOfOpening + (Hours * cost.DatabaseOfAnHour):0} s |
            | transactions | | | {cost.CommitsOfAnHour:#,0} | {Hours * cost.CommitsOfAnHour:#,0} |
            | database on the disk | | {cost.BytesOfOpening / MiB:0.00} MiB | {cost.BytesOfAnHour / MiB:0.00} MiB | {(cost.BytesOfOpening + (Hours * cost.BytesOfAnHour)) / MiB:0.0} MiB |
            | write-ahead log | | {cost.LogBytesOfOpening / MiB:0.00} MiB | {cost.LogBytesOfAnHour / MiB:0.0} MiB | {(cost.LogBytesOfOpening + (Hours * cost.LogBytesOfAnHour)) / MiB:0} MiB |
            | memory of the service | {cost.IdleServiceMiB:0} MiB | | | {cost.ServiceMiB:0.00} MiB |
            """));
    }

    public static void Plan(int tournaments, TournamentCost cost)
    {
        Console.WriteLine(F($"""

            {tournaments:#,0} at the same hour, on paper.

            | | needed | reckoned |
            | --- | ---: | --- |
            """));
        foreach (var (what, needed, reckoned) in CapacityPlan.Rows(tournaments, cost))
        {
            Console.WriteLine($"| {what} | {needed} | {reckoned} |");
        }
    }

    public static void Nodes(NodeFigure one, NodeFigure two, Machine machine)
    {
        Console.WriteLine($"""

            One service and two on the same database, by turns, each asked as fast as it answers: {NodeComparison.Writers} phones, then {NodeComparison.Readers} readers.

            | | one | two | two to one |
            | --- | ---: | ---: | ---: |
            """);
        foreach (var (name, ofOne, ofTwo) in new[] { ("writes", one.Writes, two.Writes), ("reads", one.Reads, two.Reads) })
        {
            Console.WriteLine(F($"| {name} a second | {ofOne.ASecond:#,0} | {ofTwo.ASecond:#,0} | {ofTwo.ASecond / ofOne.ASecond:0.00} |"));
            Console.WriteLine(F($"| processor of the services for each, ms | {ofOne.ServicesMs:0.00} | {ofTwo.ServicesMs:0.00} | {ofTwo.ServicesMs / ofOne.ServicesMs:0.00} |"));
            Console.WriteLine(F($"| processor of PostgreSQL for each, ms | {ofOne.DatabaseMs:0.00} | {ofTwo.DatabaseMs:0.00} | {ofTwo.DatabaseMs / ofOne.DatabaseMs:0.00} |"));
            Console.WriteLine(F($"| cores busy of {machine.Cores} | {ofOne.BusyCores:0.0} | {ofTwo.BusyCores:0.0} | |"));
            Json(new { name, ofOne, ofTwo, machine });
        }
    }

    public static void Standby(StandbyFigure primary, StandbyFigure standby, Machine machine)
    {
        Console.WriteLine($"""

            Reads of one service, by turns all of the primary and where it may of the standby, which every commit waits for: {NodeComparison.Readers} readers as fast as they are answered, then {StandbyComparison.Writers} that write and read what they have written.

            | | of the primary | of the standby | standby to primary |
            | --- | ---: | ---: | ---: |
            """);
        foreach (var (name, format, ofPrimary, ofStandby) in new[]
        {
            ("reads a second", "#,0", primary.ASecond, standby.ASecond),
            ("a read: median, ms", "0.0", primary.Reads.Within(0.5), standby.Reads.Within(0.5)),
            ("a read: 99 % within, ms", "0.0", primary.Reads.Within(0.99), standby.Reads.Within(0.99)),
            ("processor of the service for each, ms", "0.00", primary.ServiceMs, standby.ServiceMs),
            ("processor of the primary for each, ms", "0.00", primary.PrimaryMs, standby.PrimaryMs),
        })
        {
            Console.WriteLine(F($"| {name} | {ofPrimary.ToString(format, CultureInfo.InvariantCulture)} | {ofStandby.ToString(format, CultureInfo.InvariantCulture)} | {ofStandby / ofPrimary:0.00} |"));
        }

        Console.WriteLine(F($"| processor of the standby for each, ms | {primary.StandbyMs:0.00} | {standby.StandbyMs:0.00} | |"));
        Console.WriteLine(F($"| cores busy of {machine.Cores} | {primary.BusyCores:0.0} | {standby.BusyCores:0.0} | |"));
        Console.WriteLine(F($"| reading what one has just written: median, 99 % within, ms | {Of(primary.OwnReads)} | {Of(standby.OwnReads)} | {standby.OwnReads.Within(0.5) / primary.OwnReads.Within(0.5):0.00} |"));
        Json(new { ofPrimary = Line(primary), ofStandby = Line(standby), machine });

        static object Line(StandbyFigure figure) =>
            new { figure.ASecond, reads = Json(figure.Reads), figure.ServiceMs, figure.PrimaryMs, figure.StandbyMs, figure.BusyCores, ownReads = Json(figure.OwnReads) };
    }

    private static string Of(Times times) => F($"{times.Within(0.5):0.0}, {times.Within(0.99):0.0}");

    private static string Cores(double seconds, Use use) => F($"{seconds / use.Seconds:0.00}");

    private static object Json(Times times) => new { medianMs = times.Within(0.5), p99Ms = times.Within(0.99) };

    private static void Json(object line) => Console.Error.WriteLine(JsonSerializer.Serialize(line, JsonSerializerOptions.Web));

    private static string F(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
