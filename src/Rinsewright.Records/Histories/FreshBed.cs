using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Records.Histories;

/// <summary>Beds of which no more is known than what they are and how much medium they hold.</summary>
public static class FreshBed
{
    /// <summary>The bed, freshly filled with default resins, in the generic size that comes nearest; nothing when it is no bed.</summary>
    /// <param name="kind">What the stage is.</param>
    /// <param name="medium">Settled volume of its medium.</param>
    /// <param name="name">Its name, for people.</param>
    public static ExchangeBed? Of(StageKind kind, Volume medium, string name)
    {
        Housing size = HousingCatalog.Nearest(medium);
        ExchangeBed? bed = kind switch
        {
            StageKind.MixedBed => HousingCatalog.MixedBed(size),
            StageKind.Softener => HousingCatalog.Softener(size),
            StageKind.CationBed => new ExchangeBed(
                size.Resin,
                size.Bore,
                new Resin(ResinKind.StrongCation, 1)
            ),
            StageKind.AnionBed => new ExchangeBed(
                size.Resin,
                size.Bore,
                new Resin(ResinKind.StrongAnion1, 1)
            ),
            _ => null,
        };
        return bed is null ? null : bed with { Name = name, Volume = medium };
    }
}
