namespace Rinsewright;

/// <summary>Universal constants, exact by the 2019 SI (CODATA 2018, key <c>codata2018</c>).</summary>
public static class PhysicalConstants
{
    /// <summary>Molar gas constant R [J/(mol·K)].</summary>
    public const double GasConstant = 8.31446261815324;

    /// <summary>Faraday constant F [C/mol].</summary>
    public const double Faraday = 96485.33212331;

    /// <summary>Zero of the Celsius scale [K].</summary>
    public const double ZeroCelsius = 273.15;
}
