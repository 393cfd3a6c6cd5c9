namespace Rinsewright.Quantities;

/// <summary>What <see cref="QuantityText"/> has to know of a quantity type to parse and print it.</summary>
/// <typeparam name="TSelf">The quantity type.</typeparam>
public interface IQuantity<TSelf> : IComparable<TSelf>
    where TSelf : struct, IQuantity<TSelf>
{
    /// <summary>What the quantity is called in messages.</summary>
    static abstract Sentence Name { get; }

    /// <summary>Least possible value [SI unit of the quantity], −∞ when there is none.</summary>
    static abstract double Least { get; }

    /// <summary>The units it can be written in, the SI unit first.</summary>
    static abstract IReadOnlyList<Unit> Units { get; }

    /// <summary>The value [SI unit of the quantity].</summary>
    double SI { get; }

    /// <summary>The quantity of a value [SI unit of the quantity] not below <see cref="Least"/>.</summary>
    static abstract TSelf FromSI(double value);
}
