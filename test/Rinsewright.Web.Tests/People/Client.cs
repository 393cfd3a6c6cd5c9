using System.Net;
using System.Text.RegularExpressions;

namespace Rinsewright.Web.Tests.People;

/// <summary>A browser without a screen: keeps cookies, reads forms, sends them.</summary>
internal sealed partial class Client : IDisposable
{
    private readonly HttpClientHandler _handler = new() { AllowAutoRedirect = false };
    private readonly HttpClient _http;

    public Client(Site site) =>
        _http = new HttpClient(_handler) { BaseAddress = site.Address, Timeout = Timeout.InfiniteTimeSpan };

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public Task<HttpResponseMessage> GetAsync(string path) => _http.GetAsync(path, Stop);

    public void Dispose() => _http.Dispose();

    /// <summary>Opens a page and sends its form of a name, with the token that the page gave.</summary>
    public Task<HttpResponseMessage> SendAsync(
        string page,
        string form,
        params (string Name, string Value)[] fields
    ) => PostAsync(page, page, [("_handler", form), .. fields]);

    public Task<HttpResponseMessage> SendOutAsync(bool everywhere) =>
        PostAsync("/account", "/sign-out", everywhere ? [("everywhere", "true")] : []);

    private async Task<HttpResponseMessage> PostAsync(
        string page,
        string action,
        params (string Name, string Value)[] fields
    )
    {
        string text = await (await GetAsync(page)).Content.ReadAsStringAsync(Stop);
        Match token = Token().Match(text);
        Assert.True(token.Success, $"{page} has no form: {text}");
        return await _http.PostAsync(
            action,
            new FormUrlEncodedContent([
                new("__RequestVerificationToken", token.Groups["token"].Value),
                .. fields.Select(f => new KeyValuePair<string, string>(f.Name, f.Value)),
            ]),
            Stop
        );
    }

    /// <summary>Takes an invitation up with a password; where the host then leads.</summary>
    public Task<HttpResponseMessage> JoinAsync(string key, string password) =>
        SendAsync($"/join/{key}", "password", ("Password", password));

    public Task<HttpResponseMessage> SignInAsync(string name, string password) =>
        SendAsync("/sign-in", "password", ("Name", name), ("Password", password));

    /// <summary>Whether it sees the first page, and is not led to where one signs in.</summary>
    public async Task<bool> IsInAsync() => (await GetAsync("/logbook")).StatusCode is HttpStatusCode.OK;

    [GeneratedRegex(
        "name=\"__RequestVerificationToken\" value=\"(?<token>[^\"]+)\"",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Token();
}
