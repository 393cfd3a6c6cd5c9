using System.Buffers;
using System.Collections.Concurrent;
using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using MimeKit;
using Rinsewright.Web.Alarms;
using SmtpServer;
using SmtpServer.Authentication;
using SmtpServer.ComponentModel;
using SmtpServer.Protocol;
using SmtpServer.Storage;

namespace Rinsewright.Web.Tests.Alarms;

/// <summary>A mail server within the test, with or without encryption.</summary>
internal sealed class MailBox : IAsyncDisposable
{
    public const string User = "rinse";
    public const string Password = "a password that nobody may see";

    private readonly CancellationTokenSource _stop = new();
    private readonly ConcurrentQueue<MimeMessage> _mails = new();
    private readonly X509Certificate2? _certificate;
    private readonly Task _work;

    private MailBox(int port, X509Certificate2? certificate)
    {
        Port = port;
        _certificate = certificate;
        ISmtpServerOptions options = new SmtpServerOptionsBuilder()
            .ServerName("localhost")
            .Endpoint(endpoint =>
            {
                endpoint.Endpoint(new IPEndPoint(IPAddress.Loopback, port)).AuthenticationRequired();
                if (certificate is null)
                {
                    endpoint.AllowUnsecureAuthentication();
                }
                else
                {
                    endpoint.Certificate(certificate);
                }
            })
            .Build();
        var services = new ServiceProvider();
        services.Add(new Store(_mails));
        services.Add(
            new DelegatingUserAuthenticator((user, password) => (user, password) is (User, Password))
        );
        _work = new SmtpServer.SmtpServer(options, services).StartAsync(_stop.Token);
    }

    public int Port { get; }

    public IReadOnlyList<MimeMessage> Mails => [.. _mails];

    public static MailBox Open(int? port = null, bool isEncrypted = false) =>
        new(port ?? FreePort.Next(), isEncrypted ? Certificate() : null);

    /// <summary>How a host reaches it.</summary>
    public static MailServer At(int port, string password = Password) =>
        new()
        {
            Address = new Uri($"smtp://127.0.0.1:{port}"),
            User = User,
            Password = password,
            From = "rinse@example.org",
        };

    public MailServer Server(bool isTrusted) =>
        At(Port) with
        {
            Address = new Uri($"smtp://localhost:{Port}"),
            Trusted = isTrusted ? [X509CertificateLoader.LoadCertificate(_certificate!.RawData)] : null,
        };

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _work.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        _certificate?.Dispose();
        _stop.Dispose();
    }

    private static X509Certificate2 Certificate()
    {
        using var key = RSA.Create(2048);
        var request = new CertificateRequest(
            "CN=localhost",
            key,
            HashAlgorithmName.SHA256,
            RSASignaturePadding.Pkcs1
        );
        var names = new SubjectAlternativeNameBuilder();
        names.AddDnsName("localhost");
        request.CertificateExtensions.Add(names.Build());
        using X509Certificate2 made = request.CreateSelfSigned(
            DateTimeOffset.UnixEpoch,
            new DateTimeOffset(2100, 1, 1, 0, 0, 0, TimeSpan.Zero)
        );
        return X509CertificateLoader.LoadPkcs12(made.Export(X509ContentType.Pfx), null);
    }

    private sealed class Store(ConcurrentQueue<MimeMessage> mails) : MessageStore
    {
        public override async Task<SmtpResponse> SaveAsync(
            ISessionContext context,
            IMessageTransaction transaction,
            ReadOnlySequence<byte> buffer,
            CancellationToken cancellationToken
        )
        {
            using var stream = new MemoryStream(buffer.ToArray());
            mails.Enqueue(await MimeMessage.LoadAsync(stream, cancellationToken));
            return SmtpResponse.Ok;
        }
    }
}
