namespace Rinsewright.Tests.Evidence;

/// <summary>What a check leans on. The kinds are kept apart in docs/validation.md.</summary>
public enum EvidenceKind
{
    /// <summary>A value printed in a standard, handbook, paper or open data set.</summary>
    Published,

    /// <summary>A value computed by another general-purpose program.</summary>
    OtherCode,

    /// <summary>A law that cannot be broken (conservation, monotony, a limiting case).</summary>
    Identity,

    /// <summary>The measured order of convergence of a scheme.</summary>
    Order,

    /// <summary>A fact of the trade: common practice, no source.</summary>
    CommonPractice,
}

/// <summary>One line of the validation page: the worst error of a model over all points of one source.</summary>
/// <param name="Model">The model checked, as in docs/models.</param>
/// <param name="Quantity">The quantity compared.</param>
/// <param name="Kind">What the check leans on.</param>
/// <param name="SourceKey">Key in docs/references.bib, or "identity", "order", "common practice, no source".</param>
/// <param name="Points">Number of points compared.</param>
/// <param name="WorstError">Largest error, in <paramref name="ErrorUnit"/>.</param>
/// <param name="Tolerance">Largest error allowed, in <paramref name="ErrorUnit"/>.</param>
/// <param name="ErrorUnit">Unit of error and tolerance, such as "%" or "pH".</param>
/// <param name="Remark">Why the tolerance is what it is, or what is left out.</param>
public sealed record EvidenceRow(
    string Model,
    string Quantity,
    EvidenceKind Kind,
    string SourceKey,
    int Points,
    double WorstError,
    double Tolerance,
    string ErrorUnit,
    string Remark = ""
)
{
    /// <summary>Whether the check holds. A check without points does not.</summary>
    public bool Holds => Points > 0 && WorstError <= Tolerance;
}

/// <summary>Errors in the order of their size; one that is not a number is beyond all others, not below.</summary>
internal static class Errors
{
    public static double Worst(this IEnumerable<double> errors) => errors.Select(OrBeyond).Max();

    public static double Worst<T>(this IEnumerable<T> points, Func<T, double> error) =>
        points.Select(error).Worst();

    public static IEnumerable<double> WorstLast(this IEnumerable<double> errors) =>
        errors.Select(OrBeyond).Order();

    private static double OrBeyond(double error) => double.IsNaN(error) ? double.PositiveInfinity : error;
}

/// <summary>A set of checks of one model. Every implementation is found and run by <see cref="EvidenceTests"/>.</summary>
public interface IEvidenceSet
{
    /// <summary>Computes the rows; a pure function of the files under data/.</summary>
    IEnumerable<EvidenceRow> Rows();
}
