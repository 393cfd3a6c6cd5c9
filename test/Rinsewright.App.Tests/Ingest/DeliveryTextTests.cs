using System.Text;
using Rinsewright.Quantities;
using Rinsewright.Records.Ingest;

namespace Rinsewright.App.Tests.Ingest;

/// <summary>The texts that a device may send, and what is said of others.</summary>
public sealed class DeliveryTextTests
{
    [Fact]
    public void A_row_brings_its_clock_and_may_be_written_loosely()
    {
        Delivery delivery = DeliveryText.OfRow(
            Bytes("""{"clock": "2026-03-01T08:00Z", "kind": "sample", /* of the outlet */ "value": 3,}"""),
            DeliveryWay.Http,
            out var problems
        )!;
        Assert.Empty(problems);
        Assert.Equal((DeliveryWay.Http, "2026-03-01T08:00Z"), (delivery.Way, delivery.Clock));
        RowText row = Assert.Single(delivery.Rows);
        Assert.Equal(("sample", "3", null), (row["kind"], row["value"], row["clock"]));
        Assert.Empty(row.Problems);
    }

    [Theory]
    [InlineData("""{"kind": "sample"}""", null)]
    [InlineData("""{"kind": "sample", "clock": 7}""", null)]
    [InlineData("""{"kind": "sample", "clock": null}""", null)]
    [InlineData("""{"kind": "sample", "clock": "late"}""", "late")]
    public void A_clock_is_a_text_or_none(string json, string? clock) =>
        Assert.Equal(clock, DeliveryText.OfRow(Bytes(json), DeliveryWay.Http, out _)!.Clock);

    [Theory]
    [InlineData("""{"rows": 7}""", "body: {\"rows\": 7}: an object as docs/formats/ingest.md has it")]
    [InlineData("""{"row": [1]}""", "body: {\"row\": [1]}: an object as docs/formats/ingest.md has it")]
    [InlineData("7", "body: 7: an object as docs/formats/ingest.md has it")]
    [InlineData("""{"rows": []}""", "rows: 0 rows: 1 to 10000")]
    public void Another_body_is_told_what_would_be_right(string json, string problem)
    {
        Assert.Null(DeliveryText.OfRows(Bytes(json), DeliveryWay.Http, out var problems));
        Assert.Equal(problem, Assert.Single(problems).ToString());
    }

    [Fact]
    public void What_is_no_JSON_is_told_where()
    {
        Assert.Null(DeliveryText.OfRows(Bytes("""{"rows": """), DeliveryWay.Http, out var problems));
        InputProblem problem = Assert.Single(problems);
        Assert.Equal(
            ("body", "JSON text, see docs/formats/ingest.md"),
            (problem.Place, problem.Expected.ToString())
        );
        Assert.Contains("LineNumber: 0", problem.Text.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Ten_thousand_rows_are_the_most()
    {
        Assert.Equal(10_000, DeliveryText.OfRows(Many(10_000), DeliveryWay.Http, out _)!.Rows.Count);
        Assert.Null(DeliveryText.OfRows(Many(10_001), DeliveryWay.Http, out var problems));
        Assert.Equal("rows: 10001 rows: 1 to 10000", Assert.Single(problems).ToString());

        static byte[] Many(int count) =>
            Bytes($"{{\"rows\": [{string.Join(',', Enumerable.Repeat("{}", count))}]}}");
    }

    [Fact]
    public void A_message_of_either_form_gives_its_key_apart()
    {
        Delivery one = DeliveryText.OfMessage(Bytes("""{"key": "k", "kind": "sample"}"""), out string? key);
        Assert.Equal((DeliveryWay.Mqtt, "k", "sample"), (one.Way, key, Assert.Single(one.Rows)["kind"]));
        Delivery many = DeliveryText.OfMessage(
            Bytes("""{"rows": [{"kind": "count"}, {"kind": "sample"}]}"""),
            out key
        );
        Assert.Null(key);
        Assert.Equal(DeliveryWay.Mqtt, many.Way);
        Assert.Equal(["count", "sample"], many.Rows.Select(r => r["kind"]));
    }

    [Fact]
    public void A_message_that_cannot_be_read_is_kept_as_a_row_with_its_reason()
    {
        Delivery delivery = DeliveryText.OfMessage(Bytes("noise"), out string? key);
        Assert.Equal((DeliveryWay.Mqtt, null, null), (delivery.Way, key, delivery.Clock));
        RowText row = Assert.Single(delivery.Rows);
        Assert.Equal("noise", row.Raw);
        Assert.Equal("body", Assert.Single(row.Problems).Place);
    }

    [Theory]
    [InlineData("""{"key": "rw.a.secret", "rows": []}""", "rows: 0 rows: 1 to 10000")]
    [InlineData(
        """{"rows": 7, "k\u0065y": "rw.a.secret"}""",
        "body: : an object as docs/formats/ingest.md has it"
    )]
    public void Of_a_message_that_cannot_be_read_no_key_is_kept(string text, string problem)
    {
        Delivery delivery = DeliveryText.OfMessage(Bytes(text), out string? key);
        Assert.Equal("rw.a.secret", key);
        RowText row = Assert.Single(delivery.Rows);
        Assert.Equal("", row.Raw);
        Assert.Equal(problem, Assert.Single(row.Problems).ToString());
    }

    [Fact]
    public void Of_a_long_message_the_first_two_hundred_bytes_are_kept() =>
        Assert.Equal(
            new string('x', 200),
            Assert.Single(DeliveryText.OfMessage(Bytes(new string('x', 900)), out _).Rows).Raw
        );

    [Fact]
    public void A_table_may_have_room_around_its_texts_and_stays_open_for_its_owner()
    {
        using var file = new MemoryStream(Bytes("kind , value\n sample, 3 \n\"count\",\"1,5\"\n"));
        Delivery delivery = DeliveryText.OfCsv(file, "2026-03-01T08:00Z", out var problems)!;
        Assert.Empty(problems);
        Assert.Equal((DeliveryWay.Http, "2026-03-01T08:00Z"), (delivery.Way, delivery.Clock));
        Assert.Equal(
            [("sample", "3", "sample,3"), ("count", "1,5", "count,1,5")],
            delivery.Rows.Select(r => (r["kind"]!, r["value"]!, r.Raw))
        );
        Assert.True(file.CanRead);
    }

    [Fact]
    public void A_table_without_rows_or_with_a_row_without_end_is_told_what_would_be_right()
    {
        Assert.Null(DeliveryText.OfCsv(new MemoryStream(Bytes("kind,value\n")), null, out var problems));
        Assert.Equal("rows: 0 rows: 1 to 10000", Assert.Single(problems).ToString());
        byte[] endless = Bytes("kind,value\n\"" + new string('x', 1 << 20));
        Assert.Null(DeliveryText.OfCsv(new MemoryStream(endless), null, out problems));
        InputProblem tooLong = Assert.Single(problems);
        Assert.Equal(
            ("table", "rows of 64 KiB at most below a header, and quotes that are closed (RFC 4180)"),
            (tooLong.Place, tooLong.Expected.ToString())
        );
    }

    [Fact]
    public void A_row_whose_quotes_do_not_close_is_refused_with_what_it_took_in_and_those_before_are_read()
    {
        Delivery delivery = DeliveryText.OfCsv(
            new MemoryStream(Bytes("kind,value\ncount,1\nsam\"ple,3\ncount,2\n\"count,3\ncount,4\n")),
            null,
            out _
        )!;
        Assert.Equal(["1", null, "2", null], delivery.Rows.Select(r => r["value"]));
        Assert.Equal(
            [
                "row 3: sam\"ple,3: quotes around a whole text, doubled within it (RFC 4180)",
                "row 5: \"count,3\ncount,4: a quote that is closed (RFC 4180): this one takes in all that follows, of which nothing was read",
            ],
            delivery.Rows.SelectMany(r => r.Problems).Select(p => p.ToString())
        );
        Assert.Contains("count,4", delivery.Rows[3].Raw, StringComparison.Ordinal);
    }

    private static byte[] Bytes(string text) => Encoding.UTF8.GetBytes(text);
}
