using Microsoft.AspNetCore.Http;

namespace Rinsewright.Web;

/// <summary>How a person wants to read the pages: a choice of each browser, kept in two cookies.</summary>
public sealed record Preferences(bool UsCustomary, string? Theme)
{
    public const string UnitsCookie = "units";
    public const string ThemeCookie = "theme";

    /// <summary>The choices that came with a request, units in its address before those of the browser; metric, and as light or dark as the device is, where there is none.</summary>
    public static Preferences Of(HttpContext? context) =>
        new(
            (
                context?.Request.Query[UnitsCookie].ToString() is { Length: > 0 } said
                    ? said
                    : context?.Request.Cookies[UnitsCookie]
            )
                is "us",
            context?.Request.Cookies[ThemeCookie] is { } theme and ("light" or "dark") ? theme : null
        );
}
