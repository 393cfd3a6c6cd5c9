namespace Rinsewright.Import;

/// <summary>A file of readings as two inline probes would leave it: one every five minutes from each of two rigs.</summary>
internal static class ReadingFile
{
    public static void Write(string path, int rows)
    {
        using var file = new StreamWriter(path);
        file.WriteLine("at,rig,stage,meter,tds (ppm),temperature (°C)");
        DateTime start = new(2016, 1, 1);
        for (int i = 0; i < rows; i++)
        {
            file.WriteLine(
                FormattableString.Invariant(
                    $"{start.AddMinutes(5 * (i / 2)):yyyy-MM-ddTHH:mm:ss}Z,Van {1 + (i % 2)},Bed,Probe {1 + (i % 2)},{i * 7 % 41 * 0.5},{8 + (i % 13)}"
                )
            );
        }
    }
}
