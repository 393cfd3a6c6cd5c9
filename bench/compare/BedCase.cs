using System.Globalization;

namespace Rinsewright.Compare;

/// <summary>One bed life of bench/compare/cases: its numbers, and the feed that follows from them.</summary>
internal sealed class BedCase
{
    private readonly Dictionary<string, double> _values = new(StringComparer.Ordinal);

    public BedCase(string path)
    {
        Path = path;
        Name = System.IO.Path.GetFileNameWithoutExtension(path);
        string[] lines = File.ReadAllLines(path);
        Title = lines[0].TrimStart('#', ' ');
        foreach (string line in lines)
        {
            string[] words = line.Split('#')[0].Split(' ', StringSplitOptions.RemoveEmptyEntries);
            if (words.Length > 1)
            {
                _values[string.Join(' ', words[..^1])] = double.Parse(
                    words[^1],
                    CultureInfo.InvariantCulture
                );
            }
        }

        Feed = FeedOf();
        double cations = Stoichiometric("cation", [.. Curve.Ions[..4]]) * Number("cation_share");
        double anions = Stoichiometric("anion", [.. Curve.Ions[4..]]) * (1 - Number("cation_share"));
        RunLiters = Number("run_over_stoichiometric") * Math.Max(cations, anions);
    }

    public string Path { get; }

    public string Name { get; }

    public string Title { get; }

    /// <summary>Feed by the ions of <see cref="Curve.Ions"/> [mol/m³].</summary>
    public double[] Feed { get; }

    /// <summary>Length of the run [L].</summary>
    public double RunLiters { get; }

    /// <summary>A number of the case file by its name, with the ion after a space where it belongs to one.</summary>
    public double Number(string name) => _values[name];

    private double Stoichiometric(string resin, string[] ions)
    {
        double load = ions.Sum(i => Curve.ChargeOf(i) * Feed[Curve.IndexOf(i)]);
        return Number($"{resin}_capacity_eq_per_m3") * Number("settled_volume_L") / load;
    }

    /// <summary>Bicarbonate closes the charge balance; total carbon is that times 1 + H/K1.</summary>
    private double[] FeedOf()
    {
        var feed = new double[Curve.Ions.Length];
        double bicarbonate = 0;
        for (int i = 0; i < feed.Length; i++)
        {
            string ion = Curve.Ions[i];
            if (i != Curve.TotalCarbon)
            {
                feed[i] = Number($"feed_mg_per_L {ion}") / Number($"molar_mass_g_per_mol {ion}");
                bicarbonate += i == Curve.Silica ? 0 : (i < 4 ? 1 : -1) * Curve.ChargeOf(ion) * feed[i];
            }
        }

        feed[Curve.TotalCarbon] = bicarbonate * (1 + Math.Pow(10, Number("pK1") - Number("pH_feed")));
        return feed;
    }
}
