using System.Globalization;
using Microsoft.AspNetCore.Http;

namespace Rinsewright.Web.Components;

/// <summary>Reads what stands in the address of a page; what cannot be read is answered with what would be right.</summary>
internal static class InAddress
{
    /// <summary>The id of an entry, or nothing when none is asked for.</summary>
    /// <exception cref="BadHttpRequestException">It is none.</exception>
    public static Guid? Id(string name, string? text) =>
        string.IsNullOrWhiteSpace(text) ? null
        : Guid.TryParse(text, out Guid id) ? id
        : throw Wrong(name, text, "the id of an entry, as the links of the pages have it");

    /// <summary>A whole number, or nothing when none is asked for.</summary>
    /// <exception cref="BadHttpRequestException">It is none.</exception>
    public static int? Whole(string name, string? text) =>
        string.IsNullOrWhiteSpace(text) ? null
        : int.TryParse(text, CultureInfo.InvariantCulture, out int number) ? number
        : throw Wrong(name, text, "a whole number");

    /// <summary>The number of an edit, or nothing when none is asked for.</summary>
    /// <exception cref="BadHttpRequestException">It is none.</exception>
    public static long? Edit(string name, string? text) =>
        string.IsNullOrWhiteSpace(text) ? null
        : long.TryParse(text, CultureInfo.InvariantCulture, out long number) ? number
        : throw Wrong(name, text, "the number of an edit");

    /// <summary>Whether something is asked for.</summary>
    /// <exception cref="BadHttpRequestException">It is neither.</exception>
    public static bool Truth(string name, string? text) =>
        !string.IsNullOrWhiteSpace(text)
        && (bool.TryParse(text, out bool isSo) ? isSo : throw Wrong(name, text, "true or false"));

    private static BadHttpRequestException Wrong(string name, string text, string right) =>
        new($"{name}: {text}: {right}");
}
