using System.Text.Encodings.Web;
using Microsoft.AspNetCore.Authentication;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;
using Rinsewright.Records.Access;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.People;

/// <summary>Knows programs by their key in the header <c>Authorization: Bearer</c>.</summary>
internal sealed class KeyScheme(
    IOptionsMonitor<AuthenticationSchemeOptions> options,
    ILoggerFactory loggers,
    UrlEncoder encoder,
    KeyRegister keys
) : AuthenticationHandler<AuthenticationSchemeOptions>(options, loggers, encoder)
{
    public const string Name = "key";
    private const string Prefix = "Bearer ";

    protected override async Task<AuthenticateResult> HandleAuthenticateAsync()
    {
        string header = Request.Headers.Authorization.ToString();
        if (
            !header.StartsWith(Prefix, StringComparison.OrdinalIgnoreCase)
            || WithoutPeople.Is(Context)
            || Request.Path.StartsWithSegments(IngestApi.Path, StringComparison.Ordinal)
        )
        {
            return AuthenticateResult.NoResult();
        }

        // 256 random bits are not guessed, so that no address has to wait because another behind it shows wrong ones.
        return await keys.FindAsync(header[Prefix.Length..].Trim(), Context.RequestAborted) is { } key
            ? AuthenticateResult.Success(new AuthenticationTicket(Visitor.PrincipalOf(key, Name), Name))
            : AuthenticateResult.Fail("No such key.");
    }
}

/// <summary>Counts what was wrongly tried at the doors, whichever they are.</summary>
internal sealed class WrongSignIns(TimeProvider clock)
{
    public const int MostTries = 5;

    public WrongTries Tries { get; } = new(MostTries, clock);
}
