using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;

namespace Rinsewright.Web.Tests;

/// <summary>The browser that is installed, started once for all tests.</summary>
public sealed class Browser : IAsyncLifetime
{
    private static readonly string[] Candidates =
    [
        "/usr/bin/chromium",
        "/usr/bin/chromium-browser",
        "/usr/bin/google-chrome",
    ];
    private const int Patience_ms = 240_000;
    private IPlaywright? _playwright;
    private IBrowser? _browser;

    /// <summary>A phone in the hand, and a laptop.</summary>
    public static TheoryData<string> Devices => ["phone", "desktop"];

    public static string? Executable { get; } = Candidates.FirstOrDefault(File.Exists);

    /// <summary>Whether pictures of the pages are asked for.</summary>
    public static bool KeepsPictures { get; } =
        Environment.GetEnvironmentVariable("RINSEWRIGHT_PICTURES") is "1";

    /// <summary>Where the pictures of the pages go.</summary>
    public static string Screenshots { get; } = Repository.PathOf("artifacts/screenshots");

    public async ValueTask InitializeAsync()
    {
        if (Executable is null)
        {
            return;
        }

        // What counts is that a page gets there: how fast is measured, not tested.
        Assertions.SetDefaultExpectTimeout(Patience_ms);
        Directory.CreateDirectory(Screenshots);
        _playwright = await Playwright.CreateAsync();
        _browser = await _playwright.Chromium.LaunchAsync(
            new BrowserTypeLaunchOptions
            {
                ExecutablePath = Executable,
                Headless = true,
                Args =
                [
                    "--no-sandbox",
                    "--disable-gpu",
                    "--disable-quic",
                    "--no-first-run",
                    "--disable-background-networking",
                    "--disable-component-update",
                    "--disable-sync",
                ],
            }
        );
    }

    public async ValueTask DisposeAsync()
    {
        if (_browser is not null)
        {
            await _browser.DisposeAsync();
        }

        _playwright?.Dispose();
    }

    /// <summary>A fresh visitor of a site, without cookies.</summary>
    internal async Task<Visit> VisitAsync(Site site, string device = "phone", bool scripts = true)
    {
        Assert.SkipWhen(Executable is null, "no browser is installed");
        bool phone = device is "phone";
        IBrowserContext context = await _browser!.NewContextAsync(
            new BrowserNewContextOptions
            {
                BaseURL = site.Address.ToString(),
                ViewportSize = phone
                    ? new ViewportSize { Width = 390, Height = 844 }
                    : new ViewportSize { Width = 1280, Height = 800 },
                DeviceScaleFactor = 1,
                HasTouch = phone,
                IsMobile = phone,
                JavaScriptEnabled = scripts,
                TimezoneId = "Europe/Vienna",
            }
        );
        context.SetDefaultTimeout(Patience_ms);
        context.SetDefaultNavigationTimeout(Patience_ms);
        return new Visit(context, await context.NewPageAsync(), site.Address, device);
    }
}

/// <summary>One visitor: the page, and what must not happen on it.</summary>
internal sealed class Visit : IAsyncDisposable
{
    private readonly IBrowserContext _context;
    private readonly string _device;
    private readonly List<string> _complaints = [];

    public Visit(IBrowserContext context, IPage page, Uri address, string device)
    {
        _context = context;
        _device = device;
        Page = page;
        page.Console += (_, message) =>
        {
            if (message.Type is "error" or "warning" && !IsOffline)
            {
                _complaints.Add($"console: {message.Text}");
            }
        };
        page.PageError += (_, error) => _complaints.Add($"script: {error}");
        context.Request += (_, request) =>
        {
            var asked = new Uri(request.Url);
            if (
                asked.Scheme is not ("data" or "blob")
                && !string.Equals(asked.Authority, address.Authority, StringComparison.Ordinal)
            )
            {
                _complaints.Add($"left the host: {request.Url}");
            }
        };
    }

    public IPage Page { get; private set; }

    /// <summary>Closes the page and opens another in the same browser.</summary>
    public async Task ReopenAsync()
    {
        await Page.CloseAsync();
        Page = await _context.NewPageAsync();
    }

    /// <summary>Scrolls through the page, so that pictures below the fold load, and waits for them.</summary>
    public Task ShowPicturesAsync() =>
        Page.EvaluateAsync(
            """
            async () => {
              for (const img of document.images) {
                img.loading = "eager";
                if (!img.complete) await new Promise(r => { img.onload = img.onerror = r; });
                if (img.naturalWidth === 0) throw new Error("a picture did not load: " + img.src);
              }
            }
            """
        );

    public bool IsOffline { get; private set; }

    public async Task SetOfflineAsync(bool offline)
    {
        IsOffline = offline;
        await _context.SetOfflineAsync(offline);
    }

    /// <summary>Opens a page and requires that it is well: no complaint, nothing wider than the screen.</summary>
    public async Task OpenAsync(string path)
    {
        IResponse? response = await Page.GotoAsync(path);
        Assert.True(response!.Ok, $"{path}: {response.Status}");
    }

    /// <summary>Takes a picture of the whole page for people to look at, if they asked for it.</summary>
    public Task KeepPictureAsync(string name) =>
        Browser.KeepsPictures
            ? Page.ScreenshotAsync(
                new PageScreenshotOptions
                {
                    Path = Path.Combine(Browser.Screenshots, $"{name}-{_device}.png"),
                    FullPage = true,
                }
            )
            : Task.CompletedTask;

    /// <summary>Takes out what the browser itself says of an answer that was meant to be a refusal.</summary>
    public void ExpectComplaint(string text) =>
        Assert.NotEqual(0, _complaints.RemoveAll(c => c.Contains(text, StringComparison.Ordinal)));

    /// <summary>No complaint so far, nothing that only some people can use, nothing wider than the screen.</summary>
    public async Task ExpectWellAsync()
    {
        AxeResult axe = await Page.RunAxe();
        string[] findings =
        [
            .. axe
                .Violations.Where(v => v.Impact is "serious" or "critical")
                .Select(v => $"{v.Id}: {v.Help}: {string.Join("; ", v.Nodes.Select(n => n.Html).Take(3))}"),
        ];
        Assert.Empty(findings);
        int over = await Page.EvaluateAsync<int>("document.documentElement.scrollWidth - window.innerWidth");
        Assert.True(over <= 0, $"{Page.Url} is {over} px wider than the screen");
        Assert.Empty(_complaints);
    }

    public ValueTask DisposeAsync() => new(_context.CloseAsync());
}
