using CsCheck;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>Lanes of every width reckon alike, to the last bit.</summary>
public sealed class LanesTests
{
    private const ulong Mantissa = (1UL << 52) - 1;

    private static readonly Gen<double> Number = Gen.Select(
        Gen.Double[-1, 1],
        Gen.Int[-300, 300],
        (m, e) => Math.ScaleB(m, e)
    );

    /// <summary>Newton's last step rounds as division does (Markstein 1990, source key markstein1990), unless the mantissa is all ones.</summary>
    [Fact]
    public void An_inverse_is_that_of_division_in_every_width()
    {
        Number
            .Where(x => x != 0 && (BitConverter.DoubleToUInt64Bits(x) & Mantissa) != Mantissa)
            .Array[8]
            .Repeat()
            .Sample(
                values =>
                {
                    double[] expected = [.. values.Select(x => 1 / x)];
                    Assert.Equal(expected, Numbers(Lanes8.Inverse(Lanes8.Of(values))));
                    Assert.Equal(expected[..4], Numbers(Lanes4.Inverse(Lanes4.Of(values[..4]))));
                    Assert.Equal(expected[..1], Numbers(Lanes1.Inverse(Lanes1.Of(values[..1]))));
                },
                iter: 200_000
            );
    }

    [Fact]
    public void Every_width_gives_the_numbers_of_a_bed_alone()
    {
        Gen.Select(Number.Array[8], Number.Array[8], Number.Array[8])
            .Repeat()
            .Sample(
                (x, y, z) =>
                {
                    double[][] alone =
                    [
                        .. Enumerable
                            .Range(0, 8)
                            .Select(i => Reckon<Lanes1>([x[i]], [y[i]], [z[i]]).Select(v => v[0]).ToArray()),
                    ];
                    Same(alone, Reckon<Lanes8>(x, y, z));
                    Same(alone, Reckon<Lanes4>(x[..4], y[..4], z[..4]));
                },
                iter: 20_000
            );
    }

    private static TLanes[] Reckon<TLanes>(double[] x, double[] y, double[] z)
        where TLanes : unmanaged, ILanes<TLanes>
    {
        TLanes a = TLanes.Of(x);
        TLanes b = TLanes.Of(y);
        TLanes c = TLanes.Of(z);
        TLanes less = TLanes.Less(a, b);
        TLanes more = TLanes.Less(c, b);
        return
        [
            a + b,
            a - b,
            a * b,
            a / b,
            -a,
            TLanes.Max(a, b),
            TLanes.Min(a, b),
            TLanes.Abs(a),
            TLanes.Add(a, b, c),
            TLanes.Select(less, a, c),
            TLanes.Select(less & more, a, c),
            TLanes.Select(less | more, a, c),
            TLanes.Select(less ^ more, a, c),
            TLanes.Select(~less, a, c),
            TLanes.All(x[0]).With(0, 3),
        ];
    }

    private static void Same<TLanes>(double[][] alone, TLanes[] together)
        where TLanes : unmanaged, ILanes<TLanes>
    {
        for (int n = 0; n < together.Length - 1; n++)
        {
            Assert.Equal(alone.Take(TLanes.Count).Select(v => v[n]), Numbers(together[n]));
        }

        Assert.Equal(3, together[^1][0]);
        int last = TLanes.Count - 1;
        Assert.Equal(1u << last, default(TLanes).Marked(last, true).Bits);
        Assert.Equal(TLanes.Mask.Bits - 1, TLanes.Mask.Marked(0, false).Bits);
    }

    private static double[] Numbers<TLanes>(TLanes lanes)
        where TLanes : unmanaged, ILanes<TLanes> =>
        [.. Enumerable.Range(0, TLanes.Count).Select(i => lanes[i])];
}
