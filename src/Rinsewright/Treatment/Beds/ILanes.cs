using System.Numerics;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// A number of each of several beds, to be reckoned with as one. Every width does the same in each lane, to the last bit.
/// A mask has all bits of a lane set or none.
/// </summary>
/// <typeparam name="TSelf">The type itself.</typeparam>
internal interface ILanes<TSelf>
    : IAdditionOperators<TSelf, TSelf, TSelf>,
        ISubtractionOperators<TSelf, TSelf, TSelf>,
        IMultiplyOperators<TSelf, TSelf, TSelf>,
        IDivisionOperators<TSelf, TSelf, TSelf>,
        IUnaryNegationOperators<TSelf, TSelf>,
        IBitwiseOperators<TSelf, TSelf, TSelf>
    where TSelf : unmanaged, ILanes<TSelf>
{
    /// <summary>How many there are.</summary>
    static abstract int Count { get; }

    /// <summary>A mask of every lane.</summary>
    static abstract TSelf Mask { get; }

    /// <summary>The number of one lane.</summary>
    double this[int lane] { get; }

    /// <summary>A bit for each lane of a mask, lane 0 in the lowest.</summary>
    uint Bits { get; }

    /// <summary>The same number in every lane.</summary>
    static abstract TSelf All(double value);

    /// <summary>The numbers of an array, lane by lane.</summary>
    static abstract TSelf Of(double[] values);

    /// <summary>The same with another number in one lane.</summary>
    TSelf With(int lane, double value);

    /// <summary>A mask with one lane set or cleared.</summary>
    TSelf Marked(int lane, bool set);

    static abstract TSelf Max(TSelf one, TSelf other);

    static abstract TSelf Min(TSelf one, TSelf other);

    static abstract TSelf Abs(TSelf value);

    /// <summary>A mask of the lanes where one is less than the other.</summary>
    static abstract TSelf Less(TSelf one, TSelf other);

    /// <summary>One where the mask is set, the other elsewhere.</summary>
    static abstract TSelf Select(TSelf mask, TSelf one, TSelf other);

    /// <summary>factor·other + sum.</summary>
    static abstract TSelf Add(TSelf factor, TSelf other, TSelf sum);

    /// <summary>
    /// 1/value of a number that is neither 0 nor infinite, rounded as division does; where all bits of the mantissa are set it may be off
    /// by the last.
    /// </summary>
    static abstract TSelf Inverse(TSelf value);
}
