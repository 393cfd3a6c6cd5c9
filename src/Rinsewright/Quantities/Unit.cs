namespace Rinsewright.Quantities;

/// <summary>A unit as it is written: its value in SI is <c>number · Scale + Offset</c>.</summary>
public sealed class Unit
{
    internal Unit(string symbol, double scale, params string[] aliases)
        : this(symbol, scale, 0, aliases) { }

    internal Unit(string symbol, double scale, double offset, string[] aliases)
    {
        Symbol = symbol;
        Scale = scale;
        Offset = offset;
        Spellings = [.. aliases.Prepend(symbol).Select(UnitSpelling.Plain)];
    }

    /// <summary>How the unit is printed.</summary>
    public string Symbol { get; }

    /// <summary>Size of the unit [SI unit of the quantity].</summary>
    public double Scale { get; }

    /// <summary>SI value of the unit's zero [SI unit of the quantity]; not zero for temperatures only.</summary>
    public double Offset { get; }

    /// <summary>Every accepted spelling, in plain letters (<see cref="UnitSpelling.Plain"/>).</summary>
    internal IReadOnlyList<string> Spellings { get; }

    internal double ToSI(double number) => (number * Scale) + Offset;

    internal double FromSI(double value) => (value - Offset) / Scale;
}
