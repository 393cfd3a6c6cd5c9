using System.Buffers;
using System.Buffers.Text;
using System.Security.Cryptography;

namespace Rinsewright.Records.Access;

/// <summary>
/// A key that opens something, <c>rw.NAME.SECRET</c>: of a device, of a program, or of an invitation. It is told once; of its secret,
/// 256 random bits, only the SHA-256 is kept, so that no slower digest is needed.
/// </summary>
/// <param name="Name">The part that is no secret, by which it is found.</param>
/// <param name="Digest">What is kept of the secret.</param>
public sealed record SecretKey(string Name, byte[] Digest)
{
    private const string Mark = "rw";
    private const int Name_bytes = 9;
    private const int Secret_bytes = 32;
    private const int SecretLength = 43; // of 32 bytes in base64url without padding (RFC 4648, section 5)

    // Compared with where nothing is found, so that both cases do the same.
    private static readonly byte[] NoDigest = SHA256.HashData("nothing"u8);

    /// <summary>Makes a key from the system's randomness.</summary>
    /// <param name="text">What its holder is told, once.</param>
    public static SecretKey New(out string text)
    {
        byte[] secret = RandomNumberGenerator.GetBytes(Secret_bytes);
        var key = new SecretKey(
            Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(Name_bytes)),
            SHA256.HashData(secret)
        );
        text = $"{Mark}.{key.Name}.{Base64Url.EncodeToString(secret)}";
        return key;
    }

    /// <summary>Reads what was shown; nothing when it cannot be a key.</summary>
    public static SecretKey? Read(string? text)
    {
        string[] parts = (text ?? "").Split('.');
        byte[] secret = new byte[Secret_bytes];
        return
            parts.Length == 3
            && string.Equals(parts[0], Mark, StringComparison.Ordinal)
            && parts[2].Length == SecretLength
            && Base64Url.DecodeFromChars(parts[2], secret, out _, out _) is OperationStatus.Done
            ? new SecretKey(parts[1], SHA256.HashData(secret))
            : null;
    }

    /// <summary>Whether it is the key of which a digest was kept; compared in constant time, also where nothing was found.</summary>
    public bool Opens(byte[]? kept) => CryptographicOperations.FixedTimeEquals(Digest, kept ?? NoDigest);
}
