using BenchmarkDotNet.Running;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Benchmarks.Desk;
using BoutDesk.Benchmarks.Forecasts;
using BoutDesk.Benchmarks.Growth;
using BoutDesk.Benchmarks.Hall;
using BoutDesk.Benchmarks.Halls;
using BoutDesk.Benchmarks.Plans;
using BoutDesk.Benchmarks.Ratios;

// "day", "hall", "halls", "desk", "ratios" and "growth" measure the running service, "plans" compares day plans with an exact solver,
// "forecast" holds forecasts against simulated days; everything else is a choice of benchmarks of the domain.
switch (args)
{
    case ["day"]:
        return await DayMeasurement.RunAsync();
    case ["desk"]:
        return await DeskMeasurement.RunAsync();
    case ["plans"]:
        return PlanComparison.Run();
    case ["forecast"]:
        return ForecastMeasurement.Run();
    case ["hall"]:
        return await HallMeasurement.RunAsync();
    case ["ratios", .. var parts]:
        return await RatioMeasurement.RunAsync(parts);
    case ["halls", .. var what]:
        return await HallsMeasurement.RunAsync(what);
    case ["growth", .. var what]:
        return await GrowthMeasurement.RunAsync(what);
}

BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args);
return 0;
