/* Reads a case and derives what the equations need. Format: one "name value" or "name ion value" per line; # starts a comment. */
#include "bed.h"
#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const ion_names[IONS] = {"Na", "K", "Mg", "Ca", "Cl", "NO3", "SO4", "TIC", "Si"};
const double ion_charge[IONS] = {1, 1, 2, 2, 1, 1, 2, 1, 1};

static int ion_of(const char *name) {
  for (int i = 0; i < IONS; i++)
    if (strcmp(name, ion_names[i]) == 0) return i;
  return -1;
}

static double *scalar_of(Case *c, const char *name) {
  const struct { const char *name; double *at; } all[] = {
      {"flow_L_per_min", &c->flow_L_per_min}, {"settled_volume_L", &c->settled_L}, {"diameter_m", &c->diameter_m},
      {"bead_diameter_m", &c->bead_m}, {"porosity", &c->porosity}, {"cation_share", &c->cation_share},
      {"viscosity_m2_per_s", &c->viscosity_m2_per_s}, {"cation_capacity_eq_per_m3", &c->cation_capacity},
      {"anion_capacity_eq_per_m3", &c->anion_capacity}, {"pK1", &c->pK1}, {"pK2", &c->pK2}, {"pKw", &c->pKw},
      {"pK_silica", &c->pKs}, {"pH_feed", &c->pH_feed}, {"diffusivity_H_m2_per_s", &c->D_H},
      {"diffusivity_OH_m2_per_s", &c->D_OH}, {"run_over_stoichiometric", &c->run_over_stoichiometric}};
  for (size_t i = 0; i < sizeof all / sizeof *all; i++)
    if (strcmp(name, all[i].name) == 0) return all[i].at;
  return NULL;
}

static double *of_ion(Case *c, const char *name, int ion) {
  if (strcmp(name, "feed_mg_per_L") == 0) return &c->feed_mg_per_L[ion];
  if (strcmp(name, "molar_mass_g_per_mol") == 0) return &c->molar_mass[ion];
  if (strcmp(name, "diffusivity_m2_per_s") == 0) return &c->D[ion];
  if (strcmp(name, "selectivity") == 0) return &c->selectivity[ion];
  return NULL;
}

static double film(const Case *c, double D, double superficial) {
  double Re = superficial * c->bead_m / c->viscosity_m2_per_s, Sc = c->viscosity_m2_per_s / D;
  return 1.09 * cbrt(Re * Sc) / c->porosity * D / c->bead_m;
}

static void derive(Case *c) {
  c->K1 = 1e3 * pow(10, -c->pK1);
  c->K2 = 1e3 * pow(10, -c->pK2);
  c->Kw = 1e6 * pow(10, -c->pKw);
  c->Ks = 1e3 * pow(10, -c->pKs);

  double balance = 0, cations = 0, anions = 0;
  for (int i = 0; i < IONS; i++) {
    if (i == TIC) continue;
    c->feed[i] = c->feed_mg_per_L[i] / c->molar_mass[i];
    if (i < CATIONS) cations += ion_charge[i] * c->feed[i];
    else anions += ion_charge[i] * c->feed[i];
    if (i != SI) balance += (i < CATIONS ? 1 : -1) * ion_charge[i] * c->feed[i];
  }
  c->feed[TIC] = balance * (1 + 1e3 * pow(10, -c->pH_feed) / c->K1);
  anions += c->feed[TIC];

  double pi = 3.14159265358979323846, section = pi / 4 * c->diameter_m * c->diameter_m;
  double flow = c->flow_L_per_min / 60e3, u = flow / section, length = c->settled_L * 1e-3 / section;
  double area = 6 * (1 - c->porosity) / c->bead_m;
  double Qc = c->cation_share * c->cation_capacity, Qa = (1 - c->cation_share) * c->anion_capacity;
  c->film_H = film(c, c->D_H, u);
  c->film_OH = film(c, c->D_OH, u);
  for (int i = 0; i < IONS; i++) {
    int cation = i < CATIONS;
    double a = area * (cation ? c->cation_share : 1 - c->cation_share);
    double capacity = cation ? c->cation_capacity : c->anion_capacity;
    c->film[i] = film(c, c->D[i], u);
    c->transfer[i] = c->film[i] * a * length / u;
    c->uptake[i] = ion_charge[i] * c->film[i] * a / (cation ? Qc : Qa) / (flow * 1e3);
    double k = c->selectivity[i];
    c->equilibrium[i] = i == MG || i == CA ? 1 / (k * k * capacity) : i == SO4 ? 1 / (k * capacity) : 1 / k;
  }
  double cation_L = Qc * c->settled_L / cations, anion_L = Qa * c->settled_L / anions;
  c->run_L = c->run_over_stoichiometric * fmax(cation_L, anion_L);
}

int case_read(const char *path, Case *c) {
  FILE *f = fopen(path, "r");
  if (f == NULL) { fprintf(stderr, "%s: cannot be read\n", path); return 1; }
  for (size_t i = 0; i < sizeof *c / sizeof(double); i++) ((double *)c)[i] = NAN;
  c->feed_mg_per_L[TIC] = c->molar_mass[TIC] = 0;

  char line[256], name[64], second[64], third[64];
  int number = 0, bad = 0;
  while (fgets(line, sizeof line, f) != NULL) {
    number++;
    line[strcspn(line, "#\n")] = 0;
    int fields = sscanf(line, "%63s %63s %63s", name, second, third);
    if (fields <= 0) continue;
    int ion = fields == 3 ? ion_of(second) : -1;
    double *at = fields == 2 ? scalar_of(c, name) : ion >= 0 ? of_ion(c, name, ion) : NULL;
    char *end = NULL, *text = fields == 3 ? third : second;
    double value = strtod(text, &end);
    if (at == NULL || *end != 0) { fprintf(stderr, "%s:%d: not understood: %s\n", path, number, line); bad = 1; }
    else *at = value;
  }
  fclose(f);
  if (bad) return 1;
  derive(c);
  for (size_t i = 0; i < sizeof *c / sizeof(double); i++)
    if (isnan(((double *)c)[i])) { fprintf(stderr, "%s: a value is missing\n", path); return 1; }
  return 0;
}

double water_hydrogen(const Case *c, const double *v, double H) {
  double strong = v[NA] + v[K] + 2 * (v[MG] + v[CA]) - v[CL] - v[NO3] - 2 * v[SO4];
  double low = 0, high = INFINITY;
  if (!(H > 1e-13 && H < 1e4)) H = sqrt(c->Kw);
  for (int i = 0; i < 200; i++) { /* charge rises with H: a bracketed Newton in ln H */
    double D = H * H + c->K1 * H + c->K1 * c->K2, alpha = (c->K1 * H + 2 * c->K1 * c->K2) / D, beta = c->Ks / (H + c->Ks);
    double charge = H - c->Kw / H + strong - v[TIC] * alpha - v[SI] * beta;
    double slope = H + c->Kw / H - v[TIC] * H * (c->K1 - alpha * (2 * H + c->K1)) / D + v[SI] * beta * H / (H + c->Ks);
    double step = fmax(-1.5, fmin(1.5, -charge / slope));
    if (charge > 0) high = H;
    else low = H;
    double next = H * (2 + step) / (2 - step);
    if (!(next > low && next < high) && fabs(step) > 1e-9) next = low > 0 ? sqrt(low * high) : H / 4;
    H = next;
    if (fabs(step) < 1e-8) break;
  }
  return H;
}

double water_conductivity(const Case *c, const double *v, double H) {
  static const double molar[IONS] = {50.1, 73.5, 106, 119, 76.3, 71.4, 160, 0, 0}; /* S cm2/mol */
  double D = H * H + c->K1 * H + c->K1 * c->K2, sum = 349.8 * H + 198.6 * c->Kw / H;
  sum += v[TIC] * (44.5 * c->K1 * H + 2 * 69.3 * c->K1 * c->K2) / D;
  for (int i = 0; i < IONS; i++) sum += molar[i] * v[i];
  return sum;
}
