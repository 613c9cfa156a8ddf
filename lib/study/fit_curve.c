// SPDX-License-Identifier: GPL-3.0-or-later
/* One robust curve through the logarithms of times. GSL has a robust regression, but it calls the program's
 * error handler when it does not settle or memory is short, which a library must not provoke; the tests check
 * this one against it. */
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"
#include "study/fit_private.h"

static const double tune = 4.685;        /* biweight: 95 % as efficient as least squares on normal errors */
static const double huber = 1.345;       /* for the first steps, which must find the right valley */
static const double normal_mad = 0.6745; /* median absolute deviation of a standard normal */
static const double least_scale = 1e-4;  /* nobody's watch is better than 0.01 % */
static const double far_off = 3.5;       /* in scales: no part of the spread */
enum { STEPS_MAX = 200, GENTLE_STEPS = 8 };

typedef struct problem {
  const double *distance, *time;
  size_t count;
  pc_curve_form form;
  double acceleration;                      /* with PC_CURVE_SPEED: given; else 0 */
  double slowness, start;                   /* of the median time */
  double *residual, *weight, *raise, *work; /* raise: 1/√(1 − leverage) */
  double a11, a12, a22;                     /* JᵀJ */
} problem;

static int ascending(const void *a, const void *b) {
  const double *x = a, *y = b;
  return (*x > *y) - (*x < *y);
}

static double median_of(double *values, size_t count) {
  qsort(values, count, sizeof *values, ascending);
  return count % 2 ? values[count / 2] : 0.5 * (values[count / 2 - 1] + values[count / 2]);
}

static double distance_at(const problem *p, size_t i) {
  return p->form == PC_CURVE_TIME ? 0.0 : p->distance[i];
}

/* The same with an acceleration that is given: one parameter, start = 1/(slowness·acceleration). */
static double started_at(double acceleration, double slowness, double d, double *j1) {
  double start = 1.0 / (slowness * acceleration);
  if (slowness * d < start) {
    *j1 = 0.0; /* so short a way tells nothing of the speed */
    return 2.0 * sqrt(d / acceleration);
  }
  double f = slowness * d + start;
  *j1 = (d - start / slowness) / f;
  return f;
}

/* f and ∂ln f/∂slowness, ∂ln f/∂start. */
static double curve_at(const problem *p, double slowness, double start, double d, double *j1, double *j2) {
  if (p->acceleration > 0.0) {
    *j2 = 0.0;
    return slowness > 0.0 ? started_at(p->acceleration, slowness, d, j1) : (*j1 = 0.0);
  }
  if (p->form == PC_CURVE_BOTH && start > 0.0 && slowness * d < start) {
    *j1 = 0.5 / slowness;
    *j2 = 0.5 / start;
    return 2.0 * sqrt(d * slowness * start);
  }
  double f = slowness * d + start;
  *j1 = p->form == PC_CURVE_TIME ? 0.0 : d / f;
  *j2 = p->form == PC_CURVE_SPEED ? 0.0 : 1.0 / f;
  return f;
}

static bool all_positive(const problem *p, double slowness, double start) {
  double j1, j2;
  if (p->form != PC_CURVE_TIME && !(slowness > 0.0))
    return false;
  for (size_t i = 0; i < p->count; i++)
    if (!(curve_at(p, slowness, start, distance_at(p, i), &j1, &j2) > 0.0))
      return false;
  return true;
}

static void guess(problem *p) {
  for (size_t i = 0; i < p->count; i++)
    p->work[i] = p->form == PC_CURVE_TIME ? p->time[i] : p->time[i] / p->distance[i];
  double middle = median_of(p->work, p->count);
  if (p->form == PC_CURVE_TIME) {
    p->start = middle;
  } else if (p->form == PC_CURVE_SPEED) {
    p->slowness = middle;
  } else {
    for (size_t i = 0; i < p->count; i++)
      p->work[i] = p->time[i];
    p->slowness = 0.8 * middle;
    p->start = 0.2 * median_of(p->work, p->count);
  }
}

/* Residuals, and JᵀJ over all rows. */
static void look(problem *p) {
  pc_sum a11 = {0}, a12 = {0}, a22 = {0};
  for (size_t i = 0; i < p->count; i++) {
    double j1, j2, f = curve_at(p, p->slowness, p->start, distance_at(p, i), &j1, &j2);
    p->residual[i] = log(p->time[i] / f);
    pc_sum_add(&a11, j1 * j1);
    pc_sum_add(&a12, j1 * j2);
    pc_sum_add(&a22, j2 * j2);
  }
  p->a11 = pc_sum_value(&a11);
  p->a12 = pc_sum_value(&a12);
  p->a22 = pc_sum_value(&a22);
}

/* Solves the symmetric system; false if it is singular. Forms with one parameter leave the other alone. */
static bool solve(pc_curve_form form, double a11, double a12, double a22, double b1, double b2, double *x1,
                  double *x2) {
  *x1 = *x2 = 0.0;
  if (form == PC_CURVE_TIME)
    return a22 > 0.0 ? (*x2 = b2 / a22, true) : false;
  if (form == PC_CURVE_SPEED)
    return a11 > 0.0 ? (*x1 = b1 / a11, true) : false;
  double det = a11 * a22 - a12 * a12;
  if (!(det > 1e-10 * a11 * a22))
    return false;
  *x1 = (a22 * b1 - a12 * b2) / det;
  *x2 = (a11 * b2 - a12 * b1) / det;
  return true;
}

static bool find_leverage(problem *p) {
  for (size_t i = 0; i < p->count; i++) {
    double j1, j2, x1, x2;
    (void)curve_at(p, p->slowness, p->start, distance_at(p, i), &j1, &j2);
    if (!solve(p->form, p->a11, p->a12, p->a22, j1, j2, &x1, &x2))
      return false;
    p->raise[i] = 1.0 / sqrt(1.0 - fmin(0.9999, j1 * x1 + j2 * x2));
  }
  return true;
}

static size_t parameters(pc_curve_form form) {
  return form == PC_CURVE_BOTH ? 2 : 1;
}

/* The smallest residuals, as many as there are parameters, are nearly zero by force: left out. */
static double scale_of(const problem *p) {
  size_t skip = parameters(p->form) - 1;
  for (size_t i = 0; i < p->count; i++)
    p->work[i] = fabs(p->residual[i] * p->raise[i]);
  qsort(p->work, p->count, sizeof *p->work, ascending);
  return fmax(least_scale, median_of(p->work + skip, p->count - skip) / normal_mad);
}

static void weigh(problem *p, double scale, bool gentle) {
  for (size_t i = 0; i < p->count; i++) {
    double u = fabs(p->residual[i] * p->raise[i]) / scale;
    double v = u / tune;
    p->weight[i] = gentle ? (u <= huber ? 1.0 : huber / u) : v < 1.0 ? (1.0 - v * v) * (1.0 - v * v) : 0.0;
  }
}

/* One weighted Gauss–Newton step, halved until all times stay positive. Returns how far it went, relative to
 * the times; −1 if the rows do not fix the parameters. */
static double step(problem *p) {
  pc_sum a[3] = {{0}}, b[2] = {{0}};
  double x1, x2, far = 0.0;
  for (size_t i = 0; i < p->count; i++) {
    double j1, j2, w = p->weight[i];
    (void)curve_at(p, p->slowness, p->start, distance_at(p, i), &j1, &j2);
    pc_sum_add(&a[0], w * j1 * j1);
    pc_sum_add(&a[1], w * j1 * j2);
    pc_sum_add(&a[2], w * j2 * j2);
    pc_sum_add(&b[0], w * j1 * p->residual[i]);
    pc_sum_add(&b[1], w * j2 * p->residual[i]);
  }
  if (!solve(p->form, pc_sum_value(&a[0]), pc_sum_value(&a[1]), pc_sum_value(&a[2]), pc_sum_value(&b[0]),
             pc_sum_value(&b[1]), &x1, &x2))
    return -1.0;
  for (int i = 0; i < 60 && !all_positive(p, p->slowness + x1, p->start + x2); i++) {
    x1 *= 0.5;
    x2 *= 0.5;
  }
  for (size_t i = 0; i < p->count; i++) {
    double j1, j2;
    (void)curve_at(p, p->slowness, p->start, distance_at(p, i), &j1, &j2);
    far = fmax(far, fabs(j1 * x1 + j2 * x2));
  }
  p->slowness += x1;
  p->start += x2;
  return far;
}

/* Standard deviation of the rows that belong to the curve: a normal cut off at ±k loses 2kφ(k)/(2Φ(k) − 1) of
 * its variance. */
static double spread_of(const problem *p, double scale) {
  pc_sum squares = {0};
  size_t kept = 0;
  for (size_t i = 0; i < p->count; i++)
    if (fabs(p->residual[i]) <= far_off * scale) {
      pc_sum_add(&squares, p->residual[i] * p->residual[i]);
      kept++;
    }
  double lost = 2.0 * far_off * exp(-0.5 * far_off * far_off) / sqrt(2.0 * 3.14159265358979323846) /
                erf(far_off / sqrt(2.0));
  size_t free_rows = kept > parameters(p->form) ? kept - parameters(p->form) : 1;
  return sqrt(pc_sum_value(&squares) / (double)free_rows / (1.0 - lost));
}

/* Variance of the estimates for JᵀJ = 1: (s·c)²·mean ψ²/(mean ψ′)², for n − p. */
static double variance_of(const problem *p, double scale) {
  pc_sum psi = {0}, slope = {0};
  double n = (double)p->count, free_rows = n - (double)parameters(p->form);
  for (size_t i = 0; i < p->count; i++) {
    double u = p->residual[i] * p->raise[i] / (tune * scale), q = 1.0 - u * u;
    if (q > 0.0) {
      pc_sum_add(&psi, u * u * q * q * q * q);
      pc_sum_add(&slope, q * (1.0 - 5.0 * u * u));
    }
  }
  double mean_slope = pc_sum_value(&slope) / n;
  return mean_slope > 0.0
             ? tune * tune * scale * scale * (pc_sum_value(&psi) / free_rows) / (mean_slope * mean_slope)
             : (double)INFINITY;
}

static bool finish(problem *p, double scale, pc_curve *curve) {
  double unit, v11, v12, v21, v22;
  if (!solve(p->form, p->a11, p->a12, p->a22, 1.0, 0.0, &v11, &v12) ||
      !solve(p->form, p->a11, p->a12, p->a22, 0.0, 1.0, &v21, &v22))
    return false;
  /* rows that lie on the curve but for rounding do not prove a time to start of so little */
  unit = fmax(variance_of(p, scale), least_scale * least_scale);
  double sigma = spread_of(p, scale), n = (double)p->count;
  /* from the median to the mean: times exp(σ²/2), which is known to about σ²/√(2n) only */
  double middle = exp(0.5 * sigma * sigma), more = sigma * sigma * sigma * sigma / (2.0 * n);
  double k2 = middle * middle;
  *curve = (pc_curve){.form = p->form,
                      .slowness = p->slowness * middle,
                      .start_s = p->start * middle,
                      .slowness_var = k2 * (unit * v11 + p->slowness * p->slowness * more),
                      .start_var = k2 * (unit * v22 + p->start * p->start * more),
                      .covariance = k2 * (unit * v12 + p->slowness * p->start * more),
                      .sigma = sigma,
                      .middle = middle,
                      .rows = p->count};
  for (size_t i = 0; i < p->count; i++)
    curve->down += p->weight[i] < 0.5;
  return isfinite(unit);
}

static pc_status run(problem *p, pc_curve *curve) {
  double scale = least_scale;
  guess(p);
  if (!all_positive(p, p->slowness, p->start))
    return PC_ERR_RANGE;
  for (int i = 0; i < STEPS_MAX; i++) {
    look(p);
    if (!find_leverage(p))
      return PC_ERR_RANGE;
    scale = scale_of(p);
    weigh(p, scale, i < GENTLE_STEPS);
    double far = step(p);
    if (far < 0.0)
      return PC_ERR_RANGE;
    if (far < 1e-12 && i > GENTLE_STEPS)
      break;
  }
  look(p);
  scale = scale_of(p);
  weigh(p, scale, false);
  return finish(p, scale, curve) ? PC_OK : PC_ERR_RANGE;
}

static pc_status fit(const double *distance_m, const double *time_s, size_t count, pc_curve_form form,
                     double acceleration, pc_curve *curve) {
  *curve = (pc_curve){.form = form};
  if (count < parameters(form) + 2 || (form != PC_CURVE_TIME && !distance_m))
    return PC_ERR_RANGE;
  for (size_t i = 0; i < count; i++)
    if (!(time_s[i] > 0.0 && isfinite(time_s[i])) ||
        (form != PC_CURVE_TIME && !(distance_m[i] > 0.0 && isfinite(distance_m[i]))))
      return PC_ERR_RANGE;
  double *room = pc_alloc_grid(4, count, sizeof *room);
  if (!room)
    return PC_ERR_MEMORY;
  problem p = {.distance = distance_m,
               .time = time_s,
               .count = count,
               .form = form,
               .acceleration = acceleration,
               .residual = room,
               .weight = room + count,
               .raise = room + 2 * count,
               .work = room + 3 * count};
  pc_status status = run(&p, curve);
  free(room);
  return status;
}

pc_status pc_curve_fit(const double *distance_m, const double *time_s, size_t count, pc_curve_form form,
                       pc_curve *curve) {
  return fit(distance_m, time_s, count, form, 0.0, curve);
}

pc_status pc_curve_fit_started(const double *distance_m, const double *time_s, size_t count,
                               double acceleration_mps2, double relative_error, pc_curve *curve) {
  pc_status status = fit(distance_m, time_s, count, PC_CURVE_SPEED, acceleration_mps2, curve);
  if (status != PC_OK)
    return status;
  /* p and a work on ln f by (p·d − s)/f and −s/f: how far an error of a draws p along */
  double p = curve->slowness, s = 1.0 / (p * acceleration_mps2);
  pc_sum squares = {0}, products = {0};
  for (size_t i = 0; i < count; i++) {
    double j1, f = started_at(acceleration_mps2, p, distance_m[i], &j1);
    double by_a = p * distance_m[i] < s ? -0.5 : -s / f;
    pc_sum_add(&squares, p * j1 * p * j1);
    pc_sum_add(&products, p * j1 * by_a);
  }
  double drawn = relative_error * pc_sum_value(&products) / pc_sum_value(&squares);
  curve->slowness_var += p * p * drawn * drawn;
  return PC_OK;
}

double pc_curve_time_s(const pc_curve *curve, double distance_m) {
  if (curve->form == PC_CURVE_TIME)
    return curve->start_s;
  if (curve->form == PC_CURVE_SPEED)
    return curve->slowness * distance_m;
  if (curve->start_s > 0.0 && curve->slowness * distance_m < curve->start_s)
    return 2.0 * sqrt(distance_m * curve->slowness * curve->start_s);
  return curve->slowness * distance_m + curve->start_s;
}
