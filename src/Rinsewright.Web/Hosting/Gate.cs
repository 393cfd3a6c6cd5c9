using System.Net;
using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Operations;
using Rinsewright.Web.People;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Hosting;

/// <summary>
/// Lets only those in who give the passphrase: people on a page, once for a browser; programs in the header
/// <c>Authorization: Bearer</c>. Five wrong tries from an address within a minute, and it has to wait.
/// </summary>
internal sealed class Gate
{
    private const string Address = "/sign-in";
    private const string CookieName = "rinsewright-key";
    private const int MostTries = 5;
    private static readonly TimeSpan Stay = TimeSpan.FromDays(90);

    private readonly RequestDelegate _next;
    private readonly byte[] _passphrase;
    private readonly ITimeLimitedDataProtector _tickets;
    private readonly WrongTries _wrong;
    private readonly IAntiforgery _forgery;
    private readonly bool _isYourWaterOpen;

    public Gate(
        RequestDelegate next,
        string passphrase,
        IDataProtectionProvider protection,
        TimeProvider clock,
        IAntiforgery forgery,
        ServeOptions options
    )
    {
        _next = next;
        _passphrase = Digest(passphrase);
        _tickets = protection
            .CreateProtector("sign-in", Convert.ToHexString(_passphrase))
            .ToTimeLimitedDataProtector();
        _wrong = new WrongTries(MostTries, clock);
        _forgery = forgery;
        _isYourWaterOpen = options.IsYourWaterOpen;
    }

    public async Task InvokeAsync(HttpContext context)
    {
        if (!WithoutPeople.Is(context))
        {
            // People sign in by themselves: the passphrase opens nothing any more.
            await _next(context);
        }
        else if (context.Request.Path == Address)
        {
            await SignInAsync(context);
        }
        else if (
            HasTicket(context)
            || HasHeader(context)
            || context.Request.Path.StartsWithSegments(Health.Path, StringComparison.Ordinal)
            || context.Request.Path == PublicPages.Robots
            || SharedDoor.LinkOf(context) is not null
            || AlarmLinks.IsBehind(context.Request.Path)
            || (_isYourWaterOpen && PublicPages.IsYourWater(context.Request.Path))
            || context.Request.Path.StartsWithSegments(IngestApi.Path, StringComparison.Ordinal)
        )
        {
            await _next(context);
        }
        else if (context.Request.Path.StartsWithSegments("/api", StringComparison.Ordinal))
        {
            context.Response.Headers.WWWAuthenticate = "Bearer";
            await Api
                .Problems.Because(
                    StatusCodes.Status401Unauthorized,
                    "A passphrase is needed",
                    "Send it as Authorization: Bearer."
                )
                .ExecuteAsync(context);
        }
        else
        {
            context.Response.Redirect(
                $"{Address}?to={Uri.EscapeDataString(context.Request.Path + context.Request.QueryString)}"
            );
        }
    }

    private bool HasTicket(HttpContext context)
    {
        try
        {
            return context.Request.Cookies[CookieName] is { } ticket && _tickets.Unprotect(ticket).Length > 0;
        }
        catch (CryptographicException)
        {
            return false;
        }
    }

    private bool HasHeader(HttpContext context) =>
        context.Request.Headers.Authorization.ToString()
            is ['B', 'e', 'a', 'r', 'e', 'r', ' ', .. string given]
        && _wrong.MayTry(context)
        && IsRight(context, given);

    private async Task SignInAsync(HttpContext context)
    {
        string to = context.Request.Query["to"].ToString() is ['/', not '/' and not '\\', ..] there
            ? context.Request.Query["to"].ToString()
            : "/";
        Speech speech = context.RequestServices.GetRequiredService<Speech>();
        string said = "";
        if (HttpMethods.IsPost(context.Request.Method))
        {
            if (!await _forgery.IsRequestValidAsync(context))
            {
                said = speech["The page was open for too long. Please try again."];
            }
            else if (!_wrong.MayTry(context))
            {
                context.Response.StatusCode = StatusCodes.Status429TooManyRequests;
                said = speech["Too many tries. Please wait a minute."];
            }
            else if (
                IsRight(context, (await context.Request.ReadFormAsync())["passphrase"].ToString().Trim())
            )
            {
                context.Response.Cookies.Append(
                    CookieName,
                    _tickets.Protect("in", Stay),
                    new CookieOptions
                    {
                        HttpOnly = true,
                        SameSite = SameSiteMode.Lax,
                        MaxAge = Stay,
                        Secure = context.Request.IsHttps,
                    }
                );
                context.Response.Redirect(to);
                return;
            }
            else
            {
                said = speech[
                    "That is not the passphrase. It stands in the window in which the program was started."
                ];
            }
        }

        AntiforgeryTokenSet token = _forgery.GetAndStoreTokens(context);
        context.Response.ContentType = "text/html; charset=utf-8";
        await context.Response.WriteAsync(
            $"""
            <!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
            <title>{Html(
                speech["Sign in"]
            )} · Rinsewright</title><link rel="stylesheet" href="/assets/rinsewright.css"></head>
            <body><main><h1>Rinsewright</h1><p role="alert">{Html(said)}</p>
            <form method="post" class="card"><label for="passphrase">{Html(speech["Passphrase"])}</label>
            <input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required autofocus>
            <input type="hidden" name="{token.FormFieldName}" value="{token.RequestToken}">
            <button>{Html(speech["Open"])}</button></form>
            {(
                context.Request.IsHttps
                    ? ""
                    : $"<p class=\"quiet\">{Html(speech["On this network nothing is encrypted: whoever can listen in can read along. Use it on a network that you trust."])}</p>"
            )}
            </main></body></html>
            """
        );
    }

    private bool IsRight(HttpContext context, string given)
    {
        bool isRight = CryptographicOperations.FixedTimeEquals(Digest(given), _passphrase);
        if (isRight)
        {
            _wrong.Forget(context);
        }
        else
        {
            _wrong.Count(context);
        }

        return isRight;
    }

    private static string Html(string text) => WebUtility.HtmlEncode(text);

    private static byte[] Digest(string text) => SHA256.HashData(Encoding.UTF8.GetBytes(text));
}
