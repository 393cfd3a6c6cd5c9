using System.Globalization;

namespace Rinsewright.Compare;

/// <summary>An effluent curve at equal steps of volume: litres and, by ion, mol/m³.</summary>
internal sealed class Curve
{
    public const int TotalCarbon = 7;
    public const int Silica = 8;

    private Curve(double[] liters, double[][] concentration)
    {
        Liters = liters;
        Concentration = concentration;
    }

    /// <summary>The ions in the order of the case files.</summary>
    public static string[] Ions { get; } = ["Na", "K", "Mg", "Ca", "Cl", "NO3", "SO4", "TIC", "Si"];

    /// <summary>Volume passed at each point [L].</summary>
    public double[] Liters { get; }

    /// <summary>Effluent, ion by ion, point by point [mol/m³].</summary>
    public double[][] Concentration { get; }

    /// <summary>Charge number as the equations count it, without sign [-].</summary>
    public static int ChargeOf(string ion) => ion is "Mg" or "Ca" or "SO4" ? 2 : 1;

    public static int IndexOf(string ion) => Array.IndexOf(Ions, ion);

    /// <summary>A curve from a function of volume [L] that gives the effluent by ion [mol/m³].</summary>
    public static Curve Sample(double runLiters, int points, Func<double, double[]> effluent)
    {
        double[] liters = [.. Enumerable.Range(0, points).Select(p => runLiters * p / (points - 1))];
        double[][] rows = [.. liters.Select(effluent)];
        return new Curve(liters, Columns(rows));
    }

    /// <summary>Reads CSV whose columns are litres and the nine ions; what stands behind them is left aside.</summary>
    public static Curve Read(IEnumerable<string> lines)
    {
        double[][] rows =
        [
            .. lines
                .Where(l => l.Length > 0 && char.IsAsciiDigit(l[0]))
                .Select(l =>
                    l.Split(',').Select(f => double.Parse(f, CultureInfo.InvariantCulture)).ToArray()
                ),
        ];
        return new Curve([.. rows.Select(r => r[0])], Columns([.. rows.Select(r => r[1..])]));
    }

    /// <summary>The limit of two curves of a second-order grid, the finer with half the spacing.</summary>
    public static Curve Extrapolate(Curve coarse, Curve fine) =>
        new(
            fine.Liters,
            [
                .. fine.Concentration.Zip(
                    coarse.Concentration,
                    (f, c) => f.Zip(c, (x, y) => x + (x - y) / 3).ToArray()
                ),
            ]
        );

    public IEnumerable<string> ToCsv() =>
        Liters.Select(
            (v, p) =>
                string.Create(CultureInfo.InvariantCulture, $"{v:R}")
                + string.Concat(
                    Concentration.Select(c => string.Create(CultureInfo.InvariantCulture, $",{c[p]:R}"))
                )
        );

    private static double[][] Columns(double[][] rows) =>
        [.. Ions.Select((_, i) => rows.Select(r => r[i]).ToArray())];
}
