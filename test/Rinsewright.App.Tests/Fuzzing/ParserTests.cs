using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Rinsewright.App.Tests.Records;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.App.Tests.Fuzzing;

/// <summary>
/// Whatever is written, every parser answers: with what it read, all of it finite, or with problems that say what would be right. Never with
/// an exception.
/// </summary>
public sealed class ParserTests
{
    private const int InEachRun = 3000;

    /// <summary>Of so many waters that can be read, one is completed too, which costs a thousand times as much.</summary>
    private const int CompletedOneIn = 200;

    private static readonly JsonDocumentOptions Json = new()
    {
        CommentHandling = JsonCommentHandling.Skip,
        AllowTrailingCommas = true,
    };

    [Fact]
    public void Quantities() =>
        Give(
            "quantities",
            ["data/fuzz/quantities"],
            text =>
            {
                Stated<Volume>(text);
                Stated<VolumeFlow>(text);
                Stated<Temperature>(text);
                Stated<Pressure>(text);
                Stated<Length>(text);
                Stated<Mass>(text);
                Stated<Speed>(text);
                Stated<MassConcentration>(text);
                Stated<ExchangeCapacity>(text);
                Stated<Conductivity>(text);
                bool isRead = QuantityText.TryParseConcentration(
                    "x",
                    text,
                    Analyte.Calcium,
                    out Stated<MolarConcentration> calcium,
                    out InputProblem? problem
                );
                Check(isRead, problem, calcium.Low.MolesPerCubicMeter, calcium.High.MolesPerCubicMeter);
                isRead = QuantityText.TryParseNumber("x", text, 0, 14, out Stated<double> pH, out problem);
                Check(isRead, problem, pH.Low, pH.High);
            }
        );

    [Fact]
    public void Waters()
    {
        int read = 0;
        Give(
            "waters",
            ["examples/waters"],
            text =>
            {
                if (
                    WaterFile.TryRead(
                        text,
                        out WaterAnalysis? analysis,
                        out IReadOnlyList<InputProblem> problems,
                        out _
                    )
                )
                {
                    if (read++ % CompletedOneIn == 0)
                    {
                        SourceWater? source = SourceWater.Complete(
                            analysis,
                            new WaterMode(),
                            members: 4,
                            seed: 1,
                            out problems
                        );
                        Check(source is not null, problems);
                    }
                }
                else
                {
                    Check(isRead: false, problems);
                }
            }
        );
    }

    [Fact]
    public void Rigs() =>
        Give(
            "rigs",
            ["examples/rigs"],
            OfJson(root => (RigFile.TryRead(root, out _, out IReadOnlyList<InputProblem> p), p))
        );

    [Fact]
    public void Habits() =>
        Give(
            "habits",
            ["examples/habits"],
            OfJson(root => (Treatment.Habit.TryRead(root, out _, out IReadOnlyList<InputProblem> p), p))
        );

    [Fact]
    public void Prices_of_things() =>
        Give(
            "prices",
            ["examples/prices"],
            OfJson(root => (Prices.TryRead(root, out _, out IReadOnlyList<InputProblem> p), p))
        );

    [Fact]
    public async Task Deliveries_of_devices()
    {
        await using TestRecord record = await RecordAsync();
        var device = new Device
        {
            Id = Guid.CreateVersion7(TestRecord.Start),
            Name = "Probe",
            KeyName = "",
            KeyDigest = [],
            Pause_s = 60,
            Interval_s = 900,
            AddedAt = TestRecord.Start,
        };
        Dictionary<Guid, DeviceScope> scopes = [];
        await using (LogbookContext context = record.Store.Read())
        {
            await DeviceScope.LoadAsync(context, [device], scopes, TestContext.Current.CancellationToken);
        }

        Give(
            "deliveries",
            ["data/fuzz/deliveries"],
            text =>
            {
                byte[] bytes = Encoding.UTF8.GetBytes(text);
                Delivery? row = DeliveryText.OfRow(
                    bytes,
                    DeliveryWay.Http,
                    out IReadOnlyList<InputProblem> problems
                );
                Check(row is not null, problems);
                Delivery? rows = DeliveryText.OfRows(bytes, DeliveryWay.Mqtt, out problems);
                Check(rows is not null, problems);
                using var file = new MemoryStream(bytes);
                Delivery? table = DeliveryText.OfCsv(file, clock: null, out problems);
                Check(table is not null, problems);
                Delivery message = DeliveryText.OfMessage(bytes, out _);
                foreach (Delivery delivery in new[] { row, rows, table, message }.OfType<Delivery>())
                {
                    var clock = DeviceClock.Of(delivery.Clock, delivery.Way, TestRecord.Start);
                    foreach (RowText each in delivery.Rows)
                    {
                        var wrong = new ProblemList();
                        RowMeaning? meaning = RowMeaning.Of(each, device, scopes[device.Id], clock, wrong);
                        Check(meaning is not null, wrong.Problems);
                        Assert.True(meaning is null || double.IsFinite(meaning.Value));
                    }
                }
            }
        );
    }

    [Fact]
    public async Task Tables_of_readings()
    {
        await using TestRecord record = await RecordAsync();
        RecordNames names;
        await using (LogbookContext context = record.Store.Read())
        {
            names = await RecordNames.LoadAsync(context, TestContext.Current.CancellationToken);
        }

        Give(
            "readings",
            ["data/fuzz/readings"],
            text =>
            {
                using var file = new MemoryStream(Encoding.UTF8.GetBytes(text));
                var problems = new ProblemList();
                using var csv = new ReadingCsv(
                    file,
                    new ReadingCsvOptions(),
                    names,
                    record.Store.Ids,
                    problems
                );
                List<Reading> readings = [];
                while (problems.Problems.Count == 0 && csv.Read(readings, problems))
                {
                    Assert.All(readings, r => Assert.True(double.IsFinite(r.Value_SI)));
                }

                Check(problems.Problems.Count == 0, problems.Problems);
            }
        );
    }

    private static Action<string> OfJson(
        Func<JsonElement, (bool IsRead, IReadOnlyList<InputProblem> Problems)> parser
    ) =>
        text =>
        {
            JsonDocument document;
            try
            {
                document = JsonDocument.Parse(text, Json);
            }
            catch (JsonException)
            {
                // Says itself where the JSON breaks off.
                return;
            }

            using (document)
            {
                (bool isRead, IReadOnlyList<InputProblem> problems) = parser(document.RootElement);
                Check(isRead, problems);
            }
        };

    private static void Stated<T>(string text)
        where T : struct, IQuantity<T>
    {
        bool isRead = QuantityText.TryParse("x", text, out Stated<T> stated, out InputProblem? problem);
        Check(isRead, problem, stated.Low.SI, stated.High.SI);
        Assert.True(!isRead || stated.Low.CompareTo(stated.High) <= 0, "the low end is above the high one");
    }

    private static void Check(bool isRead, InputProblem? problem, params ReadOnlySpan<double> values)
    {
        if (!isRead)
        {
            Check(isRead: false, [problem!]);
            return;
        }

        foreach (double value in values)
        {
            Assert.True(double.IsFinite(value), $"{value}");
        }
    }

    private static void Check(bool isRead, IReadOnlyList<InputProblem> problems)
    {
        Assert.True(isRead || problems.Count > 0, "refused without a reason");
        foreach (InputProblem problem in problems)
        {
            Assert.False(
                string.IsNullOrWhiteSpace(problem.Expected.ToString()),
                $"what would be right? {problem}"
            );
            Assert.False(string.IsNullOrWhiteSpace(problem.Place), $"where? {problem}");
        }
    }

    private static void Give(string parser, string[] folders, Action<string> parse)
    {
        IReadOnlyList<string> corpus =
        [
            .. folders
                .Append($"data/fuzz/{parser}")
                .Distinct(StringComparer.Ordinal)
                .Select(Repository.PathOf)
                .Where(Directory.Exists)
                .SelectMany(Wounding.Corpus),
        ];
        var texts = new Wounding(corpus, Repeatable.SeedOf(parser));
        int count = Wounding.CountOr(InEachRun);
        for (int i = 0; i < count + corpus.Count; i++)
        {
            string text = i < corpus.Count ? corpus[i] : texts.Next();
            try
            {
                parse(text);
            }
            catch (Exception problem)
            {
                string kept = Path.Combine(
                    Directory.CreateDirectory(Repository.PathOf("artifacts/fuzz")).FullName,
                    $"{parser}-{Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(text)))[..12]}.txt"
                );
                File.WriteAllText(kept, text);
                Assert.Fail($"{kept} ({i}): {problem}");
            }
        }
    }

    private static async Task<TestRecord> RecordAsync()
    {
        TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        await record.WriteAsync(new Entries(record.Store.Ids).Basis);
        return record;
    }
}
