namespace Rinsewright.Water;

/// <content>The balances at a given pH and given activity coefficients: sums over protons, and the sharing of totals in pairs.</content>
public sealed partial class SpeciationSolver
{
    /// <summary>Lists the cations and compounds that this water can hold, so that the sums run over them only.</summary>
    private void ListPresent()
    {
        _presentCount = 0;
        for (int m = 0; m < Cations; m++)
        {
            if (_cationTotal[m] > 0)
            {
                _present[_presentCount++] = m;
            }
        }

        _activeCount = 0;
        for (int k = 0; k < Compound.Length; k++)
        {
            Formation f = Compound[k];
            bool hasCation = f.Cation == Formation.None || _cationTotal[f.Cation] > 0;
            bool hasLigand =
                f.Ligand == Formation.None
                || _ligandTotal[f.Ligand] > 0
                || (f.Ligand == Carbon && _carbonRule != CarbonRule.Total);
            if (hasCation && hasLigand)
            {
                _active[_activeCount++] = k;
            }
        }
    }

    private void SetPH(double pH)
    {
        _protonActivity = Math.Exp(-Ln10 * pH);
        double inverse = 1 / _protonActivity;
        _powers[0] = inverse * inverse;
        _powers[1] = inverse;
        _powers[2] = 1;
        _powers[3] = _protonActivity;
        _powers[4] = _protonActivity * _protonActivity;
        _powers[5] = _powers[4] * _protonActivity;
        Array.Clear(_pair);
        Array.Clear(_pairH);
        Array.Clear(_pairHH);
        Array.Clear(_cationH);
        Array.Clear(_ligandH);
        Array.Clear(_ligandHH);
        Array.Fill(_cation0, 1);
        Array.Fill(_ligand0, 1);
        for (int i = 0; i < _activeCount; i++)
        {
            int k = _active[i];
            Formation f = Compound[k];
            int h = f.Protons;
            double weight = _stability[k] * _powers[h + 2];
            if (f.Ligand == Formation.None)
            {
                _cation0[f.Cation] += weight;
                _cationH[f.Cation] += h * weight;
            }
            else if (f.Cation == Formation.None)
            {
                _ligand0[f.Ligand] += weight;
                _ligandH[f.Ligand] += h * weight;
                _ligandHH[f.Ligand] += h * h * weight;
            }
            else
            {
                int ml = f.Cation * Ligands + f.Ligand;
                _pair[ml] += weight;
                _pairH[ml] += h * weight;
                _pairHH[ml] += h * h * weight;
            }
        }
    }

    private void SumProtons()
    {
        bool open = _carbonRule != CarbonRule.Total;
        SilicaMolalities(out double none, out double once, out double twice);
        double silica = none + once + twice;
        double excess = ProtonMolality - HydroxideMolality - once - 2 * twice;
        double spread = ProtonMolality + HydroxideMolality;
        if (silica > 0)
        {
            spread += once + 4 * twice - (once + 2 * twice) * (once + 2 * twice) / silica;
        }

        for (int i = 0; i < _presentCount; i++)
        {
            int m = _present[i];
            double bound = -_cationH[m] * _cation[m];
            excess -= bound;
            spread += bound * (1 - bound / Math.Max(_cation0[m] * _cation[m], double.Epsilon));
        }

        for (int l = 0; l < Ligands; l++)
        {
            if (_ligand[l] == 0)
            {
                continue;
            }

            double amount = _ligand0[l];
            double first = _ligandH[l];
            double second = _ligandHH[l];
            for (int i = 0; i < _presentCount; i++)
            {
                int m = _present[i];
                int ml = m * Ligands + l;
                amount += _cation[m] * _pair[ml];
                first += _cation[m] * _pairH[ml];
                second += _cation[m] * _pairHH[ml];
            }

            if (l == Carbon && open)
            {
                excess += _ligand[l] * (first - 2 * amount);
                spread += _ligand[l] * (second - 4 * first + 4 * amount);
            }
            else
            {
                excess += _ligand[l] * first;
                spread += _ligand[l] * (second - first * first / amount);
            }
        }

        _protonExcess = excess;
        _slope = -Ln10 * spread;
    }

    private void SilicaMolalities(out double none, out double once, out double twice)
    {
        double gamma = _gamma[(int)Species.SilicicAcid];
        double r1 = _silicate1 * gamma / (_gamma[(int)Species.Trihydrogensilicate] * _protonActivity);
        double r2 =
            _silicate2
            * gamma
            / (_gamma[(int)Species.Dihydrogensilicate] * _protonActivity * _protonActivity);
        none = _total[(int)Component.Silica] / (1 + r1 + r2);
        once = none * r1;
        twice = none * r2;
    }

    private void SolveCations()
    {
        for (int i = 0; i < _presentCount; i++)
        {
            int m = _present[i];
            int row = m * Ligands;
            double sum =
                _cation0[m]
                + _pair[row] * _ligand[0]
                + _pair[row + 1] * _ligand[1]
                + _pair[row + 2] * _ligand[2]
                + _pair[row + 3] * _ligand[3];
            _cation[m] = _cationTotal[m] / sum; // eq. water-21
        }
    }

    /// <summary>Sum over the species of a ligand, per molality of the free ligand [-].</summary>
    private double LigandSum(int l)
    {
        double sum = _ligand0[l];
        for (int i = 0; i < _presentCount; i++)
        {
            int m = _present[i];
            sum += _cation[m] * _pair[m * Ligands + l];
        }

        return sum;
    }

    private SpeciationStatus BalancePairs(bool closedCarbon)
    {
        int count = closedCarbon ? Ligands : Ligands - 1;
        if (!closedCarbon)
        {
            double proton = _protonActivity;
            double beta = _beta[CarbonDioxide];
            _ligand[Carbon] =
                _carbonDioxideActivity / (beta * proton * proton * _gamma[(int)Species.Carbonate]); // eq. water-22
        }

        Sweep(count);
        double worst = double.PositiveInfinity;
        for (int iteration = 0; iteration < 500; iteration++)
        {
            SolveCations();
            worst = 0;
            for (int l = 0; l < count; l++)
            {
                double sum = _ligand[l] * LigandSum(l);
                double residual = sum - _ligandTotal[l]; // eq. water-23
                worst = Math.Max(worst, _ligandTotal[l] > 0 ? Math.Abs(residual) / _ligandTotal[l] : 0);
                _step[l] = -residual;
                for (int k = 0; k <= l; k++)
                {
                    double shared = 0;
                    for (int i = 0; i < _presentCount; i++)
                    {
                        int m = _present[i];
                        int row = m * Ligands;
                        double sum0 = _cation[m] * _cation[m] / _cationTotal[m];
                        shared += sum0 * _pair[row + l] * _pair[row + k];
                    }

                    _jacobian[l * Ligands + k] = -_ligand[l] * _ligand[k] * shared;
                    _jacobian[k * Ligands + l] = _jacobian[l * Ligands + k];
                }

                _jacobian[l * Ligands + l] += sum > 0 ? sum : 1;
            }

            if (worst <= 1e-13)
            {
                return SpeciationStatus.Solved;
            }

            if (iteration > 40 || !SolveStep(count))
            {
                Sweep(count);
            }
            else
            {
                for (int l = 0; l < count; l++)
                {
                    _ligand[l] *= Math.Exp(_step[l]);
                }
            }
        }

        return worst <= RoundOff ? SpeciationStatus.Solved : SpeciationStatus.NotConverged;
    }

    private void Sweep(int count)
    {
        for (int l = 0; l < count; l++)
        {
            _ligand[l] = _ligandTotal[l] / LigandSum(l);
        }
    }

    /// <summary>Newton step in the logarithms of the free ligands; false when it is too long to be trusted.</summary>
    private bool SolveStep(int count)
    {
        for (int p = 0; p < count; p++)
        {
            double pivot = _jacobian[p * Ligands + p];
            for (int r = p + 1; r < count; r++)
            {
                double factor = _jacobian[r * Ligands + p] / pivot;
                for (int c = p + 1; c < count; c++)
                {
                    _jacobian[r * Ligands + c] -= factor * _jacobian[p * Ligands + c];
                }

                _step[r] -= factor * _step[p];
            }
        }

        bool isShort = true;
        for (int r = count - 1; r >= 0; r--)
        {
            double sum = _step[r];
            for (int c = r + 1; c < count; c++)
            {
                sum -= _jacobian[r * Ligands + c] * _step[c];
            }

            _step[r] = sum / _jacobian[r * Ligands + r];
            isShort &= Math.Abs(_step[r]) < 0.5;
        }

        return isShort;
    }

    /// <summary>
    /// Finds the carbonate that makes up a given alkalinity at a given pH. Starting without carbonate, the alkalinity left
    /// for it only grows from sweep to sweep, so there is a solution exactly when some is left at the start.
    /// </summary>
    private SpeciationStatus BalanceToAlkalinity()
    {
        double last = 0;
        double change = double.PositiveInfinity;
        _ligand[Carbon] = 0;
        for (int iteration = 0; iteration < 500; iteration++)
        {
            for (int sweep = 0; sweep < (iteration == 0 ? 60 : 1); sweep++)
            {
                SolveCations();
                Sweep(Ligands - 1);
            }

            double perCarbonate = 2 * _ligand0[Carbon] - _ligandH[Carbon];
            for (int i = 0; i < _presentCount; i++)
            {
                int m = _present[i];
                int ml = m * Ligands + Carbon;
                perCarbonate += _cation[m] * (2 * _pair[ml] - _pairH[ml]);
            }

            _ligand[Carbon] = 0;
            SumProtons();
            double left = _alkalinity - 2 * _total[(int)Component.Phosphate] + _protonExcess; // eq. water-24
            double noise = 1e-9 * (Math.Abs(_alkalinity) + FreeIons() + ProtonMolality + HydroxideMolality);
            if (iteration == 0)
            {
                _carbonIsMissing = left < -noise;
                if (_carbonIsMissing)
                {
                    return SpeciationStatus.Solved; // without carbon; refused unless the ionic strength still changes that
                }
            }

            _ligand[Carbon] = Math.Max(0, left) / perCarbonate;
            if (_ligand[Carbon] * LigandSum(Carbon) > GreatestCarbon)
            {
                return SpeciationStatus.NoSuchCarbon;
            }

            change = Math.Abs(_ligand[Carbon] - last);
            if (iteration > 0 && change <= 1e-13 * last)
            {
                return SpeciationStatus.Solved;
            }

            last = _ligand[Carbon];
        }

        return change <= RoundOff * last ? SpeciationStatus.Solved : SpeciationStatus.NotConverged;
    }
}
