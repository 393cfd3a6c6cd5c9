using System.Buffers;
using System.Collections.Concurrent;
using System.Reflection;
using System.Text;

namespace Rinsewright.Records.Logbook;

/// <summary>What must hold for every entry: finite numbers, text that every database can keep.</summary>
internal static class EntryCheck
{
    private static readonly ConcurrentDictionary<Type, PropertyInfo[]> Properties = new();

    public static void Run(Entry entry, ProblemList problems)
    {
        entry.Check(problems);
        foreach (PropertyInfo property in Properties.GetOrAdd(entry.GetType(), type => type.GetProperties()))
        {
            switch (property.GetValue(entry))
            {
                case double number:
                    problems.Require(double.IsFinite(number), property.Name, $"{number}", "a finite number");
                    break;
                case string text:
                    Text(property.Name, text, problems);
                    break;
            }
        }
    }

    public static void Text(string place, string text, ProblemList problems)
    {
        bool isWhole = !text.Contains('\0', StringComparison.Ordinal);
        for (ReadOnlySpan<char> rest = text; isWhole && rest.Length > 0; )
        {
            isWhole = Rune.DecodeFromUtf16(rest, out _, out int length) is OperationStatus.Done;
            rest = rest[length..];
        }

        problems.Require(
            isWhole,
            place,
            $"{text.Length} characters",
            "text without NUL or broken characters"
        );
    }
}
