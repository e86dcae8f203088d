using System.Globalization;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>What many tournaments at the same hour need, on paper: the measured cost times their number, under assumptions that are named.</summary>
internal static class CapacityPlan
{
    // Tournaments of one set, which is a database with its services. What hits a database hits no more than these.
    private const int TournamentsOfASet = 1_000;

    // The rest is for the minutes when all ask at once, and for the hour in which one machine is missing.
    private const double BusyShare = 0.5;
    private const int CoresOfAService = 4;
    private const int DaysKept = 50;
    private const int DaysOfLogKept = 7;

    // Npgsql's default, which nothing changes.
    private const int ConnectionsOfAService = 100;

    // Of PostgreSQL's own, of a standby, of backups and of people.
    private const int ConnectionsSpare = 20;

    private const double GiB = 1024.0 * 1024 * 1024;
    private const double MiB = 1024.0 * 1024;

    /// <summary>The rows for so many tournaments, each with how it was reckoned.</summary>
    public static IEnumerable<(string What, string Needed, string Reckoned)> Rows(int tournaments, TournamentCost cost)
    {
        var sets = (int)Math.Ceiling((double)tournaments / TournamentsOfASet);
        var ofASet = tournaments / sets;
        var serviceCores = ofASet * cost.ServiceOfAnHour / 3_600 / BusyShare;
        var services = Math.Max(1, (int)Math.Ceiling(serviceCores / CoresOfAService)) + 1;
        var databaseCores = ofASet * cost.DatabaseOfAnHour / 3_600 / BusyShare;
        var day = cost.BytesOfOpening + (TournamentCost.HoursOfADay * cost.BytesOfAnHour);
        var logOfADay = cost.LogBytesOfOpening + (TournamentCost.HoursOfADay * cost.LogBytesOfAnHour);

        yield return ("sets of a database and its services", F($"{sets}"), F($"{tournaments:#,0} ÷ {TournamentsOfASet:#,0} to a set"));
        yield return ("of each set: cores for the services", F($"{serviceCores:0.0}"), F($"{ofASet:#,0} × {cost.ServiceOfAnHour:0.0} s an hour ÷ 3,600 ÷ {BusyShare}"));
        yield return ("of each set: services", F($"{services}"), F($"{serviceCores:0.0} ÷ {CoresOfAService} cores each, rounded up, and one that may be missing"));
        yield return ("of each set: memory of a service", F($"{(cost.IdleServiceMiB + (ofASet * cost.ServiceMiB / (services - 1))) / 1024:0.0} GiB"), F($"{cost.IdleServiceMiB:0} MiB + {ofASet:#,0} × {cost.ServiceMiB:0.00} MiB ÷ {services - 1}, one missing"));
        yield return ("of each set: cores for PostgreSQL", F($"{databaseCores:0.0}"), F($"{ofASet:#,0} × {cost.DatabaseOfAnHour:0.0} s an hour ÷ 3,600 ÷ {BusyShare}; each standby that may take over as many"));
        yield return ("of each set: writes a second", F($"{ofASet * cost.WritesOfASecond:#,0}"), F($"{ofASet:#,0} × {cost.WritesOfASecond:0.00}"));
        yield return ("of each set: log to the standby and the archive, a second", F($"{ofASet * cost.LogBytesOfAnHour / 3_600 / MiB:0.0} MiB"), F($"{ofASet:#,0} × {cost.LogBytesOfAnHour / MiB:0.0} MiB an hour ÷ 3,600"));
        yield return ("of each set: disk of the database", F($"{ofASet * day * DaysKept / GiB:#,0} GiB"), F($"{ofASet:#,0} × {day / MiB:0.0} MiB a day × {DaysKept} such days kept"));
        yield return ("of each set: archive of the log", F($"{ofASet * logOfADay * DaysOfLogKept / GiB:#,0} GiB"), F($"{ofASet:#,0} × {logOfADay / MiB:0.0} MiB a day × {DaysOfLogKept} such days, beside the base backups"));
        yield return ("of each set: `max_connections`", F($"{(services * ConnectionsOfAService) + ConnectionsSpare}"), F($"{services} × {ConnectionsOfAService} + {ConnectionsSpare}"));
        yield return ("all together: cores", F($"{sets * ((services * CoresOfAService) + (3 * Math.Ceiling(databaseCores))):#,0}"), F($"{sets} × ({services} × {CoresOfAService} + 3 × {Math.Ceiling(databaseCores)}), with two standbys"));
    }

    private static string F(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
