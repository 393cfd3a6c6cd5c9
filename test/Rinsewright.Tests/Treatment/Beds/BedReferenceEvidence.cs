using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>The bed against converged solutions of the same equations by a stiff integrator.</summary>
public sealed class BedReferenceEvidence : IEvidenceSet
{
    public IEnumerable<EvidenceRow> Rows()
    {
        foreach (ReferenceCase reference in ReferenceCase.All)
        {
            BedSeries series = reference.Usual;
            Dictionary<string, double> errors = reference.ErrorsInPercent(series.Effluent);
            yield return new EvidenceRow(
                "exchange-bed",
                $"effluent, worst ion but silica, {reference.Name}",
                EvidenceKind.OtherCode,
                "hindmarsh2005",
                reference.Reference().Rows.Count,
                errors
                    .Where(e => !string.Equals(e.Key, "Si_mol_m3", StringComparison.Ordinal))
                    .Worst(e => e.Value),
                1,
                "% of the larger of feed and peak"
            );
            yield return new EvidenceRow(
                "exchange-bed",
                $"effluent silica, {reference.Name}",
                EvidenceKind.OtherCode,
                "hindmarsh2005",
                reference.Reference().Rows.Count,
                errors["Si_mol_m3"],
                2,
                "% of the larger of feed and peak"
            );
        }
    }
}
