using Rinsewright.Numerics;
using Rinsewright.Treatment;

namespace Rinsewright.Forecasting;

/// <summary>
/// One full simulation of the beds, kept as what can be read from it: conductance, silica, residue and spots of the water that
/// leaves, against the water passed.
/// </summary>
internal sealed class Life
{
    private const double TurningShare = 0.15;

    private readonly double[] _liters;
    private readonly Track _logConductance;
    private readonly Track _silica;
    private readonly Track _residue;
    private readonly Track _spots;

    public Life(EffluentReport report)
    {
        Feed = report.FeedWater();
        _liters = [.. report.Samples.Select(s => s.Liters)];
        Track Of(Func<EffluentSample, double> value) => new(_liters, [.. report.Samples.Select(value)]);
        _logConductance = Of(s => Math.Log(s.Conductivity25));
        _silica = Of(s => s.Silica);
        _residue = Of(s => s.Residue);
        _spots = Of(s => s.ValueFor(LineKind.Spots, 0));
        double turning = Math.Log(TurningShare * Feed.Conductivity25);
        IsAcidFirst = IsAcidAtTheTurn(report, turning);
        int turn = Array.FindIndex(_logConductance.Values, v => v >= turning);
        LogTurn = Math.Log(Math.Max(_liters[turn < 0 ? ^1 : turn], 1e-3));
    }

    /// <summary>The water before the beds.</summary>
    public EffluentSample Feed { get; }

    /// <summary>Whether the water turns acid as the bed runs out, because its anion resin goes first.</summary>
    public bool IsAcidFirst { get; }

    /// <summary>Logarithm of the volume at which the conductance turns up [ln L].</summary>
    public double LogTurn { get; }

    /// <summary>Conductance at 25 °C of what leaves [µS/cm].</summary>
    public double Conductance(double liters)
    {
        (int low, double share) = Place(liters);
        return Math.Exp(_logConductance.Between(low, share));
    }

    /// <summary>What a line is compared with, with a part of the feed mixed in.</summary>
    /// <param name="kind">The kind of line.</param>
    /// <param name="factor">The meter's factor from conductivity to TDS [-].</param>
    /// <param name="bypass">The part [-].</param>
    /// <param name="liters">Water that passed the bed and round it [L].</param>
    public double Value(LineKind kind, double factor, double bypass, double liters)
    {
        (int low, double share) = Place((1 - bypass) * liters);
        double Between(Track track) => track.Between(low, share);
        double leaving = kind switch
        {
            LineKind.MeterReading => factor * Math.Exp(Between(_logConductance)),
            LineKind.Conductivity => Math.Exp(Between(_logConductance)),
            LineKind.Residue => Between(_residue),
            LineKind.Silica => Between(_silica),
            LineKind.Spots => Between(_spots),
            _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Not a line that a life knows."),
        };
        return (1 - bypass) * leaving + bypass * Feed.ValueFor(kind, factor);
    }

    /// <summary>Water passed when a line is first reached [L], or infinity.</summary>
    public double Reaches(ChangeOutLine line, double factor, double bypass)
    {
        double before = 0;
        for (int i = 0; i < _liters.Length; i++)
        {
            double at = _liters[i] / (1 - bypass);
            if (Value(line.Kind, factor, bypass, at) < line.Value)
            {
                before = at;
                continue;
            }

            double high = at;
            for (int n = 0; n < 30 && i > 0; n++)
            {
                double middle = 0.5 * (before + high);
                (before, high) =
                    Value(line.Kind, factor, bypass, middle) < line.Value ? (middle, high) : (before, middle);
            }

            return high;
        }

        return double.PositiveInfinity;
    }

    private static bool IsAcidAtTheTurn(EffluentReport report, double logTurning) =>
        report.Samples.FirstOrDefault(s => Math.Log(s.Conductivity25) >= logTurning) is { PH: < 7 };

    private (int Low, double Share) Place(double liters)
    {
        int low = 0;
        int high = _liters.Length - 1;
        while (high - low > 1)
        {
            int middle = (low + high) / 2;
            (low, high) = _liters[middle] <= liters ? (middle, high) : (low, middle);
        }

        return (low, Math.Clamp((liters - _liters[low]) / (_liters[high] - _liters[low]), 0, 1));
    }

    /// <summary>A quantity along a life, on a monotone curve through its samples.</summary>
    private sealed class Track
    {
        private readonly double[] _fromLeft; // rise over an interval at its start
        private readonly double[] _toRight; // and at its end

        public Track(double[] liters, double[] values)
        {
            Values = values;
            double[] slopes =
            [
                .. Enumerable
                    .Range(0, values.Length)
                    .Select(i => MonotoneCubic.Slope(liters, j => values[j], i)),
            ];
            double[] widths = [.. liters.Skip(1).Zip(liters, (next, l) => next - l)];
            _fromLeft = [.. widths.Zip(slopes, (w, s) => w * s)];
            _toRight = [.. widths.Zip(slopes.Skip(1), (w, s) => w * s)];
        }

        public double[] Values { get; }

        public double Between(int low, double share) =>
            MonotoneCubic.Between(share, Values[low], _fromLeft[low], Values[low + 1], _toRight[low]);
    }
}
