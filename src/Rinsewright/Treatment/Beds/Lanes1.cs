using System.Runtime.CompilerServices;

namespace Rinsewright.Treatment.Beds;

/// <summary>A bed alone.</summary>
internal readonly struct Lanes1(double value) : ILanes<Lanes1>
{
    private readonly double _value = value;

    public static int Count => 1;

    public static Lanes1 Mask => Masking(true);

    public double this[int lane] => _value;

    public uint Bits => (uint)(BitConverter.DoubleToUInt64Bits(_value) >> 63);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 All(double value) => new(value);

    public static Lanes1 Of(double[] values) => new(values[0]);

    public Lanes1 With(int lane, double value) => new(value);

    public Lanes1 Marked(int lane, bool set) => Masking(set);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator +(Lanes1 left, Lanes1 right) => new(left._value + right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator -(Lanes1 left, Lanes1 right) => new(left._value - right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator *(Lanes1 left, Lanes1 right) => new(left._value * right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator /(Lanes1 left, Lanes1 right) => new(left._value / right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator -(Lanes1 value) => new(-value._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator &(Lanes1 left, Lanes1 right) => Masking((left.Bits & right.Bits) == 1);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator |(Lanes1 left, Lanes1 right) => Masking((left.Bits | right.Bits) == 1);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator ^(Lanes1 left, Lanes1 right) => Masking((left.Bits ^ right.Bits) == 1);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator ~(Lanes1 value) => Masking(value.Bits == 0);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Max(Lanes1 one, Lanes1 other) => new(Math.Max(one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Min(Lanes1 one, Lanes1 other) => new(Math.Min(one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Abs(Lanes1 value) => new(Math.Abs(value._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Less(Lanes1 one, Lanes1 other) => Masking(one._value < other._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Select(Lanes1 mask, Lanes1 one, Lanes1 other) => mask.Bits == 1 ? one : other;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Add(Lanes1 factor, Lanes1 other, Lanes1 sum) =>
        new(Math.FusedMultiplyAdd(factor._value, other._value, sum._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Inverse(Lanes1 value) => new(1 / value._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Lanes1 Masking(bool set) => new(set ? BitConverter.Int64BitsToDouble(-1) : 0);
}
