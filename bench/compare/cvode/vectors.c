/*
 * The vector operations that CVODE spends its time in, compiled here for the machine at hand. The library's own are built
 * for any x86-64 and take most of the run (vectors=library shows it).
 */
#include "bed.h"
#include <math.h>
#include <nvector/nvector_serial.h>

static void linear_sum(realtype a, N_Vector x, realtype b, N_Vector y, N_Vector z) {
  const double *X = NV_DATA_S(x), *Y = NV_DATA_S(y);
  double *Z = NV_DATA_S(z);
  for (long i = 0, n = NV_LENGTH_S(x); i < n; i++) Z[i] = a * X[i] + b * Y[i];
}

static void scale(realtype a, N_Vector x, N_Vector z) {
  const double *X = NV_DATA_S(x);
  double *Z = NV_DATA_S(z);
  for (long i = 0, n = NV_LENGTH_S(x); i < n; i++) Z[i] = a * X[i];
}

static void constant(realtype a, N_Vector z) {
  double *Z = NV_DATA_S(z);
  for (long i = 0, n = NV_LENGTH_S(z); i < n; i++) Z[i] = a;
}

static realtype weighted_norm(N_Vector x, N_Vector w) {
  const double *X = NV_DATA_S(x), *W = NV_DATA_S(w);
  double sum[8] = {0};
  long n = NV_LENGTH_S(x), i = 0;
  for (; i + 8 <= n; i += 8)
    for (int k = 0; k < 8; k++) sum[k] += X[i + k] * W[i + k] * X[i + k] * W[i + k];
  for (; i < n; i++) sum[0] += X[i] * W[i] * X[i] * W[i];
  double all = 0;
  for (int k = 0; k < 8; k++) all += sum[k];
  return sqrt(all / n);
}

static int linear_combination(int count, realtype *a, N_Vector *x, N_Vector z) {
  double *Z = NV_DATA_S(z);
  long n = NV_LENGTH_S(z);
  double a0 = a[0];
  const double *X0 = NV_DATA_S(x[0]);
  if (X0 != Z || a0 != 1)
    for (long i = 0; i < n; i++) Z[i] = a0 * X0[i];
  for (int k = 1; k < count; k++) {
    const double *X = NV_DATA_S(x[k]);
    double ak = a[k];
    for (long i = 0; i < n; i++) Z[i] += ak * X[i];
  }
  return 0;
}

static int scale_add_multi(int count, realtype *a, N_Vector x, N_Vector *y, N_Vector *z) {
  for (int k = 0; k < count; k++) linear_sum(a[k], x, 1, y[k], z[k]);
  return 0;
}

void vectors_for_this_machine(void *vector) {
  N_Vector_Ops ops = ((N_Vector)vector)->ops;
  ops->nvlinearsum = linear_sum;
  ops->nvscale = scale;
  ops->nvconst = constant;
  ops->nvwrmsnorm = weighted_norm;
  ops->nvlinearcombination = linear_combination;
  ops->nvscaleaddmulti = scale_add_multi;
}
