using System.Runtime.InteropServices;
using Rinsewright.Numerics;

namespace Rinsewright.Drying;

/// <summary>A moment of a drying panel.</summary>
/// <param name="Seconds">Time since the rinse stopped [s].</param>
/// <param name="PanelKelvin">Temperature of panel and film [K].</param>
/// <param name="WaterKilogramsPerSquareMeter">Water left per panel area [kg/m²].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct DryingMoment(
    double Seconds,
    double PanelKelvin,
    double WaterKilogramsPerSquareMeter
);

/// <summary>The drying of one panel from the end of the rinse until it is dry.</summary>
/// <param name="Status">How the run ended.</param>
/// <param name="Curve">The panel at each step.</param>
/// <param name="WetSteadyKelvin">Temperature at which the wet panel settles [K].</param>
/// <param name="EnergyImbalance">Heat not accounted for over heat exchanged [-].</param>
/// <param name="Steps">Steps taken [-].</param>
public sealed record DryingRun(
    DryingStatus Status,
    IReadOnlyList<DryingMoment> Curve,
    double WetSteadyKelvin,
    double EnergyImbalance,
    int Steps
)
{
    private const double HorizonSeconds = 24 * 3600;
    private const int MostSteps = 20000;

    // [W/m²]: in a day it lifts 0.04 mg/m² of water, so less of it dries nothing.
    private const double LeastHeat = 1e-6;

    /// <summary>Time to dry; none unless the run ended dry.</summary>
    public TimeSpan? TimeToDry => Status == DryingStatus.Dry ? TimeSpan.FromSeconds(Curve[^1].Seconds) : null;

    /// <summary>Integrates a wet panel until it is dry, cannot dry, or a day has passed.</summary>
    /// <param name="panel">The panel and its weather.</param>
    /// <param name="startKelvin">Temperature of panel and film when the rinse stops [K].</param>
    /// <param name="waterKilogramsPerSquareMeter">Water on the panel, per panel area [kg/m²].</param>
    /// <param name="tolerance">Error allowed in a step relative to heat and water at the start [-].</param>
    internal static DryingRun Integrate(
        in WetPanel panel,
        double startKelvin,
        double waterKilogramsPerSquareMeter,
        double tolerance = 1e-7
    )
    {
        WetPanel wet = panel;
        double heatCapacity = wet.PanelHeatCapacity + (WetPanel.WaterHeat * waterKilogramsPerSquareMeter);
        double[] state = new double[WetPanel.StateLength];
        double[] next = new double[WetPanel.StateLength];
        state[0] = heatCapacity * (startKelvin - PhysicalConstants.ZeroCelsius);
        state[1] = waterKilogramsPerSquareMeter;
        double startHeat = state[0];
        double[] allowed = [tolerance * heatCapacity * 20, tolerance * waterKilogramsPerSquareMeter];
        double dewKelvin = Psychrometrics.DewPointKelvin(wet.VaporPressurePascals);
        bool dewHolds = wet.HeatGain(dewKelvin) <= LeastHeat;
        var method = new RungeKutta54(WetPanel.StateLength, (_, y, dydt) => wet.Rates(y, dydt));
        List<DryingMoment> curve = [new(0, startKelvin, waterKilogramsPerSquareMeter)];
        double time = 0;
        double step = 1;
        int steps = 0;
        DryingStatus status = DryingStatus.Failed;
        while (steps++ < MostSteps)
        {
            double kelvin = wet.Temperature(state);
            if (dewHolds && CannotDry(wet, state, kelvin, dewKelvin))
            {
                status = DryingStatus.NeverDries;
                break;
            }

            if (time >= HorizonSeconds)
            {
                status = DryingStatus.StillWet;
                break;
            }

            double error = method.Step(time, step, state, next, allowed);
            if (!double.IsFinite(error))
            {
                break;
            }

            if (error > 1)
            {
                step *= Math.Max(0.2, 0.9 * Math.Pow(error, -0.2));
                continue;
            }

            bool dry = next[1] <= 0;
            if (dry)
            {
                step = LastStep(method, time, step, state, next, allowed, waterKilogramsPerSquareMeter);
            }

            time += step;
            next.CopyTo(state, 0);
            curve.Add(new(time, wet.Temperature(state), Math.Max(0, state[1])));
            if (dry)
            {
                status = DryingStatus.Dry;
                break;
            }

            step *= error == 0 ? 5 : Math.Min(5, 0.9 * Math.Pow(error, -0.2));
        }

        double exchanged = 0;
        double entered = 0;
        for (int i = 2; i < WetPanel.StateLength; i++)
        {
            entered += state[i];
            exchanged += Math.Abs(state[i]);
        }

        double gained = state[0] - startHeat;
        return new DryingRun(
            status,
            curve,
            wet.WetSteadyKelvin(),
            exchanged == 0 ? 0 : Math.Abs(gained - entered) / exchanged,
            steps
        );
    }

    /// <summary>
    /// Above the dew point the panel loses heat on the whole, so it can evaporate no more than the heat it holds above the
    /// dew point pays for.
    /// </summary>
    private static bool CannotDry(
        in WetPanel panel,
        ReadOnlySpan<double> state,
        double kelvin,
        double dewKelvin
    )
    {
        double capacity = panel.PanelHeatCapacity + (WetPanel.WaterHeat * state[1]);
        double payable =
            capacity * Math.Max(0, kelvin - dewKelvin) / Psychrometrics.LatentHeatJoulesPerKilogram(kelvin);
        return payable < state[1]; // eq. drying-29
    }

    /// <summary>Shortens the last step until the film ends with it; the state is left in <paramref name="next"/>.</summary>
    private static double LastStep(
        RungeKutta54 method,
        double time,
        double step,
        double[] state,
        double[] next,
        double[] allowed,
        double water
    )
    {
        double low = 0;
        double high = step;
        double atLow = state[1];
        double atHigh = next[1];
        double trial = step;
        for (int i = 0; i < 60 && Math.Abs(next[1]) > 1e-13 * water; i++)
        {
            trial = low + ((high - low) * atLow / (atLow - atHigh));
            method.Step(time, trial, state, next, allowed);
            if (next[1] > 0)
            {
                low = trial;
                atLow = next[1];
            }
            else
            {
                high = trial;
                atHigh = next[1];
            }
        }

        return trial;
    }
}
