using System.Net;
using System.Text.RegularExpressions;
using MimeKit;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Web.Tests.Alarms;

/// <summary>Alarms by e-mail, and the link in them.</summary>
public sealed partial class MailTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private static Func<ServeOptions, ServeOptions> By(MailServer server) =>
        options =>
            options with
            {
                Alarms = options.Alarms with { Mail = server },
                Public = new PublicSite(new Uri("https://rinse.example.org/"), []),
            };

    [Fact]
    public async Task An_alarm_that_nobody_took_is_sent_after_a_restart_once_and_secrets_are_nowhere_in_the_log()
    {
        int port = FreePort.Next();
        await using AlarmSite site = await AlarmSite.StartAsync(By(MailBox.At(port)));
        await site.GoesToAsync(new DestinationDraft("Mira", "mail", "mira@example.org"));
        await site.RaiseAsync(isUrgent: true);
        // Nobody listens there yet.
        await site.UntilAsync(async () => (await site.StateAsync()).LastProblem is not null);
        await site.StopAsync();
        await using MailBox box = MailBox.Open(port);
        await site.ServeAsync(By(MailBox.At(port)));
        await site.UntilAsync(async () => (await site.StateAsync()).LastSentAt is not null);
        await site.RaiseAsync(isOver: true);
        await site.UntilAsync(() => Task.FromResult(box.Mails.Count >= 2));
        Assert.Equal(2, box.Mails.Count);
        MimeMessage mail = box.Mails[0];
        Assert.Equal("mira@example.org", mail.To.Mailboxes.Single().Address);
        Assert.Equal("Urgent: Garage: the raw water has changed", mail.Subject);
        Assert.Contains(
            "It reads 420 µS/cm; before it was 250 µS/cm.",
            mail.TextBody,
            StringComparison.Ordinal
        );
        Assert.Equal("Over: Garage: the raw water has changed", box.Mails[1].Subject);
        Assert.Contains("2027-03-01 10:00 +01:00", mail.TextBody, StringComparison.Ordinal);
        Assert.Contains("Figures are estimates", mail.TextBody, StringComparison.Ordinal);
        Assert.Matches("^[0-9a-f-]{36}@example.org$", mail.MessageId);
        Assert.Equal("auto-generated", mail.Headers["Auto-Submitted"]);
        Assert.Contains("could not be sent to Mira by mail", site.Log.ToString(), StringComparison.Ordinal);
        Assert.DoesNotContain(MailBox.Password, site.Log.ToString(), StringComparison.Ordinal);
        Assert.DoesNotContain(
            Link().Match(mail.TextBody!).Value,
            site.Log.ToString(),
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_server_that_encrypts_is_believed_only_with_a_certificate_that_is_trusted(
        bool isTrusted
    )
    {
        await using MailBox box = MailBox.Open(isEncrypted: true);
        await using AlarmSite site = await AlarmSite.StartAsync(By(box.Server(isTrusted)));
        await site.GoesToAsync(new DestinationDraft("Mira", "mail", "mira@example.org"));
        await site.RaiseAsync();
        await site.UntilAsync(async () =>
            await site.StateAsync() is { LastSentAt: not null } or { LastProblem: not null }
        );
        string? problem = (await site.StateAsync()).LastProblem;
        Assert.Equal((isTrusted ? 1 : 0, isTrusted), (box.Mails.Count, problem is null));
        if (!isTrusted)
        {
            Assert.Contains("certificate is not trusted", problem, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_wrong_password_and_no_server_at_all_are_told_where_the_destination_is_shown()
    {
        await using MailBox box = MailBox.Open();
        await using AlarmSite site = await AlarmSite.StartAsync(By(MailBox.At(box.Port, "wrong")));
        await site.GoesToAsync(new DestinationDraft("Mira", "mail", "mira@example.org"));
        await site.RaiseAsync();
        await site.UntilAsync(async () => (await site.StateAsync()).LastProblem is not null);
        Assert.Empty(box.Mails);
        await site.StopAsync();
        await site.ServeAsync();
        await site.UntilAsync(async () =>
            (await site.StateAsync()).LastProblem?.Contains("--smtp", StringComparison.Ordinal) is true
        );
    }

    [Fact]
    public async Task The_link_acknowledges_by_its_button_once_without_the_passphrase_and_not_for_ever()
    {
        await using MailBox box = MailBox.Open();
        await using AlarmSite site = await AlarmSite.StartAsync(options =>
            By(MailBox.At(box.Port))(options) with
            {
                Passphrase = "correct horse battery",
            }
        );
        await site.GoesToAsync(new DestinationDraft("Mira", "mail", "mira@example.org"));
        await site.RaiseAsync();
        await site.UntilAsync(() => Task.FromResult(box.Mails.Count == 1));
        string path = new Uri(Link().Match(box.Mails[0].TextBody!).Value).AbsolutePath;
        using var http = new HttpClient { BaseAddress = site.Address };
        string page = await (
            await http.GetAsync(new Uri(path, UriKind.Relative), Stop)
        ).Content.ReadAsStringAsync(Stop);
        Assert.Contains("the raw water has changed", page, StringComparison.Ordinal);
        // Looking at it, as a mail program may do by itself, acknowledges nothing.
        Assert.Null((await site.OpenAsync(AlarmKind.Feed))!.AcknowledgedAt);
        HttpResponseMessage bare = await http.PostAsync(new Uri(path, UriKind.Relative), null, Stop);
        Assert.Equal(HttpStatusCode.BadRequest, bare.StatusCode);
        Assert.Contains("Noted.", await SendAsync(page), StringComparison.Ordinal);
        Alarm alarm = (await site.OpenAsync(AlarmKind.Feed))!;
        Assert.Equal(("link sent to Mira", "on my way"), (alarm.AcknowledgedBy, alarm.Note));
        // The page has the button no more, and what was sent before it was gone is refused.
        string after = await http.GetStringAsync(new Uri(path, UriKind.Relative), Stop);
        Assert.Contains("This link was used", after, StringComparison.Ordinal);
        Assert.DoesNotContain("Noted.", await SendAsync(page), StringComparison.Ordinal);
        Assert.Equal(
            1,
            (await new AuditTrail(site.Store).ListAsync(50, Stop)).Count(l =>
                l.What.StartsWith("acknowledged", StringComparison.Ordinal)
            )
        );
        // Another token, a changed one, and this one after two weeks open nothing.
        char last = path[^1];
        Assert.Equal(HttpStatusCode.NotFound, await StatusAsync(path[..^2] + (last is 'A' ? "BB" : "AA")));
        Assert.Equal(HttpStatusCode.NotFound, await StatusAsync($"{AlarmLinks.Path}/token"));
        Assert.Equal(HttpStatusCode.OK, await StatusAsync(path));
        site.Clock.Advance(TimeSpan.FromDays(15));
        Assert.Equal(HttpStatusCode.NotFound, await StatusAsync(path));
        for (int i = 0; i < 12; i++)
        {
            await StatusAsync($"{AlarmLinks.Path}/token");
        }

        Assert.Equal(HttpStatusCode.TooManyRequests, await StatusAsync($"{AlarmLinks.Path}/token"));

        async Task<HttpStatusCode> StatusAsync(string at) =>
            (await http.GetAsync(new Uri(at, UriKind.Relative), Stop)).StatusCode;

        async Task<string> SendAsync(string form)
        {
            using var content = new FormUrlEncodedContent([
                new("__RequestVerificationToken", Token().Match(form).Groups["token"].Value),
                new("_handler", "acknowledge"),
                new("Note", "on my way"),
            ]);
            HttpResponseMessage answer = await http.PostAsync(new Uri(path, UriKind.Relative), content, Stop);
            return await answer.Content.ReadAsStringAsync(Stop);
        }
    }

    [GeneratedRegex(@"https://rinse\.example\.org/alarms/link/\S+", RegexOptions.None, 1000)]
    private static partial Regex Link();

    [GeneratedRegex(
        "name=\"__RequestVerificationToken\" value=\"(?<token>[^\"]+)\"",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Token();
}
