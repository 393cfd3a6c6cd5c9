namespace Rinsewright.Records.Logbook;

/// <summary>What money went on. Numbers are stored: never renumber.</summary>
public enum CostKind
{
    Medium = 1,
    Part = 2,
    Water = 3,
    Disposal = 4,
    Consumable = 5,
}

/// <summary>Something bought. A medium that is not yet in a stage is stock.</summary>
public sealed record Purchase : Entry<Purchase>
{
    public required DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }
    public required CostKind Kind { get; init; }
    public required string What { get; init; }

    /// <summary>How many pieces.</summary>
    public int Count { get; init; } = 1;

    /// <summary>Volume of all pieces together [m³], for media.</summary>
    public double? Volume_m3 { get; init; }
    public string? VolumeWritten { get; init; }

    /// <summary>What was paid for all pieces together.</summary>
    public required decimal Amount { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }
    public string? Batch { get; init; }

    /// <summary>Last day on which it is still fit for use.</summary>
    public DateOnly? KeepsUntil { get; init; }
    public Id<Rig>? RigId { get; init; }

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(What.Trim().Length > 0, "purchase", $"{What}", "what was bought");
        problems.Require(Enum.IsDefined(Kind), "purchase kind", $"{Kind}", "a known kind of cost");
        problems.Require(Count >= 1, "purchase count", $"{Count}", "1 or more");
        problems.Require(Volume_m3 is null or > 0, "purchase volume", $"{VolumeWritten}", "more than zero");
        problems.Require(Amount >= 0, "purchase amount", $"{Amount}", "zero or more");
        CheckCurrency(Currency, problems);
    }

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;

    internal static void CheckCurrency(string currency, ProblemList problems) =>
        problems.Require(
            currency.Length == 3 && currency.All(char.IsAsciiLetterUpper),
            "currency",
            $"{currency}",
            "three capital letters (ISO 4217), such as EUR"
        );
}

/// <summary>What a price is for. Numbers are stored: never renumber.</summary>
public enum PriceBasis
{
    PerCubicMeter = 1,
    PerPiece = 2,
    PerHour = 3,
}

/// <summary>A running price, from a day on.</summary>
public sealed record Price : Entry<Price>
{
    public required CostKind Kind { get; init; }
    public required string What { get; init; }
    public required decimal Amount { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }
    public required PriceBasis Basis { get; init; }
    public required DateOnly From { get; init; }

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(What.Trim().Length > 0, "price", $"{What}", "what it is for");
        problems.Require(Enum.IsDefined(Kind), "price kind", $"{Kind}", "a known kind of cost");
        problems.Require(Enum.IsDefined(Basis), "price basis", $"{Basis}", "per m³, piece or hour");
        problems.Require(Amount >= 0, "price amount", $"{Amount}", "zero or more");
        Purchase.CheckCurrency(Currency, problems);
    }

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}

/// <summary>A bought medium and what is left of it.</summary>
/// <param name="Purchase">The purchase.</param>
/// <param name="Left_m3">What has not yet gone into a stage [m³].</param>
/// <param name="IsPastItsDate">Whether it has outlived its shelf life.</param>
public sealed record StockItem(Purchase Purchase, double Left_m3, bool IsPastItsDate)
{
    /// <summary>What is left of every purchased medium, oldest first.</summary>
    public static IReadOnlyList<StockItem> Count(
        IEnumerable<Purchase> purchases,
        IEnumerable<Fill> fills,
        DateOnly today
    )
    {
        Dictionary<Id<Purchase>, double> used = fills
            .Where(f => !f.IsDeleted && f.PurchaseId is not null)
            .GroupBy(f => f.PurchaseId!.Value)
            .ToDictionary(g => g.Key, g => g.Sum(f => f.Volume_m3 ?? 0));
        return
        [
            .. purchases
                .Where(p => !p.IsDeleted && p.Kind == CostKind.Medium && p.Volume_m3 is not null)
                .OrderBy(p => p.At)
                .Select(p => new StockItem(
                    p,
                    Math.Max(0, p.Volume_m3!.Value - used.GetValueOrDefault(p.Id)),
                    p.KeepsUntil < today
                ))
                .Where(s => s.Left_m3 > 1e-9),
        ];
    }
}
