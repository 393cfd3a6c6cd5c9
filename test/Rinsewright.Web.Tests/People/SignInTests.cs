using System.Net;
using System.Text;
using Rinsewright.Records.Access;

namespace Rinsewright.Web.Tests.People;

/// <summary>Invitations, passwords, sessions: who gets in, and who does not any more.</summary>
public sealed class SignInTests
{
    private const string Password = "three wet sponges";
    private const string Other = "four dry towels";
    private static readonly string Ana = $"Ana {TwoFirms.Mark}";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task An_invitation_opens_once_and_not_after_three_days()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using var first = new Client(firms.Site);
        HttpResponseMessage weak = await first.JoinAsync(firms.Invitation, "short");
        Assert.Equal(HttpStatusCode.OK, weak.StatusCode);
        Assert.Contains(
            "12 to 128 characters",
            await weak.Content.ReadAsStringAsync(Stop),
            StringComparison.Ordinal
        );
        Assert.False(await first.IsInAsync());
        HttpResponseMessage joined = await first.JoinAsync(firms.Invitation, Password);
        Assert.Equal(new Uri(firms.Site.Address, "/"), joined.Headers.Location);
        Assert.True(await first.IsInAsync());
        using var second = new Client(firms.Site);
        Assert.Equal(
            HttpStatusCode.NotFound,
            (await second.GetAsync($"/join/{firms.Invitation}")).StatusCode
        );
        Invitation late = await new PeopleRegister(firms.Site.Store).InviteAsync(
            "Cem",
            Right.Log,
            $"First {TwoFirms.Mark}",
            new Actor("keeper"),
            Stop
        );
        firms.Site.Clock.AdjustTime(firms.Site.Clock.GetUtcNow() + PeopleRegister.InvitationIsOpen);
        Assert.Equal(HttpStatusCode.NotFound, (await second.GetAsync($"/join/{late.Key}")).StatusCode);
    }

    [Fact]
    public async Task A_password_signs_in_whoever_has_it_and_says_the_same_to_whoever_has_not()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using var joining = new Client(firms.Site);
        await joining.JoinAsync(firms.Invitation, Password);
        using var client = new Client(firms.Site);
        string wrong = await TextAsync(await client.SignInAsync(Ana, Other));
        string unknown = await TextAsync(await client.SignInAsync("Nobody", Other));
        Assert.Equal(Said(wrong), Said(unknown));
        Assert.False(await client.IsInAsync());
        HttpResponseMessage right = await client.SignInAsync(Ana.ToUpperInvariant(), Password);
        Assert.Equal(HttpStatusCode.Redirect, right.StatusCode);
        Assert.True(await client.IsInAsync());
        string cookie = right
            .Headers.GetValues("Set-Cookie")
            .Single(c => c.StartsWith("rinsewright-in=", StringComparison.Ordinal));
        Assert.Contains("httponly", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("samesite=lax", cookie, StringComparison.OrdinalIgnoreCase);
        IReadOnlyList<AuditLine> lines = await new AuditTrail(firms.Site.Store).ListAsync(50, Stop);
        Assert.Contains(
            lines,
            l =>
                l.Who.Equals(Ana, StringComparison.Ordinal)
                && l.What is "gave a wrong password"
                && l.Address.Length > 0
        );
        Assert.Contains(lines, l => l is { Who: "Nobody", What: "tried to sign in", OrganisationId: null });
        Assert.Contains(lines, l => l.Who.Equals(Ana, StringComparison.Ordinal) && l.What is "signed in");

        static string Said(string page) =>
            page[page.IndexOf("role=\"alert\"", StringComparison.Ordinal)..][..120];
    }

    [Fact]
    public async Task Wrong_tries_make_an_address_wait_and_lock_the_account()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using var joining = new Client(firms.Site);
        await joining.JoinAsync(firms.Invitation, Password);
        using var client = new Client(firms.Site);
        for (int i = 0; i < 5; i++)
        {
            Assert.Equal(HttpStatusCode.OK, (await client.SignInAsync(Ana, Other)).StatusCode);
        }

        Assert.Equal(HttpStatusCode.TooManyRequests, (await client.SignInAsync(Ana, Password)).StatusCode);
        firms.Site.Clock.Advance(TimeSpan.FromMinutes(2));
        for (int i = 0; i < 5; i++)
        {
            await client.SignInAsync(Ana, Other);
        }

        // From elsewhere too: what is locked is the account.
        firms.Site.Clock.Advance(TimeSpan.FromMinutes(2));
        Assert.Equal(HttpStatusCode.OK, (await client.SignInAsync(Ana, Password)).StatusCode);
        Assert.False(await client.IsInAsync());
        Assert.Contains(
            await new AuditTrail(firms.Site.Store).ListAsync(50, Stop),
            l => l.Who.Equals(Ana, StringComparison.Ordinal) && l.What is "is locked out after wrong tries"
        );
        // Who is in stays in: a stranger's wrong tries throw nobody out.
        Assert.True(await joining.IsInAsync());
    }

    [Fact]
    public async Task A_new_password_another_role_and_removal_end_sessions_at_once()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        var people = new PeopleRegister(firms.Site.Store);
        using var phone = new Client(firms.Site);
        await phone.JoinAsync(firms.Invitation, Password);
        using var laptop = new Client(firms.Site);
        await laptop.SignInAsync(Ana, Password);
        Assert.True(await laptop.IsInAsync());
        HttpResponseMessage refused = await phone.SendAsync(
            "/account",
            "password",
            ("Current", Other),
            ("Next", Other)
        );
        Assert.Contains("your present password", await TextAsync(refused), StringComparison.Ordinal);
        await phone.SendAsync("/account", "password", ("Current", Password), ("Next", Other));
        Assert.True(await phone.IsInAsync());
        Assert.False(await laptop.IsInAsync());
        Assert.Equal(HttpStatusCode.OK, (await laptop.SignInAsync(Ana, Password)).StatusCode);
        await laptop.SignInAsync(Ana, Other);
        Assert.True(await laptop.IsInAsync());

        // The last owner stays one; with another there, roles change and take effect at once.
        Assert.NotEmpty(await people.SetRightAsync(Ana, Right.Read, new Actor("keeper"), Stop));
        Assert.NotEmpty(await people.RemoveAsync(Ana, new Actor("keeper"), Stop));
        Invitation second = await people.InviteAsync(
            "Dee",
            Right.Manage,
            $"First {TwoFirms.Mark}",
            new Actor("keeper"),
            Stop
        );
        Assert.Empty(second.Problems);
        Assert.Empty(await people.SetRightAsync(Ana, Right.Read, new Actor("keeper"), Stop));
        Assert.False(await laptop.IsInAsync());
        await laptop.SignInAsync(Ana, Other);
        Assert.Equal(HttpStatusCode.Forbidden, (await laptop.GetAsync("/people")).StatusCode);
        Assert.Empty(await people.RemoveAsync(Ana, new Actor("keeper"), Stop));
        Assert.False(await laptop.IsInAsync());
        Assert.Equal(HttpStatusCode.OK, (await laptop.SignInAsync(Ana, Other)).StatusCode);
        Assert.False(await laptop.IsInAsync());
    }

    [Fact]
    public async Task Signing_out_ends_this_session_or_all_and_sessions_grow_old()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using var phone = new Client(firms.Site);
        await phone.JoinAsync(firms.Invitation, Password);
        using var laptop = new Client(firms.Site);
        await laptop.SignInAsync(Ana, Password);
        HttpResponseMessage here = await phone.SendOutAsync(everywhere: false);
        Assert.Equal("\"cache\"", here.Headers.GetValues("Clear-Site-Data").Single());
        Assert.False(await phone.IsInAsync());
        Assert.True(await laptop.IsInAsync());
        await phone.SignInAsync(Ana, Password);
        await phone.SendOutAsync(everywhere: true);
        Assert.False(await laptop.IsInAsync());
        await laptop.SignInAsync(Ana, Password);
        for (int day = 0; day < 30; day += 5)
        {
            Assert.True(await laptop.IsInAsync());
            firms.Site.Clock.AdjustTime(firms.Site.Clock.GetUtcNow() + TimeSpan.FromDays(5));
        }

        Assert.False(await laptop.IsInAsync());
        await laptop.SignInAsync(Ana, Password);
        firms.Site.Clock.AdjustTime(firms.Site.Clock.GetUtcNow() + TimeSpan.FromDays(8));
        Assert.False(await laptop.IsInAsync());
    }

    [Fact]
    public async Task Where_people_sign_in_the_passphrase_opens_nothing_any_more()
    {
        await using Site site = await Site.EmptyAsync("a-long-passphrase");
        site.Http.DefaultRequestHeaders.Authorization = new("Bearer", "a-long-passphrase");
        Assert.Equal(HttpStatusCode.OK, (await site.Http.GetAsync("/api/rigs", Stop)).StatusCode);
        await new PeopleRegister(site.Store).InviteAsync(
            "Ana",
            Right.Manage,
            "Firm",
            new Actor("keeper"),
            Stop
        );
        Assert.Equal(HttpStatusCode.Unauthorized, (await site.Http.GetAsync("/api/rigs", Stop)).StatusCode);
    }

    [Fact]
    public async Task No_secret_is_in_the_log_the_audit_trail_or_the_files_of_the_record()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        (_, string? told, _) = await new KeyRegister(firms.Site.Store).AddAsync(
            "Sheet",
            Right.Read,
            firms.First,
            new Actor("Ana"),
            Stop
        );
        using HttpClient program = firms.Stranger();
        program.DefaultRequestHeaders.Authorization = new("Bearer", told);
        await program.GetAsync("/api/rigs", Stop);
        using var client = new Client(firms.Site);
        await client.JoinAsync(firms.Invitation, "short");
        await client.JoinAsync(firms.Invitation, Password);
        await client.SignInAsync(Ana, Other);
        // A fault of the program is logged with where it was, not with what was sent.
        await client.GetAsync("/join/x");
        string log = firms.Site.Log.ToString();
        string trail = string.Join(
            '\n',
            (await new AuditTrail(firms.Site.Store).ListAsync(100, Stop)).Select(l => $"{l.Who} {l.What}")
        );
        byte[][] files =
        [
            .. Directory
                .EnumerateFiles(firms.Site.Store.Address.Folder!, "rinsewright.db*")
                .Select(ReadShared),
        ];
        Assert.Contains(files, f => f.AsSpan().IndexOf(Encoding.UTF8.GetBytes(TwoFirms.Mark)) >= 0);
        foreach (
            string secret in new[] { Password, Other, told!.Split('.')[2], firms.Invitation.Split('.')[2] }
        )
        {
            Assert.DoesNotContain(secret, log, StringComparison.Ordinal);
            Assert.DoesNotContain(secret, trail, StringComparison.Ordinal);
            Assert.All(files, f => Assert.True(f.AsSpan().IndexOf(Encoding.UTF8.GetBytes(secret)) < 0));
        }
    }

    private static byte[] ReadShared(string path)
    {
        using var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
        using var content = new MemoryStream();
        file.CopyTo(content);
        return content.ToArray();
    }

    private static Task<string> TextAsync(HttpResponseMessage answer) =>
        answer.Content.ReadAsStringAsync(Stop);
}
