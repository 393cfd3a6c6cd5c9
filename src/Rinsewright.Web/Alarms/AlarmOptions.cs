using System.Security.Cryptography.X509Certificates;

namespace Rinsewright.Web.Alarms;

/// <summary>How alarms are looked for and sent.</summary>
public sealed record AlarmOptions
{
    /// <summary>The server that takes e-mails, if there is one.</summary>
    public MailServer? Mail { get; init; }

    /// <summary>
    /// Whether webhooks may go to this machine, to private networks, and unencrypted. Who may add a webhook could else reach
    /// through this program what only it can reach.
    /// </summary>
    public bool MayWebhooksBePrivate { get; init; }

    /// <summary>How often it is looked whether anything changed (our choice).</summary>
    public TimeSpan LookEvery { get; init; } = TimeSpan.FromMinutes(1);

    /// <summary>How often it is looked whether a message is due (our choice).</summary>
    public TimeSpan SendEvery { get; init; } = TimeSpan.FromSeconds(5);
}

/// <summary>A server that takes e-mails (SMTP).</summary>
public sealed record MailServer
{
    /// <summary>Scheme of a server that encrypts once it is asked to (STARTTLS, RFC 3207); the usual port is 587.</summary>
    public const string Submission = "smtp";

    /// <summary>Scheme of a server that encrypts from the first byte (RFC 8314); the usual port is 465.</summary>
    public const string Encrypted = "smtps";

    /// <summary><c>smtp://host:587</c> or <c>smtps://host:465</c>. Nothing is sent unencrypted, but to this machine.</summary>
    public required Uri Address { get; init; }

    public string? User { get; init; }

    public string? Password { get; init; }

    /// <summary>In whose name e-mails are sent.</summary>
    public required string From { get; init; }

    /// <summary>Certificates that vouch for the server, instead of those that the system trusts.</summary>
    public X509Certificate2Collection? Trusted { get; init; }

    /// <summary>Its port.</summary>
    public int Port =>
        Address.Port > 0 ? Address.Port
        : Address.Scheme is Encrypted ? 465
        : 587;
}
