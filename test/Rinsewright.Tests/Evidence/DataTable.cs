using System.Globalization;
using System.Text;

namespace Rinsewright.Tests.Evidence;

/// <summary>
/// A CSV file under data/ (RFC 4180, lines that start with # are its header: source, units, tolerance and why).
/// </summary>
public sealed class DataTable
{
    private readonly Dictionary<string, int> _columns;

    private DataTable(IReadOnlyList<string> columns, IReadOnlyList<string[]> rows)
    {
        Columns = columns;
        _columns = columns.Select((c, i) => (c, i)).ToDictionary(x => x.c, x => x.i, StringComparer.Ordinal);
        Rows = [.. rows.Select(r => new Row(this, r))];
    }

    public IReadOnlyList<string> Columns { get; }

    public IReadOnlyList<Row> Rows { get; }

    /// <summary>Reads a file named from the root of the checkout.</summary>
    public static DataTable Read(string relativePath)
    {
        IEnumerable<string> lines = File.ReadLines(Repository.PathOf(relativePath))
            .Where(l => l.Length > 0 && !l.StartsWith('#'));
        List<string[]> records = [.. lines.Select(Split)];
        return new DataTable(records[0], records[1..]);
    }

    private static string[] Split(string line)
    {
        List<string> fields = [];
        var field = new StringBuilder();
        bool quoted = false;
        for (int i = 0; i < line.Length; i++)
        {
            char c = line[i];
            if (quoted && c == '"' && i + 1 < line.Length && line[i + 1] == '"')
            {
                field.Append('"');
                i++;
            }
            else if (c == '"')
            {
                quoted = !quoted;
            }
            else if (c == ',' && !quoted)
            {
                fields.Add(field.ToString());
                field.Clear();
            }
            else
            {
                field.Append(c);
            }
        }

        fields.Add(field.ToString());
        return [.. fields];
    }

    public sealed class Row(DataTable table, string[] fields)
    {
        public string Text(string column) => fields[table._columns[column]];

        public bool Has(string column) => Text(column).Length > 0;

        public double Number(string column) =>
            double.Parse(Text(column), NumberStyles.Float, CultureInfo.InvariantCulture);
    }
}
