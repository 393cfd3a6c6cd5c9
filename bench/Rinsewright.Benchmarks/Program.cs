using BenchmarkDotNet.Running;

BenchmarkSwitcher.FromAssembly(typeof(Rinsewright.Benchmarks.WaterFunctions).Assembly).Run(args);
