using System.Diagnostics.CodeAnalysis;
using System.Text.Json;

namespace Rinsewright.Quantities;

/// <summary>Reads the properties of one JSON object of a user's file; gathers every problem instead of stopping at one.</summary>
internal sealed class JsonReading
{
    private readonly Dictionary<string, JsonElement> _properties = new(StringComparer.Ordinal);
    private const int MostListed = 12;
    private static readonly Sentence Missing = Sentence.Of("missing");
    private readonly List<InputProblem> _problems;

    /// <summary>Takes an object; a property that is not known is a problem.</summary>
    public JsonReading(JsonElement element, string place, List<InputProblem> problems, params string[] known)
    {
        Place = place;
        _problems = problems;
        if (element.ValueKind != JsonValueKind.Object)
        {
            problems.Add(
                place.Length > 0
                    ? new InputProblem(
                        place,
                        Short(element.GetRawText()),
                        $"one object {{ {string.Join(", ", known.Select(k => $"\"{k}\": …"))} }}"
                    )
                    : new InputProblem("file", element.ValueKind.ToString(), "one object { … }")
            );
            return;
        }

        if (place.Length == 0 && IsBroken(element))
        {
            problems.Add(
                new InputProblem(
                    "file",
                    Sentence.Of("half of a surrogate pair, \\uD800 to \\uDFFF"),
                    "whole characters"
                )
            );
            return;
        }

        foreach (JsonProperty property in element.EnumerateObject())
        {
            if (!known.Contains(property.Name, StringComparer.Ordinal))
            {
                if (property.Name is not "$schema")
                {
                    problems.Add(
                        new InputProblem(
                            Join(property.Name),
                            Sentence.Of("unknown name"),
                            known.Length > MostListed
                                ? Sentence.Of($"perhaps \"{Spelling.Nearest(property.Name, known)}\"")
                                : Sentence.Of(
                                    $"perhaps \"{Spelling.Nearest(property.Name, known)}\"; one of {string.Join(", ", known)}"
                                )
                        )
                    );
                }
            }
            else if (!_properties.TryAdd(property.Name, property.Value))
            {
                problems.Add(
                    new InputProblem(Join(property.Name), Sentence.Of("stated twice"), "each name once")
                );
            }
        }
    }

    /// <summary>Whether a name or a text has an escape that is half a character: JSON allows it, no string can hold it.</summary>
    private static bool IsBroken(JsonElement root) =>
        root.GetRawText().Contains("\\ud", StringComparison.OrdinalIgnoreCase) && !IsReadable(root);

    private static bool IsReadable(JsonElement element)
    {
        try
        {
            return element.ValueKind switch
            {
                JsonValueKind.String => element.GetString() is not null,
                JsonValueKind.Array => element.EnumerateArray().All(IsReadable),
                JsonValueKind.Object => element
                    .EnumerateObject()
                    .All(p => p.Name is not null && IsReadable(p.Value)),
                _ => true,
            };
        }
        catch (InvalidOperationException)
        {
            return false;
        }
    }

    /// <summary>Where the object stands in the file.</summary>
    public string Place { get; }

    public bool Has(string name) => _properties.ContainsKey(name);

    public JsonElement? Element(string name) =>
        _properties.TryGetValue(name, out JsonElement value) ? value : null;

    public string Join(string name)
    {
        string shown = string.IsNullOrWhiteSpace(name) ? $"\"{name}\"" : name;
        return Place.Length > 0 ? $"{Place}.{shown}" : shown;
    }

    /// <summary>A text, or the one given when there is none.</summary>
    public string Text(string name, string absent) => Text(name) ?? absent;

    /// <summary>A text, or nothing when there is none.</summary>
    public string? Text(string name)
    {
        if (!_properties.TryGetValue(name, out JsonElement value))
        {
            return null;
        }

        if (value.ValueKind == JsonValueKind.String)
        {
            return value.GetString()!;
        }

        Refuse(name, "a text in quotation marks, with its unit if it has one");
        return null;
    }

    /// <summary>A quantity as a report states it (a value, a limit or a range), or nothing when it is absent or wrong.</summary>
    public Stated<T>? Stated<T>(string name)
        where T : struct, IQuantity<T>
    {
        if (Text(name) is not { } text)
        {
            return null;
        }

        if (QuantityText.TryParse(Join(name), text, out Stated<T> stated, out InputProblem? problem))
        {
            return stated;
        }

        _problems.Add(problem);
        return null;
    }

    /// <summary>A concentration as a report states it, or nothing when it is absent or wrong.</summary>
    /// <param name="name">Name of the property.</param>
    /// <param name="analyte">What it is the concentration of.</param>
    /// <param name="remarks">Receives what was read by custom.</param>
    public Stated<MolarConcentration>? Concentration(string name, Analyte analyte, List<Sentence> remarks)
    {
        if (Text(name) is not { } text)
        {
            return null;
        }

        if (
            !QuantityText.TryParseConcentration(
                Join(name),
                text,
                analyte,
                out Stated<MolarConcentration> stated,
                out InputProblem? problem
            )
        )
        {
            _problems.Add(problem);
            return null;
        }

        if (analyte.HasOtherCustomaryBasis && !QuantityText.NamesBasis(text, analyte))
        {
            remarks.Add(
                Sentence.Of(
                    $"{analyte.Name} \"{text}\" is read as {analyte.DefaultBasis}; write \"as {analyte.Bases[1]}\" if the report means that."
                )
            );
        }

        return stated;
    }

    /// <summary>A bare number as a report states it, in quotation marks or without, or nothing when it is absent or wrong.</summary>
    public Stated<double>? StatedNumber(string name, double least, double most)
    {
        if (!_properties.TryGetValue(name, out JsonElement value))
        {
            return null;
        }

        string text = value.ValueKind is JsonValueKind.String ? value.GetString()! : value.GetRawText();
        if (
            QuantityText.TryParseNumber(
                Join(name),
                text,
                least,
                most,
                out Stated<double> stated,
                out InputProblem? problem
            )
        )
        {
            return stated;
        }

        _problems.Add(problem);
        return null;
    }

    /// <summary>A quantity written as text with its unit; without <paramref name="absent"/> it is required.</summary>
    public T Quantity<T>(string name, T? absent = null)
        where T : struct, IQuantity<T>
    {
        if (!_properties.TryGetValue(name, out JsonElement value))
        {
            if (absent is null)
            {
                _problems.Add(new InputProblem(Join(name), Missing, QuantityText.Describe<T>()));
            }

            return absent ?? default;
        }

        if (value.ValueKind != JsonValueKind.String)
        {
            Refuse(name, $"in quotation marks, {QuantityText.Describe<T>()}");
            return default;
        }

        if (
            QuantityText.TryParseExactly(
                Join(name),
                value.GetString()!,
                out T quantity,
                out InputProblem? problem
            )
        )
        {
            return quantity;
        }

        _problems.Add(problem);
        return default;
    }

    /// <summary>A quantity above zero; without <paramref name="absent"/> it is required.</summary>
    public T AboveZero<T>(string name, T? absent = null)
        where T : struct, IQuantity<T>
    {
        int before = _problems.Count;
        T quantity = Quantity(name, absent);
        if (_problems.Count == before && quantity.CompareTo(T.FromSI(0)) <= 0)
        {
            Refuse(name, $"a {T.Name} above zero");
        }

        return quantity;
    }

    /// <summary>A number in a range; without <paramref name="absent"/> it is required.</summary>
    public double Number(string name, double least, double most, double? absent = null)
    {
        Sentence range = Sentence.Of($"a number from {least} to {most}");
        if (!_properties.TryGetValue(name, out JsonElement value))
        {
            if (absent is null)
            {
                _problems.Add(new InputProblem(Join(name), Missing, range));
            }

            return absent ?? least;
        }

        if (
            value.ValueKind == JsonValueKind.Number
            && value.GetDouble() is var number
            && number >= least
            && number <= most
        )
        {
            return number;
        }

        Refuse(name, range);
        return least;
    }

    /// <summary>True or false, or what is given when it is absent.</summary>
    public bool Flag(string name, bool absent)
    {
        if (!_properties.TryGetValue(name, out JsonElement value))
        {
            return absent;
        }

        if (value.ValueKind is JsonValueKind.True or JsonValueKind.False)
        {
            return value.GetBoolean();
        }

        Refuse(name, "true or false");
        return absent;
    }

    /// <summary>A price: an exact decimal, not negative.</summary>
    public decimal Price(string name, decimal absent = 0m)
    {
        if (!_properties.TryGetValue(name, out JsonElement value))
        {
            return absent;
        }

        if (value.ValueKind == JsonValueKind.Number && value.TryGetDecimal(out decimal price) && price >= 0m)
        {
            return price;
        }

        Refuse(name, "an amount of money, not negative, such as 12.50");
        return absent;
    }

    /// <summary>One word out of several.</summary>
    public T Choice<T>(string name, IReadOnlyList<(string Word, T Value)> words, T? absent = null)
        where T : struct
    {
        string list = string.Join(", ", words.Select(w => w.Word));
        if (!_properties.TryGetValue(name, out JsonElement value))
        {
            if (absent is null)
            {
                _problems.Add(new InputProblem(Join(name), Missing, $"one of {list}"));
            }

            return absent ?? default;
        }

        foreach ((string word, T chosen) in words)
        {
            if (value.ValueKind == JsonValueKind.String && value.ValueEquals(word))
            {
                return chosen;
            }
        }

        Refuse(name, $"one of {list}");
        return default;
    }

    /// <summary>An object, or nothing when it is absent.</summary>
    public JsonReading? Object(string name, params string[] known) =>
        _properties.TryGetValue(name, out JsonElement value)
            ? new JsonReading(value, Join(name), _problems, known)
            : null;

    /// <summary>The members of a list; none when it is absent.</summary>
    public IEnumerable<(JsonElement Element, string Place)> Items(string name)
    {
        if (!_properties.TryGetValue(name, out JsonElement value))
        {
            yield break;
        }

        if (value.ValueKind != JsonValueKind.Array)
        {
            Refuse(name, "a list [ … ]");
            yield break;
        }

        int index = 0;
        foreach (JsonElement item in value.EnumerateArray())
        {
            yield return (item, FormattableString.Invariant($"{Join(name)}[{index++}]"));
        }
    }

    /// <summary>Adds the problem of a property, or of its absence.</summary>
    public void Refuse(string name, [ConstantExpected] string expected) =>
        Refuse(name, Sentence.Of(expected));

    /// <summary>Adds the problem of a property, or of its absence.</summary>
    public void Refuse(string name, SentenceText expected) => Refuse(name, Sentence.Of(expected));

    /// <summary>Adds the problem of a property, or of its absence.</summary>
    public void Refuse(string name, Sentence expected) =>
        _problems.Add(
            new InputProblem(
                Join(name),
                _properties.TryGetValue(name, out JsonElement value)
                    ? Sentence.Written(Short(value.GetRawText()))
                    : Missing,
                expected
            )
        );

    /// <summary>So much of a text that was found as a problem shows.</summary>
    internal static string Short(string text) => text.Length > 60 ? text[..60] + "…" : text;
}
