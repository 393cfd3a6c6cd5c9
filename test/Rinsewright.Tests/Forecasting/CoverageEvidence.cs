using System.Globalization;
using Rinsewright.Forecasting;
using Rinsewright.Tests.Evidence;

namespace Rinsewright.Tests.Forecasting;

/// <summary>
/// How often the forecasts' intervals held the truth of many synthetic rigs, in a run too long for every test of the project:
/// its result is kept under data/ and a sample of it is run each time (<see cref="CalibrationTests"/>).
/// </summary>
public sealed class CoverageEvidence : IEvidenceSet
{
    private const string File = "data/own-runs/forecast-coverage.csv";
    private const double Allowed = 3; // points
    private const int RankBins = 20;

    internal static IReadOnlyDictionary<string, SyntheticRigs.World> Worlds { get; } =
        new Dictionary<string, SyntheticRigs.World>(StringComparer.Ordinal)
        {
            ["as believed"] = new(),
            ["one reading in twenty is nonsense"] = new(BadReadings: 0.05),
            ["fills last a tenth longer than believed"] = new(
                StretchMean: StretchPrior.Usual.Mean - Math.Log(1.1)
            ),
        };

    public IEnumerable<EvidenceRow> Rows()
    {
        foreach (DataTable.Row row in DataTable.Read(File).Rows)
        {
            double at80 = row.Number("held80_percent");
            double at95 = row.Number("held95_percent");
            yield return new EvidenceRow(
                "forecast",
                $"how often 80 % and 95 % intervals hold the truth of synthetic rigs, {row.Text("world")}",
                EvidenceKind.Identity,
                "talts2018",
                (int)row.Number("rigs"),
                Math.Max(Math.Abs(at80 - 80), Math.Abs(at95 - 95)),
                Allowed,
                "points",
                FormattableString.Invariant(
                    $"{at80:0.0} % and {at95:0.0} %; χ² of the ranks over its {RankBins - 1} degrees of freedom {row.Number("unevenness"):0.0}; {row.Text("members")} members, a kept run"
                )
            );
        }
    }

    /// <summary>Writes the result of a world into the kept file.</summary>
    internal static void Keep(string world, int members, Calibration found)
    {
        string path = Repository.PathOf(File);
        string row = string.Create(
            CultureInfo.InvariantCulture,
            $"{world},{found.Rigs},{members},{100 * found.Covered80:0.0},{100 * found.Covered95:0.0},{found.Unevenness(RankBins):0.00}"
        );
        List<string> lines =
        [
            .. System
                .IO.File.ReadAllLines(path)
                .Where(l => !l.StartsWith($"{world},", StringComparison.Ordinal)),
            row,
        ];
        System.IO.File.WriteAllLines(path, lines);
    }
}
