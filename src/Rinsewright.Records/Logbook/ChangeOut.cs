using Rinsewright.Quantities;

namespace Rinsewright.Records.Logbook;

/// <summary>A change-out as the entries of one edit: what was in the stage comes out, and the new fill goes in.</summary>
public static class ChangeOut
{
    private const double Rounding_m3 = 1e-9;

    /// <summary>Makes the entries.</summary>
    /// <param name="ids">Gives the new fill its id.</param>
    /// <param name="stage">The stage that was opened.</param>
    /// <param name="medium">What was put in.</param>
    /// <param name="batch">Its batch; that of the purchase it came from when left out.</param>
    /// <param name="volume">Its volume; as much as before, or as the stage holds, when left out.</param>
    /// <param name="written">The volume as it was written.</param>
    /// <param name="at">When.</param>
    /// <param name="fills">The fills of the record.</param>
    /// <param name="purchases">The purchases of the record.</param>
    public static IReadOnlyList<Entry> Of(
        IdSource ids,
        Stage stage,
        string medium,
        string? batch,
        Volume? volume,
        string? written,
        DateTimeOffset at,
        IReadOnlyList<Fill> fills,
        IReadOnlyList<Purchase> purchases
    )
    {
        List<Fill> old = [.. fills.Where(f => f.StageId == stage.Id && f.TakenOutAt is null)];
        Fill? last = old.MaxBy(f => f.PutInAt);
        double? volume_m3 = volume?.CubicMeters ?? last?.Volume_m3 ?? stage.Volume_m3;
        // The oldest purchase of that name that still has enough is what was opened.
        StockItem? opened = StockItem
            .Count(purchases, fills, DateOnly.FromDateTime(at.UtcDateTime))
            .FirstOrDefault(s =>
                string.Equals(s.Purchase.What, medium, StringComparison.OrdinalIgnoreCase)
                && s.Left_m3 >= (volume_m3 ?? 0) - Rounding_m3
            );
        return
        [
            .. old.Select(f => f with { TakenOutAt = at }),
            new Fill
            {
                Id = ids.Next<Fill>(),
                StageId = stage.Id,
                Medium = medium,
                Batch = batch ?? opened?.Purchase.Batch,
                Volume_m3 = volume_m3,
                VolumeWritten =
                    volume is not null ? written
                    : last?.Volume_m3 is not null ? last.VolumeWritten
                    : stage.VolumeWritten,
                PutInAt = at,
                PurchaseId = opened?.Purchase.Id,
            },
        ];
    }
}
