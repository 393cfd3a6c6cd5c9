using System.Globalization;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Microsoft.Extensions.Localization;

namespace Rinsewright.Web.Tests;

/// <summary>
/// A made-up language: every text of the file with its own words in quotation marks, «so»; what is put into it stands outside
/// of them. Whatever is on a page without them did not come through the file.
/// </summary>
internal sealed partial class MarkedTexts : IStringLocalizer<Texts>
{
    private static readonly Dictionary<string, string> Known = XDocument
        .Load(Repository.PathOf("src/Rinsewright.Web/Texts.resx"))
        .Root!.Elements("data")
        .ToDictionary(
            d => d.Attribute("name")!.Value,
            d => Mark(d.Element("value")!.Value),
            StringComparer.OrdinalIgnoreCase
        );

    public LocalizedString this[string name] =>
        new(name, Known.GetValueOrDefault(name, name), !Known.ContainsKey(name));

    public LocalizedString this[string name, params object[] arguments] =>
        this[name] is { ResourceNotFound: false } found
            ? new(name, string.Format(CultureInfo.InvariantCulture, found.Value, arguments))
            : this[name];

    public IEnumerable<LocalizedString> GetAllStrings(bool includeParentCultures) =>
        Known.Select(k => new LocalizedString(k.Key, k.Value));

    private static string Mark(string text) =>
        string.Concat(
            Place()
                .Split(text)
                .Select(s => s.Length > 0 && s[0] is not '{' && s.Any(char.IsLetter) ? $"«{s}»" : s)
        );

    /// <summary>The place of a value.</summary>
    [GeneratedRegex(@"(?<place>\{\d+[^}]*\})", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Place();
}
