using System.Collections.Immutable;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using BedStage = Rinsewright.Treatment.BedStage;

namespace Rinsewright.Records.Forecasts;

/// <summary>The lines that a bed is forecast to.</summary>
public static class ForecastLines
{
    private const double MicrosiemensPerSiemens = 1e4; // µS/cm per S/m
    private const double MilligramsPerLiter = 1000; // mg/L per kg/m³
    private const string UsualLine = "10 ppm";

    /// <summary>The line at which silica counts as out: it etches; our choice.</summary>
    public static ChangeOutLine Silica { get; } = new("1 mg/L silica", LineKind.Silica, 1);

    /// <summary>The line at which a stage is changed: its own, else 10 ppm.</summary>
    public static ChangeOutLine Of(Logbook.Stage stage) =>
        Read(
            stage.ChangeOutLine_S_m is { } at
                ? FormattableString.Invariant($"{at * MicrosiemensPerSiemens:0.##} uS/cm")
                : UsualLine
        );

    /// <summary>
    /// All lines that a stage's forecast is kept to: the one at which it is changed, silica, and what else the rig's file says
    /// that its water must hold.
    /// </summary>
    public static ImmutableArray<ChangeOutLine> AllOf(StageHistory stage)
    {
        ExitLine? designed = (stage.Designed as BedStage)?.Line;
        IEnumerable<string> more =
        [
            .. designed?.Silica_mg_L is { } silica
                ? [FormattableString.Invariant($"{silica} mg/L silica")]
                : (string[])[],
            .. designed?.Residue_mg_L is { } residue
                ? [FormattableString.Invariant($"{residue} mg/L residue")]
                : (string[])[],
            .. designed?.Spots_mg_m2 is { } spots
                ? [FormattableString.Invariant($"{spots} mg/m2")]
                : (string[])[],
        ];
        return
        [
            .. new[] { Of(stage.Stage), Silica }.Concat(more.Select(Read)).DistinctBy(l => (l.Kind, l.Value)),
        ];
    }

    /// <summary>
    /// Whether what is read and written down can ever show that a line was passed: a meter shows strength, a drop test or a
    /// laboratory silica. Residue and spots are computed from the whole water, which no reading of the record holds.
    /// </summary>
    public static bool CanComeTrue(ChangeOutLine line) =>
        line.Kind is LineKind.MeterReading or LineKind.Conductivity or LineKind.Silica;

    /// <summary>What a reading shows of the quantity that a line is drawn on, in the line's unit; nothing when it is of another.</summary>
    /// <param name="line">The line.</param>
    /// <param name="reading">The reading.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS that the line is read with [-].</param>
    internal static double? Shown(ChangeOutLine line, TrustedReading reading, double meterFactor) =>
        line.Kind switch
        {
            LineKind.MeterReading => meterFactor * reading.Corrected?.Conductance_uS_cm.Mean,
            LineKind.Conductivity => reading.Corrected?.Conductance_uS_cm.Mean,
            LineKind.Silica when reading.Reading.Measurand is Measurand.Silica => MilligramsPerLiter
                * reading.Reading.Value_SI,
            _ => null,
        };

    private static ChangeOutLine Read(string text)
    {
        _ = ChangeOutLine.TryParse("line", text, out ChangeOutLine? read, out _);
        return read!;
    }
}
