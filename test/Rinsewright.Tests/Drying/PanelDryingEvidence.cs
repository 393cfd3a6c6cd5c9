using System.Globalization;
using Rinsewright.Drying;
using Rinsewright.Numerics;
using Rinsewright.Tests.Evidence;

namespace Rinsewright.Tests.Drying;

/// <summary>Psychrometrics, sun, and the wet panel against tables, formulas of others and limiting cases.</summary>
public sealed class PanelDryingEvidence : IEvidenceSet
{
    private const double Zero = PhysicalConstants.ZeroCelsius;
    private const double SeaLevel = Psychrometrics.StandardPressurePascals;

    public IEnumerable<EvidenceRow> Rows() =>
        [
            SaturationPressure(),
            StandardAtmosphere(),
            HumidityRatio(),
            WetBulb(),
            SunPosition(),
            ClearSky(),
            PsychrometerFormula(),
            WetBulbLimit(),
            PenmanWindFunction(),
            EnergyCloses(),
            ConstantTemperature(),
            Order(),
        ];

    private static EvidenceRow SaturationPressure()
    {
        DataTable table = DataTable.Read("data/published/ashrae2017/saturation_pressure.csv");
        double worst = table.Rows.Worst(r =>
            Relative(
                Psychrometrics.SaturationPressurePascals(r.Number("temp_C") + Zero),
                r.Number("pressure_Pa")
            )
        );
        return new(
            "drying",
            "saturation pressure of vapour over water",
            EvidenceKind.Published,
            "ashrae2017",
            table.Rows.Count,
            worst * 100,
            0.03,
            "%",
            "one point from iapws2012; what the handbook states of its formula"
        );
    }

    private static EvidenceRow StandardAtmosphere()
    {
        DataTable table = DataTable.Read("data/published/ashrae2017/standard_atmosphere.csv");
        double worst = table.Rows.Worst(r =>
            Math.Abs(Psychrometrics.StandardPressureAt(r.Number("altitude_m")) - r.Number("pressure_Pa"))
        );
        return new(
            "drying",
            "pressure of the standard atmosphere",
            EvidenceKind.Published,
            "ashrae2017",
            table.Rows.Count,
            worst,
            1,
            "Pa"
        );
    }

    private static EvidenceRow HumidityRatio()
    {
        DataTable table = DataTable.Read("data/published/ashrae2017/wet_bulb.csv");
        double worst = table.Rows.Worst(r =>
        {
            double wet = r.Number("wet_bulb_C") + Zero;
            double vapor = Bracketed.Root(
                p =>
                    Psychrometrics.WetBulbKelvin(r.Number("dry_bulb_C") + Zero, p, r.Number("pressure_Pa"))
                    - wet,
                10,
                Psychrometrics.SaturationPressurePascals(wet),
                1e-9
            );
            return Math.Abs(
                Psychrometrics.HumidityRatio(vapor, r.Number("pressure_Pa")) - r.Number("humidity_ratio")
            );
        });
        return new(
            "drying",
            "humidity ratio from dry and wet bulb",
            EvidenceKind.Published,
            "ashrae2017",
            table.Rows.Count,
            worst * 1000,
            0.1,
            "g/kg",
            "the printed digit"
        );
    }

    private static EvidenceRow WetBulb()
    {
        DataTable table = DataTable.Read("data/published/ashrae2017/wet_bulb.csv");
        double worst = table.Rows.Worst(r =>
        {
            double pressure = r.Number("pressure_Pa");
            double ratio = r.Number("humidity_ratio");
            double vapor = pressure * ratio / (Psychrometrics.MolarMassRatio + ratio);
            double wet = Psychrometrics.WetBulbKelvin(r.Number("dry_bulb_C") + Zero, vapor, pressure);
            return Math.Abs(wet - Zero - r.Number("wet_bulb_C"));
        });
        return new(
            "drying",
            "wet bulb from dry bulb and humidity ratio",
            EvidenceKind.Published,
            "ashrae2017",
            table.Rows.Count,
            worst,
            0.2,
            "K",
            "half a printed digit of the humidity ratio moves the wet bulb by 0.1 K"
        );
    }

    private static EvidenceRow SunPosition()
    {
        DataTable table = DataTable.Read("data/published/reda2004/solar_position.csv");
        double worst = table.Rows.Worst(r =>
        {
            SolarPosition sun = SolarPosition.At(
                DateTimeOffset.Parse(r.Text("instant"), CultureInfo.InvariantCulture),
                r.Number("latitude_deg"),
                r.Number("longitude_deg")
            );
            return Math.Max(
                Math.Abs(sun.ZenithDegrees - r.Number("zenith_deg")),
                Math.Abs(sun.AzimuthDegrees - r.Number("azimuth_deg"))
            );
        });
        return new(
            "drying",
            "zenith and azimuth of the sun",
            EvidenceKind.Published,
            "reda2004",
            table.Rows.Count * 2,
            worst,
            0.03,
            "°",
            "0.01° of the formulas and 0.02° of refraction, which is left out"
        );
    }

    private static EvidenceRow ClearSky()
    {
        DataTable table = DataTable.Read("data/reference-codes/pvlib/haurwitz.csv");
        double worst = table.Rows.Worst(r =>
            Relative(
                Sunlight.ClearSkyWattsPerSquareMeter(90 - r.Number("elevation_deg")),
                r.Number("global_W_m2")
            )
        );
        return new(
            "drying",
            "clear-sky irradiance",
            EvidenceKind.OtherCode,
            "pvlib",
            table.Rows.Count,
            worst,
            1e-9,
            "relative",
            "the same published formula"
        );
    }

    /// <summary>
    /// A wet bulb of 5 mm in wind of 4 m/s (80 W/(m²·K)), radiation included, against the psychrometric formula
    /// e = es(tw) − A p (t − tw) with Fan's coefficient of 1987, 6.21e-4 per kelvin.
    /// </summary>
    private static EvidenceRow PsychrometerFormula()
    {
        var errors = Weathers()
            .Select(w =>
            {
                double bulb = (
                    Insulated(w.Air, w.Vapor) with
                    {
                        HeatTransfer = 80,
                        Emissivity = 0.95,
                        IncomingLongWave = WetPanel.LongWave(w.Air, 0, 1),
                    }
                ).WetSteadyKelvin();
                double coefficient =
                    (Psychrometrics.SaturationPressurePascals(bulb) - w.Vapor) / (SeaLevel * (w.Air - bulb));
                return Relative(coefficient, 6.21e-4);
            })
            .ToList();
        return new(
            "drying",
            "coefficient of a ventilated psychrometer",
            EvidenceKind.Published,
            "wmo8",
            errors.Count,
            errors.Worst() * 100,
            7,
            "%",
            "published coefficients differ by as much; the older 6.60e-4 (1 + 0.00115 tw) lies 7 to 11 % above this model"
        );
    }

    private static EvidenceRow WetBulbLimit()
    {
        var errors = Weathers()
            .Select(w =>
                Math.Abs(
                    Insulated(w.Air, w.Vapor).WetSteadyKelvin()
                        - Psychrometrics.WetBulbKelvin(w.Air, w.Vapor, SeaLevel)
                )
            )
            .ToList();
        return new(
            "drying",
            "temperature of an insulated film in wind, against the thermodynamic wet bulb",
            EvidenceKind.Identity,
            "identity",
            errors.Count,
            errors.Worst(),
            1.0,
            "K",
            "equal at Lewis number 1; air and water have 0.84, which leaves a convective film a little cooler"
        );
    }

    /// <summary>
    /// Evaporation into air at 25 °C against Penman's wind function 6.43 (1 + 0.536 u) D / λ [mm/d], D in kPa, for open water.
    /// </summary>
    private static EvidenceRow PenmanWindFunction()
    {
        double[] winds = [1, 2, 3, 4, 5];
        double worst = winds.Worst(u =>
        {
            double air = 25 + Zero;
            double vapor = 0.5 * Psychrometrics.SaturationPressurePascals(air);
            double rate = Psychrometrics.EvaporationKilogramsPerSquareMeterSecond(
                air,
                air,
                vapor,
                SeaLevel,
                WetPanel.WindHeatTransfer(u)
            );
            double latent = Psychrometrics.LatentHeatJoulesPerKilogram(air) / 1e6;
            double penman = 6.43 * (1 + (0.536 * u)) * (vapor / 1000) / latent / 86400;
            return Relative(rate, penman);
        });
        return new(
            "drying",
            "evaporation of water at air temperature, wind 1 to 5 m/s",
            EvidenceKind.Published,
            "shuttleworth1993",
            winds.Length,
            worst * 100,
            25,
            "%",
            "a wind function of lakes and pans against one of flat plates; from memory"
        );
    }

    private static EvidenceRow EnergyCloses()
    {
        var runs = Weathers()
            .SelectMany(w =>
                new[] { 0.0, 400, 850 }.Select(sun =>
                    DryingRun.Integrate(
                        Insulated(w.Air, w.Vapor) with
                        {
                            AbsorbedSun = sun,
                            Emissivity = 0.95,
                            IncomingLongWave = WetPanel.LongWave(w.Air, 1, 0.8),
                            InnerHeatTransfer = 3,
                        },
                        15 + Zero,
                        0.1
                    )
                )
            )
            .ToList();
        return new(
            "drying",
            "heat not accounted for, over heat exchanged",
            EvidenceKind.Identity,
            "identity",
            runs.Count(r => r.Status == DryingStatus.Dry),
            runs.Worst(r => r.EnergyImbalance),
            1e-9,
            "relative"
        );
    }

    /// <summary>A panel of endless heat capacity stays at its temperature: time is water over a constant rate.</summary>
    private static EvidenceRow ConstantTemperature()
    {
        WetPanel panel = Insulated(298, 1500) with { PanelHeatCapacity = 1e15 };
        double expected = 0.1 / panel.Evaporation(310);
        double worst = Relative(DryingRun.Integrate(panel, 310, 0.1).Curve[^1].Seconds, expected);
        return new(
            "drying",
            "time to dry at constant temperature",
            EvidenceKind.Identity,
            "identity",
            1,
            worst,
            1e-9,
            "relative"
        );
    }

    private static EvidenceRow Order()
    {
        double coarse = ErrorOfOscillation(40);
        double fine = ErrorOfOscillation(80);
        double order = Math.Log2(coarse / fine);
        return new(
            "drying",
            "order of the integrator on y'' = −y, shortfall from 5",
            EvidenceKind.Order,
            "order",
            1,
            Math.Abs(order - 5),
            0.4,
            "order"
        );
    }

    private static double ErrorOfOscillation(int steps)
    {
        var method = new RungeKutta54(
            2,
            (_, y, dydt) =>
            {
                dydt[0] = y[1];
                dydt[1] = -y[0];
            }
        );
        double[] y = [1, 0];
        double[] next = new double[2];
        for (int i = 0; i < steps; i++)
        {
            method.Step(0, 5.0 / steps, y, next, []);
            next.CopyTo(y, 0);
        }

        return Math.Sqrt(Math.Pow(y[0] - Math.Cos(5), 2) + Math.Pow(y[1] + Math.Sin(5), 2));
    }

    private static WetPanel Insulated(double air, double vapor) =>
        new()
        {
            AirKelvin = air,
            VaporPressurePascals = vapor,
            PressurePascals = SeaLevel,
            HeatTransfer = WetPanel.WindHeatTransfer(3),
            InnerHeatTransfer = 0,
            AbsorbedSun = 0,
            Emissivity = 0,
            IncomingLongWave = 0,
            PanelHeatCapacity = 2900,
            Coverage = 1,
        };

    private static IEnumerable<(double Air, double Vapor)> Weathers() =>
        from celsius in new[] { 5.0, 15, 25, 35, 45 }
        from humidity in new[] { 0.2, 0.5, 0.8 }
        select (celsius + Zero, humidity * Psychrometrics.SaturationPressurePascals(celsius + Zero));

    private static double Relative(double value, double expected) => Math.Abs((value / expected) - 1);
}
