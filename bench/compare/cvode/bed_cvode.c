/*
 * Solves one bed life with SUNDIALS CVODE (BDF, modified Newton) and prints the effluent curve, the balance and the time of
 * the integration alone (set-up of CVODE and interpolation included, turning states into effluent not).
 *
 *   bed_cvode CASE [cells=100] [rtol=1e-5] [atol=rtol*1e-3] [points=301] [repeat=1] [order=5]
 *                  [linear=direct|gmres|plain|band] [space=exponential|box]
 *                  [vectors=own|library] [grading=1] [curve=1]
 *
 * direct: quasi-steady liquid, exact block lower triangular solve.   gmres: the same system, Krylov, block preconditioner.
 * plain: Krylov without a preconditioner.   band: liquid with its own storage, banded Jacobian by differences.
 */
#include "bed.h"
#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdlib.h>
#include <string.h>
#include <sundials/sundials_version.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunlinsol/sunlinsol_spgmr.h>
#include <sunmatrix/sunmatrix_band.h>
#include <time.h>

typedef struct {
  const char *linear, *space, *vectors;
  int cells, points, repeat, order, curve;
  double rtol, atol, grading;
} Options;

typedef struct { double ms, cpu_ms; long steps, rates, setups, newton, krylov, errors; double balance; } Cost;

static double now_ms(clockid_t clock) {
  struct timespec t;
  clock_gettime(clock, &t);
  return t.tv_sec * 1e3 + t.tv_nsec * 1e-6;
}

static int rates(realtype litres, N_Vector y, N_Vector dy, void *bed) {
  (void)litres;
  return march_rates(bed, N_VGetArrayPointer(y), N_VGetArrayPointer(dy));
}

static int dynamic(realtype litres, N_Vector y, N_Vector dy, void *bed) {
  (void)litres;
  dynamic_rates(bed, N_VGetArrayPointer(y), N_VGetArrayPointer(dy));
  return 0;
}

/* The exact solver as CVODE sees it: a matrix and a direct linear solver whose content is the march. */
static SUNMatrix_ID custom_matrix(SUNMatrix A) { (void)A; return SUNMATRIX_CUSTOM; }
static SUNLinearSolver_Type direct_type(SUNLinearSolver S) { (void)S; return SUNLINEARSOLVER_DIRECT; }
static int factored_already(SUNLinearSolver S, SUNMatrix A) { (void)S; (void)A; return 0; }

static int linearise(realtype litres, N_Vector y, N_Vector dy, SUNMatrix A, booleantype jok, booleantype *jcur,
                     realtype gamma, void *bed, N_Vector t1, N_Vector t2, N_Vector t3) {
  (void)litres; (void)dy; (void)A; (void)jok; (void)t1; (void)t2; (void)t3;
  *jcur = SUNTRUE;
  return march_linearise(bed, N_VGetArrayPointer(y), gamma);
}

static int sweep(SUNLinearSolver S, SUNMatrix A, N_Vector x, N_Vector r, realtype tolerance) {
  (void)A; (void)tolerance;
  march_solve(S->content, N_VGetArrayPointer(r), N_VGetArrayPointer(x), 1);
  return 0;
}

static int precondition_setup(realtype litres, N_Vector y, N_Vector dy, booleantype jok, booleantype *jcur, realtype gamma,
                              void *bed) {
  (void)litres; (void)dy; (void)jok;
  *jcur = SUNTRUE;
  return march_linearise(bed, N_VGetArrayPointer(y), gamma);
}

static int precondition(realtype litres, N_Vector y, N_Vector dy, N_Vector r, N_Vector z, realtype gamma, realtype delta, int lr,
                        void *bed) {
  (void)litres; (void)y; (void)dy; (void)gamma; (void)delta; (void)lr;
  march_solve(bed, N_VGetArrayPointer(r), N_VGetArrayPointer(z), 0);
  return 0;
}

static void check(int flag, const char *call) {
  if (flag >= 0) return;
  fprintf(stderr, "%s failed with %d\n", call, flag);
  exit(3);
}

static int is(const char *a, const char *b) { return strcmp(a, b) == 0; }

/* Runs one life. effluent: points x IONS. */
static Cost run(const Case *c, const Options *o, double *effluent) {
  SUNContext context;
  check(SUNContext_Create(NULL, &context), "SUNContext_Create");
  int banded = is(o->linear, "band"), per_cell = banded ? 2 * IONS : IONS;
  long size = (long)o->cells * per_cell + (banded ? 0 : IONS);
  March march;
  Dynamic wet;
  if (banded ? dynamic_make(&wet, c, o->cells) : march_make(&march, c, o->cells, o->grading, is(o->space, "exponential"))) exit(4);

  N_Vector y = N_VNew_Serial(size, context), atol = N_VNew_Serial(size, context);
  double *a = N_VGetArrayPointer(atol), *v = N_VGetArrayPointer(y);
  for (long n = 0; n < size; n++) {
    v[n] = 0;
    a[n] = banded && n % per_cell < IONS ? o->atol * c->feed[n % per_cell] : o->atol;
  }
  if (banded && dynamic_start(&wet, v)) exit(4);

  if (is(o->vectors, "own")) {
    vectors_for_this_machine(y);
    vectors_for_this_machine(atol);
  }

  double start = now_ms(CLOCK_MONOTONIC), cpu = now_ms(CLOCK_PROCESS_CPUTIME_ID);
  void *mem = CVodeCreate(CV_BDF, context);
  check(CVodeInit(mem, banded ? dynamic : rates, 0, y), "CVodeInit");
  check(CVodeSVtolerances(mem, o->rtol, atol), "CVodeSVtolerances");
  check(CVodeSetUserData(mem, banded ? (void *)&wet : (void *)&march), "CVodeSetUserData");
  check(CVodeSetMaxNumSteps(mem, 10000000), "CVodeSetMaxNumSteps");
  check(CVodeSetMaxOrd(mem, o->order), "CVodeSetMaxOrd");
  check(CVodeSetMaxConvFails(mem, 50), "CVodeSetMaxConvFails");
  SUNMatrix A = NULL;
  SUNLinearSolver S;
  if (banded) {
    A = SUNBandMatrix(size, DYNAMIC_UPPER, DYNAMIC_LOWER, context);
    S = SUNLinSol_Band(y, A, context);
  } else if (is(o->linear, "direct")) {
    A = SUNMatNewEmpty(context);
    A->ops->getid = custom_matrix;
    S = SUNLinSolNewEmpty(context);
    S->content = &march;
    S->ops->gettype = direct_type;
    S->ops->setup = factored_already;
    S->ops->solve = sweep;
  } else {
    S = SUNLinSol_SPGMR(y, is(o->linear, "gmres") ? SUN_PREC_LEFT : SUN_PREC_NONE, 20, context);
  }
  check(CVodeSetLinearSolver(mem, S, A), "CVodeSetLinearSolver");
  if (is(o->linear, "direct")) check(CVodeSetLinSysFn(mem, linearise), "CVodeSetLinSysFn");
  if (is(o->linear, "gmres")) check(CVodeSetPreconditioner(mem, precondition_setup, precondition), "CVodeSetPreconditioner");

  Cost cost = {.ms = now_ms(CLOCK_MONOTONIC) - start, .cpu_ms = now_ms(CLOCK_PROCESS_CPUTIME_ID) - cpu};
  for (int p = 0; p < o->points; p++) {
    double litres = c->run_L * p / (o->points - 1), reached = 0;
    start = now_ms(CLOCK_MONOTONIC);
    cpu = now_ms(CLOCK_PROCESS_CPUTIME_ID);
    if (p > 0) check(CVode(mem, litres, y, &reached, CV_NORMAL), "CVode");
    cost.cpu_ms += now_ms(CLOCK_PROCESS_CPUTIME_ID) - cpu;
    cost.ms += now_ms(CLOCK_MONOTONIC) - start;
    if (banded) {
      dynamic_effluent(&wet, v, effluent + p * IONS);
    } else {
      double *dy = N_VGetArrayPointer(atol); /* scratch: the tolerances were copied by CVODE */
      if (march_rates(&march, v, dy)) check(-1, "effluent");
      memcpy(effluent + p * IONS, march.liquid + o->cells * IONS, sizeof(double) * IONS);
    }
  }

  for (int i = 0; i < IONS; i++) {
    double held = 0, passed = banded ? NAN : v[size - IONS + i];
    for (int j = 0; j < o->cells; j++) held += v[j * per_cell + per_cell - IONS + i] * (banded ? 1.0 / o->cells : march.share[j]);
    double error = fabs(held - passed) / fmax(held, 1e-300);
    if (!(error <= cost.balance)) cost.balance = error;
  }
  CVodeGetNumSteps(mem, &cost.steps);
  CVodeGetNumRhsEvals(mem, &cost.rates);
  CVodeGetNumLinSolvSetups(mem, &cost.setups);
  CVodeGetNumNonlinSolvIters(mem, &cost.newton);
  CVodeGetNumLinIters(mem, &cost.krylov);
  CVodeGetNumErrTestFails(mem, &cost.errors);

  CVodeFree(&mem);
  if (is(o->linear, "direct")) {
    SUNMatFreeEmpty(A);
    SUNLinSolFreeEmpty(S);
  } else {
    SUNLinSolFree(S);
    if (A) SUNMatDestroy(A);
  }
  N_VDestroy(y);
  N_VDestroy(atol);
  if (banded) dynamic_free(&wet);
  else march_free(&march);
  SUNContext_Free(&context);
  return cost;
}

static int option(Options *o, char *text) {
  char *value = strchr(text, '=');
  if (value == NULL) return 1;
  *value++ = 0;
  if (is(text, "linear")) o->linear = value;
  else if (is(text, "space")) o->space = value;
  else if (is(text, "vectors")) o->vectors = value;
  else if (is(text, "cells")) o->cells = atoi(value);
  else if (is(text, "points")) o->points = atoi(value);
  else if (is(text, "repeat")) o->repeat = atoi(value);
  else if (is(text, "order")) o->order = atoi(value);
  else if (is(text, "curve")) o->curve = atoi(value);
  else if (is(text, "rtol")) o->rtol = atof(value);
  else if (is(text, "grading")) o->grading = atof(value);
  else if (is(text, "atol")) o->atol = atof(value);
  else return 1;
  return 0;
}

static int ascending(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

int main(int argc, char **argv) {
  Options o = {"direct", "exponential", "own", 100, 301, 1, 5, 1, 1e-5, 0, 1};
  Case c;
  int bad = argc < 2;
  for (int i = 2; i < argc; i++)
    if (option(&o, argv[i])) { fprintf(stderr, "not understood: %s\n", argv[i]); bad = 1; }
  bad |= o.cells < 1 || o.points < 2 || o.repeat < 1 || !(o.rtol > 0) || !(o.grading > 0);
  bad |= !(is(o.linear, "direct") || is(o.linear, "gmres") || is(o.linear, "plain") || is(o.linear, "band"));
  bad |= !(is(o.vectors, "own") || is(o.vectors, "library"));
  bad |= !(is(o.space, "exponential") || is(o.space, "box"));
  if (bad) { fprintf(stderr, "usage: see the head of bed_cvode.c\n"); return 2; }
  if (case_read(argv[1], &c)) return 2;
  if (!(o.atol > 0)) o.atol = o.rtol * 1e-3;

  double *effluent = malloc(sizeof(double) * IONS * (size_t)o.points), *ms = malloc(sizeof(double) * (size_t)o.repeat);
  double *cpu = malloc(sizeof(double) * (size_t)o.repeat);
  if (effluent == NULL || ms == NULL || cpu == NULL) return 4;
  Cost cost = {0};
  for (int n = 0; n < o.repeat; n++) {
    cost = run(&c, &o, effluent);
    ms[n] = cost.ms;
    cpu[n] = cost.cpu_ms;
  }
  qsort(ms, (size_t)o.repeat, sizeof *ms, ascending);
  qsort(cpu, (size_t)o.repeat, sizeof *cpu, ascending);

  printf("# SUNDIALS %s CVODE BDF linear=%s space=%s vectors=%s cells=%d grading=%g rtol=%g atol=%g order<=%d\n", SUNDIALS_VERSION, o.linear, o.space,
         o.vectors, o.cells, o.grading, o.rtol, o.atol, o.order);
  printf("# median_ms=%.6g best_ms=%.6g cpu_ms=%.6g repeat=%d\n", ms[o.repeat / 2], ms[0], cpu[o.repeat / 2], o.repeat);
  printf("# steps=%ld rates=%ld newton=%ld setups=%ld krylov=%ld error_failures=%ld\n", cost.steps, cost.rates, cost.newton,
         cost.setups, cost.krylov, cost.errors);
  printf("# balance=%.3g\n", cost.balance);
  if (o.curve) printf("V_L,Na_mol_m3,K_mol_m3,Mg_mol_m3,Ca_mol_m3,Cl_mol_m3,NO3_mol_m3,SO4_mol_m3,TIC_mol_m3,Si_mol_m3,pH,cond_uS_cm\n");
  double H = 0;
  for (int p = 0; o.curve && p < o.points; p++) {
    const double *e = effluent + p * IONS;
    H = water_hydrogen(&c, e, H);
    printf("%.10g", c.run_L * p / (o.points - 1));
    for (int i = 0; i < IONS; i++) printf(",%.12e", e[i]);
    printf(",%.9f,%.10e\n", 3 - log10(H), water_conductivity(&c, e, H));
  }
  free(effluent);
  free(ms);
  free(cpu);
  return 0;
}
