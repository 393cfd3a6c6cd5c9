using System.Text;
using Spectre.Console;
using Spectre.Console.Rendering;

namespace Rinsewright.Cli;

/// <summary>
/// A line chart of text. Curves are drawn in Braille dots, or in their letters where only ASCII shows; each curve
/// carries its letter, so colour is never needed to tell them apart.
/// </summary>
internal sealed class TextPlot(string horizontal, string vertical)
{
    private readonly List<Curve> _curves = [];
    private readonly List<(string Name, double Value)> _levels = [];

    /// <summary>Rows of the field between the axes.</summary>
    public int Height { get; init; } = 14;

    /// <summary>Whether the vertical axis starts at zero, as amounts do.</summary>
    public bool FromZero { get; init; } = true;

    /// <summary>Adds a curve; points that are not finite break it.</summary>
    public TextPlot Add(string name, ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        if (x.Length != y.Length)
        {
            throw new ArgumentException($"{x.Length} abscissas and {y.Length} ordinates", nameof(y));
        }

        _curves.Add(new Curve(name, x.ToArray(), y.ToArray()));
        return this;
    }

    /// <summary>Adds a horizontal line, such as the one to change out at.</summary>
    public TextPlot AddLevel(string name, double value)
    {
        _levels.Add((name, value));
        return this;
    }

    public IRenderable Draw(int width, bool unicode)
    {
        List<(double X, double Y)> points = [.. _curves.SelectMany(c => c.Points())];
        var picture = new Paragraph();
        if (points.Count == 0)
        {
            return picture.Append("(nothing to draw)\n");
        }

        double low = points.Min(p => p.Y);
        double high = points.Max(p => p.Y);
        foreach ((_, double value) in _levels)
        {
            (low, high) = (Math.Min(low, value), Math.Max(high, value));
        }

        var y = AxisScale.Covering(FromZero ? Math.Min(0, low) : low, high, Math.Max(2, Height / 3));
        int margin = 1 + y.Ticks.Max(t => y.Label(t).Length);
        int columns = Math.Max(20, width - margin - 3);
        var x = AxisScale.Covering(points.Min(p => p.X), points.Max(p => p.X), Math.Max(2, columns / 12));
        var canvas = new Canvas(columns, Height, unicode);
        foreach ((_, double value) in _levels)
        {
            canvas.Level(y.Share(value));
        }

        for (int i = 0; i < _curves.Count; i++)
        {
            _curves[i].DrawOn(canvas, i, x, y);
        }

        for (int i = 0; i < _curves.Count; i++)
        {
            canvas.Letter(i, (i + 0.6) / _curves.Count);
        }

        picture.Append($"{vertical}\n");
        WriteField(picture, canvas, y, margin, unicode);
        WriteHorizontalAxis(picture, x, columns, margin, unicode);
        picture.Append(
            new string(' ', margin + 1) + horizontal.PadLeft((columns + horizontal.Length) / 2) + "\n"
        );
        WriteLegend(picture, margin, unicode);
        return picture;
    }

    private static string Letter(int curve) => ((char)('A' + (curve % 26))).ToString();

    private static Style StyleOf(int curve) => new(foreground: Palette.Series[curve % Palette.Series.Count]);

    private static void WriteField(Paragraph picture, Canvas canvas, AxisScale y, int margin, bool unicode)
    {
        Dictionary<int, string> labels = [];
        foreach (double tick in y.Ticks)
        {
            labels[canvas.RowOf(y.Share(tick))] = y.Label(tick);
        }

        for (int row = 0; row < canvas.Rows; row++)
        {
            bool ticked = labels.TryGetValue(row, out string? label);
            string axis = unicode ? (ticked ? "┤" : "│") : (ticked ? "+" : "|");
            picture.Append((label ?? "").PadLeft(margin) + axis);
            for (int column = 0; column < canvas.Columns; column++)
            {
                (string text, int curve) = canvas.Cell(column, row);
                picture.Append(text, curve < 0 ? Style.Plain : StyleOf(curve));
            }

            picture.Append("\n");
        }
    }

    private static void WriteHorizontalAxis(
        Paragraph picture,
        AxisScale x,
        int columns,
        int margin,
        bool unicode
    )
    {
        var line = new StringBuilder(new string(unicode ? '─' : '-', columns));
        var labels = new StringBuilder(new string(' ', columns + margin));
        int free = 0;
        foreach (double tick in x.Ticks)
        {
            int column = (int)Math.Round(x.Share(tick) * (columns - 1));
            line[column] = unicode ? '┬' : '+';
            string label = x.Label(tick);
            int at = Math.Clamp(column - (label.Length / 2), 0, columns + margin - label.Length);
            if (at >= free)
            {
                labels.Remove(at, label.Length).Insert(at, label);
                free = at + label.Length + 2;
            }
        }

        string indent = new(' ', margin);
        picture.Append($"{indent}{(unicode ? '└' : '+')}{line}\n");
        picture.Append($"{indent} {labels.ToString().TrimEnd()}\n");
    }

    private void WriteLegend(Paragraph picture, int margin, bool unicode)
    {
        picture.Append(new string(' ', margin));
        for (int i = 0; i < _curves.Count; i++)
        {
            picture.Append("  " + Letter(i), StyleOf(i)).Append(" " + _curves[i].Name);
        }

        foreach ((string name, _) in _levels)
        {
            picture.Append($"  {(unicode ? '┄' : '-')} {name}");
        }

        picture.Append("\n");
    }

    private sealed record Curve(string Name, double[] X, double[] Y)
    {
        public IEnumerable<(double X, double Y)> Points() =>
            X.Zip(Y).Where(p => double.IsFinite(p.First) && double.IsFinite(p.Second));

        public void DrawOn(Canvas canvas, int index, AxisScale x, AxisScale y)
        {
            for (int i = 0; i < X.Length; i++)
            {
                if (!double.IsFinite(X[i]) || !double.IsFinite(Y[i]))
                {
                    continue;
                }

                bool joined = i > 0 && double.IsFinite(X[i - 1]) && double.IsFinite(Y[i - 1]);
                int from = joined ? i - 1 : i;
                canvas.Line(index, x.Share(X[from]), y.Share(Y[from]), x.Share(X[i]), y.Share(Y[i]));
            }
        }
    }

    /// <summary>A grid of cells, each of 2 × 4 Braille dots or of one ASCII letter.</summary>
    private sealed class Canvas(int columns, int rows, bool unicode)
    {
        private const int BrailleBlank = 0x2800;
        private readonly int _across = unicode ? 2 : 1;
        private readonly int _down = unicode ? 4 : 1;
        private readonly byte[] _dots = new byte[columns * rows];
        private readonly int[] _curve = [.. Enumerable.Repeat(-1, columns * rows)];
        private readonly bool[] _lettered = new bool[columns * rows];
        private readonly bool[] _level = new bool[rows];

        public int Columns => columns;

        public int Rows => rows;

        private static ReadOnlySpan<byte> Bits => [1, 8, 2, 16, 4, 32, 64, 128];

        public int RowOf(double share) => (int)Math.Round((1 - share) * ((rows * _down) - 1)) / _down;

        public void Level(double share) => _level[RowOf(share)] = true;

        public void Line(int curve, double x0, double y0, double x1, double y1)
        {
            double width = (columns * _across) - 1;
            double height = (rows * _down) - 1;
            int steps = (int)Math.Ceiling(Math.Max(Math.Abs(x1 - x0) * width, Math.Abs(y1 - y0) * height));
            for (int i = 0; i <= steps; i++)
            {
                double t = steps == 0 ? 0 : (double)i / steps;
                int column = (int)Math.Round((x0 + (t * (x1 - x0))) * width);
                int row = (int)Math.Round((1 - (y0 + (t * (y1 - y0)))) * height);
                int cell = (row / _down * columns) + (column / _across);
                _dots[cell] |= Bits[(row % _down * 2) + (column % _across)];
                _curve[cell] = curve;
            }
        }

        /// <summary>Writes a curve's letter onto it, as near as can be to a share of the width.</summary>
        public void Letter(int curve, double share)
        {
            int best = -1;
            for (int cell = 0; cell < _curve.Length; cell++)
            {
                bool own = _curve[cell] == curve && !_lettered[cell];
                if (own && (best < 0 || Distance(cell) < Distance(best)))
                {
                    best = cell;
                }
            }

            if (best >= 0)
            {
                _lettered[best] = true;
            }

            double Distance(int cell) => Math.Abs((cell % columns) - (share * (columns - 1)));
        }

        public (string Text, int Curve) Cell(int column, int row)
        {
            int cell = (row * columns) + column;
            if (_lettered[cell] || (_dots[cell] != 0 && !unicode))
            {
                return (TextPlot.Letter(_curve[cell]), _curve[cell]);
            }

            if (_dots[cell] != 0)
            {
                return (((char)(BrailleBlank + _dots[cell])).ToString(), _curve[cell]);
            }

            return (_level[row] ? (unicode ? "┄" : "-") : " ", -1);
        }
    }
}
