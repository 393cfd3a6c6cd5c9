using System.Runtime.InteropServices;

namespace Rinsewright.Water;

/// <summary>
/// How the gain and the offset of a meter wander between checks: each a stationary Gauss–Markov process about its usual
/// value, so that what a check told is forgotten slowly, forwards and backwards in time alike. Immutable. See
/// docs/models/meter.md.
/// </summary>
/// <param name="Unchecked">What is known of a meter of that kind which nobody has checked.</param>
/// <param name="Memory">Time over which the correlation of the process falls to 1/e; more than zero.</param>
public sealed record MeterDrift(MeterCalibration Unchecked, TimeSpan Memory)
{
    /// <summary>A pocket meter: as <see cref="MeterCalibration.Unchecked"/>, with a memory of two years (our choice).</summary>
    public static MeterDrift Pocket { get; } = new(MeterCalibration.Unchecked, TimeSpan.FromDays(730));

    /// <summary>What is still known some time before or after.</summary>
    /// <param name="known">What is known at one instant.</param>
    /// <param name="apart">How far the other instant lies from it; its sign does not matter.</param>
    public MeterCalibration Away(MeterCalibration known, TimeSpan apart)
    {
        double kept = Math.Exp(-Math.Abs(apart / Memory)); // eq. meter-1
        double square = kept * kept;
        return new MeterCalibration(
            Unchecked.Gain + kept * (known.Gain - Unchecked.Gain),
            Unchecked.Offset + kept * (known.Offset - Unchecked.Offset),
            Unchecked.GainVariance + square * (known.GainVariance - Unchecked.GainVariance),
            Unchecked.OffsetVariance + square * (known.OffsetVariance - Unchecked.OffsetVariance),
            Unchecked.Covariance + square * (known.Covariance - Unchecked.Covariance)
        ); // eq. meter-2
    }

    /// <summary>What is known at an instant from the checks before it and the checks after it together.</summary>
    /// <param name="earlier">What the checks before it tell of that instant.</param>
    /// <param name="later">What the checks after it tell of that instant.</param>
    public MeterCalibration Join(MeterCalibration earlier, MeterCalibration later)
    {
        Information sum = Information.Of(earlier) + Information.Of(later) - Information.Of(Unchecked);
        return sum.ToCalibration(); // eq. meter-3
    }

    /// <summary>A normal distribution of gain and offset as its precision matrix and that matrix times its mean.</summary>
    [StructLayout(LayoutKind.Auto)]
    private readonly record struct Information(
        double Gain,
        double Offset,
        double Cross,
        double GainPull,
        double OffsetPull
    )
    {
        public static Information Of(MeterCalibration known)
        {
            double determinant =
                known.GainVariance * known.OffsetVariance - known.Covariance * known.Covariance;
            double gain = known.OffsetVariance / determinant;
            double offset = known.GainVariance / determinant;
            double cross = -known.Covariance / determinant;
            return new Information(
                gain,
                offset,
                cross,
                gain * known.Gain + cross * known.Offset,
                cross * known.Gain + offset * known.Offset
            );
        }

        public static Information operator +(Information a, Information b) =>
            new(
                a.Gain + b.Gain,
                a.Offset + b.Offset,
                a.Cross + b.Cross,
                a.GainPull + b.GainPull,
                a.OffsetPull + b.OffsetPull
            );

        public static Information operator -(Information a, Information b) =>
            new(
                a.Gain - b.Gain,
                a.Offset - b.Offset,
                a.Cross - b.Cross,
                a.GainPull - b.GainPull,
                a.OffsetPull - b.OffsetPull
            );

        public MeterCalibration ToCalibration()
        {
            double determinant = Gain * Offset - Cross * Cross;
            double gainVariance = Offset / determinant;
            double offsetVariance = Gain / determinant;
            double covariance = -Cross / determinant;
            return new MeterCalibration(
                gainVariance * GainPull + covariance * OffsetPull,
                covariance * GainPull + offsetVariance * OffsetPull,
                gainVariance,
                offsetVariance,
                covariance
            );
        }
    }
}
