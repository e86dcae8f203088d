using BenchmarkDotNet.Running;
using BoutDesk.Benchmarks.Day;

// "day" measures the running service; everything else is a choice of benchmarks of the domain.
if (args is ["day"])
{
    return await DayMeasurement.RunAsync();
}

BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args);
return 0;
