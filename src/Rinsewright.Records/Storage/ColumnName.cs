using System.Text;
using System.Text.Json;

namespace Rinsewright.Records.Storage;

/// <summary>
/// One rule for the names of tables, columns and JSON keys: words in lower case joined by underscores, the
/// unit after the first underscore of the property kept as it is (<c>ChangeOutLine_S_m</c> becomes
/// <c>change_out_line_S_m</c>).
/// </summary>
internal sealed class ColumnName : JsonNamingPolicy
{
    public static ColumnName Policy { get; } = new();

    public override string ConvertName(string name) => Of(name);

    public static string Of(string name)
    {
        int unit = name.IndexOf('_', StringComparison.Ordinal);
        string words = unit < 0 ? name : name[..unit];
        var text = new StringBuilder(name.Length + 8);
        for (int i = 0; i < words.Length; i++)
        {
            if (i > 0 && char.IsUpper(words[i]))
            {
                text.Append('_');
            }

            text.Append(char.ToLowerInvariant(words[i]));
        }

        return unit < 0 ? text.ToString() : text.Append(name, unit, name.Length - unit).ToString();
    }
}
