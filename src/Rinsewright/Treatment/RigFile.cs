using System.Collections.Immutable;
using System.Diagnostics.CodeAnalysis;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>Reads a rig file (docs/formats/rig.md). All problems are returned together.</summary>
public static class RigFile
{
    private const double ShareSlack = 1e-6;
    private const double LeastPositive = 1e-9;

    private static readonly (string Word, FilmCorrelation Value)[] Films =
    [
        ("wilson-geankoplis", FilmCorrelation.WilsonGeankoplis),
        ("carberry", FilmCorrelation.Carberry),
        ("kataoka", FilmCorrelation.Kataoka),
        ("wakao-funazkri", FilmCorrelation.WakaoFunazkri),
    ];

    private static readonly (string Word, ResinKind Value)[] Kinds =
    [
        .. Enum.GetValues<ResinKind>().Select(k => (ResinCatalog.NameOf(k), k)),
    ];

    /// <summary>Reads the root of a rig file.</summary>
    /// <param name="root">The root element.</param>
    /// <param name="rig">What it says.</param>
    /// <param name="problems">Everything wrong with it; empty exactly when it is right.</param>
    public static bool TryRead(
        JsonElement root,
        [NotNullWhen(true)] out Rig? rig,
        out IReadOnlyList<InputProblem> problems
    )
    {
        List<InputProblem> found = [];
        var file = new JsonReading(root, "", found, "name", "stages", "plumbing");
        string name = file.Text("name", "rig");
        List<Stage?> stages =
        [
            .. file.Items("stages").Select(i => StageFile.Read(i.Element, i.Place, found)),
        ];
        if (stages.Count == 0 && found.Count == 0)
        {
            file.Refuse("stages", "at least one stage, see docs/formats/rig.md");
        }

        Plumbing? plumbing = file.Object(
            "plumbing",
            "supply",
            "openFlow",
            "before",
            "after",
            "tools",
            "housingPressure",
            "housingTemperature"
        )
            is { } stated
            ? PlumbingFile.Read(stated, found)
            : null;
        problems = found;
        rig = found.Count == 0 ? new Rig(name, [.. stages.Select(s => s!)]) { Plumbing = plumbing } : null;
        return rig is not null;
    }

    /// <summary>Reads an exchange bed, or adds its problems and returns nothing; one that stands alone may have a line.</summary>
    internal static ExchangeBed? ReadBed(
        JsonElement element,
        string place,
        List<InputProblem> problems,
        bool alone = true
    )
    {
        int before = problems.Count;
        string[] names =
        [
            "kind",
            "name",
            "volume",
            "innerDiameter",
            "voidFraction",
            "bypass",
            "resins",
            "kinetics",
            "equilibrium",
        ];
        var stage = new JsonReading(element, place, problems, alone ? [.. names, "line"] : names);
        if (stage.Text("kind", "") is not "exchange-bed")
        {
            stage.Refuse(
                "kind",
                alone ? Sentence.Of($"one of {StageFile.Kinds}") : Sentence.Of("\"exchange-bed\"")
            );
        }

        string name = stage.Text("name", "");
        Volume volume = stage.AboveZero<Volume>("volume");
        Length innerDiameter = stage.AboveZero<Length>("innerDiameter");
        double voidFraction = stage.Number("voidFraction", 0.25, 0.7, 0.38);
        double bypass = stage.Number("bypass", 0, 0.99, 0);
        bool equilibrium = stage.Flag("equilibrium", absent: false);
        BedKinetics kinetics = ReadKinetics(
            stage.Object("kinetics", "film", "filmFactor", "filmField", "particle", "dispersion")
        );
        List<Resin?> resins = [.. stage.Items("resins").Select(i => ReadResin(i.Element, i.Place, problems))];
        if (resins.Count == 0)
        {
            stage.Refuse("resins", "at least one resin, see docs/formats/rig.md");
        }
        else if (resins.TrueForAll(r => r is not null))
        {
            double shares = resins.Sum(r => r!.Share);
            if (Math.Abs(shares - 1) > ShareSlack)
            {
                stage.Refuse("resins", $"shares that sum to 1; these sum to {shares:G6}");
            }
        }

        return problems.Count > before
            ? null
            : new ExchangeBed(volume, innerDiameter, [.. resins.Select(r => r!)])
            {
                Name = name,
                VoidFraction = voidFraction,
                Bypass = bypass,
                Kinetics = kinetics,
                Equilibrium = equilibrium,
            };
    }

    private static BedKinetics ReadKinetics(JsonReading? kinetics)
    {
        var usual = new BedKinetics();
        return kinetics is null
            ? usual
            : new BedKinetics
            {
                Film = kinetics.Choice<FilmCorrelation>("film", Films, usual.Film),
                FilmFactor = kinetics.Number("filmFactor", LeastPositive, 100, usual.FilmFactor),
                FilmField = kinetics.Flag("filmField", usual.FilmField),
                Particle = kinetics.Flag("particle", usual.Particle),
                Dispersion = kinetics.Flag("dispersion", usual.Dispersion),
            };
    }

    private static Resin? ReadResin(JsonElement element, string place, List<InputProblem> problems)
    {
        int before = problems.Count;
        var reading = new JsonReading(
            element,
            place,
            problems,
            "kind",
            "share",
            "capacity",
            "bead",
            "form",
            "selectivity"
        );
        ResinKind kind = reading.Choice<ResinKind>("kind", Kinds);
        double share = reading.Number("share", LeastPositive, 1);
        var usual = new Resin(problems.Count > before ? ResinKind.StrongCation : kind, share);
        ExchangeCapacity capacity = reading.AboveZero<ExchangeCapacity>("capacity", usual.Capacity);
        Length bead = reading.AboveZero<Length>("bead", usual.Bead);
        if (problems.Count > before)
        {
            return null;
        }

        string[] ions =
        [
            .. ResinCatalog
                .IonNames.Where(n => usual.Selectivity.ContainsKey(n.Value))
                .Select(n => n.Key)
                .Order(StringComparer.Ordinal),
        ];
        Resin resin = usual with
        {
            Capacity = capacity,
            Bead = bead,
            Form = ReadForm(reading, ions, usual.Sign > 0 ? "H" : "OH"),
            Selectivity = ReadSelectivity(reading.Object("selectivity", ions), ions, usual.Selectivity),
        };
        return problems.Count > before ? null : resin;
    }

    private static ImmutableDictionary<Component, double> ReadForm(
        JsonReading resin,
        string[] ions,
        string reference
    )
    {
        if (resin.Object("form", [reference, .. ions]) is not { } form)
        {
            return ImmutableDictionary<Component, double>.Empty;
        }

        ImmutableDictionary<Component, double> fractions = ions.Where(form.Has)
            .ToImmutableDictionary(ion => ResinCatalog.IonNames[ion], ion => form.Number(ion, 0, 1));
        double sum = form.Number(reference, 0, 1, 0) + fractions.Values.Sum();
        if (Math.Abs(sum - 1) > ShareSlack)
        {
            resin.Refuse("form", $"fractions that sum to 1; these sum to {sum:G6}");
        }

        return fractions;
    }

    private static ImmutableDictionary<Component, double> ReadSelectivity(
        JsonReading? reading,
        string[] ions,
        ImmutableDictionary<Component, double> usual
    ) =>
        reading is null
            ? usual
            : usual.SetItems(
                ions.Where(reading.Has)
                    .Select(ion =>
                        KeyValuePair.Create(
                            ResinCatalog.IonNames[ion],
                            reading.Number(ion, LeastPositive, 1e9)
                        )
                    )
            );
}
