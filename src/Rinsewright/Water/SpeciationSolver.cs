namespace Rinsewright.Water;

/// <summary>
/// Finds the species of a water from its totals and a <see cref="SpeciationTarget"/>. Three nested problems, each with a
/// proof that it has a root and a bracket that holds it:
/// </summary>
/// <remarks>
/// <para>
/// 1. <i>Pairs</i>, at a given pH and given activity coefficients: cations and ligands share their totals. The mass balances
/// are the gradient of a strictly convex function of the logarithms of the free molalities; Newton's method on it, with
/// alternate sweeps (which never increase it) when a step is long.
/// </para>
/// <para>
/// 2. <i>pH</i>: at fixed totals the excess of protons falls strictly with pH, from +∞ to −∞; Newton's method in pH inside a
/// shrinking bracket. Balance of charge and alkalinity differ by a constant only, so one function serves both.
/// </para>
/// <para>
/// 3. <i>Ionic strength</i> I: the strength found with the coefficients of I, minus I, is positive at 0 and negative far out;
/// secant steps inside that bracket.
/// </para>
/// An instance holds its working arrays: use one per thread. It allocates nothing after construction. See docs/models/water.md.
/// </remarks>
public sealed partial class SpeciationSolver
{
    private const double RoundOff = 1e-10; // relative, where cancellation lets a balance come no closer
    private const int SwiftIterations = 30;
    private const double Ln10 = Equilibria.Ln10;
    private const double LowestPH = -1;
    private const double HighestPH = 15;
    private const double GreatestCarbon = 5; // [mol/kg], more has no meaning in a fresh water
    private const int Cations = Formation.CationCount;
    private const int Ligands = Formation.LigandCount;
    private const int Carbon = Formation.CarbonLigand;

    private static readonly Formation[] Compound = Formation.Compound;
    private static readonly int CarbonDioxide = Array.FindIndex(
        Compound,
        f => f.Species == Species.CarbonDioxide
    );

    private readonly ActivityModel _model;

    // Functions of temperature.
    private readonly double[] _logBeta = new double[IonCatalog.SpeciesCount];
    private readonly double[] _beta = new double[Formation.Compound.Length];
    private double _temperature = double.NaN;
    private double _density;
    private double _a;
    private double _b;
    private double _kw;
    private double _kh;
    private double _silicate1;
    private double _silicate2;

    // Functions of the activity coefficients.
    private readonly double[] _gamma = new double[IonCatalog.SpeciesCount];
    private readonly double[] _stability = new double[Formation.Compound.Length];

    // Functions of pH: sums over species of the stability constants, weighted by 1, h and h² (h: protons taken up).
    private readonly double[] _pair = new double[Cations * Ligands];
    private readonly double[] _pairH = new double[Cations * Ligands];
    private readonly double[] _pairHH = new double[Cations * Ligands];
    private readonly double[] _cation0 = new double[Cations];
    private readonly double[] _cationH = new double[Cations];
    private readonly double[] _ligand0 = new double[Ligands];
    private readonly double[] _ligandH = new double[Ligands];
    private readonly double[] _ligandHH = new double[Ligands];

    // Molal totals [mol/kg] and free molalities [mol/kg].
    private readonly double[] _total = new double[IonCatalog.ComponentCount];
    private readonly double[] _cationTotal = new double[Cations];
    private readonly double[] _ligandTotal = new double[Ligands];
    private readonly double[] _cation = new double[Cations];
    private readonly double[] _ligand = new double[Ligands];
    private readonly double[] _powers = new double[6];
    private readonly double[] _jacobian = new double[Ligands * Ligands];
    private readonly double[] _step = new double[Ligands];
    private readonly int[] _active = new int[Formation.Compound.Length];
    private readonly int[] _present = new int[Cations];
    private int _activeCount;
    private int _presentCount;
    private CarbonRule _carbonRule;
    private double _alkalinity;
    private double _carbonDioxideActivity;
    private double _protonActivity;
    private double _protonExcess;
    private double _slope;
    private bool _carbonIsMissing;
    private double _lastPH;
    private double _lastStrength;

    /// <summary>Makes a solver.</summary>
    /// <param name="model">The law for activity coefficients.</param>
    public SpeciationSolver(ActivityModel model = ActivityModel.TruesdellJones) => _model = model;

    /// <summary>
    /// Whether a solution starts from pH and ionic strength of the last one, as pays along a path of like waters. What is found
    /// is the same to the tolerance.
    /// </summary>
    public bool StartsFromLast { get; init; }

    /// <summary>Solves for a composition at its own temperature.</summary>
    /// <param name="composition">The water; its carbon total counts only where the target does not say otherwise.</param>
    /// <param name="target">What fixes pH and carbon.</param>
    /// <param name="result">Receives the species.</param>
    public SpeciationStatus Solve(WaterComposition composition, SpeciationTarget target, Speciation result) =>
        Solve(composition.Totals, composition.TemperatureKelvin, target, result);

    /// <summary>Solves for totals.</summary>
    /// <param name="totals">Totals by <see cref="Component"/> [mol/m³]; length: number of components. That of carbon is not used.</param>
    /// <param name="temperature">Temperature [K].</param>
    /// <param name="target">What fixes pH and carbon.</param>
    /// <param name="result">Receives the species.</param>
    public SpeciationStatus Solve(
        ReadOnlySpan<double> totals,
        double temperature,
        SpeciationTarget target,
        Speciation result
    )
    {
        SpeciationStatus status = Prepare(totals, temperature, target);
        if (status == SpeciationStatus.Solved)
        {
            status = SolveStrength(target, out double pH, out double strength);
            if (status == SpeciationStatus.Solved)
            {
                Fill(result, pH, strength);
            }
        }

        result.Status = status;
        return status;
    }

    private SpeciationStatus Prepare(ReadOnlySpan<double> totals, double temperature, SpeciationTarget target)
    {
        if (!(temperature >= 273.149 && temperature <= 318.151))
        {
            return SpeciationStatus.TemperatureOutOfRange;
        }

        SetTemperature(temperature);
        _carbonRule = target.CarbonRule;
        _carbonIsMissing = false;
        for (int i = 0; i < _total.Length; i++)
        {
            _total[i] = totals[i] / _density;
        }

        _total[(int)Component.InorganicCarbon] =
            _carbonRule == CarbonRule.Total ? target.Second / _density : 0;
        foreach (double total in _total)
        {
            if (!double.IsFinite(total) || total < 0)
            {
                return SpeciationStatus.InvalidTotals;
            }
        }

        if (!double.IsFinite(target.First) || !double.IsFinite(target.Second))
        {
            return SpeciationStatus.InvalidTotals;
        }

        _alkalinity = _carbonRule == CarbonRule.Alkalinity ? target.Second / _density : 0;
        _carbonDioxideActivity = _carbonRule == CarbonRule.Pressure ? _kh * Math.Pow(10, target.Second) : 0;
        for (int m = 0; m < Cations; m++)
        {
            _cationTotal[m] = _total[(int)Formation.CationComponents[m]];
            _cation[m] = _cationTotal[m];
        }

        for (int l = 0; l < Ligands; l++)
        {
            _ligandTotal[l] = _total[(int)Formation.LigandComponents[l]];
            _ligand[l] = 0;
        }

        ListPresent();
        return SpeciationStatus.Solved;
    }

    private void SetTemperature(double temperature)
    {
        if (temperature == _temperature)
        {
            return;
        }

        _temperature = temperature;
        _density = WaterProperties.Density(temperature);
        _a = DebyeHuckel.A(temperature);
        _b = DebyeHuckel.B(temperature);
        _kw = Math.Pow(10, WaterProperties.LogIonisation(temperature));
        _kh = Math.Pow(10, Equilibria.LogK(Reaction.CarbonDioxideGas, temperature));
        _silicate1 = Math.Pow(10, Equilibria.LogK(Reaction.SilicicAcid, temperature));
        _silicate2 = Math.Pow(10, Equilibria.LogK(Reaction.Trihydrogensilicate, temperature));
        Formation.LogConstants(temperature, _logBeta);
        for (int k = 0; k < Compound.Length; k++)
        {
            _beta[k] = Math.Pow(10, _logBeta[(int)Compound[k].Species]);
        }
    }

    // --- 3. ionic strength ---------------------------------------------------------------------------------------------

    private SpeciationStatus SolveStrength(SpeciationTarget target, out double pH, out double strength)
    {
        bool again = StartsFromLast && _lastStrength > 0;
        pH =
            target.PHRule == PHRule.Given ? target.First
            : again ? _lastPH
            : 7;
        strength = again ? _lastStrength : GuessStrength();
        double low = 0;
        double high = double.PositiveInfinity;
        double lastStrength = double.NaN;
        double lastExcess = double.NaN;
        for (int iteration = 0; iteration < 100; iteration++)
        {
            SetStrength(strength);
            SpeciationStatus status = SolvePH(target, ref pH);
            if (status != SpeciationStatus.Solved)
            {
                return status;
            }

            double found = IonicStrength();
            double excess = found - strength; // eq. water-16
            if (Math.Abs(excess) <= 1e-10 * found)
            {
                _lastPH = pH;
                _lastStrength = strength;
                return _carbonIsMissing ? SpeciationStatus.NoSuchCarbon : SpeciationStatus.Solved;
            }

            if (excess > 0)
            {
                low = strength;
            }
            else
            {
                high = strength;
            }

            double next = found;
            if (iteration > 0 && excess != lastExcess)
            {
                next = strength - excess * (strength - lastStrength) / (excess - lastExcess);
            }

            if (!(next > low && next < high))
            {
                next = double.IsPositiveInfinity(high) ? 2 * found : 0.5 * (low + high);
            }

            lastStrength = strength;
            lastExcess = excess;
            strength = next;
        }

        strength = lastStrength;
        bool settled = Math.Abs(lastExcess) <= 100 * RoundOff * strength;
        return !settled ? SpeciationStatus.NotConverged
            : _carbonIsMissing ? SpeciationStatus.NoSuchCarbon
            : SpeciationStatus.Solved;
    }

    private double GuessStrength()
    {
        double sum = 1e-7 + _total[(int)Component.Chloride] + _total[(int)Component.Nitrate];
        for (int m = 0; m < Cations; m++)
        {
            int z = IonCatalog.Of(Formation.CationIons[m]).Charge;
            sum += z * z * _cationTotal[m];
        }

        return 0.5 * (sum + 4 * _ligandTotal[Formation.SulfateLigand] + _ligandTotal[Carbon]);
    }

    private void SetStrength(double strength)
    {
        Activity.Coefficients(_model, _a, _b, strength, _gamma);
        for (int i = 0; i < _activeCount; i++)
        {
            int k = _active[i];
            Formation f = Compound[k];
            double gamma = 1 / _gamma[(int)f.Species];
            if (f.Cation != Formation.None)
            {
                gamma *= _gamma[(int)Formation.CationIons[f.Cation]];
            }

            if (f.Ligand != Formation.None)
            {
                gamma *= _gamma[(int)Formation.LigandIons[f.Ligand]];
            }

            _stability[k] = _beta[k] * gamma; // eq. water-17
        }
    }

    private double IonicStrength()
    {
        ReadOnlySpan<Ion> ions = IonCatalog.All;
        double sum = ProtonMolality + HydroxideMolality + FreeIons();
        for (int i = 0; i < _activeCount; i++)
        {
            int k = _active[i];
            int z = ions[(int)Compound[k].Species].Charge;
            if (z != 0)
            {
                sum += z * z * Molality(k);
            }
        }

        SilicaMolalities(out _, out double once, out double twice);
        return 0.5 * (sum + once + 4 * twice);
    }

    private double FreeIons()
    {
        double sum = _total[(int)Component.Chloride] + _total[(int)Component.Nitrate];
        for (int m = 0; m < Cations; m++)
        {
            sum += Square(Formation.CationIons[m]) * _cation[m];
        }

        for (int l = 0; l < Ligands; l++)
        {
            sum += Square(Formation.LigandIons[l]) * _ligand[l];
        }

        return sum;

        static int Square(Species ion)
        {
            int z = IonCatalog.Of(ion).Charge;
            return z * z;
        }
    }

    // --- 2. pH ---------------------------------------------------------------------------------------------------------

    private SpeciationStatus SolvePH(SpeciationTarget target, ref double pH)
    {
        if (target.PHRule == PHRule.Given)
        {
            return Evaluate(pH);
        }

        double wanted = WantedProtonExcess(target);
        double low = LowestPH;
        double high = HighestPH;
        for (int iteration = 0; iteration < 200; iteration++)
        {
            SpeciationStatus status = Evaluate(pH);
            if (status != SpeciationStatus.Solved)
            {
                return status;
            }

            double excess = _protonExcess - wanted; // eq. water-18
            if (excess > 0)
            {
                low = pH;
            }
            else
            {
                high = pH;
            }

            double step = Math.Clamp(-excess / _slope, -3, 3);
            if (Math.Abs(step) < 1e-11 || high - low < 1e-13)
            {
                return pH < LowestPH + 1e-9 || pH > HighestPH - 1e-9
                    ? SpeciationStatus.NoSuchPH
                    : SpeciationStatus.Solved;
            }

            double next = pH + step;
            bool halve = iteration > SwiftIterations && iteration % 2 == 0; // Newton's step has stopped to gain
            pH = !halve && next > low && next < high ? next : 0.5 * (low + high);
        }

        return SpeciationStatus.NotConverged;
    }

    /// <summary>
    /// The excess of protons over the master species at which the target is met [mol/kg]. In an open water each carbon
    /// species counts its protons less two, so that carbon dioxide counts nothing.
    /// </summary>
    private double WantedProtonExcess(SpeciationTarget target)
    {
        double closedCarbon = 2 * _total[(int)Component.InorganicCarbon];
        if (target.PHRule == PHRule.Alkalinity)
        {
            return 2 * _total[(int)Component.Phosphate] + closedCarbon - target.First / _density; // eq. water-19
        }

        return target.First / _density - MasterCharge() + closedCarbon; // eq. water-20
    }

    /// <summary>Net charge of the totals as master species, carbon left out [eq/kg].</summary>
    private double MasterCharge()
    {
        double charge = 0;
        for (int c = 0; c < _total.Length; c++)
        {
            if (c != (int)Component.InorganicCarbon)
            {
                charge += IonCatalog.Of(IonCatalog.Master((Component)c)).Charge * _total[c];
            }
        }

        return charge;
    }

    private double ProtonMolality => _protonActivity / _gamma[(int)Species.Hydrogen];

    private double HydroxideMolality => _kw / (_protonActivity * _gamma[(int)Species.Hydroxide]);

    /// <summary>Balances everything at a pH; leaves the proton excess and its slope.</summary>
    private SpeciationStatus Evaluate(double pH)
    {
        SetPH(pH);
        SpeciationStatus status =
            _carbonRule == CarbonRule.Alkalinity
                ? BalanceToAlkalinity()
                : BalancePairs(_carbonRule == CarbonRule.Total);
        SumProtons();
        return status;
    }

    // --- result --------------------------------------------------------------------------------------------------------

    private double Molality(int k)
    {
        Formation f = Compound[k];
        double molality = _stability[k] * _powers[f.Protons + 2];
        if (f.Cation != Formation.None)
        {
            molality *= _cation[f.Cation];
        }

        if (f.Ligand != Formation.None)
        {
            molality *= _ligand[f.Ligand];
        }

        return molality;
    }

    private void Fill(Speciation result, double pH, double strength)
    {
        Span<double> molality = result.MolalityBuffer;
        molality.Clear();
        _gamma.CopyTo(result.CoefficientBuffer);
        molality[(int)Species.Hydrogen] = ProtonMolality;
        molality[(int)Species.Hydroxide] = HydroxideMolality;
        molality[(int)Species.Chloride] = _total[(int)Component.Chloride];
        molality[(int)Species.Nitrate] = _total[(int)Component.Nitrate];
        for (int m = 0; m < Cations; m++)
        {
            molality[(int)Formation.CationIons[m]] = _cation[m];
        }

        for (int l = 0; l < Ligands; l++)
        {
            molality[(int)Formation.LigandIons[l]] = _ligand[l];
        }

        for (int i = 0; i < _activeCount; i++)
        {
            int k = _active[i];
            molality[(int)Compound[k].Species] = Molality(k);
        }

        SilicaMolalities(
            out molality[(int)Species.SilicicAcid],
            out molality[(int)Species.Trihydrogensilicate],
            out molality[(int)Species.Dihydrogensilicate]
        );
        double carbon = _ligand[Carbon] * LigandSum(Carbon);
        _total[(int)Component.InorganicCarbon] = carbon;
        double protons = _protonExcess + (_carbonRule == CarbonRule.Total ? 0 : 2 * carbon);
        for (int c = 0; c < _total.Length; c++)
        {
            result.TotalsBuffer[c] = _total[c] * _density;
        }

        result.PH = pH;
        result.IonicStrength = strength;
        result.TemperatureKelvin = _temperature;
        result.WaterDensity = _density;
        result.NetCharge = (MasterCharge() - 2 * carbon + protons) * _density;
        result.Alkalinity = (2 * carbon + 2 * _total[(int)Component.Phosphate] - protons) * _density;
    }
}
