using System.Collections.Immutable;
using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Forecasting;

/// <summary>
/// What the forecast would have told a person of the trade: 50–80 ppm by a pocket meter, one wall cartridge of mixed bed used for
/// everything, an outlet that reads 3 and later 8 ppm after somewhat more than 1 000 US gallons.
/// </summary>
public sealed class TradeForecastEvidence : IEvidenceSet
{
    private const double LitersPerGallon = 3.785411784;
    private const double MeterFactor = 0.5;
    private const double GallonsPerWeek = 25;
    private const double AtThree = 1000; // US gal
    private const double AtEight = 1100; // US gal
    private const double Middle_ppm = 65;
    private const int Seed = 1;

    public IEnumerable<EvidenceRow> Rows()
    {
        (ImmutableArray<ExchangeBed> beds, ImmutableArray<WaterComposition> waters) = Known();
        var flow = VolumeFlow.FromLitersPerMinute(4);
        var library = LifeLibrary.Build(beds, waters, flow, 400, Seed);
        FillCase CaseAt(double gallons, params (double Gallons, double Shown_ppm)[] outlets) =>
            new()
            {
                Beds = beds,
                Waters = waters,
                Flow = flow,
                Draws =
                [
                    .. Enumerable
                        .Range(0, (int)(gallons / GallonsPerWeek))
                        .Select(w => new LoggedDraw(7 * w, LitersPerGallon * GallonsPerWeek)),
                ],
                Readings =
                [
                    .. outlets.Select(o => new FillReading(
                        7 * o.Gallons / GallonsPerWeek,
                        ReadingSide.Outlet,
                        o.Shown_ppm / MeterFactor,
                        1 / MeterFactor
                    )),
                ],
                Now = 7 * gallons / GallonsPerWeek,
                Usage = new Usage(LitersPerGallon * GallonsPerWeek),
            };
        FillCase early = CaseAt(AtThree, (250, 0), (500, 0), (750, 0), (AtThree, 3));
        Band toEight = Gallons(FillForecast.Of(early, library, 1000, Seed), 8);
        Band toTen = Gallons(FillForecast.Of(early, library, 1000, Seed), 10);
        FillCase late = CaseAt(AtEight, (250, 0), (500, 0), (750, 0), (AtThree, 3), (AtEight, 8));
        Band then = Gallons(FillForecast.Of(late, library, 1000, Seed), 10);
        double came = AtEight - AtThree;
        yield return new EvidenceRow(
            "forecast",
            "gallons from a reading of 3 ppm to one of 8 ppm, told at 3 ppm, against the hundred or so that the trade reports",
            EvidenceKind.CommonPractice,
            "common practice, no source",
            1,
            came >= toEight.P05 && came <= toEight.P95
                ? Math.Max(toEight.Median / came, came / toEight.Median)
                : double.PositiveInfinity,
            3,
            "as a factor",
            FormattableString.Invariant(
                $"told at 1 000 US gal and 3 ppm: {Near(toEight.Median)} US gal left to 8 ppm ({Near(toEight.P05)}–{Near(toEight.P95)}), {Near(toTen.Median)} to 10 ppm ({Near(toTen.P05)}–{Near(toTen.P95)}); told at 1 100 US gal and 8 ppm: {Near(then.Median)} to 10 ppm ({Near(then.P05)}–{Near(then.P95)})"
            )
        );
    }

    private static double Near(double gallons) => 10 * Math.Round(gallons / 10);

    private static Band Gallons(FillForecast forecast, double ppm)
    {
        var line = new ChangeOutLine(FormattableString.Invariant($"{ppm} ppm"), LineKind.MeterReading, ppm);
        Band liters = forecast.To(line, MeterFactor).Liters;
        return new Band(
            liters.Median / LitersPerGallon,
            liters.P05 / LitersPerGallon,
            liters.P95 / LitersPerGallon
        );
    }

    private static (ImmutableArray<ExchangeBed> Beds, ImmutableArray<WaterComposition> Waters) Known()
    {
        Assert.True(
            WaterFile.TryRead(
                FormattableString.Invariant(
                    $$"""{"tds": {"reading": "{{Middle_ppm}} ppm", "factor": {{MeterFactor}} } }"""
                ),
                out WaterAnalysis? analysis,
                out _,
                out _
            )
        );
        SourceWater? source = SourceWater.Complete(analysis, new WaterMode(), 64, Seed, out _);
        Assert.NotNull(source);
        ExchangeBed bed = HousingCatalog.MixedBed(
            HousingCatalog.All.Single(h => h.Id.EndsWith("4.5x20", StringComparison.Ordinal))
        );
        return ([bed], source.Members);
    }
}
