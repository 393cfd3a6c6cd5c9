using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Records.Histories;

/// <summary>One fill of a stage with the water that passed it.</summary>
/// <param name="Fill">As written.</param>
/// <param name="Draws">Draws that passed it, oldest first.</param>
public sealed record FillHistory(Fill Fill, IReadOnlyList<Draw> Draws)
{
    /// <summary>Water that has passed it as far as it was written down [m³].</summary>
    public double Drawn_m3 => Draws.Sum(d => d.Volume_m3);

    /// <summary>Median of the flows that its draws state; nothing where none does.</summary>
    public VolumeFlow? UsualFlow
    {
        get
        {
            double[] flows = [.. Draws.Where(d => d.Flow_m3_s > 0).Select(d => d.Flow_m3_s!.Value).Order()];
            return flows.Length > 0 ? VolumeFlow.FromCubicMetersPerSecond(flows[flows.Length / 2]) : null;
        }
    }

    /// <summary>Whether it was in the stage at an instant.</summary>
    public bool WasInAt(DateTimeOffset instant) =>
        Fill.PutInAt <= instant && (Fill.TakenOutAt is null || instant < Fill.TakenOutAt);
}

/// <summary>One stage of a rig through time.</summary>
/// <param name="Stage">As it is now.</param>
/// <param name="Fills">Its fills, oldest first.</param>
/// <param name="Designed">The stage as the rig's file describes it; nothing where there is no file or it names no such stage.</param>
public sealed record StageHistory(Stage Stage, IReadOnlyList<FillHistory> Fills, Treatment.Stage? Designed)
{
    /// <summary>The fill that is in it now.</summary>
    public FillHistory? Present => Fills.LastOrDefault(f => f.Fill.TakenOutAt is null);

    /// <summary>The fill that was in it at an instant.</summary>
    public FillHistory? FillAt(DateTimeOffset instant) => Fills.LastOrDefault(f => f.WasInAt(instant));

    /// <summary>
    /// The freshly filled bed: as the rig's file describes it, otherwise the nearest generic size with default resins;
    /// nothing for stages that are no bed or whose volume is not known.
    /// </summary>
    /// <param name="fill">Whose volume counts; empty for the stage's own.</param>
    public ExchangeBed? Bed(Fill? fill = null)
    {
        if (Designed is BedStage { Beds: [var designed] })
        {
            return fill?.Volume_m3 is { } filled
                ? designed with
                {
                    Volume = Volume.FromCubicMeters(filled),
                }
                : designed;
        }

        return (fill?.Volume_m3 ?? Stage.Volume_m3) is { } volume
            ? FreshBed.Of(Stage.Kind, Volume.FromCubicMeters(volume), Stage.Name)
            : null;
    }
}

/// <summary>What is known of a rig's raw water at an instant.</summary>
/// <param name="Season">The season that held.</param>
/// <param name="WaterFile">Text of its water file, if it has one.</param>
/// <param name="Stated_uS_cm">Specific conductance stated for the season [µS/cm].</param>
/// <param name="Read_uS_cm">Median of the corrected readings of the raw water nearby in time [µS/cm].</param>
/// <param name="Readings">How many readings that is the median of.</param>
public sealed record SourceAt(
    Season? Season,
    string? WaterFile,
    double? Stated_uS_cm,
    NormalEstimate? Read_uS_cm,
    int Readings
)
{
    private const double ReadStep = 0.02;

    /// <summary>When the reading was taken, where the only one that counts lies far from the instant in time.</summary>
    public DateTimeOffset? OldReadAt { get; init; }

    /// <summary>
    /// Text of the water file that says most: the season's own, otherwise one of the strength alone, as read or as stated, to
    /// three digits; nothing where nothing is known. What was read counts in steps of 2 %, finer than any meter knows it, so that
    /// one more reading seldom asks for another water.
    /// </summary>
    public string? BestWaterFile =>
        WaterFile
        ?? (
            (Stepped(Read_uS_cm?.Mean) ?? Stated_uS_cm) is { } strength
                ? FormattableString.Invariant($"{{ \"conductivity\": \"{Digits(strength)} uS/cm\" }}")
                : null
        );

    private static double? Stepped(double? strength) =>
        strength is > 0 and { } read ? Math.Exp(ReadStep * Math.Round(Math.Log(read) / ReadStep)) : strength;

    private static decimal Digits(double strength)
    {
        double step = Math.Pow(10, Math.Floor(Math.Log10(Math.Max(strength, 1e-3))) - 2);
        return (decimal)(Math.Round(strength / step) * step);
    }
}
