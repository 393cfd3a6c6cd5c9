using System.Globalization;
using System.Net.Security;
using System.Security.Cryptography.X509Certificates;
using MailKit.Net.Smtp;
using MailKit.Security;
using MimeKit;
using Rinsewright.Records.Alarms;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Alarms;

/// <summary>Sends messages as e-mails (SMTP, RFC 5321), encrypted but for a server on this machine.</summary>
internal sealed class MailRoute(ServeOptions options, AlarmWords words, AlarmLinks links) : IAlarmRoute
{
    private const int Patience_ms = 20_000;

    public DeliveryRoute Route => DeliveryRoute.Mail;

    public async Task SendAsync(DueMessage message, CancellationToken cancel)
    {
        if (options.Alarms.Mail is not { } server)
        {
            throw new NotDeliveredException("The program was told of no mail server: serve --smtp.");
        }

        using MimeMessage mail = Write(message, server);
        using var client = new SmtpClient { Timeout = Patience_ms };
        if (server.Trusted is { } trusted)
        {
            client.CheckCertificateRevocation = false;
            client.ServerCertificateValidationCallback = (_, certificate, chain, problems) =>
                IsVouchedFor(certificate, chain, problems, trusted);
        }

        try
        {
            await client.ConnectAsync(
                server.Address.Host,
                server.Port,
                server.Address.Scheme is MailServer.Encrypted ? SecureSocketOptions.SslOnConnect
                    : server.Address.IsLoopback ? SecureSocketOptions.StartTlsWhenAvailable
                    : SecureSocketOptions.StartTls,
                cancel
            );
            if (server.User is { } user)
            {
                await client.AuthenticateAsync(user, server.Password ?? "", cancel);
            }

            await client.SendAsync(mail, cancel);
            await client.DisconnectAsync(quit: true, CancellationToken.None);
        }
        catch (Exception problem)
            when (problem
                    is IOException
                        or System.Net.Sockets.SocketException
                        or SmtpCommandException
                        or SmtpProtocolException
                        or SslHandshakeException
                        or AuthenticationException
                        or NotSupportedException
                        or TimeoutException
            )
        {
            throw new NotDeliveredException(
                problem is SslHandshakeException
                    ? "The mail server's certificate is not trusted, or it does not encrypt as it should."
                    : problem.Message,
                problem
            );
        }
    }

    private MimeMessage Write(DueMessage message, MailServer server)
    {
        var from = MailboxAddress.Parse(server.From);
        var mail = new MimeMessage
        {
            // A name may be anything; a heading is one line.
            Subject = new string([.. words.Subject(message).Where(c => !char.IsControl(c))]),
            Date = options.Clock.GetUtcNow(),
            // The same however often it is sent: whoever gets it twice can tell.
            MessageId = string.Create(CultureInfo.InvariantCulture, $"{message.Message.Id}@{from.Domain}"),
            Body = new TextPart("plain")
            {
                Text = words.Body(message, links.Make(message.Message.Id), links.PageAddress),
            },
        };
        mail.From.Add(from);
        mail.To.Add(MailboxAddress.Parse(message.Destination.Address));
        mail.Headers.Add("Auto-Submitted", "auto-generated"); // RFC 3834: nobody is to answer it by a program
        return mail;
    }

    private static bool IsVouchedFor(
        X509Certificate? certificate,
        X509Chain? chain,
        SslPolicyErrors problems,
        X509Certificate2Collection trusted
    )
    {
        if (
            certificate is not X509Certificate2 shown
            || problems.HasFlag(SslPolicyErrors.RemoteCertificateNameMismatch)
        )
        {
            return false;
        }

        using var own = new X509Chain();
        own.ChainPolicy.TrustMode = X509ChainTrustMode.CustomRootTrust;
        own.ChainPolicy.CustomTrustStore.AddRange(trusted);
        own.ChainPolicy.RevocationMode = X509RevocationMode.NoCheck;
        foreach (X509ChainElement element in chain?.ChainElements ?? own.ChainElements)
        {
            own.ChainPolicy.ExtraStore.Add(element.Certificate);
        }

        return own.Build(shown);
    }
}
