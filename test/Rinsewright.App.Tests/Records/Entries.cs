using Rinsewright.Records.Logbook;

namespace Rinsewright.App.Tests.Records;

/// <summary>Entries for tests: one small rig and one entry of every kind.</summary>
internal sealed class Entries
{
    private readonly IdSource _ids;

    public Entries(IdSource ids)
    {
        _ids = ids;
        Source = new() { Id = ids.Next<Source>(), Name = "Town mains" };
        Rig = new()
        {
            Id = ids.Next<Rig>(),
            Name = "Van 1",
            SourceId = Source.Id,
            TimeZone = "Europe/Vienna",
            Site = "Mill Lane 3",
            Van = "North",
        };
        Bed = new()
        {
            Id = ids.Next<Stage>(),
            RigId = Rig.Id,
            Name = "Bed",
            Position = 2,
            Kind = StageKind.MixedBed,
            Volume_m3 = 0.0107,
            VolumeWritten = "10.7 L",
            ChangeOutLine_S_m = 0.002,
        };
        Pocket = new()
        {
            Id = ids.Next<Meter>(),
            Name = "Pocket meter",
            Measurand = Measurand.DissolvedSolids,
            TdsFactor_kg_m3_per_S_m = 5,
            Resolution_SI = 0.001,
        };
    }

    public Source Source { get; }
    public Rig Rig { get; }
    public Stage Bed { get; }
    public Meter Pocket { get; }

    public Entry[] Basis => [Source, Rig, Bed, Pocket];

    public Reading Reading(DateTimeOffset at, double ppm = 3) =>
        new()
        {
            Id = _ids.Next<Reading>(),
            RigId = Rig.Id,
            Place = Place.Outlet,
            StageId = Bed.Id,
            MeterId = Pocket.Id,
            At = at,
            Measurand = Measurand.DissolvedSolids,
            Value_SI = ppm / 1000,
            Written = FormattableString.Invariant($"{ppm}"),
            Unit = "ppm",
            Temperature_K = 285.15,
            IsSettled = true,
        };

    /// <summary>A forecast of a fill with quantiles of the litres left, made up, a day for each hundred litres.</summary>
    public KeptForecast Kept(Fill fill, DateTimeOffset at, Func<int, double?> left_m3)
    {
        double?[] left = [.. Enumerable.Range(0, KeptForecast.QuantileCount).Select(left_m3)];
        return new()
        {
            Id = _ids.Next<KeptForecast>(),
            RigId = Rig.Id,
            StageId = Bed.Id,
            FillId = fill.Id,
            At = at,
            Model = "1",
            Members = 1000,
            Seed = 1,
            Line = "10 ppm",
            MeterFactor = 0.5,
            LeftQuantiles_m3 = left,
            DaysQuantiles_d = [.. left.Select(l => 10 * l)],
            PassedNow = 1 / 3.0,
        };
    }

    /// <summary>A forecast of a cartridge with quantiles of the days left, made up.</summary>
    public KeptWear Wear(Fill fill, DateTimeOffset at, Func<int, double?> days) =>
        new()
        {
            Id = _ids.Next<KeptWear>(),
            RigId = Rig.Id,
            StageId = fill.StageId,
            FillId = fill.Id,
            At = at,
            Seed = 1,
            EndedBy = "0.1 mg/L chlorine in its outlet",
            DaysQuantiles_d = [.. Enumerable.Range(0, KeptForecast.QuantileCount).Select(days)],
            ServiceUntil = at.AddDays(180),
        };

    public Note Note(string text) =>
        new()
        {
            Id = _ids.Next<Note>(),
            RigId = Rig.Id,
            At = TestRecord.Start,
            Text = text,
        };

    /// <summary>One of every kind, values chosen to be hard to keep: long fractions, odd scales, other scripts.</summary>
    public Entry[] OneOfEach()
    {
        var bought = new Purchase
        {
            Id = _ids.Next<Purchase>(),
            At = TestRecord.Start.AddTicks(123_456_789),
            Kind = CostKind.Medium,
            What = "mixed-bed resin",
            Volume_m3 = 0.1 + 0.2,
            VolumeWritten = "25 L",
            Amount = 1234567890123.4500m,
            Currency = "EUR",
            Batch = "№ 7/ä",
            KeepsUntil = new DateOnly(2028, 2, 29),
        };
        var task = new WashTask
        {
            Id = _ids.Next<WashTask>(),
            Name = "last rinse",
            Volume_m3 = 0.04,
            Flow_m3_s = 8.0 / 60000,
        };
        var content = new PhotographContent
        {
            Id = _ids.Next<PhotographContent>(),
            MediaType = "image/png",
            Content = [137, 80, 78, 71, 0, 255],
        };
        var fill = new Fill
        {
            Id = _ids.Next<Fill>(),
            StageId = Bed.Id,
            Medium = "mixed-bed resin",
            Volume_m3 = 1 / 97.0,
            PutInAt = TestRecord.Start,
            PurchaseId = bought.Id,
        };
        return
        [
            .. Basis,
            new Organisation { Id = _ids.Next<Organisation>(), Name = "Two vans" },
            new Person
            {
                Id = _ids.Next<Person>(),
                Name = "Ana \"水\" O'Neil",
                Units = UnitPreference.UsCustomary,
            },
            new Season
            {
                Id = _ids.Next<Season>(),
                SourceId = Source.Id,
                Name = "winter",
                StartMonth = 11,
                SpecificConductance_S_m = 0.0412,
                WaterFile = "{}",
            },
            bought,
            fill,
            Kept(fill, TestRecord.Start.AddDays(1), i => i < 30 ? i / 97.0 : null) with
            {
                FillCost = 81.5,
                SpotCost_per_m3 = 500,
                ChangeAfter_m3 = 0.31,
                CostNow_per_m3 = 26.25,
                CostThen_per_m3 = 19.5,
                RotationCostShares = [0.61, 0.55, 0.68],
            },
            Wear(fill, TestRecord.Start.AddDays(1), i => i < 30 ? i / 7.0 : null),
            new Upkeep
            {
                Id = _ids.Next<Upkeep>(),
                RigId = Rig.Id,
                Name = "meter check",
                EveryDays = 30,
            },
            new BenchCheck
            {
                Id = _ids.Next<BenchCheck>(),
                MeterId = Pocket.Id,
                At = TestRecord.Start,
                Solution = "KCl 84 µS/cm",
                Reference_SI = 0.042,
                Shown_SI = 0.044,
                ShownWritten = "44",
                Unit = "ppm",
            },
            task,
            new Habit
            {
                Id = _ids.Next<Habit>(),
                RigId = Rig.Id,
                WashTaskId = task.Id,
                TimesPerWeek = 4.5,
            },
            new Draw
            {
                Id = _ids.Next<Draw>(),
                RigId = Rig.Id,
                WashTaskId = task.Id,
                At = TestRecord.Start,
                Volume_m3 = 0.04,
                VolumeWritten = "40 L",
                Basis = VolumeBasis.Estimated,
                Washes = 1,
            },
            Reading(TestRecord.Start),
            new Price
            {
                Id = _ids.Next<Price>(),
                Kind = CostKind.Water,
                What = "mains water",
                Amount = 0.0031m,
                Currency = "EUR",
                Basis = PriceBasis.PerCubicMeter,
                From = new DateOnly(2026, 1, 1),
            },
            Note("O-ring renewed\nleft wet overnight"),
            content,
            new Photograph
            {
                Id = _ids.Next<Photograph>(),
                RigId = Rig.Id,
                PhotographContentId = content.Id,
                At = TestRecord.Start,
                Caption = "spots",
            },
            new ShareLink
            {
                Id = _ids.Next<ShareLink>(),
                RigId = Rig.Id,
                Kind = LinkKind.Page,
                Name = "the workshop next door",
                TokenHash = ShareLink.HashOf("not a secret"),
                ExpiresAt = TestRecord.Start.AddDays(90),
                ShowsCosts = true,
            },
        ];
    }
}
