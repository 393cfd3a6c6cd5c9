/*
 * The chemistry of one cell. With theta = counter-ion at the interface / its fraction in the resin, every c* is linear in
 * theta (single charge) or in theta^2 (double charge), so that each resin's film balance is a quadratic with one positive
 * root, and what is left is one equation in bulk H+ that rises monotonically: a bracketed Newton finds it.
 */
#include "bed.h"
#include <math.h>

void grid_make(const Case *c, double share, int exponential, Grid *g) {
  for (int i = 0; i < IONS; i++) {
    double n = c->transfer[i] * share;
    g->mean_weight[i] = exponential ? -expm1(-n) / n : 1 / (1 + n / 2);
    g->out_weight[i] = exponential ? exp(-n) : (1 - n / 2) / (1 + n / 2);
    g->w[i] = ion_charge[i] * c->film[i] * g->mean_weight[i] / (i < CATIONS ? c->film_H : c->film_OH);
    g->rate[i] = c->uptake[i] * g->mean_weight[i];
  }
}

/*
 * The counter-ion is what the others leave; an iterate of CVODE may leave less than nothing. Below `few` it is continued by
 * a positive tangent exponential, which no accepted solution reaches; `slope` is its derivative.
 */
static double counter_ion(double left, double *slope) {
  const double few = 1e-8;
  if (left >= few) { *slope = 1; return left; }
  double y = few * exp(fmax(left / few - 1, -40));
  *slope = y / few;
  return y;
}

static double positive_root(double quadratic, double linear, double rhs) {
  return 2 * rhs / (linear + sqrt(linear * linear + 4 * quadratic * rhs));
}

static void stars(const Case *c, const double *y, const Interface *s, double *star) {
  const double *e = c->equilibrium;
  double tc = s->theta_c, ta = s->theta_a;
  star[NA] = tc * y[NA] * e[NA];
  star[K] = tc * y[K] * e[K];
  star[MG] = tc * tc * y[MG] * e[MG];
  star[CA] = tc * tc * y[CA] * e[CA];
  star[CL] = ta * y[CL] * e[CL];
  star[NO3] = ta * y[NO3] * e[NO3];
  star[SO4] = ta * ta * y[SO4] * e[SO4];
  star[TIC] = y[TIC] * e[TIC] * (ta + c->Kw / (s->y_OH * c->K1) + ta * ta * s->y_OH * c->K2 / c->Kw);
  star[SI] = y[SI] * e[SI] * (ta + c->Kw / (s->y_OH * c->Ks));
}

int cell_solve(const Case *c, const Grid *g, const double *in, const double *y, Interface *s, double *star) {
  const double *e = c->equilibrium, *w = g->w, *f = g->mean_weight;
  double Kw = c->Kw, K1 = c->K1, K2 = c->K2, Ks = c->Ks;
  double yH = counter_ion(1 - (y[NA] + y[K] + y[MG] + y[CA]), &s->slope_H);
  double yOH = counter_ion(1 - (y[CL] + y[NO3] + y[SO4] + y[TIC] + y[SI]), &s->slope_OH);

  /* Film balances: l theta + q theta^2 = counter-ion in the bulk + p. */
  double en = e[NA] * y[NA], ek = e[K] * y[K], em = e[MG] * y[MG], ec = e[CA] * y[CA];
  double lc = yH + w[NA] * en + w[K] * ek, qc = w[MG] * em + w[CA] * ec;
  double pc = w[NA] * in[NA] + w[K] * in[K] + w[MG] * in[MG] + w[CA] * in[CA];
  double el = e[CL] * y[CL], eo = e[NO3] * y[NO3], es = e[SO4] * y[SO4], et = e[TIC] * y[TIC], ei = e[SI] * y[SI];
  double t0 = et * Kw / (yOH * K1), t2 = et * yOH * K2 / Kw, i0 = ei * Kw / (yOH * Ks);
  double la = yOH + w[CL] * el + w[NO3] * eo + w[TIC] * et + w[SI] * ei, qa = w[SO4] * es + w[TIC] * t2;
  double pa = w[CL] * in[CL] + w[NO3] * in[NO3] + w[SO4] * in[SO4] + w[TIC] * (in[TIC] - t0) + w[SI] * (in[SI] - i0);

  /* Charge of the mean liquid: strong = n0 + n1 tc + n2 tc^2 - (m1 ta + m2 ta^2); total carbon and silica likewise. */
  double n0 = f[NA] * in[NA] + f[K] * in[K] + 2 * (f[MG] * in[MG] + f[CA] * in[CA]) - f[CL] * in[CL] -
              f[NO3] * in[NO3] - 2 * f[SO4] * in[SO4];
  double n1 = (1 - f[NA]) * en + (1 - f[K]) * ek, n2 = 2 * ((1 - f[MG]) * em + (1 - f[CA]) * ec);
  double m1 = (1 - f[CL]) * el + (1 - f[NO3]) * eo, m2 = 2 * (1 - f[SO4]) * es;
  double g0 = f[TIC] * in[TIC] + (1 - f[TIC]) * t0, g1 = (1 - f[TIC]) * et, g2 = (1 - f[TIC]) * t2;
  double k0 = f[SI] * in[SI] + (1 - f[SI]) * i0, k1 = (1 - f[SI]) * ei;

  double H = s->H, low = 0, high = INFINITY, tc = 0, ta = 0;
  if (!(H > 1e-13 && H < 1e4)) H = sqrt(Kw);
  for (int iteration = 0; iteration < 100; iteration++) {
    double OH = Kw / H;
    if (!(OH + pa > 0)) { /* no interface OH- possible: H+ is too high for this loading */
      high = H;
      H = low > 0 ? sqrt(low * high) : H / 4;
      if (H < 1e-13) return 1;
      continue;
    }
    tc = positive_root(qc, lc, H + pc);
    ta = positive_root(qa, la, OH + pa);
    double carbon = g0 + ta * (g1 + ta * g2), silica = k0 + ta * k1;
    double D = H * H + K1 * H + K1 * K2, N = K1 * H + 2 * K1 * K2, rD = 1 / D, rS = 1 / (H + Ks);
    double alpha = N * rD, beta = Ks * rS;
    double charge = H - OH + n0 + tc * (n1 + tc * n2) - ta * (m1 + ta * m2) - alpha * carbon - beta * silica;
    double dtc = H / (lc + 2 * qc * tc), dta = -OH / (la + 2 * qa * ta); /* by ln H */
    double dalpha = H * (K1 - alpha * (2 * H + K1)) * rD, dbeta = -beta * H * rS;
    double slope = H + OH + dtc * (n1 + 2 * tc * n2) - dalpha * carbon - dbeta * silica -
                   dta * (m1 + 2 * ta * m2 + alpha * (g1 + 2 * ta * g2) + beta * k1);
    double step = -charge / slope;
    if (charge > 0) high = H;
    else low = H;
    if (step > 1.5) step = 1.5;
    if (step < -1.5) step = -1.5;
    double next = H * (2 + step) / (2 - step);
    if (!(next > low && next < high) && fabs(step) > 1e-9) next = low > 0 ? sqrt(low * high) : H / 4;
    H = next;
    if (fabs(step) < 1e-7) {
      s->H = H;
      OH = Kw / H;
      s->theta_c = positive_root(qc, lc, H + pc);
      s->theta_a = positive_root(qa, la, fmax(OH + pa, 1e-300));
      s->y_H = yH;
      s->y_OH = yOH;
      s->mean_tic = g0 + s->theta_a * (g1 + s->theta_a * g2);
      s->mean_si = k0 + s->theta_a * k1;
      stars(c, y, s, star);
      return 0;
    }
  }
  return 1;
}

void cell_interface(const Case *c, const double *bulk, const double *y, double H, double *star) {
  Grid g;
  for (int i = 0; i < IONS; i++) g.w[i] = ion_charge[i] * c->film[i] / (i < CATIONS ? c->film_H : c->film_OH);
  const double *e = c->equilibrium, *w = g.w;
  Interface s = {0};
  s.y_H = counter_ion(1 - (y[NA] + y[K] + y[MG] + y[CA]), &s.slope_H);
  s.y_OH = counter_ion(1 - (y[CL] + y[NO3] + y[SO4] + y[TIC] + y[SI]), &s.slope_OH);
  double OH = c->Kw / H;
  double pc = H, pa = OH - w[TIC] * y[TIC] * e[TIC] * c->Kw / (s.y_OH * c->K1) - w[SI] * y[SI] * e[SI] * c->Kw / (s.y_OH * c->Ks);
  for (int i = 0; i < IONS; i++) *(i < CATIONS ? &pc : &pa) += w[i] * bulk[i];
  pc = fmax(pc, 1e-12); /* an iterate may hold a little less than no liquid */
  pa = fmax(pa, 1e-12);
  s.theta_c = positive_root(w[MG] * e[MG] * y[MG] + w[CA] * e[CA] * y[CA], s.y_H + w[NA] * e[NA] * y[NA] + w[K] * e[K] * y[K], pc);
  double la = s.y_OH + w[CL] * e[CL] * y[CL] + w[NO3] * e[NO3] * y[NO3] + w[TIC] * e[TIC] * y[TIC] + w[SI] * e[SI] * y[SI];
  s.theta_a = positive_root(w[SO4] * e[SO4] * y[SO4] + w[TIC] * e[TIC] * y[TIC] * s.y_OH * c->K2 / c->Kw, la, pa);
  stars(c, y, &s, star);
}

/*
 * Around the solution, with d1 = d ln theta_c, d2 = d ln theta_a, d3 = d ln H:
 *   a1 d1 - h  d3 = sum_cations w_i (dc_i - s_i dy_i) + theta_c sum dy_i
 *   a2 d2 + oh d3 = sum_anions  w_i (dc_i - s_i dy_i - t_i dy_OH) - theta_a dy_OH
 *   b1 d1 + b2 d2 + a3 d3 = -sum_i q_i (f_i dc_i + (1 - f_i)(s_i dy_i + t_i dy_OH))
 * where dc is the change of the entering liquid and dy_OH = -sum_anions dy_i.
 */
void cell_tangent(const Case *c, const Grid *g, const double *y, const Interface *v, Tangent *d) {
  const double *e = c->equilibrium, *f = g->mean_weight, *w = g->w;
  double tc = v->theta_c, ta = v->theta_a, yOH = v->y_OH, H = v->H, OH = c->Kw / H;
  d->theta_c = tc;
  d->theta_a = ta;
  for (int i = 0; i < IONS; i++) {
    int twice = i == MG || i == CA || i == SO4;
    double theta = i < CATIONS ? tc : ta;
    d->s[i] = e[i] * (twice ? theta * theta : theta);
    d->m[i] = d->s[i] * y[i] * (twice ? 2 : 1);
    d->t[i] = 0;
    d->q[i] = (i < CATIONS ? 1 : -1) * ion_charge[i];
  }
  double sixth = y[TIC] * e[TIC];
  d->s[TIC] = e[TIC] * (ta + c->Kw / (yOH * c->K1) + ta * ta * yOH * c->K2 / c->Kw);
  d->m[TIC] = sixth * (ta + 2 * ta * ta * yOH * c->K2 / c->Kw);
  d->t[TIC] = sixth * (-c->Kw / (yOH * yOH * c->K1) + ta * ta * c->K2 / c->Kw);
  d->s[SI] = e[SI] * (ta + c->Kw / (yOH * c->Ks));
  d->m[SI] = y[SI] * e[SI] * ta;
  d->t[SI] = -y[SI] * e[SI] * c->Kw / (yOH * yOH * c->Ks);

  double D = H * H + c->K1 * H + c->K1 * c->K2, alpha = (c->K1 * H + 2 * c->K1 * c->K2) / D, beta = c->Ks / (H + c->Ks);
  d->q[TIC] = -alpha;
  d->q[SI] = -beta;
  double dalpha = H * (c->K1 - alpha * (2 * H + c->K1)) / D, dbeta = -beta * H / (H + c->Ks);
  d->h = H;
  d->oh = OH;
  d->theta_c *= v->slope_H;
  d->theta_a *= v->slope_OH;
  d->t[TIC] *= v->slope_OH;
  d->t[SI] *= v->slope_OH;
  d->a1 = tc * v->y_H;
  d->a2 = ta * yOH;
  d->a3 = H + OH - dalpha * v->mean_tic - dbeta * v->mean_si;
  d->b1 = d->b2 = 0;
  for (int i = 0; i < IONS; i++) {
    *(i < CATIONS ? &d->a1 : &d->a2) += w[i] * d->m[i];
    *(i < CATIONS ? &d->b1 : &d->b2) += d->q[i] * (1 - f[i]) * d->m[i];
  }
}
