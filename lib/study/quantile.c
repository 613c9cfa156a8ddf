// SPDX-License-Identifier: GPL-3.0-or-later
/* The quantile of Student's t as GSL finds it (gsl_cdf_tdist_Pinv: a first guess, then Newton's method), but
 * for its end: where Newton's method does not get there, GSL calls the program's error handler, and this says
 * NaN. What it calls (the distribution, its density, beta and the normal quantile) fails for no argument that
 * comes here. */
#include "study/quantile_private.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_gamma.h>
#include <math.h>

/* From the normal quantile, by the series of Cornish and Fisher. */
static double from_normal(double z, double freedom) {
  double a = 1.0 / (freedom - 0.5), b = 48.0 / (a * a);
  double first = z * (3.0 + z * z), second = z * (945.0 + z * z * (360.0 + z * z * (63.0 + z * z * 4.0)));
  double y = z - first / b + second / (10.0 * b * b);
  return copysign(sqrt(freedom * expm1(a * y * y)), z);
}

/* From how the tail falls. */
static double from_tail(double share, double tail, double freedom) {
  double beta = gsl_sf_beta(0.5, 0.5 * freedom);
  double x = sqrt(freedom) * pow(beta * freedom * tail, -1.0 / freedom);
  x /= sqrt(1.0 + freedom / (x * x));
  return share < 0.5 ? -x : x;
}

double pc_t_quantile(double share, double freedom) {
  if (!(share > 0.0 && share < 1.0 && freedom >= 1.0 && freedom < INFINITY))
    return NAN;
  if (share == 0.5)
    return 0.0;
  if (freedom == 1.0)
    return share < 0.25 ? -1.0 / tan(M_PI * share) : tan(M_PI * (share - 0.5));
  if (freedom == 2.0)
    return (2.0 * share - 1.0) / sqrt(2.0 * share * (1.0 - share));
  double tail = share < 0.5 ? share : 1.0 - share, off = INFINITY;
  double x = sqrt(M_PI * freedom / 2.0) * tail > pow(0.05, 0.5 * freedom)
                 ? from_normal(gsl_cdf_ugaussian_Pinv(share), freedom)
                 : from_tail(share, tail, freedom);
  for (int n = 0; n < 33; n++) {
    off = share - gsl_cdf_tdist_P(x, freedom);
    if (off == 0.0)
      return x;
    double lambda = off / gsl_ran_tdist_pdf(x, freedom), step = lambda;
    double bend = ((freedom + 1.0) * x / (x * x + freedom)) * (lambda * lambda / 4.0);
    if (fabs(bend) < fabs(step))
      step += bend;
    if ((share > 0.5 && x + step < 0.0) || (share < 0.5 && x + step > 0.0))
      x /= 2.0;
    else
      x += step;
    if (fabs(step) <= 1e-10 * fabs(x))
      return x;
  }
  return fabs(off) <= GSL_SQRT_DBL_EPSILON * share ? x : (double)NAN;
}
