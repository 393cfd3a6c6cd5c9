using System.Net;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Time.Testing;
using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Demo;
using Rinsewright.Records.Fleet;
using Rinsewright.Web.Hosting;

namespace Rinsewright.App.Tests.Serving;

/// <summary>
/// Pages over a database that answers later than a file does, so that a page that is drawn before its record is there fails.
/// </summary>
public sealed partial class PostgresPageTests
{
    private const int Most = 80;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Every_page_that_a_link_leads_to_answers()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Postgres);
        var last = new DateOnly(2025, 9, 1);
        Assert.Empty(await TwoVans.FillAsync(record.Address, 1, last, days: 240, cancel: Stop));
        using var log = new StringWriter();
        var clock = new FakeTimeProvider(new DateTimeOffset(last, new TimeOnly(9, 0), TimeSpan.Zero));
        await using WebApplication app = await WebHost.StartAsync(
            new ServeOptions
            {
                Address = record.Address,
                Clock = clock,
                Port = 0,
                Log = log,
            },
            Stop
        );
        await new FleetBoard(record.Store).FollowAsync(Stop);
        using var http = new HttpClient
        {
            BaseAddress = WebHost.AddressOf(app),
            Timeout = Timeout.InfiniteTimeSpan,
        };
        Queue<string> waiting = new(["/", "/fleet", "/fleet/week", "/alarms"]);
        HashSet<string> seen = [.. waiting];
        Dictionary<string, HttpStatusCode> refused = [];
        while (waiting.TryDequeue(out string? path) && seen.Count - waiting.Count <= Most)
        {
            using HttpResponseMessage answer = await http.GetAsync(path, Stop);
            if (!answer.IsSuccessStatusCode)
            {
                refused[path] = answer.StatusCode;
            }
            else if (answer.Content.Headers.ContentType?.MediaType is "text/html")
            {
                string page = await answer.Content.ReadAsStringAsync(Stop);
                foreach (Match link in Links().Matches(page))
                {
                    string to = WebUtility.HtmlDecode(link.Groups["to"].Value);
                    if (seen.Add(to))
                    {
                        waiting.Enqueue(to);
                    }
                }
            }
        }

        Assert.True(refused.Count == 0, $"{string.Join(", ", refused)}\n{log}");
        Assert.Empty(log.ToString());
        Assert.All(
            ["/logbook", "/water", "/choose", "/dry-down", "/money", "/share", "/fleet"],
            page => Assert.Contains(page, seen)
        );
    }

    [GeneratedRegex(
        "<a [^>]*href=\"(?<to>/[^\"#]*)",
        RegexOptions.ExplicitCapture,
        matchTimeoutMilliseconds: 5000
    )]
    private static partial Regex Links();
}
