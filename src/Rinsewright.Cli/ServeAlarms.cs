using System.CommandLine;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using Rinsewright.Quantities;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Cli;

/// <summary>The options of <c>serve</c> by which alarms are sent.</summary>
internal sealed class ServeAlarms
{
    private const string PasswordVariable = "RINSEWRIGHT_SMTP_PASSWORD";

    private readonly Terminal _terminal;
    private readonly Option<string?> _server;
    private readonly Option<string?> _from;
    private readonly Option<string?> _trusted;
    private readonly Option<bool> _private;

    public ServeAlarms(Verb verb, Terminal terminal)
    {
        _terminal = terminal;
        _server = verb.Has<string?>(
            "--smtp",
            $"The mail server that takes alarms: smtp://user@host:587 (STARTTLS) or smtps://user@host:465; its password is that of {PasswordVariable}."
        );
        _from = verb.Has<string?>(
            "--smtp-from",
            "With --smtp: the e-mail address in whose name they are sent."
        );
        _trusted = verb.Has<string?>(
            "--smtp-trust",
            "With --smtp: a PEM file of certificates that vouch for the server, instead of those that the system trusts."
        );
        _private = verb.Has<bool>(
            "--private-webhooks",
            "Let webhooks of alarms go to this machine, to private networks, and unencrypted. Only where everyone who may add one may reach those anyway."
        );
    }

    /// <summary>What the command line says, to be laid over the other options.</summary>
    public Func<ServeOptions, ServeOptions> Read(ParseResult line, List<InputProblem> problems)
    {
        bool isPrivate = line.GetValue(_private);
        MailServer? mail = Mail(line, problems);
        return options =>
            options with
            {
                Alarms = options.Alarms with { Mail = mail, MayWebhooksBePrivate = isPrivate },
            };
    }

    private MailServer? Mail(ParseResult line, List<InputProblem> problems)
    {
        string? from = line.GetValue(_from);
        if (line.GetValue(_server) is not { } text)
        {
            if (from is not null || line.GetValue(_trusted) is not null)
            {
                problems.Add(new("--smtp-from, --smtp-trust", "alone", "--smtp beside it"));
            }

            return null;
        }

        if (
            !Uri.TryCreate(text, UriKind.Absolute, out Uri? address)
            || address.Scheme is not (MailServer.Submission or MailServer.Encrypted)
            || address.Host.Length == 0
            || address.UserInfo.Contains(':', StringComparison.Ordinal)
        )
        {
            problems.Add(
                new(
                    "--smtp",
                    address?.Host ?? text,
                    $"smtp://user@host:587 or smtps://user@host:465, the password in {PasswordVariable}"
                )
            );
            return null;
        }

        if (
            from is null
            || !System.Net.Mail.MailAddress.TryCreate(from, out System.Net.Mail.MailAddress? read)
            || !string.Equals(read.Address, from, StringComparison.Ordinal)
        )
        {
            problems.Add(new("--smtp-from", from ?? "", "an e-mail address such as rinse@example.org"));
            return null;
        }

        return new MailServer
        {
            Address = new UriBuilder(address) { UserName = "" }.Uri,
            User = address.UserInfo.Length > 0 ? Uri.UnescapeDataString(address.UserInfo) : null,
            Password = _terminal.Variable(PasswordVariable),
            From = from,
            Trusted = line.GetValue(_trusted) is { } file ? Trusted(file, problems) : null,
        };
    }

    private static X509Certificate2Collection? Trusted(string file, List<InputProblem> problems)
    {
        try
        {
            var trusted = new X509Certificate2Collection();
            trusted.ImportFromPemFile(file);
            if (trusted.Count > 0)
            {
                return trusted;
            }
        }
        catch (Exception problem)
            when (problem is IOException or UnauthorizedAccessException or CryptographicException)
        {
            // Said below, as is an empty one.
        }

        problems.Add(new("--smtp-trust", file, "a PEM file with certificates that can be read"));
        return null;
    }
}
