using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Identity;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Rinsewright.Records.Access;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Operations;

namespace Rinsewright.Web.People;

/// <summary>People: who they are, what they may do, and what of the record is there for them.</summary>
internal static class PeopleHosting
{
    /// <summary>Key of the whole record among the services; what answers a request takes the record that is there for it.</summary>
    public const string Whole = "whole";

    /// <summary>Passwords are hashed by PBKDF2 with HMAC-SHA-512 so many times (OWASP Password Storage Cheat Sheet).</summary>
    private const int HashRounds = 210_000;

    private const int TriesToLock = 10;
    private const int Idle_days = 7;
    private static readonly TimeSpan Lock = TimeSpan.FromMinutes(15);
    private static readonly TimeSpan LongestSession = TimeSpan.FromDays(30);

    public static LogbookStore WholeRecord(this IServiceProvider services) =>
        services.GetRequiredKeyedService<LogbookStore>(Whole);

    /// <summary>Adds a service that works on the whole record, whoever asks.</summary>
    public static void AddOnWholeRecord<T>(this IServiceCollection services)
        where T : class =>
        services.AddSingleton(provider =>
            ActivatorUtilities.CreateInstance<T>(provider, provider.WholeRecord())
        );

    public static void AddPeople(this IServiceCollection services, LogbookStore whole)
    {
        // A factory, so that the record is closed with the host.
        services.AddKeyedSingleton(Whole, (_, _) => whole);
        services.AddScoped(provider =>
            provider
                .WholeRecord()
                .Within(Visitor.ScopeOf(provider.GetRequiredService<IHttpContextAccessor>().HttpContext))
        );
        services.AddOnWholeRecord<PeopleRegister>();
        services.AddOnWholeRecord<PasskeyRegister>();
        services.AddOnWholeRecord<KeyRegister>();
        services.AddOnWholeRecord<AuditTrail>();
        services.AddSingleton<WrongSignIns>();
        services.AddSingleton<IAuthorizationHandler, AccessHandler>();
        services.AddSingleton<IAuthorizationMiddlewareResultHandler, AccessAnswer>();
        services.AddAuthorization(Access.AddTo);
        services
            .AddAuthentication(options => options.DefaultScheme = "people")
            .AddPolicyScheme(
                "people",
                null,
                policy =>
                    policy.ForwardDefaultSelector = http =>
                        http.Request.Headers.Authorization.Count > 0
                            ? KeyScheme.Name
                            : IdentityConstants.ApplicationScheme
            )
            .AddScheme<AuthenticationSchemeOptions, KeyScheme>(KeyScheme.Name, null)
            .AddIdentityCookies();
        services.Configure<CookieAuthenticationOptions>(
            IdentityConstants.ApplicationScheme,
            cookie =>
            {
                cookie.Cookie.Name = "rinsewright-in";
                cookie.Cookie.HttpOnly = true;
                cookie.Cookie.SameSite = SameSiteMode.Lax;
                cookie.ExpireTimeSpan = TimeSpan.FromDays(Idle_days);
                cookie.SlidingExpiration = true;
                cookie.Events.OnValidatePrincipal = CheckAsync;
            }
        );
        services.Configure<CookieAuthenticationOptions>(
            IdentityConstants.TwoFactorUserIdScheme,
            cookie => cookie.Cookie.Name = "rinsewright-passkey"
        );
        services.Configure<PasswordHasherOptions>(hasher => hasher.IterationCount = HashRounds);
        services
            .AddIdentityCore<Account>(identity =>
            {
                identity.Password = new PasswordOptions
                {
                    RequiredLength = PasswordRule.Shortest,
                    RequireDigit = false,
                    RequireLowercase = false,
                    RequireUppercase = false,
                    RequireNonAlphanumeric = false,
                };
                identity.User.AllowedUserNameCharacters = "";
                identity.Lockout.MaxFailedAccessAttempts = TriesToLock;
                identity.Lockout.DefaultLockoutTimeSpan = Lock;
            })
            .AddSignInManager()
            .AddClaimsPrincipalFactory<Principals>();
        services.AddSingleton<ILookupNormalizer, NameNormalizer>();
        services.AddScoped<IUserStore<Account>, AccountStore>();
        services.AddScoped<IPasswordValidator<Account>, PasswordRule>();
        services.AddScoped<SignIns>();
    }

    /// <summary>Says to what comes after whether anybody signs in to this record.</summary>
    public static void UseWhetherPeople(this WebApplication app) =>
        app.Use(
            async (http, next) =>
            {
                // These addresses ask nothing of people, and answer while the record cannot be read.
                bool isForAll =
                    http.Request.Path.StartsWithSegments(Health.Path, StringComparison.Ordinal)
                    || http.Request.Path.StartsWithSegments(IngestApi.Path, StringComparison.Ordinal);
                if (
                    !isForAll
                    && !await http
                        .RequestServices.GetRequiredService<PeopleRegister>()
                        .AreThereAsync(http.RequestAborted)
                )
                {
                    WithoutPeople.Mark(http);
                }

                await next(http);
            }
        );

    /// <summary>Lets in who may; after routing, so that each address says what it asks.</summary>
    public static void UsePeople(this WebApplication app)
    {
        app.UseAuthentication();
        app.UseAuthorization();
        app.Use(
            (http, next) =>
            {
                if (Visitor.Of(http) is not null)
                {
                    // Last, for forms say more than that of their own accord.
                    http.Response.OnStarting(() =>
                    {
                        if (http.Response.Headers.CacheControl.Count == 0)
                        {
                            http.Response.Headers.CacheControl = "private, no-cache";
                        }

                        return Task.CompletedTask;
                    });
                }

                return next(http);
            }
        );
    }

    public static void MapPeople(this WebApplication app)
    {
        RouteGroupBuilder doors = app.MapGroup("").ExcludeFromDescription();
        doors.MapPost("/passkeys/new", NewPasskeyAsync).RequireAuthorization(Access.Open);
        doors.MapPost("/passkeys/ask", AskPasskeyAsync).RequireAuthorization(Access.Open);
        doors.MapPost("/sign-out", OutAsync).RequireAuthorization(Access.Self);
    }

    private static async Task<IResult> NewPasskeyAsync(
        HttpContext http,
        SignIns signIns,
        IAntiforgery forgery
    )
    {
        if (!await forgery.IsRequestValidAsync(http))
        {
            return TypedResults.BadRequest();
        }

        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        return await signIns.NewPasskeyAsync(form["Key"]) is { } options
            ? TypedResults.Text(options, "application/json")
            : TypedResults.NotFound();
    }

    private static async Task<IResult> AskPasskeyAsync(
        HttpContext http,
        SignIns signIns,
        IAntiforgery forgery
    ) =>
        await forgery.IsRequestValidAsync(http)
            ? TypedResults.Text(await signIns.AskPasskeyAsync(), "application/json")
            : TypedResults.BadRequest();

    private static async Task<IResult> OutAsync(HttpContext http, SignIns signIns, IAntiforgery forgery)
    {
        if (!await forgery.IsRequestValidAsync(http))
        {
            return TypedResults.BadRequest();
        }

        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        await signIns.OutAsync(everywhere: form["everywhere"].Count > 0);
        return TypedResults.LocalRedirect(Doors.SignIn);
    }

    /// <summary>Ends a session whose account was removed or changed, or that is too old; the role is that of now.</summary>
    private static async Task CheckAsync(CookieValidatePrincipalContext context)
    {
        IServiceProvider services = context.HttpContext.RequestServices;
        DateTimeOffset now = services.GetRequiredService<TimeProvider>().GetUtcNow();
        if (
            Visitor.SinceOf(context.Principal) is { } since
            && now - since < LongestSession
            && Guid.TryParse(
                services.GetRequiredService<UserManager<Account>>().GetUserId(context.Principal!),
                out Guid id
            )
            && await services
                .GetRequiredService<PeopleRegister>()
                .FindAsync(id, context.HttpContext.RequestAborted)
                is { } account
            && Visitor.IsStill(context.Principal!, account)
        )
        {
            context.ReplacePrincipal(Visitor.PrincipalOf(account, since));
            return;
        }

        context.RejectPrincipal();
        await context.HttpContext.SignOutAsync(IdentityConstants.ApplicationScheme);
    }

    /// <summary>Makes the identity that a session begins with.</summary>
    private sealed class Principals(TimeProvider clock) : IUserClaimsPrincipalFactory<Account>
    {
        public Task<System.Security.Claims.ClaimsPrincipal> CreateAsync(Account user) =>
            Task.FromResult(Visitor.PrincipalOf(user, clock.GetUtcNow()));
    }
}
