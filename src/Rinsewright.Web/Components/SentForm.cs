using Microsoft.AspNetCore.Http;

namespace Rinsewright.Web.Components;

/// <summary>Tells forms that a page has no more: sent twice, or loaded again, after the first one was seen to.</summary>
internal static class SentForm
{
    /// <summary>The name of a form that a request sends and that is no longer there; nothing where it is, or none is sent.</summary>
    /// <param name="http">The request.</param>
    /// <param name="prefix">What the names of such forms begin with.</param>
    /// <param name="present">How the names of those that are there go on.</param>
    public static string? Gone(HttpContext? http, string prefix, IEnumerable<string> present) =>
        http is not null
        && HttpMethods.IsPost(http.Request.Method)
        && http.Request.HasFormContentType
        && http.Request.Form["_handler"].ToString() is { } sent
        && sent.StartsWith(prefix, StringComparison.Ordinal)
        && !present.Contains(sent[prefix.Length..], StringComparer.Ordinal)
            ? sent
            : null;
}
