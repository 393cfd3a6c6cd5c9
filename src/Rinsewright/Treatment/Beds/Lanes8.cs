using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;
using Vector = System.Runtime.Intrinsics.Vector512<double>;

namespace Rinsewright.Treatment.Beds;

/// <summary>Eight beds to a vector of 512 bits.</summary>
internal readonly struct Lanes8(Vector value) : ILanes<Lanes8>
{
    private readonly Vector _value = value;

    public static int Count => 8;

    public static Lanes8 Mask => new(Vector.AllBitsSet);

    public double this[int lane] => _value[lane];

    public uint Bits => (uint)_value.ExtractMostSignificantBits();

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 All(double value) => new(Vector512.Create(value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Of(double[] values) => new(Vector512.Create(values));

    public Lanes8 With(int lane, double value) => new(_value.WithElement(lane, value));

    public Lanes8 Marked(int lane, bool set) => With(lane, set ? BitConverter.Int64BitsToDouble(-1) : 0);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator +(Lanes8 left, Lanes8 right) => new(left._value + right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator -(Lanes8 left, Lanes8 right) => new(left._value - right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator *(Lanes8 left, Lanes8 right) => new(left._value * right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator /(Lanes8 left, Lanes8 right) => new(left._value / right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator -(Lanes8 value) => new(-value._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator &(Lanes8 left, Lanes8 right) => new(left._value & right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator |(Lanes8 left, Lanes8 right) => new(left._value | right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator ^(Lanes8 left, Lanes8 right) => new(left._value ^ right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator ~(Lanes8 value) => new(~value._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Max(Lanes8 one, Lanes8 other) => new(Vector512.Max(one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Min(Lanes8 one, Lanes8 other) => new(Vector512.Min(one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Abs(Lanes8 value) => new(Vector512.Abs(value._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Less(Lanes8 one, Lanes8 other) => new(Vector512.LessThan(one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Select(Lanes8 mask, Lanes8 one, Lanes8 other) =>
        new(Vector512.ConditionalSelect(mask._value, one._value, other._value));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Add(Lanes8 factor, Lanes8 other, Lanes8 sum) =>
        new(Vector512.FusedMultiplyAdd(factor._value, other._value, sum._value));

    /// <summary>
    /// The processor's guess of 14 bits and three steps of Newton's, which takes a fraction of the time of its division. The last
    /// step rounds as division does (Markstein 1990), so that the lanes give what the other widths give.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Inverse(Lanes8 value)
    {
        if (!Avx512F.IsSupported)
        {
            return new(Vector.One / value._value);
        }

        Vector guess = Avx512F.Reciprocal14(value._value);
        guess = Refine(guess, value._value);
        guess = Refine(guess, value._value);
        return new(Refine(guess, value._value));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector Refine(Vector guess, Vector value) =>
        Vector512.FusedMultiplyAdd(guess, Avx512F.FusedMultiplyAddNegated(value, guess, Vector.One), guess);
}
