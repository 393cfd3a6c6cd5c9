using System.Globalization;
using System.Runtime.CompilerServices;
using CsCheck;

namespace Rinsewright.Shared;

/// <summary>Random samples that are the same in every run, so that a commit which passes once passes again.</summary>
internal static class Repeatable
{
    /// <summary>Set to a whole number to draw other samples: <c>RINSEWRIGHT_SEED=7 ./verify</c>.</summary>
    private const string Variable = "RINSEWRIGHT_SEED";

    private static readonly ulong Seed = ulong.TryParse(
        Environment.GetEnvironmentVariable(Variable),
        CultureInfo.InvariantCulture,
        out ulong seed
    )
        ? seed
        : 0;

    /// <summary>Draws a generator's samples from the name of the test and the seed of the run.</summary>
    public static Gen<T> Repeat<T>(this Gen<T> gen, [CallerMemberName] string test = "") =>
        new Sequence<T>(gen, Stream(test));

    /// <summary>A seed of a name, the same in every run with the seed of the run.</summary>
    public static ulong SeedOf(string name) => (Seed << 32) + Stream(name);

    private static uint Stream(string test)
    {
        uint hash = 2166136261; // FNV-1a
        foreach (char c in test)
        {
            hash = (hash ^ c) * 16777619;
        }

        return hash;
    }

    private sealed class Sequence<T>(Gen<T> gen, uint stream) : Gen<T>
    {
        private long _drawn = -1;

        public override T Generate(PCG pcg, Size? min, out Size size)
        {
            var own = new PCG(stream, (Seed << 32) + (ulong)Interlocked.Increment(ref _drawn));
            return gen.Generate(own, min, out size);
        }
    }
}
