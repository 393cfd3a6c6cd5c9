using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Authorization.Policy;
using Microsoft.AspNetCore.Http;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;
using Rinsewright.Web.Api;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.People;

/// <summary>
/// What an address asks of who comes to it, once people sign in. Every page and every group of the API names one; an address that
/// names none is shut, and a test finds it.
/// </summary>
internal static class Access
{
    /// <summary>Reading needs the right to read, everything else the right to log.</summary>
    public const string Record = "record";

    /// <summary>Reading needs the right to read, everything else that of an owner.</summary>
    public const string Links = "links";

    /// <summary>An owner.</summary>
    public const string Owner = "owner";

    /// <summary>Anyone who signed in, in their own matters.</summary>
    public const string Self = "self";

    /// <summary>Anyone at all.</summary>
    public const string Open = "open";

    /// <summary>Anyone, where the host was told so; else who may read.</summary>
    public const string YourWater = "your-water";

    /// <summary>Whom the door of shared links let in.</summary>
    public const string Link = "link";

    /// <summary>Devices, each by its own key, which is asked for at the address itself.</summary>
    public const string Device = "device";

    public static IReadOnlyList<string> All { get; } =
    [Record, Links, Owner, Self, Open, YourWater, Link, Device];

    public static void AddTo(AuthorizationOptions options)
    {
        foreach (string policy in All)
        {
            options.AddPolicy(policy, p => p.AddRequirements(new Needed(policy)));
        }

        options.FallbackPolicy = new AuthorizationPolicyBuilder()
            .AddRequirements(new Needed(Policy: null))
            .Build();
    }

    /// <summary>What is needed.</summary>
    /// <param name="Policy">The name of the policy; nothing where none was named.</param>
    internal sealed record Needed(string? Policy) : IAuthorizationRequirement;
}

/// <summary>Decides who may, in this one place.</summary>
internal sealed class AccessHandler(ServeOptions options) : AuthorizationHandler<Access.Needed>
{
    protected override Task HandleRequirementAsync(
        AuthorizationHandlerContext context,
        Access.Needed requirement
    )
    {
        if (context.Resource is HttpContext http && (WithoutPeople.Is(http) || May(http, requirement.Policy)))
        {
            context.Succeed(requirement);
        }

        return Task.CompletedTask;
    }

    private bool May(HttpContext http, string? policy)
    {
        Visitor? visitor = Visitor.Of(http);
        bool isRead = HttpMethods.IsGet(http.Request.Method) || HttpMethods.IsHead(http.Request.Method);
        return policy switch
        {
            Access.Open or Access.Device => true,
            Access.Link => SharedDoor.LinkOf(http) is not null,
            Access.YourWater => options.IsYourWaterOpen || visitor is not null,
            Access.Self => visitor?.Account is not null,
            Access.Record => visitor?.Right >= (isRead ? Right.Read : Right.Log),
            Access.Links => visitor?.Right >= (isRead ? Right.Read : Right.Manage),
            Access.Owner => visitor?.Right >= Right.Manage,
            _ => false,
        };
    }
}

/// <summary>Leads people to the page where they sign in, and tells programs what they lack.</summary>
internal sealed class AccessAnswer : IAuthorizationMiddlewareResultHandler
{
    public async Task HandleAsync(
        RequestDelegate next,
        HttpContext context,
        AuthorizationPolicy policy,
        PolicyAuthorizationResult authorizeResult
    )
    {
        if (authorizeResult.Succeeded)
        {
            await next(context);
            return;
        }

        bool isProgram = context.Request.Path.StartsWithSegments("/api", StringComparison.Ordinal);
        if (Visitor.Of(context) is not null)
        {
            bool isThere = context.GetEndpoint() is not null;
            Sentence title = isThere
                ? Sentence.Of("You may not do this")
                : Sentence.Of("There is nothing at this address");
            Sentence advice = isThere
                ? Sentence.Of("It needs another role; an owner can give it.")
                : Sentence.Of("Look how it is spelled.");
            await (
                isProgram
                    ? Problems.Because(StatusCodes.Status403Forbidden, title.ToString(), advice.ToString())
                    : Faults.Page(context, StatusCodes.Status403Forbidden, title, [advice], "/")
            ).ExecuteAsync(context);
        }
        else if (isProgram)
        {
            context.Response.Headers.WWWAuthenticate = "Bearer";
            await Problems
                .Because(
                    StatusCodes.Status401Unauthorized,
                    "A key is needed",
                    "Send it as Authorization: Bearer. 'rinsewright key add' makes one."
                )
                .ExecuteAsync(context);
        }
        else
        {
            context.Response.Redirect(
                HttpMethods.IsGet(context.Request.Method)
                    ? $"{Doors.SignIn}?to={Uri.EscapeDataString(context.Request.Path + context.Request.QueryString)}"
                    : Doors.SignIn
            );
        }
    }
}
