using System.Collections.Immutable;
using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Water;
using Reading = Rinsewright.Records.Logbook.Reading;

namespace Rinsewright.Records.Forecasts;

/// <summary>What is left of a carbon block or a sediment cartridge that stands in a rig now.</summary>
/// <param name="Stage">The stage.</param>
/// <param name="Fill">The fill in it.</param>
/// <param name="EndedBy">What ends it, in words with its limit.</param>
/// <param name="Outlook">What is left until then.</param>
/// <param name="Readings">How many readings it rests on.</param>
/// <param name="ServiceUntil">When it is changed by the calendar, even when it is not spent.</param>
/// <param name="Remarks">What was taken where the record is silent, in words.</param>
public sealed record WearForecast(
    StageHistory Stage,
    FillHistory Fill,
    Sentence EndedBy,
    StageOutlook Outlook,
    int Readings,
    DateTimeOffset ServiceUntil,
    ImmutableArray<Sentence> Remarks
)
{
    private const int Members = 1000;
    private const double UsualChlorine_mg_L = 0.5; // of a tap; common practice, no source
    private const double UnknownSd = 0.7; // of the logarithm of that, and of a season's about its report
    private const double StatedSd = 0.3;
    private const double UsualPH = 7.6; // of a tap; common practice, no source
    private const double LitersPerCubicMeter = 1000;
    private const double MilligramsPerKilogram = 1e6;
    private static readonly TimeSpan SameMoment = TimeSpan.FromMinutes(15);

    /// <summary>Forecasts the carbon blocks and sediment cartridges of a rig, in the order in which the water meets them.</summary>
    /// <param name="history">The record of the rig.</param>
    /// <param name="now">The moment of asking.</param>
    /// <param name="seed">Seed; the same record, moment and seed give the same answers.</param>
    public static ImmutableArray<WearForecast> Of(RigHistory history, DateTimeOffset now, int seed) =>
        [
            .. history
                .Stages.Select(stage =>
                    (stage.Stage.Kind, stage.FillAt(now)) switch
                    {
                        (StageKind.CarbonBlock, { } fill) => Carbon(history, stage, fill, now, seed),
                        (StageKind.Sediment, { } fill) => Sediment(history, stage, fill, now, seed),
                        _ => null,
                    }
                )
                .OfType<WearForecast>(),
        ];

    private static WearForecast? Carbon(
        RigHistory history,
        StageHistory stage,
        FillHistory fill,
        DateTimeOffset now,
        int seed
    )
    {
        List<Sentence> remarks = [];
        var designed = stage.Designed as CarbonStage;
        if (
            (fill.Fill.Volume_m3 ?? stage.Stage.Volume_m3 ?? designed?.Carbon.Carbon.CubicMeters)
            is not { } volume
        )
        {
            return null;
        }

        CarbonBlock block = (designed?.Carbon ?? new CarbonBlock(default)) with
        {
            Carbon = Volume.FromCubicMeters(volume),
        };
        SourceWater? water = RigForecast.WaterAt(history, now, [], []);
        (Oxidants inlet, double sd) = InletOf(water, remarks);
        ImmutableArray<ChlorineReading> readings = [.. ChlorineOf(history, stage, fill, now)];
        MassConcentration line = designed?.Line ?? CarbonBlock.UsualLine;
        var outlook = CarbonForecast.Of(
            new CarbonCase
            {
                Carbon = block,
                Inlet = inlet,
                InletSd = sd,
                PH = PHOf(history, fill, water, now),
                Line = line,
                Flow = RigForecast.FlowOf(fill, remarks),
                Temperature = TemperatureOf(water),
                LoggedLiters = PassedAt(history, fill, now),
                Readings = readings,
                Usage = PastUse.Of(history, stage, now),
            },
            Members,
            seed
        );
        if (readings.Length == 0)
        {
            remarks.Add(
                Sentence.Of(
                    "No chlorine reading of this carbon yet: a strip behind it would narrow the range."
                )
            );
        }

        return new WearForecast(
            stage,
            fill,
            Sentence.Of($"{line.MilligramsPerLiter:0.##} mg/L chlorine in its outlet"),
            outlook,
            readings.Length,
            ServiceEnd(fill, designed),
            [.. remarks]
        );
    }

    private static WearForecast Sediment(
        RigHistory history,
        StageHistory stage,
        FillHistory fill,
        DateTimeOffset now,
        int seed
    )
    {
        List<Sentence> remarks = [];
        var designed = stage.Designed as SedimentStage;
        SedimentFilter filter = designed?.Filter ?? new SedimentFilter();
        VolumeFlow usual = RigForecast.FlowOf(fill, remarks);
        ImmutableArray<LossReading> readings = [.. LossesOf(history, stage, fill, now, usual)];
        var outlook = SedimentForecast.Of(
            new SedimentCase
            {
                Filter = filter,
                Temperature = TemperatureOf(RigForecast.WaterAt(history, now, [], [])),
                LoggedLiters = PassedAt(history, fill, now),
                Readings = readings,
                Usage = PastUse.Of(history, stage, now),
            },
            Members,
            seed
        );
        if (readings.Length == 0)
        {
            remarks.Add(
                Sentence.Of(
                    "Its loss was never read: pressures before and behind it while water flows would narrow the range."
                )
            );
        }

        return new WearForecast(
            stage,
            fill,
            Sentence.Of(
                $"{filter.FullLoss.Kilopascals:0} kPa lost in it at {filter.RatedFlow.LitersPerMinute:0} L/min"
            ),
            outlook,
            readings.Length,
            ServiceEnd(fill, designed),
            [.. remarks]
        );
    }

    private static (Oxidants Inlet, double Sd) InletOf(SourceWater? water, List<Sentence> remarks)
    {
        if (
            water is not null
            && Oxidants.Stated(water.Analysis) is var stated
            && stated.Total > default(MassConcentration)
        )
        {
            return (stated, StatedSd);
        }

        remarks.Add(
            Sentence.Of(
                $"No chlorine of the source is known: {UsualChlorine_mg_L} mg/L is taken, from a third to three times that."
            )
        );
        return (
            new Oxidants(MassConcentration.FromMilligramsPerLiter(UsualChlorine_mg_L), default),
            UnknownSd
        );
    }

    private static double PHOf(
        RigHistory history,
        FillHistory fill,
        SourceWater? water,
        DateTimeOffset now
    ) =>
        history
            .Readings.Select(r => r.Reading)
            .LastOrDefault(r =>
                r.Measurand is Measurand.Ph && r.Place is Place.Source && r.At <= now && fill.WasInAt(r.At)
            )
            ?.Value_SI
        ?? (water?.Analysis.PH is { } stated ? 0.5 * (stated.Low + stated.High) : UsualPH);

    private static Temperature TemperatureOf(SourceWater? water) =>
        water is null
            ? Temperature.FromDegreesCelsius(15)
            : Temperature.FromKelvins(water.Members[0].TemperatureKelvin);

    /// <summary>Water that had passed a fill at an instant [L].</summary>
    private static double PassedAt(RigHistory history, FillHistory fill, DateTimeOffset at) =>
        LitersPerCubicMeter * RigForecast.Passed(history, fill).Where(d => d.At <= at).Sum(d => d.Volume_m3);

    private static IEnumerable<ChlorineReading> ChlorineOf(
        RigHistory history,
        StageHistory stage,
        FillHistory fill,
        DateTimeOffset now
    ) =>
        from r in history.Readings.Select(t => t.Reading)
        where r.Measurand is Measurand.FreeChlorine or Measurand.TotalChlorine
        where r.At <= now && fill.WasInAt(r.At)
        let isOutlet = r.Place is Place.Outlet && r.StageId == stage.Stage.Id
        let isInlet = (r.Place is Place.Inlet && r.StageId == stage.Stage.Id) || r.Place is Place.Source
        where isOutlet || isInlet
        select new ChlorineReading(
            PassedAt(history, fill, r.At),
            isOutlet ? ReadingSide.Outlet : ReadingSide.Inlet,
            MilligramsPerKilogram / LitersPerCubicMeter * r.Value_SI,
            r.IsBelowLimit
        );

    /// <summary>Pressures before and behind the cartridge that were read together while water flowed.</summary>
    private static IEnumerable<LossReading> LossesOf(
        RigHistory history,
        StageHistory stage,
        FillHistory fill,
        DateTimeOffset now,
        VolumeFlow usual
    )
    {
        Reading[] pressures =
        [
            .. history
                .Readings.Select(t => t.Reading)
                .Where(r => r.Measurand is Measurand.Pressure && r.At <= now && fill.WasInAt(r.At)),
        ];
        bool isFirst = ReferenceEquals(history.Stages[0], stage);
        foreach (
            Reading behind in pressures.Where(r => r.Place is Place.Outlet && r.StageId == stage.Stage.Id)
        )
        {
            Reading? before = pressures
                .Where(r =>
                    (r.Place is Place.Inlet && r.StageId == stage.Stage.Id)
                    || (isFirst && r.Place is Place.Source)
                )
                .Where(r => (r.At - behind.At).Duration() <= SameMoment)
                .MinBy(r => (r.At - behind.At).Duration());
            double flow = behind.Flow_m3_s ?? before?.Flow_m3_s ?? usual.CubicMetersPerSecond;
            if (before is { } b && flow > 0)
            {
                yield return new LossReading(
                    PassedAt(history, fill, behind.At),
                    Pressure.FromPascals(Math.Max(b.Value_SI - behind.Value_SI, 0)),
                    VolumeFlow.FromCubicMetersPerSecond(flow)
                );
            }
        }
    }

    private static DateTimeOffset ServiceEnd(FillHistory fill, Treatment.Stage? designed) =>
        fill.Fill.PutInAt.AddMonths(
            (int)Math.Round(designed?.LongestServiceMonths ?? SedimentFilter.Defaults["longestService"].Value)
        );
}
