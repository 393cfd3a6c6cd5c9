using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;

namespace Rinsewright.App.Tests.Handouts;

/// <summary>
/// Reads a calendar by the text of RFC 5545 alone: CRLF, folding at 75 octets (3.1), properties and their parameters, components that
/// nest, what each must hold (3.4, 3.6), dates, texts and rules (3.3).
/// </summary>
internal sealed partial record CalendarFile(IReadOnlyList<CalendarPart> Events)
{
    private const int LongestLine_octets = 75;

    public static CalendarFile Read(string path)
    {
        byte[] bytes = File.ReadAllBytes(path);
        string text = new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(bytes);
        Assert.EndsWith("\r\n", text, StringComparison.Ordinal);
        string[] lines = text[..^2].Split("\r\n");
        Assert.All(lines, l => Assert.DoesNotContain('\n', l));
        Assert.All(lines, l => Assert.InRange(Encoding.UTF8.GetByteCount(l), 1, LongestLine_octets));
        var root = new CalendarPart("", [], []);
        var open = new Stack<CalendarPart>([root]);
        foreach (
            string line in string.Join("\r\n", lines)
                .Replace("\r\n ", "", StringComparison.Ordinal)
                .Split("\r\n")
        )
        {
            Match match = ContentLine().Match(line);
            Assert.True(match.Success, line);
            string name = match.Groups["name"].Value;
            string value = match.Groups["value"].Value;
            switch (name)
            {
                case "BEGIN":
                    var part = new CalendarPart(value, [], []);
                    open.Peek().Inside.Add(part);
                    open.Push(part);
                    break;
                case "END":
                    Assert.Equal(value, open.Pop().Name);
                    break;
                default:
                    open.Peek().Lines.Add((name, match.Groups["parameters"].Value, value));
                    break;
            }
        }

        CalendarPart calendar = Assert.Single(root.Inside);
        Assert.Equal("VCALENDAR", calendar.Name);
        Assert.Equal("2.0", calendar.Value("VERSION"));
        Assert.NotEmpty(calendar.Value("PRODID"));
        Assert.Equal("PUBLISH", calendar.Value("METHOD"));
        Assert.All(calendar.Inside, CheckEvent);
        Assert.Equal(
            calendar.Inside.Count,
            calendar.Inside.Select(e => e.Value("UID")).Distinct(StringComparer.Ordinal).Count()
        );
        return new CalendarFile(calendar.Inside);
    }

    private static void CheckEvent(CalendarPart entry)
    {
        Assert.Equal("VEVENT", entry.Name);
        Assert.Matches(@"^\d{8}T\d{6}Z$", entry.Value("DTSTAMP"));
        (string _, string parameters, string day) = entry.Lines.Single(l => l.Name is "DTSTART");
        Assert.Equal(";VALUE=DATE", parameters);
        _ = DateOnly.ParseExact(day, "yyyyMMdd", CultureInfo.InvariantCulture);
        Assert.True(int.Parse(entry.Value("SEQUENCE"), CultureInfo.InvariantCulture) >= 0);
        Assert.NotEmpty(entry.Value("SUMMARY"));
        foreach (string text in (string[])["SUMMARY", "DESCRIPTION"])
        {
            Assert.DoesNotMatch(BareMark(), entry.Value(text));
        }

        foreach ((_, _, string rule) in entry.Lines.Where(l => l.Name is "RRULE"))
        {
            Assert.Matches(@"^FREQ=(DAILY|WEEKLY|MONTHLY|YEARLY)(;INTERVAL=[1-9]\d*)?$", rule);
        }

        foreach (CalendarPart alarm in entry.Inside)
        {
            Assert.Equal("VALARM", alarm.Name);
            Assert.Equal("DISPLAY", alarm.Value("ACTION"));
            Assert.NotEmpty(alarm.Value("DESCRIPTION"));
            Assert.Matches(@"^-P\d+[DW]$", alarm.Value("TRIGGER"));
        }
    }

    [GeneratedRegex(
        "^(?<name>[A-Z0-9-]+)(?<parameters>(;[A-Z0-9-]+=(\"[^\"]*\"|[^\";:,]*)(,(\"[^\"]*\"|[^\";:,]*))*)*):(?<value>.*)$",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex ContentLine();

    /// <summary>A comma or semicolon that is not escaped, or a backslash before anything else than it may stand before.</summary>
    [GeneratedRegex(@"(?<!\\)[,;]|\\[^\\,;nN]", RegexOptions.None, 1000)]
    private static partial Regex BareMark();
}

/// <summary>A component with its lines and what is inside it.</summary>
internal sealed record CalendarPart(
    string Name,
    List<(string Name, string Parameters, string Value)> Lines,
    List<CalendarPart> Inside
)
{
    public string Value(string name) =>
        Lines.Single(l => string.Equals(l.Name, name, StringComparison.Ordinal)).Value;
}
