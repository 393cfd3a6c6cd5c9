using System.CommandLine;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary>How commands on entries of every kind name the kind and the fields.</summary>
internal static class EntryOptions
{
    public static Argument<string> TakesKind(Verb verb, Action<Argument<string>>? more = null) =>
        verb.Takes("KIND", $"What kind of entry: {KindNames}.", more);

    public static Argument<string[]> TakesFields(Verb verb) =>
        verb.Takes<string[]>(
            "FIELD=VALUE",
            "Fields by their names in the JSON, quantities with their unit, other entries by name; nothing after the = empties a field.",
            a => a.Arity = ArgumentArity.OneOrMore
        );

    public static EntryKind? Kind(string text, ProblemList problems)
    {
        EntryKind? kind = EntryKind.Named(text.Trim().ToLowerInvariant().Replace(' ', '_').Replace('-', '_'));
        problems.Require(kind is not null, "KIND", $"{text}", $"{KindNames}");
        return kind;
    }

    public static IReadOnlyList<(string Field, string Text)> Fields(string[] given, ProblemList problems)
    {
        var fields = new List<(string, string)>();
        foreach (string text in given)
        {
            int mark = text.IndexOf('=', StringComparison.Ordinal);
            if (mark > 0)
            {
                fields.Add((text[..mark].Trim(), text[(mark + 1)..].Trim()));
            }
            else
            {
                problems.Add("FIELD=VALUE", text, "a field and its value, such as \"name=Van 2\"");
            }
        }

        return fields;
    }

    private static string KindNames => string.Join(", ", EntryKind.All.Select(k => k.Name));
}
