using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Water;

namespace Rinsewright.Records.Trust;

/// <summary>What a reading of conductance or dissolved solids stands for once the meter's own error is taken out.</summary>
/// <param name="Conductance_uS_cm">True specific conductance at 25 °C [µS/cm]; of a <c>&lt;</c> reading, that of its limit.</param>
/// <param name="Shown_SI">What a true meter of the same kind would have shown, in the SI unit of the reading's measurand.</param>
/// <param name="Resolution_uS_cm">Step of the display [µS/cm].</param>
public sealed record CorrectedReading(
    NormalEstimate Conductance_uS_cm,
    NormalEstimate Shown_SI,
    double Resolution_uS_cm
);

/// <summary>What may be wrong with a reading.</summary>
public enum ReadingFault
{
    /// <summary>It was taken before the display stood still.</summary>
    Unsettled = 1,

    /// <summary>The water was so cold that the meter's compensation and its speed are doubtful.</summary>
    Cold = 2,

    /// <summary>Carbon dioxide makes most of it; that leaves nothing behind.</summary>
    CarbonDioxide = 3,

    /// <summary>Something in the cup, on the probe or in the line made it too high.</summary>
    Contaminated = 4,
}

/// <summary>A doubt about one reading with its reason.</summary>
/// <param name="Fault">What may be wrong.</param>
/// <param name="Reason">Why it is thought so, with the figures.</param>
public sealed record ReadingRemark(ReadingFault Fault, Sentence Reason)
{
    /// <summary>What to do about it.</summary>
    public Sentence Advice =>
        Fault switch
        {
            ReadingFault.Unsettled => Sentence.Of(
                "Hold the probe in running water until the display stands still, then write it down."
            ),
            ReadingFault.Cold => Sentence.Of(
                "Let a cup of the water warm to room temperature, covered, and read it again."
            ),
            ReadingFault.CarbonDioxide => Sentence.Of(
                "Nothing of it stays on the panel. Judge the water by a reading right at the outlet, or by what dries."
            ),
            _ => Sentence.Of(
                "Rinse cup and probe three times with the same water, let the line run a minute and read again."
            ),
        };
}

/// <summary>A reading with what it stands for.</summary>
/// <param name="Reading">As written.</param>
/// <param name="Corrected">The true conductance behind it; nothing for readings of other things.</param>
/// <param name="Remarks">What may be wrong with it; empty when nothing is known against it.</param>
public sealed record TrustedReading(
    Reading Reading,
    CorrectedReading? Corrected,
    IReadOnlyList<ReadingRemark> Remarks
);
