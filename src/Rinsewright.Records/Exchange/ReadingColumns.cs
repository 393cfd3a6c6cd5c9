using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Exchange;

/// <summary>A column of values: what they are and their unit.</summary>
internal sealed record ValueColumn(
    int Index,
    string Header,
    Measurand Measurand,
    string Unit,
    UnitScale Scale
);

/// <summary>Which column of a CSV file is what, told from its header in any order.</summary>
internal sealed class ReadingColumns
{
    public int? At { get; private set; }
    public int? Time { get; private set; }
    public int? Rig { get; private set; }
    public int? Stage { get; private set; }
    public int? Place { get; private set; }
    public int? Meter { get; private set; }
    public int? Settled { get; private set; }

    /// <summary>The columns of a file with one value a row: what, number and unit each in a column of its own.</summary>
    public int? Measurand { get; private set; }
    public int? Written { get; private set; }
    public int? Unit { get; private set; }
    public List<ValueColumn> Values { get; } = [];

    public bool IsLong => Measurand is not null && Written is not null && Unit is not null;

    /// <summary>Water temperature and flow at the time of the other values of the row.</summary>
    public ValueColumn? Temperature => Values.Find(v => v.Measurand is Logbook.Measurand.Temperature);
    public ValueColumn? Flow => Values.Find(v => v.Measurand is Logbook.Measurand.Flow);

    public static ReadingColumns Read(IReadOnlyList<string> headers, ProblemList problems)
    {
        var columns = new ReadingColumns();
        for (int i = 0; i < headers.Count; i++)
        {
            columns.Take(i, headers[i], problems);
        }

        problems.Require(
            columns.At is not null,
            "header",
            $"{string.Join(", ", headers)}",
            "a column at (date and time)"
        );
        problems.Require(
            columns.IsLong || columns.Values.Count > 0,
            "header",
            $"{string.Join(", ", headers)}",
            "a column of values with its unit, such as tds (ppm)"
        );
        return columns;
    }

    private void Take(int index, string header, ProblemList problems)
    {
        string name = header.Trim().Replace('_', ' ');
        switch (name.ToLowerInvariant())
        {
            case "at" or "date" or "when" or "date time" or "date and time":
                At = index;
                return;
            case "time":
                Time = index;
                return;
            case "rig":
                Rig = index;
                return;
            case "stage":
                Stage = index;
                return;
            case "place":
                Place = index;
                return;
            case "meter":
                Meter = index;
                return;
            case "settled" or "is settled":
                Settled = index;
                return;
            case "measurand":
                Measurand = index;
                return;
            case "written":
                Written = index;
                return;
            case "unit":
                Unit = index;
                return;
            case "value si" or "is below limit" or "":
            case "true conductance us/cm" or "true conductance sd us/cm" or "remarks":
                return;
        }

        foreach ((string known, Measurand measurand) in MeasurandText.Names)
        {
            if (!name.StartsWith(known, StringComparison.OrdinalIgnoreCase))
            {
                continue;
            }

            string unit = name[known.Length..].Trim().Trim('(', ')', '[', ']').Trim();
            foreach (string spelling in (string[])[unit, unit.Replace(' ', '/')])
            {
                if (MeasurandText.TryFindUnit(measurand, spelling, out UnitScale? scale))
                {
                    Values.Add(new ValueColumn(index, header, measurand, spelling, scale));
                    return;
                }
            }

            problems.Add("header", header, $"{known} with its unit, such as {Example(measurand)}");
            return;
        }

        problems.Add(
            "header",
            header,
            "at, time, rig, stage, place, meter, settled or a value with its unit such as tds (ppm)"
        );
    }

    private static string Example(Measurand measurand) =>
        measurand switch
        {
            Logbook.Measurand.Conductivity => "conductivity (µS/cm)",
            Logbook.Measurand.SpecificConductance => "specific conductance (µS/cm)",
            Logbook.Measurand.DissolvedSolids => "tds (ppm)",
            Logbook.Measurand.Temperature => "temperature (°C)",
            Logbook.Measurand.FreeChlorine => "free chlorine (mg/L)",
            Logbook.Measurand.TotalChlorine => "total chlorine (mg/L)",
            Logbook.Measurand.Pressure => "pressure (bar)",
            Logbook.Measurand.Flow => "flow (L/min)",
            Logbook.Measurand.Hardness => "hardness (mg/L as CaCO3)",
            Logbook.Measurand.MeterTotal => "meter total (L)",
            Logbook.Measurand.Silica => "silica (mg/L as SiO2)",
            _ => "ph",
        };
}
