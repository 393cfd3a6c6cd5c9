using System.Net;
using System.Reflection;
using System.Text.RegularExpressions;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Drying;
using Rinsewright.Handouts.Lives;
using Rinsewright.Records.Storage;
using HousingCatalog = Rinsewright.Treatment.HousingCatalog;

namespace Rinsewright.Web.Tests;

/// <summary>Under the pages stands another language, made up: no English is left on them but what people wrote.</summary>
public sealed partial class LanguageTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private const int MostTold = 300;
    private const string NotThere = "/nothing/here";
    private const string Wrong = "xyzzy";

    /// <summary>Words that are the same in every language, each with why.</summary>
    private static readonly string[] Same =
    [
        // Units and quantities, as people write them.
        .. "ppm kg mg µg L mL US imp m² mm µm µS cm min gal gpm psi bar kPa °C °F °dH °fH ft in mph m s d h W g degF meq mmol gr pH".Split(
            ' '
        ),
        // "as CaCO3" belongs to the way that concentrations are written in files and forms.
        .. "as CaCO3 Ca CaO SiO2 N".Split(' '),
        // Names: of the program, of formats of files and paper, of a time zone and a currency.
        .. "Rinsewright PDF A4 Letter CSV UTC EUR".Split(' '),
        // Formulas.
        .. Drying.ResidueSolid.All.SelectMany(s => Words(s.Formula)),
    ];

    /// <summary>Whole texts that are the same in every language: what is typed as it stands.</summary>
    private static readonly string[] Typed =
    [
        "10 ppm, 1 mg/L silica", // a line at which a bed is changed, as it is entered
        "rinsewright people add NAME --role owner --organisation \"NAME OF THE FIRM\"", // a command
        NotThere, // the address that was asked for
        Wrong, // what is refused
        // The words that may be typed instead of it.
        .. HousingCatalog.All.Select(h => h.Id),
        string.Join(", ", WaterOrigin.All.Select(o => o.Word)),
        string.Join(", ", PanelCatalog.Paints.Select(p => p.Key)),
        string.Join(", ", Enum.GetNames<SunExposure>()),
    ];

    /// <summary>Questions that are refused, each with the word <see cref="Wrong"/> where something is wrong.</summary>
    private static readonly string[] Refused =
    [
        $"/water?reading=245+ppm&hardness=9,5+{Wrong}",
        $"/start?reading={Wrong}&size={Wrong}&weekly={Wrong}",
        "/start?reading=150&flow=900",
        $"/your-water?reading=150+{Wrong}&washes={Wrong}&perWash=0&resin={Wrong}&origin={Wrong}",
        $"/choose?reading=245+ppm&washes={Wrong}&height=1+{Wrong}",
        $"/dry-down?air=90+%C2%B0C&humidity={Wrong}&sun={Wrong}&paint={Wrong}",
    ];

    /// <summary>Every page with the demonstration, as it is and as it refuses.</summary>
    private static readonly string[] Paths =
    [
        .. PageTests.Paths,
        "/water?reading=245+ppm&hardness=9+%C2%B0dH",
        "/start",
        "/start?reading=150&size=housing-4.5x20",
        "/start?reading=150&size=housing-4.5x20&hardness=7+%C2%B0dH&flow=8+L%2Fmin&weekly=150+L",
        "/your-water",
        "/your-water?reading=150+ppm&washes=3&resin=9.50&visit=8.00&waterprice=2.10",
        "/choose?reading=245+ppm&washes=3&height=100+mm",
        "/dry-down?air=28+%C2%B0C&sun=full&paint=black",
        "/fleet?reason=silent",
        "/people",
        "/sign-in",
        "/not-there",
        NotThere,
        .. Refused,
    ];

    [Fact]
    public async Task On_no_page_is_a_word_that_does_not_come_through_the_file_of_texts()
    {
        await using Site site = await Site.DemoAsync(new MarkedTexts());
        // The longest first, and never a part of a word.
        var written = new Regex(
            $@"(?<![\p{{L}}\d])(?:{string.Join('|', (await WrittenAsync(site)).Concat(Typed).Append(site.Address.ToString()).OrderByDescending(w => w.Length).Select(Regex.Escape))})(?![\p{{L}}\d])",
            RegexOptions.ExplicitCapture,
            TimeSpan.FromMinutes(1)
        );
        HashSet<string> same = new(Same, StringComparer.Ordinal);
        List<string> unmarked = [];
        foreach (string path in await PathsAsync(site))
        {
            using HttpResponseMessage response = await site.Http.GetAsync(path, Stop);
            string page = await response.Content.ReadAsStringAsync(Stop);
            Assert.Contains('«', WebUtility.HtmlDecode(page));
            Assert.Equal(
                Refused.Contains(path),
                page.Contains("<div class=\"problem\"", StringComparison.Ordinal)
            );
            unmarked.AddRange(
                Said(page)
                    .Where(said => Words(written.Replace(said, " ")).Any(w => !same.Contains(w)))
                    .Select(said => $"{path}: {said}")
            );
        }

        Assert.Empty(site.Complaints);
        Assert.True(
            unmarked.Count == 0,
            string.Join('\n', unmarked.Distinct(StringComparer.Ordinal).Take(MostTold))
        );
    }

    /// <summary>The pages, and those of single rigs and stages.</summary>
    private static async Task<IEnumerable<string>> PathsAsync(Site site)
    {
        await using LogbookContext context = site.Store.Read();
        var rigs = await context.Live<Records.Logbook.Rig>().Select(r => r.Id).ToListAsync(Stop);
        var stage = await context.Live<Records.Logbook.Stage>().Select(s => s.Id).FirstAsync(Stop);
        return
        [
            .. Paths,
            .. rigs.Select(r => $"/logbook?rig={r}&days=3650"),
            .. rigs.Skip(1).Take(1).Select(r => $"/rig?rig={r}"),
            $"/log/{stage}",
        ];
    }

    /// <summary>Every text that stands in the record: people's words, and those of the demonstration's story in their place.</summary>
    private static async Task<IEnumerable<string>> WrittenAsync(Site site)
    {
        await using LogbookContext context = site.Store.Read();
        HashSet<string> texts = new(StringComparer.Ordinal);
        foreach (
            var kind in context
                .Model.GetEntityTypes()
                .Where(e => !e.IsOwned() && e.ClrType.Assembly == typeof(LogbookContext).Assembly)
        )
        {
            PropertyInfo[] properties =
            [
                .. kind.GetProperties()
                    .Where(p => p.ClrType == typeof(string) && p.PropertyInfo is not null)
                    .Select(p => p.PropertyInfo!),
            ];
            if (properties.Length == 0)
            {
                continue;
            }

            var all =
                (IQueryable<object>)
                    typeof(DbContext)
                        .GetMethod(nameof(DbContext.Set), 1, [])!
                        .MakeGenericMethod(kind.ClrType)
                        .Invoke(context, null)!;
            await foreach (object row in all.AsNoTracking().AsAsyncEnumerable().WithCancellation(Stop))
            {
                foreach (PropertyInfo property in properties)
                {
                    texts.Add(((string?)property.GetValue(row) ?? "").Trim());
                }
            }
        }

        return texts.Where(t => t.Length > 1 && t.Any(char.IsLetter));
    }

    /// <summary>What a page says: its texts, and those of its attributes that are read to people.</summary>
    private static IEnumerable<string> Said(string page)
    {
        string body = Silent().Replace(page, " ");
        return Spoken()
            .Matches(body)
            .Select(m => m.Groups["text"].Value)
            .Concat(Tag().Replace(body, "\n").Split('\n'))
            .Select(t => WebUtility.HtmlDecode(t).Trim())
            .Where(t => t.Length > 0)
            .Select(t => Marked().Replace(t, " "));
    }

    private static IEnumerable<string> Words(string text) => Word().Matches(text).Select(m => m.Value);

    [GeneratedRegex(
        "<(?<tag>script|style)[^>]*>.*?</\\k<tag>>|<!--.*?-->",
        RegexOptions.Singleline | RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Silent();

    [GeneratedRegex("<[^>]*>", RegexOptions.Singleline, 10_000)]
    private static partial Regex Tag();

    [GeneratedRegex(
        "(?:alt|title|aria-label|placeholder|data-written|data-waits|data-refused|data-offline|data-one|data-many|data-fault)=\"(?<text>[^\"]*)\"",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Spoken();

    [GeneratedRegex("«[^«»]*»", RegexOptions.None, 10_000)]
    private static partial Regex Marked();

    /// <summary>A word; what follows a digit at once, as in 4.5x10, is part of the number.</summary>
    [GeneratedRegex(@"(?<![\d])[\p{L}°][\p{L}\d²]*", RegexOptions.None, 10_000)]
    private static partial Regex Word();
}
