/*
 * The bed with the liquid's own storage kept: eps dc/dt = -u dc/dz - k a (c - c*). Nine liquid and nine loading unknowns per
 * cell, cells from inlet to outlet, liquid fluxes by linear upwind-biased reconstruction: a band of 36 below, 17 above.
 */
#include "bed.h"
#include <stdlib.h>

int dynamic_make(Dynamic *b, const Case *c, int cells) {
  *b = (Dynamic){.c = *c, .cells = cells, .H = calloc((size_t)cells, sizeof(double))};
  b->storage = c->porosity * c->settled_L / cells; /* litres of liquid in a cell */
  return b->H == NULL;
}

void dynamic_free(Dynamic *b) { free(b->H); }

int dynamic_start(const Dynamic *b, double *state) {
  March still;
  size_t size = (size_t)(b->cells + 1) * IONS;
  double *fresh = calloc(2 * size, sizeof(double));
  int failed = march_make(&still, &b->c, b->cells, 1, 1) || fresh == NULL || march_rates(&still, fresh, fresh + size);
  for (int j = 0; !failed && j < b->cells; j++)
    for (int i = 0; i < IONS; i++) {
      state[(j * 2) * IONS + i] = (still.liquid[j * IONS + i] + still.liquid[(j + 1) * IONS + i]) / 2;
      state[(j * 2 + 1) * IONS + i] = 0;
    }
  free(fresh);
  march_free(&still);
  return failed;
}

static double face(const Dynamic *b, const double *state, int j, int i) {
  if (j < 0) return b->c.feed[i];
  double here = state[j * 2 * IONS + i];
  double before = j == 0 ? 2 * b->c.feed[i] - here : state[(j - 1) * 2 * IONS + i];
  return here + (here - before) / 2;
}

void dynamic_rates(Dynamic *b, const double *state, double *rates) {
  double star[IONS];
  b->evaluations++;
  for (int j = 0; j < b->cells; j++) {
    const double *c = state + j * 2 * IONS, *y = c + IONS;
    double *dc = rates + j * 2 * IONS, *dy = dc + IONS;
    b->H[j] = water_hydrogen(&b->c, c, b->H[j]);
    cell_interface(&b->c, c, y, b->H[j], star);
    for (int i = 0; i < IONS; i++) {
      double drive = c[i] - star[i];
      dy[i] = b->c.uptake[i] * drive;
      dc[i] = (face(b, state, j - 1, i) - face(b, state, j, i) - b->c.transfer[i] / b->cells * drive) / b->storage;
    }
  }
}

void dynamic_effluent(const Dynamic *b, const double *state, double *out) {
  for (int i = 0; i < IONS; i++) out[i] = face(b, state, b->cells - 1, i);
}
