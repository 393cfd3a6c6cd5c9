using System.Buffers.Binary;
using System.Buffers.Text;
using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Http;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Alarms;

/// <summary>
/// The links in messages by which whoever got one acknowledges what it tells of, once and without signing in. A token is the message's
/// id and its end, sealed and signed with the keys of the host; nothing of it is kept.
/// </summary>
internal sealed class AlarmLinks(IDataProtectionProvider protection, ServeOptions options)
{
    /// <summary>Below it the links are.</summary>
    public const string Path = "/alarms/link";

    /// <summary>The page of the alarms.</summary>
    public const string Page = "/alarms";

    private const int MostWrongTries = 10;
    private const int Id_bytes = 16;
    private static readonly TimeSpan IsOpen = TimeSpan.FromDays(14);

    private readonly IDataProtector _protector = protection.CreateProtector("alarm link");

    /// <summary>Wrong tokens of each address.</summary>
    public WrongTries Wrong { get; } = new(MostWrongTries, options.Clock);

    /// <summary>Whether an address is one of a link: its token is its key.</summary>
    public static bool IsBehind(PathString path) => path.StartsWithSegments(Path, StringComparison.Ordinal);

    /// <summary>The page of the alarms as others reach it; nothing where the host has no name for them.</summary>
    public Uri? PageAddress => options.Public is { } site ? new Uri(site.Address, Page) : null;

    /// <summary>The link of a message; nothing where the host has no name for others.</summary>
    public Uri? Make(Guid message)
    {
        if (options.Public is not { } site)
        {
            return null;
        }

        byte[] content = new byte[Id_bytes + sizeof(long)];
        message.TryWriteBytes(content);
        BinaryPrimitives.WriteInt64BigEndian(
            content.AsSpan(Id_bytes),
            (options.Clock.GetUtcNow() + IsOpen).ToUnixTimeSeconds()
        );
        return new Uri(site.Address, $"{Path}/{Base64Url.EncodeToString(_protector.Protect(content))}");
    }

    /// <summary>The message whose link it is; nothing when it is none of ours or has run out.</summary>
    public Guid? Read(string token)
    {
        try
        {
            byte[] content = _protector.Unprotect(Base64Url.DecodeFromChars(token));
            return
                content.Length == Id_bytes + sizeof(long)
                && BinaryPrimitives.ReadInt64BigEndian(content.AsSpan(Id_bytes))
                    > options.Clock.GetUtcNow().ToUnixTimeSeconds()
                ? new Guid(content.AsSpan(0, Id_bytes))
                : null;
        }
        catch (Exception problem) when (problem is CryptographicException or FormatException)
        {
            return null;
        }
    }
}
