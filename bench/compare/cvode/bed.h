/*
 * A mixed bed (four cations, three strong anions, total carbon, silica; film kinetics) as a method-of-lines system.
 * Equations and constants: data/reference-codes/sundials-cvode/README.md, "the case" below.
 *
 * Units: litres of water treated are the independent variable; concentrations are mol/m3, y is the equivalent fraction of
 * an ion in its resin, lengths m, time s unless a name says otherwise.
 */
#ifndef BED_H
#define BED_H

#include <stdio.h>

enum { NA, K, MG, CA, CL, NO3, SO4, TIC, SI, IONS, CATIONS = CL };

/* One case: what the case file says, and what follows from it. */
typedef struct {
  double flow_L_per_min, settled_L, diameter_m, bead_m, porosity, cation_share, viscosity_m2_per_s;
  double cation_capacity, anion_capacity;        /* eq per m3 of that resin */
  double pK1, pK2, pKw, pKs;
  double pH_feed, feed_mg_per_L[IONS], molar_mass[IONS]; /* total carbon is derived, not given */
  double D[IONS], D_H, D_OH;                     /* m2/s */
  double selectivity[IONS];
  double run_over_stoichiometric;

  double K1, K2, Kw, Ks;                         /* mol/m3, Kw (mol/m3)^2 */
  double feed[IONS];                             /* mol/m3 */
  double equilibrium[IONS];                      /* c* = theta^z y * equilibrium (total carbon and silica: of the ionised part) */
  double film[IONS], film_H, film_OH;            /* m/s */
  double transfer[IONS];                         /* k a / u * bed length: transfer units of the whole bed */
  double uptake[IONS];                           /* dy per litre, per mol/m3 of driving force */
  double run_L;
} Case;

extern const char *const ion_names[IONS];
extern const double ion_charge[IONS];

/* Reads a case file; prints what is wrong and returns nonzero when it cannot. */
int case_read(const char *path, Case *c);

/* H+ [mol/m3] of a water from electroneutrality, near a guess, and its conductivity [uS/cm] by the simple sum. */
double water_hydrogen(const Case *c, const double *conc, double guess);
double water_conductivity(const Case *c, const double *conc, double H);

/*
 * One cell of the quasi-steady march. The liquid relaxes towards the interface concentration c*, which is evaluated with the
 * cell's mean liquid: mean = c* + mean_weight (in - c*), out = c* + out_weight (in - c*).
 */
typedef struct {
  double mean_weight[IONS], out_weight[IONS];
  double w[IONS];          /* charge * film * mean_weight / film of the counter-ion */
  double rate[IONS];       /* dy per litre per mol/m3 of (in - c*) */
} Grid;

/* Solution of a cell's interface: theta = counter-ion at the interface over its fraction in the resin; see counter_ion. */
typedef struct { double H, theta_c, theta_a, y_H, y_OH, slope_H, slope_OH, mean_tic, mean_si; } Interface;

/* `share` is the thickness of the cell over the bed's depth. */
void grid_make(const Case *c, double share, int exponential, Grid *g);

/* Returns nonzero when the loading is not physical (no counter-ion left). `s->H` is the first guess. */
int cell_solve(const Case *c, const Grid *g, const double *in, const double *y, Interface *s, double *star);

/* Interface of a cell whose bulk liquid is known, for the dynamic form. */
void cell_interface(const Case *c, const double *bulk, const double *y, double H, double *star);

/* Derivatives of a cell around its solution, as the exact low-rank form (see cell.c). */
typedef struct {
  double s[IONS], t[IONS], m[IONS]; /* dc*_i by y_i, by y_OH, by ln(theta) */
  double q[IONS];                   /* charge of ion i in the bulk balance */
  double a1, a2, a3, h, oh, b1, b2;
  double theta_c, theta_a;
} Tangent;

void cell_tangent(const Case *c, const Grid *g, const double *y, const Interface *s, Tangent *d);

/* Quasi-steady bed. State: cells x IONS fractions, then IONS sums taken up by the bed from the liquid's point of view. */
typedef struct {
  Case c;
  int cells;
  Grid *grid;             /* per cell */
  double *share;          /* thickness of each cell over the depth */
  Interface *interface;   /* per cell; H is the next first guess */
  double *liquid;         /* (cells + 1) x IONS: entering liquid of each cell, then the effluent */
  double *last_y;         /* the state of the last march */
  Tangent *tangent;
  double *factor;         /* per cell: the reduced factors of I - gamma J */
  double gamma;
  long marches;
} March;

/* Cells shrink geometrically from inlet to outlet, the first `grading` times as thick as the last. */
int march_make(March *b, const Case *c, int cells, double grading, int exponential);
void march_free(March *b);
int march_rates(March *b, const double *y, double *dy);
int march_linearise(March *b, const double *y, double gamma);
/* Solves (I - gamma J) x = r exactly; with couple = 0 the coupling to upstream cells is dropped (a block preconditioner). */
void march_solve(March *b, const double *r, double *x, int couple);

/* Dynamic liquid: cells x (IONS liquid, IONS fractions), so that the Jacobian is a narrow band. */
typedef struct { Case c; int cells; double *H; double storage; long evaluations; } Dynamic;

enum { DYNAMIC_LOWER = 4 * IONS, DYNAMIC_UPPER = 2 * IONS - 1 };
int dynamic_make(Dynamic *b, const Case *c, int cells);
/* The new bed, its liquid in quasi-steady state. */
int dynamic_start(const Dynamic *b, double *state);
void dynamic_free(Dynamic *b);
void dynamic_rates(Dynamic *b, const double *state, double *rates);
void dynamic_effluent(const Dynamic *b, const double *state, double *out);

/* Replaces the busiest operations of an N_Vector (and of what is cloned from it) by ones compiled for this machine. */
void vectors_for_this_machine(void *vector);

#endif
