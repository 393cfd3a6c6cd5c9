using Rinsewright.Handouts.Lives;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Handouts;

/// <summary>A rig's last bed as its owner runs it: what stands in it, on which water, at which flow, changed at which line.</summary>
/// <param name="History">The record of the rig.</param>
/// <param name="At">The moment.</param>
/// <param name="Line">The beds that the water goes through, the last bed last.</param>
/// <param name="Fill">The fill in the last bed.</param>
/// <param name="Water">The raw water, completed.</param>
public sealed record RigBed(
    RigHistory History,
    DateTimeOffset At,
    BedLine Line,
    FillHistory Fill,
    Completed Water
)
{
    private const double TradeFactor = 10; // kg/m³ per S/m for a factor of 1 ppm per µS/cm
    private const double LitersPerCubicMeter = 1000;
    private const double UsualFlow_L_min = 8;

    /// <summary>The stage of the last bed.</summary>
    public Stage Stage => Line.Stages[^1].Stage;

    /// <summary>The line at which the last bed is changed.</summary>
    public ChangeOutLine ChangeAt => ForecastLines.Of(Stage);

    /// <summary>Usual flow through it: that of the draws which state one, else 8 L/min.</summary>
    public VolumeFlow Flow => Fill.UsualFlow ?? VolumeFlow.FromLitersPerMinute(UsualFlow_L_min);

    /// <summary>Factor of the meter that is used on the rig, from conductivity to TDS [-].</summary>
    public double MeterFactor => MeterFactorOf(History);

    /// <summary>Litres that a wash takes through the bed; nothing when the record does not say [L].</summary>
    public double? PerWash_L
    {
        get
        {
            Draw[] washes = [.. Line.Stages[^1].Fills.SelectMany(f => f.Draws).Where(d => d.Washes is > 0)];
            int count = washes.Sum(d => d.Washes!.Value);
            return count > 0 ? LitersPerCubicMeter * washes.Sum(d => d.Volume_m3) / count : null;
        }
    }

    /// <summary>The rig's last bed at a moment, or nothing with what is missing.</summary>
    public static RigBed? Of(
        RigHistory history,
        DateTimeOffset at,
        SourceWaters waters,
        out IReadOnlyList<InputProblem> problems
    )
    {
        if (history.Polisher is not { } stage)
        {
            problems = [RigProblems.NoBed(history.Rig)];
            return null;
        }

        if (stage.FillAt(at) is not { } fill)
        {
            problems = [RigProblems.Empty(stage.Stage)];
            return null;
        }

        if (BedLine.Of(history, stage, fill.Fill) is not { } line)
        {
            problems = [RigProblems.NoVolume(stage.Stage)];
            return null;
        }

        if (history.SourceAt(at).BestWaterFile is not { } file)
        {
            problems = [RigProblems.NoWater(history.Rig)];
            return null;
        }

        Completed water = waters.Of(file);
        problems = water.Problems;
        return water.Source is null ? null : new RigBed(history, at, line, fill, water);
    }

    /// <summary>Factor of the meter that was last used on a rig, from conductivity to TDS [-].</summary>
    public static double MeterFactorOf(RigHistory history) =>
        history
            .Readings.Reverse()
            .Where(r => r.Reading.Measurand is Measurand.DissolvedSolids)
            .Select(r =>
                r.Reading.MeterId is { } id && history.Meters.TryGetValue(id, out MeterTrust? trust)
                    ? trust.Meter?.TdsFactor_kg_m3_per_S_m / TradeFactor
                    : null
            )
            .FirstOrDefault()
        ?? WaterStatement.UsualFactor;
}
