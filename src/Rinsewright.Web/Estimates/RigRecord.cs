using System.Globalization;
using System.Text.Json.Nodes;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rig = Rinsewright.Records.Logbook.Rig;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Web.Estimates;

/// <summary>What the record says of one rig, as far as an outlook needs it.</summary>
public sealed record RigRecord
{
    private const double LongestSourceAgeDays = 120;
    private const double TradeFactor = 10; // kg/m³ per S/m for a factor of 1 ppm per µS/cm
    private const int SourceReadings = 9;
    private const int WeeksLookedBack = 8;

    public required Rig Rig { get; init; }

    public required DateTimeOffset Now { get; init; }

    public IReadOnlyList<Stage> Stages { get; init; } = [];

    /// <summary>The last bed that takes everything out; its life is what the rig's life means.</summary>
    public Stage? Bed { get; init; }

    /// <summary>The bed's present fill.</summary>
    public Fill? Fill { get; init; }

    /// <summary>Draws through the bed since it was filled and over the weeks before, oldest first.</summary>
    public IReadOnlyList<Draw> Draws { get; init; } = [];

    /// <summary>Conductance and TDS readings of the raw water, newest first.</summary>
    public IReadOnlyList<Reading> SourceReads { get; init; } = [];

    /// <summary>Conductance and TDS readings behind the bed, of this fill, oldest first.</summary>
    public IReadOnlyList<Reading> OutletReads { get; init; } = [];

    /// <summary>The newest of them.</summary>
    public Reading? LastOutlet => OutletReads.Count > 0 ? OutletReads[^1] : null;

    /// <summary>Water drawn from the rig in a usual week, behind whichever stage [L/week].</summary>
    public double WeeklyAll_L { get; init; }

    public IReadOnlyList<Season> Seasons { get; init; } = [];

    public IReadOnlyDictionary<Id<Meter>, Meter> Meters { get; init; } = new Dictionary<Id<Meter>, Meter>();

    /// <summary>Litres through the bed since it was filled [L].</summary>
    public double Drawn_L => 1e3 * Draws.Where(d => d.At >= Fill?.PutInAt).Sum(d => d.Volume_m3);

    /// <summary>Mean flow of the draws that state one, weighted by volume [L/min].</summary>
    public double? UsualFlow_L_min
    {
        get
        {
            List<Draw> stated = [.. Draws.Where(d => d.Flow_m3_s is > 0)];
            double volume = stated.Sum(d => d.Volume_m3);
            // To a tenth, so that one more draw does not ask for a new run.
            return volume > 0
                ? Math.Round(60e3 * stated.Sum(d => d.Volume_m3 * d.Flow_m3_s!.Value) / volume, 1)
                : null;
        }
    }

    /// <summary>Factor of the meter that is used on the rig, from conductivity to TDS [-].</summary>
    public double MeterFactor =>
        SourceReads.Select(r => FactorOf(r)).FirstOrDefault(WaterStatement.UsualFactor);

    public TimeZoneInfo Zone =>
        TimeZoneInfo.TryFindSystemTimeZoneById(Rig.TimeZone, out TimeZoneInfo? zone)
            ? zone
            : TimeZoneInfo.Utc;

    /// <summary>The day on which an instant falls where the rig is.</summary>
    public DateOnly Local(DateTimeOffset at) =>
        DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(at, Zone).DateTime);

    /// <summary>Reads the record.</summary>
    public static async Task<RigRecord?> LoadAsync(
        LogbookContext context,
        Id<Rig> id,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        if (await context.Live<Rig>().FirstOrDefaultAsync(r => r.Id == id, cancel) is not { } rig)
        {
            return null;
        }

        List<Stage> stages = await context
            .Live<Stage>()
            .Where(s => s.RigId == id)
            .OrderBy(s => s.Position)
            .ToListAsync(cancel);
        Stage? bed = stages.FindLast(s =>
            s.Kind is StageKind.MixedBed or StageKind.AnionBed or StageKind.CationBed
        );
        Fill? fill = bed is null
            ? null
            : await context
                .Live<Fill>()
                .Where(f => f.StageId == bed.Id && f.TakenOutAt == null)
                .OrderByDescending(f => f.PutInAt)
                .FirstOrDefaultAsync(cancel);
        DateTimeOffset since = now.AddDays(-7 * WeeksLookedBack);
        since = fill is not null && fill.PutInAt < since ? fill.PutInAt : since;
        HashSet<Id<Stage>> behind = [.. stages.Where(s => s.Position >= bed?.Position).Select(s => s.Id)];
        List<Draw> draws = await context
            .Live<Draw>()
            .Where(d => d.RigId == id && d.At >= since && d.At <= now)
            .OrderBy(d => d.At)
            .ToListAsync(cancel);
        IQueryable<Reading> strength = context
            .Live<Reading>()
            .Where(r =>
                r.RigId == id
                && r.At <= now
                && (
                    r.Measurand == Measurand.DissolvedSolids
                    || r.Measurand == Measurand.SpecificConductance
                    || r.Measurand == Measurand.Conductivity
                )
            );
        return new RigRecord
        {
            Rig = rig,
            Now = now,
            Stages = stages,
            Bed = bed,
            Fill = fill,
            Draws = [.. draws.Where(d => d.StageId is null || behind.Contains(d.StageId.Value))],
            SourceReads = await strength
                .Where(r => r.Place == Place.Source)
                .OrderByDescending(r => r.At)
                .Take(SourceReadings)
                .ToListAsync(cancel),
            OutletReads =
                bed is null || fill is null
                    ? []
                    : await strength
                        .Where(r => r.Place == Place.Outlet && r.StageId == bed.Id && r.At >= fill.PutInAt)
                        .OrderBy(r => r.At)
                        .ToListAsync(cancel),
            WeeklyAll_L =
                1e3
                * draws.Where(d => d.At > now.AddDays(-7 * WeeksLookedBack)).Sum(d => d.Volume_m3)
                / WeeksLookedBack,
            Seasons = rig.SourceId is null
                ? []
                : await context.Live<Season>().Where(s => s.SourceId == rig.SourceId).ToListAsync(cancel),
            Meters = await context.Live<Meter>().ToDictionaryAsync(m => m.Id, cancel),
        };
    }

    /// <summary>The season that holds now: the one that began last.</summary>
    public Season? Season
    {
        get
        {
            DateOnly today = Local(Now);
            int Since(Season s) =>
                ((100 * today.Month) + today.Day - (100 * s.StartMonth) - s.StartDay + 1300) % 1300;
            return Seasons.MinBy(Since);
        }
    }

    /// <summary>Text of a water file for the raw water, and the sentence that says where it is from.</summary>
    public (string? Text, Reason? From) WaterFile()
    {
        Season? season = Season;
        if (season?.WaterFile is { Length: > 0 } file)
        {
            return (file, new Reason("The water is as you stated it for {0}.", season.Name));
        }

        List<Reading> recent = [.. SourceReads.Where(r => (Now - r.At).TotalDays < LongestSourceAgeDays)];
        if (recent.Count > 0)
        {
            double[] conductances = [.. recent.Select(Conductance_uS_cm).Order()];
            double median = conductances[conductances.Length / 2];
            double? kelvins = recent.Find(r => r.Temperature_K is not null)?.Temperature_K;
            return (
                Strength(median, kelvins),
                new Reason("The raw water reads {0} (median of {1}).", new Strength(median), recent.Count)
            );
        }

        return season?.SpecificConductance_S_m is { } stated
            ? (
                Strength(1e4 * stated, null),
                new Reason(
                    "The raw water is taken as {0}, as stated for {1}.",
                    new Strength(1e4 * stated),
                    season.Name
                )
            )
            : (null, null);
    }

    /// <summary>Water through the bed in each of the last whole weeks, the newest first [L].</summary>
    public IEnumerable<double> WeeklyDrawn_L(int weeks)
    {
        if (Draws.Count == 0)
        {
            return [];
        }

        int known = Math.Clamp((int)((Now - Draws[0].At).TotalDays / 7), 1, weeks);
        return Enumerable
            .Range(0, known)
            .Select(w =>
                1e3
                * Draws
                    .Where(d => d.At > Now.AddDays(-7 * (w + 1)) && d.At <= Now.AddDays(-7 * w))
                    .Sum(d => d.Volume_m3)
            );
    }

    /// <summary>Specific conductance that a reading stands for [µS/cm].</summary>
    public double Conductance_uS_cm(Reading reading) =>
        reading.Measurand is Measurand.DissolvedSolids
            ? 1e3 * reading.Value_SI / FactorOf(reading)
            : 1e4 * reading.Value_SI;

    /// <summary>A reading in the unit of the change-out line, where that is one a meter shows.</summary>
    internal double? InUnitOf(Reading reading, LifeQuestion question) =>
        question.Line.Kind switch
        {
            LineKind.Conductivity => Conductance_uS_cm(reading),
            LineKind.MeterReading => question.MeterFactor * Conductance_uS_cm(reading),
            _ => null,
        };

    private double FactorOf(Reading reading) =>
        reading.MeterId is { } id && Meters.TryGetValue(id, out Meter? meter)
            ? (meter.TdsFactor_kg_m3_per_S_m / TradeFactor) ?? WaterStatement.UsualFactor
            : WaterStatement.UsualFactor;

    private static string Strength(double conductance_uS_cm, double? kelvins)
    {
        // To three digits, so that the same water is asked for again.
        string value = double.Parse(
                conductance_uS_cm.ToString("E2", CultureInfo.InvariantCulture),
                CultureInfo.InvariantCulture
            )
            .ToString("R", CultureInfo.InvariantCulture);
        var file = new JsonObject { ["conductivity"] = $"{value} uS/cm" };
        if (kelvins is { } k)
        {
            file["temperature"] = string.Create(
                CultureInfo.InvariantCulture,
                $"{Math.Clamp(k - PhysicalConstants.ZeroCelsius, 0, 45):0} degC"
            );
        }

        return file.ToJsonString();
    }
}

/// <summary>A specific conductance in a sentence.</summary>
/// <param name="Value">[µS/cm]</param>
public readonly record struct Strength(double Value);
