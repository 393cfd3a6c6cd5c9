using CsCheck;
using Rinsewright.Drying;
using Rinsewright.Quantities;

namespace Rinsewright.Tests.Drying;

public sealed class RinsedPanelTests
{
    private static readonly DryingWeather WarmDay = new(
        Temperature.FromDegreesCelsius(28),
        45,
        Speed.FromMetersPerSecond(2),
        SunExposure.Full,
        DryingWeather.SummerNoon,
        Length.FromMeters(0)
    );

    private static readonly RinsedPanel BlackBonnet = new(
        WarmDay,
        Paint("black"),
        PanelCatalog.Materials.Single(m => m.Key is "steel"),
        PanelCatalog.Films.Single(f => f.Key is "sheeting"),
        Temperature.FromDegreesCelsius(18),
        0
    );

    private static readonly TimeSpan Minute = TimeSpan.FromMinutes(1);

    [Fact]
    public void A_saturated_air_without_sun_never_dries_a_panel_and_gives_no_time()
    {
        RinsedPanel panel = BlackBonnet with
        {
            Weather = WarmDay with { RelativeHumidityPercent = 100, Exposure = SunExposure.None },
        };
        DryingRun run = panel.Dry();
        Assert.Equal(DryingStatus.NeverDries, run.Status);
        Assert.Null(run.TimeToDry);
    }

    [Fact]
    public void A_warm_panel_in_saturated_air_never_dries_unless_the_film_is_thinner_than_its_heat_can_lift()
    {
        RinsedPanel panel = BlackBonnet with
        {
            Weather = WarmDay with
            {
                Air = Temperature.FromDegreesCelsius(10),
                RelativeHumidityPercent = 100,
                Exposure = SunExposure.None,
            },
            Water = Temperature.FromDegreesCelsius(40),
        };
        Assert.Equal(DryingStatus.NeverDries, panel.Dry().Status);
        RinsedPanel thin = panel with { Film = panel.Film with { Thickness = Length.FromMicrometers(5) } };
        Assert.Equal(DryingStatus.Dry, thin.Dry().Status);
    }

    [Fact]
    public void Dew_gathers_on_a_panel_under_a_clear_night_sky()
    {
        RinsedPanel panel = BlackBonnet with
        {
            Weather = WarmDay with
            {
                Air = Temperature.FromDegreesCelsius(12),
                RelativeHumidityPercent = 95,
                Wind = Speed.FromMetersPerSecond(0.5),
                Sun = new SolarPosition(120, 0, 1),
            },
        };
        DryingRun run = panel.Dry();
        Assert.Equal(DryingStatus.NeverDries, run.Status);
        Assert.True(run.WetSteadyKelvin < panel.Weather.DewPoint.Kelvins);
    }

    [Fact]
    public void More_wind_or_drier_air_dries_a_shaded_panel_sooner_and_more_water_later()
    {
        Gen.Select(Gen.Double[10, 35], Gen.Double[20, 70], Gen.Double[0.5, 6], Gen.Double[0.02, 0.3])
            .Repeat()
            .Sample(
                (air, humidity, wind, thickness) =>
                {
                    RinsedPanel panel = BlackBonnet with
                    {
                        Weather = WarmDay with
                        {
                            Air = Temperature.FromDegreesCelsius(air),
                            RelativeHumidityPercent = humidity,
                            Wind = Speed.FromMetersPerSecond(wind),
                            Exposure = SunExposure.None,
                        },
                        Film = BlackBonnet.Film with { Thickness = Length.FromMillimeters(thickness) },
                        Water = Temperature.FromDegreesCelsius(air),
                    };
                    TimeSpan time = Time(panel);
                    Assert.True(
                        Time(
                            panel with
                            {
                                Weather = panel.Weather with { RelativeHumidityPercent = humidity - 5 },
                            }
                        ) < time
                    );
                    Assert.True(
                        Time(
                            panel with
                            {
                                Weather = panel.Weather with { Wind = Speed.FromMetersPerSecond(wind + 1) },
                            }
                        ) < time
                    );
                    Assert.True(
                        Time(
                            panel with
                            {
                                Film = panel.Film with
                                {
                                    Thickness = Length.FromMillimeters(thickness * 1.1),
                                },
                            }
                        ) > time
                    );
                },
                iter: 40
            );
    }

    [Fact]
    public void In_the_sun_a_darker_panel_gets_warmer_and_dries_sooner()
    {
        List<DryingRun> runs =
        [
            .. PanelCatalog
                .Paints.OrderBy(p => p.SolarAbsorptance)
                .Select(p => (BlackBonnet with { Paint = p }).Dry()),
        ];
        Assert.All(
            runs.Zip(runs.Skip(1)),
            pair =>
            {
                Assert.True(pair.Second.TimeToDry < pair.First.TimeToDry, $"{pair}");
                Assert.True(pair.Second.WetSteadyKelvin > pair.First.WetSteadyKelvin, $"{pair}");
            }
        );
    }

    [Fact]
    public void A_panel_without_sun_or_sky_settles_between_the_wet_bulb_and_the_air()
    {
        Gen.Select(Gen.Double[0, 45], Gen.Double[10, 95], Gen.Double[0, 7])
            .Repeat()
            .Sample(
                (air, humidity, wind) =>
                {
                    DryingWeather weather = WarmDay with
                    {
                        Air = Temperature.FromDegreesCelsius(air),
                        RelativeHumidityPercent = humidity,
                        Wind = Speed.FromMetersPerSecond(wind),
                        Exposure = SunExposure.None,
                    };
                    double settled = (BlackBonnet with { Weather = weather }).Dry().WetSteadyKelvin;
                    Assert.InRange(settled, weather.WetBulb.Kelvins - 0.1, weather.Air.Kelvins);
                },
                iter: 60
            );
    }

    [Fact]
    public void Heat_closes_for_any_weather()
    {
        Gen.Select(
                Gen.Double[0, 45],
                Gen.Double[5, 100],
                Gen.Double[0, 7],
                Gen.Enum<SunExposure>(),
                Gen.Double[0, 90]
            )
            .Repeat()
            .Sample(
                (air, humidity, wind, exposure, tilt) =>
                {
                    DryingRun run = (
                        BlackBonnet with
                        {
                            TiltDegrees = tilt,
                            Weather = WarmDay with
                            {
                                Air = Temperature.FromDegreesCelsius(air),
                                RelativeHumidityPercent = humidity,
                                Wind = Speed.FromMetersPerSecond(wind),
                                Exposure = exposure,
                            },
                        }
                    ).Dry();
                    Assert.NotEqual(DryingStatus.Failed, run.Status);
                    Assert.InRange(run.EnergyImbalance, 0, 1e-9);
                },
                iter: 100
            );
    }

    [Fact]
    public void The_range_holds_the_central_time_and_a_longer_wait_is_never_safer()
    {
        DryingOutlook brief = DryingOutlook.Of(BlackBonnet, Minute, Minute);
        DryingOutlook slow = DryingOutlook.Of(BlackBonnet, 4 * Minute, 8 * Minute);
        Assert.InRange(brief.Central.TimeToDry!.Value, brief.Early!.Value, brief.Late!.Value);
        Assert.Equal(brief.Early, slow.Early);
        Assert.True(slow.DryBeforeTowelShare >= brief.DryBeforeTowelShare);
        Assert.True(slow.Sections >= brief.Sections);
        Assert.Equal(0, brief.Failed);
        Assert.Equal(TowelVerdict.TooLate, slow.Verdict);
    }

    [Fact]
    public void A_panel_that_never_dries_leaves_all_the_time_there_is()
    {
        DryingOutlook outlook = DryingOutlook.Of(
            BlackBonnet with
            {
                Weather = WarmDay with { RelativeHumidityPercent = 100, Exposure = SunExposure.None },
                Film = BlackBonnet.Film with { Thickness = Length.FromMillimeters(1) },
            },
            10 * Minute,
            10 * Minute
        );
        Assert.Equal(TowelVerdict.InTime, outlook.Verdict);
        Assert.Null(outlook.Late);
        Assert.Equal(1, outlook.Sections);
    }

    [Fact]
    public void Where_no_member_came_to_an_end_nothing_is_said_of_the_towel()
    {
        DryingOutlook brief = DryingOutlook.Of(BlackBonnet, Minute, Minute);
        Assert.NotNull(brief.Verdict);
        Assert.Null((brief with { DryBeforeTowelShare = 0, Failed = 96 }).Verdict);
        Assert.Equal(TowelVerdict.InTime, (brief with { DryBeforeTowelShare = 0, Failed = 95 }).Verdict);
    }

    [Theory]
    [InlineData(-20, 50, 1)]
    [InlineData(20, 0, 1)]
    [InlineData(20, 50, 30)]
    public void Weather_outside_the_range_is_refused(double air, double humidity, double wind)
    {
        RinsedPanel panel = BlackBonnet with
        {
            Weather = WarmDay with
            {
                Air = Temperature.FromDegreesCelsius(air),
                RelativeHumidityPercent = humidity,
                Wind = Speed.FromMetersPerSecond(wind),
            },
        };
        Assert.Throws<ArgumentOutOfRangeException>(() => panel.Dry());
    }

    [Fact]
    public void A_door_facing_a_low_sun_gets_more_light_than_the_roof_and_shade_less_than_either()
    {
        var low = new SolarPosition(75, 270, 1);
        double door = Sunlight.OnPanelWattsPerSquareMeter(low, SunExposure.Full, 90, 270);
        double roof = Sunlight.OnPanelWattsPerSquareMeter(low, SunExposure.Full, 0, 270);
        double away = Sunlight.OnPanelWattsPerSquareMeter(low, SunExposure.Full, 90, 90);
        double shade = Sunlight.OnPanelWattsPerSquareMeter(low, SunExposure.Shade, 0, 270);
        Assert.True(door > roof);
        Assert.True(roof > away);
        Assert.True(roof > shade);
        Assert.Equal(0, Sunlight.OnPanelWattsPerSquareMeter(low, SunExposure.None, 0, 0));
    }

    private static PaintColor Paint(string key) =>
        PanelCatalog.Paints.Single(p => string.Equals(p.Key, key, StringComparison.Ordinal));

    private static TimeSpan Time(RinsedPanel panel) => panel.Dry().TimeToDry!.Value;
}
