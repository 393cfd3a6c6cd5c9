using QRCoder;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Handouts.Labels;

/// <summary>The code on a housing: it opens the quick log of its stage.</summary>
public sealed class HousingCode
{
    private const int SvgModule_px = 4;
    private readonly bool[][] _rows;

    private HousingCode(bool[][] rows) => _rows = rows;

    /// <summary>Modules along an edge, the quiet zone included.</summary>
    public int Size => _rows.Length;

    /// <summary>Address of the quick log of a stage.</summary>
    /// <param name="site">Where the pages are reached.</param>
    /// <param name="stage">The stage.</param>
    public static Uri AddressOf(Uri site, Id<Stage> stage) =>
        new($"{site.AbsoluteUri.TrimEnd('/')}/log/{stage.Value}");

    /// <summary>The code of an address; a quarter of it may be dirty.</summary>
    public static HousingCode Of(Uri address)
    {
        using QRCodeData code = Encode(address);
        return new HousingCode([.. code.ModuleMatrix.Select(row => row.Cast<bool>().ToArray())]);
    }

    /// <summary>The code of an address as SVG.</summary>
    public static string Svg(Uri address)
    {
        using QRCodeData code = Encode(address);
        using var picture = new SvgQRCode(code);
        return picture.GetGraphic(SvgModule_px);
    }

    /// <summary>Dark modules, each run of a row at once.</summary>
    public IEnumerable<(int Row, int Column, int Length)> Runs()
    {
        for (int r = 0; r < _rows.Length; r++)
        {
            for (int c = 0; c < _rows[r].Length; c++)
            {
                int start = c;
                while (c < _rows[r].Length && _rows[r][c])
                {
                    c++;
                }

                if (c > start)
                {
                    yield return (r, start, c - start);
                }
            }
        }
    }

    private static QRCodeData Encode(Uri address)
    {
        using var generator = new QRCodeGenerator();
        return generator.CreateQrCode(address.AbsoluteUri, QRCodeGenerator.ECCLevel.Q);
    }
}
