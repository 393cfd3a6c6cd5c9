/*
 * The quasi-steady bed: liquid marched from inlet to outlet, so that a cell depends on itself and on cells upstream only.
 * I - gamma J is then block lower triangular, and one forward sweep solves it exactly: the couplings between the ions of a
 * cell go through theta_c, theta_a, H+ and y_OH alone, and those between cells through the nine concentrations that enter.
 */
#include "bed.h"
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What a cell needs for (I - gamma J) x = r; names as in march_linearise. */
typedef struct {
  double G[IONS], D[IONS], mu[IONS], tau[IONS], v[IONS], u[IONS];
  double A1, A2, A3, B1, B2, C, E, sum_mu, scale_OH;
} Factor;

int march_make(March *b, const Case *c, int cells, double grading, int exponential) {
  *b = (March){.c = *c, .cells = cells};
  b->grid = calloc((size_t)cells, sizeof *b->grid);
  b->share = calloc((size_t)cells, sizeof(double));
  b->interface = calloc((size_t)cells, sizeof *b->interface);
  b->liquid = calloc((size_t)(cells + 1) * IONS, sizeof(double));
  b->last_y = calloc((size_t)cells * IONS, sizeof(double));
  b->tangent = calloc((size_t)cells, sizeof *b->tangent);
  b->factor = calloc((size_t)cells, sizeof(Factor));
  if (!b->grid || !b->share || !b->interface || !b->liquid || !b->last_y || !b->tangent || !b->factor) return 1;
  b->last_y[0] = NAN;
  double sum = 0, shrink = cells > 1 ? pow(grading, -1.0 / (cells - 1)) : 1;
  for (int j = 0; j < cells; j++) sum += b->share[j] = pow(shrink, j);
  for (int j = 0; j < cells; j++) grid_make(c, b->share[j] /= sum, exponential, &b->grid[j]);
  return 0;
}

void march_free(March *b) {
  free(b->grid);
  free(b->share);
  free(b->interface);
  free(b->liquid);
  free(b->last_y);
  free(b->tangent);
  free(b->factor);
}

static double sum_rate(const March *b, int i) { return b->c.uptake[i] / b->c.transfer[i]; }

int march_rates(March *b, const double *y, double *dy) {
  double *liquid = b->liquid, star[IONS];
  b->marches++;
  b->last_y[0] = NAN;
  memcpy(liquid, b->c.feed, sizeof b->c.feed);
  for (int j = 0; j < b->cells; j++) {
    const Grid *g = &b->grid[j];
    const double *in = liquid + j * IONS;
    double *out = liquid + (j + 1) * IONS;
    if (b->interface[j].H == 0 && j > 0) b->interface[j].H = b->interface[j - 1].H;
    if (cell_solve(&b->c, g, in, y + j * IONS, &b->interface[j], star)) return 1;
    for (int i = 0; i < IONS; i++) {
      double drive = in[i] - star[i];
      out[i] = star[i] + g->out_weight[i] * drive;
      dy[j * IONS + i] = g->rate[i] * drive;
    }
  }
  for (int i = 0; i < IONS; i++)
    dy[b->cells * IONS + i] = sum_rate(b, i) * (b->c.feed[i] - liquid[b->cells * IONS + i]);
  memcpy(b->last_y, y, (size_t)b->cells * IONS * sizeof(double));
  return 0;
}

int march_linearise(March *b, const double *y, double gamma) {
  int fresh = memcmp(b->last_y, y, (size_t)b->cells * IONS * sizeof(double)) == 0;
  if (!fresh) {
    double *dy = malloc((size_t)(b->cells + 1) * IONS * sizeof(double));
    int failed = dy == NULL ? -1 : march_rates(b, y, dy);
    free(dy);
    if (failed) return failed;
  }
  b->gamma = gamma;
  for (int j = 0; j < b->cells; j++) {
    const Grid *g = &b->grid[j];
    Tangent *d = &b->tangent[j];
    Factor *p = &((Factor *)b->factor)[j];
    cell_tangent(&b->c, g, y + j * IONS, &b->interface[j], d);
    double sum_tau = 0, wsm = 0, e = -d->theta_a, vmu = 0, umc = 0, uma = 0, ct = 0;
    p->sum_mu = 0;
    for (int i = 0; i < IONS; i++) {
      p->G[i] = gamma * g->rate[i];
      p->D[i] = 1 / (1 + p->G[i] * d->s[i]);
      p->mu[i] = p->D[i] * p->G[i] * d->m[i];
      p->tau[i] = p->D[i] * p->G[i] * d->t[i];
      p->u[i] = d->q[i] * (1 - g->mean_weight[i]) * d->s[i];
    }
    for (int i = 0; i < CATIONS; i++) {
      p->v[i] = d->theta_c - g->w[i] * d->s[i];
      vmu += p->v[i] * p->mu[i];
      umc += p->u[i] * p->mu[i];
    }
    for (int i = CATIONS; i < IONS; i++) {
      p->v[i] = -g->w[i] * d->s[i];
      p->sum_mu += p->mu[i];
      sum_tau += p->tau[i];
      e -= p->v[i] * p->tau[i] + g->w[i] * d->t[i];
      wsm -= p->v[i] * p->mu[i];
      uma += p->u[i] * p->mu[i];
      ct += d->q[i] * (1 - g->mean_weight[i]) * d->t[i] - p->u[i] * p->tau[i];
    }
    p->scale_OH = 1 / (1 - sum_tau);
    p->E = e * p->scale_OH;
    p->C = ct * p->scale_OH;
    p->A1 = 1 / (d->a1 + vmu);
    p->A2 = 1 / (d->a2 - wsm - p->E * p->sum_mu);
    p->B1 = (d->b1 - umc) * p->A1;
    p->B2 = (d->b2 - uma + p->C * p->sum_mu) * p->A2;
    p->A3 = 1 / (d->a3 + p->B1 * d->h - p->B2 * d->oh);
  }
  return 0;
}

void march_solve(March *b, const double *r, double *x, int couple) {
  double dc[IONS] = {0};
  for (int j = 0; j < b->cells; j++, r += IONS, x += IONS) {
    const Grid *g = &b->grid[j];
    const Tangent *d = &b->tangent[j];
    const Factor *p = &((const Factor *)b->factor)[j];
    double first[IONS], P1 = 0, P2 = 0, P3 = 0, sum = 0;
    for (int i = 0; i < IONS; i++) {
      first[i] = p->D[i] * (r[i] + p->G[i] * dc[i]);
      P3 -= d->q[i] * g->mean_weight[i] * dc[i] + p->u[i] * first[i];
    }
    for (int i = 0; i < CATIONS; i++) P1 += g->w[i] * dc[i] + p->v[i] * first[i];
    for (int i = CATIONS; i < IONS; i++) {
      P2 += g->w[i] * dc[i] + p->v[i] * first[i];
      sum += first[i];
    }
    P2 -= p->E * sum;
    double d3 = (P3 + p->C * sum - p->B1 * P1 - p->B2 * P2) * p->A3;
    double d1 = (d->h * d3 + P1) * p->A1, d2 = (P2 - d->oh * d3) * p->A2;
    double dOH = (p->sum_mu * d2 - sum) * p->scale_OH;
    for (int i = 0; i < IONS; i++) {
      double theta = i < CATIONS ? d1 : d2, other = i < CATIONS ? 0 : dOH;
      x[i] = first[i] - p->mu[i] * theta - p->tau[i] * other;
      double dstar = d->s[i] * x[i] + d->m[i] * theta + d->t[i] * other;
      dc[i] = couple ? dstar + g->out_weight[i] * (dc[i] - dstar) : 0;
    }
  }
  for (int i = 0; i < IONS; i++) x[i] = r[i] - b->gamma * sum_rate(b, i) * dc[i];
}
