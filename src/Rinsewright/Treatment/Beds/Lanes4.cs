using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using Vector = System.Runtime.Intrinsics.Vector256<double>;

namespace Rinsewright.Treatment.Beds;

/// <summary>Four beds to a vector of 256 bits.</summary>
internal readonly struct Lanes4(Vector value) : ILanes<Lanes4>
{
    private readonly Vector _value = value;

    public static int Count => 4;

    public static Lanes4 Mask => new(Vector.AllBitsSet);

    public double this[int lane] => _value[lane];

    public uint Bits => (uint)_value.ExtractMostSignificantBits();

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 All(double value) => new(Vector256.Create(value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Of(double[] values) => new(Vector256.Create(values));

    public Lanes4 With(int lane, double value) => new(_value.WithElement(lane, value));

    public Lanes4 Marked(int lane, bool set) => With(lane, set ? BitConverter.Int64BitsToDouble(-1) : 0);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator +(Lanes4 left, Lanes4 right) => new(left._value + right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator -(Lanes4 left, Lanes4 right) => new(left._value - right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator *(Lanes4 left, Lanes4 right) => new(left._value * right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator /(Lanes4 left, Lanes4 right) => new(left._value / right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator -(Lanes4 value) => new(-value._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator &(Lanes4 left, Lanes4 right) => new(left._value & right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator |(Lanes4 left, Lanes4 right) => new(left._value | right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator ^(Lanes4 left, Lanes4 right) => new(left._value ^ right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator ~(Lanes4 value) => new(~value._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Max(Lanes4 one, Lanes4 other) => new(Vector256.Max(one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Min(Lanes4 one, Lanes4 other) => new(Vector256.Min(one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Abs(Lanes4 value) => new(Vector256.Abs(value._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Less(Lanes4 one, Lanes4 other) => new(Vector256.LessThan(one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Select(Lanes4 mask, Lanes4 one, Lanes4 other) =>
        new(Vector256.ConditionalSelect(mask._value, one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Add(Lanes4 factor, Lanes4 other, Lanes4 sum) =>
        new(Vector256.FusedMultiplyAdd(factor._value, other._value, sum._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Inverse(Lanes4 value) => new(Vector.One / value._value);
}
