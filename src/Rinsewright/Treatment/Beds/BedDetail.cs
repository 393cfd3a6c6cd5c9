namespace Rinsewright.Treatment.Beds;

/// <summary>How closely a run of beds is to follow what leaves them; docs/models/exchange-bed.md says what it costs and errs.</summary>
public enum BedDetail
{
    /// <summary>Every ion over the whole curve, to about a hundredth of its feed.</summary>
    Curves,

    /// <summary>Where lines are passed, to about a hundredth of the volume; the curves of single ions less closely.</summary>
    Lines,
}
