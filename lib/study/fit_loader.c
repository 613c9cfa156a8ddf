// SPDX-License-Identifier: GPL-3.0-or-later
/* From one loader's rows to its speeds and times. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "study/fit_private.h"

static const double alike = 1.25;       /* longest over shortest distance: less is all alike */
static const double sure = 3.0;         /* standard errors that an acceleration must lie from none */
static const double least_ratio = 1.1;  /* of the paces forward and in reverse */
static const double clearly_two = 5.0;  /* gain in log likelihood from two paces instead of one */
static const double load_matters = 4.0; /* standard errors of the slope */

static const pc_fit_value unknown = {NAN, NAN, NAN, NAN, 0, 0, PC_FIT_NONE};

static pc_fit_word word_of(double relative, size_t rows, size_t down) {
  double share = rows > 0 ? (double)down / (double)rows : 1.0;
  if (relative <= 0.025 && share <= 0.10)
    return PC_FIT_GOOD;
  return relative <= 0.05 && share <= 0.20 ? PC_FIT_FAIR : PC_FIT_POOR;
}

static void describe(pc_fit_value *value, const pc_curve *curve) {
  double s2 = curve->sigma * curve->sigma;
  value->rows = curve->rows;
  value->down = curve->down;
  value->spread = sqrt(expm1(s2));
  /* cv² = exp(σ²) − 1, and σ is known to σ/√(2n) */
  value->spread_error =
      value->spread > 0.0 ? exp(s2) * s2 / value->spread / sqrt(2.0 * (double)curve->rows) : 0.0;
  value->word = word_of(value->error / value->value, value->rows, value->down);
}

static pc_fit_value speed_value(const pc_curve *curve) {
  pc_fit_value value = unknown;
  value.value = 1.0 / curve->slowness;
  value.error = sqrt(curve->slowness_var) / (curve->slowness * curve->slowness);
  describe(&value, curve);
  return value;
}

static pc_fit_value time_value(const pc_curve *curve) {
  pc_fit_value value = unknown;
  value.value = curve->start_s;
  value.error = sqrt(curve->start_var);
  describe(&value, curve);
  return value;
}

/* ---- driving ---- */

typedef struct driving {
  double *distance, *time, *load;
  size_t count;
} driving;

static void driving_free(driving *d) {
  free(d->distance);
  *d = (driving){0};
}

/* wanted: only rows of this direction; UNKNOWN: all. */
static pc_status driving_of(const pc_samples *samples, pc_timed_direction wanted, driving *d) {
  *d = (driving){0};
  double *room = pc_alloc_grid(3, samples->count, sizeof *room);
  if (!room)
    return PC_ERR_MEMORY;
  d->distance = room;
  d->time = room + samples->count;
  d->load = room + 2 * samples->count;
  for (size_t i = 0; i < samples->count; i++) {
    const pc_sample *s = &samples->items[i];
    if (wanted != PC_DIRECTION_UNKNOWN && s->direction != wanted)
      continue;
    d->distance[d->count] = s->distance_m;
    d->time[d->count] = s->time_s;
    d->load[d->count++] = s->load_kg;
  }
  return PC_OK;
}

static void range_of(const double *values, size_t count, double *least, double *most) {
  *least = INFINITY;
  *most = -INFINITY;
  for (size_t i = 0; i < count; i++) {
    *least = fmin(*least, values[i]);
    *most = fmax(*most, values[i]);
  }
}

/* With an acceleration if it is seen beyond doubt, else without. */
static pc_status fit_driving(const driving *d, pc_curve *curve) {
  pc_curve both;
  pc_status status = pc_curve_fit(d->distance, d->time, d->count, PC_CURVE_SPEED, curve);
  if (status != PC_OK)
    return status;
  status = pc_curve_fit(d->distance, d->time, d->count, PC_CURVE_BOTH, &both);
  if (status == PC_OK && both.start_s > sure * sqrt(both.start_var))
    *curve = both;
  return status == PC_ERR_MEMORY ? status : PC_OK;
}

/* Faults if the rows can't give a speed. */
static bool can_fit(const driving *d, const char *who, const char *what, bool needed, pc_faults *faults) {
  double least, most;
  if (d->count == 0 && needed)
    (void)pc_faults_add(faults, PC_ERR_MISSING, what, NULL, "%s: no row times it, or none has a distance",
                        who);
  else if (d->count > 0 && d->count < PC_FIT_SPEED_ROWS && needed)
    (void)pc_faults_add(faults, PC_ERR_RANGE, what, NULL,
                        "%s: %zu row%s too few to tell a speed from chance; time at least %d", who, d->count,
                        d->count == 1 ? " is" : "s are", (int)PC_FIT_SPEED_ROWS);
  if (d->count < PC_FIT_SPEED_ROWS)
    return false;
  range_of(d->distance, d->count, &least, &most);
  if (most >= alike * least)
    return true;
  if (needed)
    (void)pc_faults_add(faults, PC_ERR_RANGE, what, NULL,
                        "%s: all distances are alike (%s to %s), so that speed and the time to start and "
                        "stop can't be told apart; time some much shorter and longer ways too",
                        who, pc_show(least, PC_DIM_LENGTH, faults->units, 4).text,
                        pc_show(most, PC_DIM_LENGTH, faults->units, 4).text);
  return false;
}

/* ---- forward or in reverse ---- */

/* Two curves: rows of each, by the nearer one. Returns how many changed sides. */
static size_t take_sides(const pc_samples *samples, const pc_curve *fast, const pc_curve *slow,
                         pc_timed_direction *side) {
  size_t changed = 0;
  for (size_t i = 0; i < samples->count; i++) {
    const pc_sample *s = &samples->items[i];
    double f = fabs(log(s->time_s / pc_curve_time_s(fast, s->distance_m) * fast->middle));
    double r = fabs(log(s->time_s / pc_curve_time_s(slow, s->distance_m) * slow->middle));
    pc_timed_direction nearer = f <= r ? PC_DIRECTION_FORWARD : PC_DIRECTION_REVERSE;
    changed += side[i] != nearer;
    side[i] = nearer;
  }
  return changed;
}

static pc_status fit_side(const pc_samples *samples, const pc_timed_direction *side, pc_timed_direction which,
                          pc_curve *curve) {
  pc_samples kept = {pc_alloc(samples->count, sizeof *kept.items), 0, 0};
  driving d = {0};
  pc_status status = PC_ERR_MEMORY;
  if (!kept.items)
    return status;
  for (size_t i = 0; i < samples->count; i++)
    if (side[i] == which)
      kept.items[kept.count++] = samples->items[i];
  if (kept.count < PC_FIT_SPEED_ROWS)
    status = PC_ERR_RANGE;
  else
    status = driving_of(&kept, PC_DIRECTION_UNKNOWN, &d);
  if (status == PC_OK)
    status = fit_driving(&d, curve);
  driving_free(&d);
  free(kept.items);
  return status;
}

/* Halves by pace to begin with: slower than the mean of the fastest and the slowest tenth is reverse. */
static pc_status first_sides(const pc_samples *samples, pc_timed_direction *side) {
  double *pace = pc_alloc(samples->count, sizeof *pace), low, high;
  if (!pace)
    return PC_ERR_MEMORY;
  pc_sum sum = {0}, squares = {0};
  for (size_t i = 0; i < samples->count; i++) {
    pace[i] = log(samples->items[i].time_s / samples->items[i].distance_m);
    pc_sum_add(&sum, pace[i]);
    pc_sum_add(&squares, pace[i] * pace[i]);
  }
  double n = (double)samples->count, mean = pc_sum_value(&sum) / n;
  double sd = sqrt(fmax(0.0, pc_sum_value(&squares) / n - mean * mean)), border = mean;
  for (int k = 0; k < 50; k++) { /* two means in one dimension; a few lost rows do not draw a centre away */
    pc_sum sums[2] = {{0}};
    size_t counts[2] = {0};
    for (size_t i = 0; i < samples->count; i++) {
      if (fabs(pace[i] - mean) > 4.0 * sd)
        continue;
      pc_sum_add(&sums[pace[i] > border], pace[i]);
      counts[pace[i] > border]++;
    }
    if (counts[0] == 0 || counts[1] == 0)
      break;
    low = pc_sum_value(&sums[0]) / (double)counts[0];
    high = pc_sum_value(&sums[1]) / (double)counts[1];
    border = 0.5 * (low + high);
  }
  for (size_t i = 0; i < samples->count; i++)
    side[i] = pace[i] > border ? PC_DIRECTION_REVERSE : PC_DIRECTION_FORWARD;
  free(pace);
  return PC_OK;
}

/* −ln of a normal density, but a row far off costs no more than one at four standard deviations. */
static double surprise(double residual, double sigma) {
  double u = residual / sigma;
  return fmin(0.5 * u * u, 8.0) + log(sigma);
}

/* Log likelihood of two curves with shares, over that of one: large where there really are two. */
static double gain_of_two(const pc_samples *samples, const pc_timed_direction *side, const pc_curve *one,
                          const pc_curve *fast, const pc_curve *slow) {
  double n = (double)samples->count, reverse = 0.0, best = -INFINITY;
  for (size_t i = 0; i < samples->count; i++)
    reverse += side[i] == PC_DIRECTION_REVERSE;
  double least = fmax(1e-3, fmin(fast->sigma, slow->sigma)), most = fmax(1e-3, one->sigma);
  for (int g = 0; g <= 8;
       g++) { /* sorting rows to the nearer curve makes the spread look small: try others */
    double sigma = least * pow(most / least, g / 8.0);
    pc_sum gain = {0};
    for (size_t i = 0; i < samples->count; i++) {
      double t = samples->items[i].time_s, d = samples->items[i].distance_m;
      double f = log(t / pc_curve_time_s(fast, d) * fast->middle),
             r = log(t / pc_curve_time_s(slow, d) * slow->middle);
      double a = log(1.0 - reverse / n) - surprise(f, sigma), b = log(reverse / n) - surprise(r, sigma);
      double both = fmax(a, b) + log1p(exp(-fabs(a - b)));
      pc_sum_add(&gain, both + surprise(log(t / pc_curve_time_s(one, d) * one->middle), most));
    }
    best = fmax(best, pc_sum_value(&gain));
  }
  return best;
}

static pc_status fit_all(const pc_samples *samples, pc_curve *curve) {
  driving d;
  pc_status status = driving_of(samples, PC_DIRECTION_UNKNOWN, &d);
  if (status == PC_OK)
    status = fit_driving(&d, curve);
  driving_free(&d);
  return status;
}

/* Writes a direction into every row if there are clearly two paces. */
static pc_status split_by_pace(pc_samples *samples, bool *done) {
  *done = false;
  if (samples->count < 2 * PC_FIT_SPEED_ROWS)
    return PC_OK;
  pc_timed_direction *side = pc_alloc(samples->count, sizeof *side);
  pc_curve fast = {0}, slow = {0}, one = {0};
  if (!side)
    return PC_ERR_MEMORY;
  pc_status status = first_sides(samples, side);
  if (status == PC_OK)
    status = fit_all(samples, &one);
  for (int i = 0; i < 30 && status == PC_OK; i++) {
    status = fit_side(samples, side, PC_DIRECTION_FORWARD, &fast);
    if (status == PC_OK)
      status = fit_side(samples, side, PC_DIRECTION_REVERSE, &slow);
    if (status == PC_OK && take_sides(samples, &fast, &slow, side) == 0)
      break;
  }
  *done = status == PC_OK && slow.slowness > least_ratio * fast.slowness &&
          gain_of_two(samples, side, &one, &fast, &slow) > clearly_two;
  for (size_t i = 0; *done && i < samples->count; i++)
    samples->items[i].direction = side[i];
  free(side);
  return status == PC_ERR_MEMORY ? status : PC_OK;
}

static bool has_directions(const pc_samples *samples) {
  for (size_t i = 0; i < samples->count; i++)
    if (samples->items[i].direction != PC_DIRECTION_UNKNOWN)
      return true;
  return false;
}

/* ---- a loader ---- */

/* Does a carry take longer with more in the box? Least squares of the logarithm's residual on the load. */
static double slower_with_load(const driving *d, const pc_curve *curve) {
  double least, most, n = 0.0, mx = 0.0, my = 0.0, sxx = 0.0, sxy = 0.0, syy = 0.0;
  range_of(d->load, d->count, &least, &most);
  for (int pass = 0; pass < 2; pass++) {
    for (size_t i = 0; i < d->count; i++) {
      double y = log(d->time[i] / pc_curve_time_s(curve, d->distance[i]) * curve->middle);
      if (isnan(d->load[i]) || fabs(y) > 3.5 * fmax(curve->sigma, 1e-4))
        continue;
      if (pass == 0) {
        n += 1.0;
        mx += d->load[i];
        my += y;
      } else {
        double dx = d->load[i] - mx, dy = y - my;
        sxx += dx * dx;
        sxy += dx * dy;
        syy += dy * dy;
      }
    }
    if (pass == 0 && n < 10.0)
      return NAN;
    if (pass == 0) {
      mx /= n;
      my /= n;
    }
  }
  if (!(sxx > 0.0))
    return NAN;
  double slope = sxy / sxx, error = sqrt(fmax(0.0, syy - slope * sxy) / (n - 2.0) / sxx);
  return slope > load_matters * error ? expm1(slope * (most - least)) : (double)NAN;
}

/* v and a of one curve to the mean of the accelerations, each weighted by its variance. */
static void add_acceleration(const pc_curve *curve, double *weights, double *sum, size_t *rows,
                             size_t *down) {
  if (curve->form != PC_CURVE_BOTH)
    return;
  double p = curve->slowness, k = curve->start_s, a = 1.0 / (p * k);
  double relative =
      curve->slowness_var / (p * p) + curve->start_var / (k * k) + 2.0 * curve->covariance / (p * k);
  double weight = 1.0 / fmax(1e-12, relative);
  *weights += weight;
  *sum += weight * log(a);
  *rows += curve->rows;
  *down += curve->down;
}

static pc_status fit_one(const pc_samples *samples, pc_timed_direction direction, const char *who,
                         const char *what, bool needed, pc_fit_value *value, pc_curve *curve, double *slower,
                         pc_faults *faults) {
  driving d;
  pc_status status = driving_of(samples, direction, &d);
  if (status == PC_OK && can_fit(&d, who, what, needed, faults)) {
    status = fit_driving(&d, curve);
    if (status == PC_OK)
      *value = speed_value(curve);
    else if (status != PC_ERR_MEMORY)
      status = pc_faults_add(faults, status, what, NULL, "%s: no curve fits these rows", who);
    if (status == PC_OK && slower)
      *slower = slower_with_load(&d, curve);
  }
  driving_free(&d);
  return status;
}

/* Rows that say their direction: what can't be known of one is told, and does no harm to the rest. */
static pc_status fit_told(const pc_samples *back, pc_timed_direction direction, pc_fit_loader *loader,
                          pc_curve *curve, pc_faults *faults) {
  bool reverse = direction == PC_DIRECTION_REVERSE;
  pc_fit_value *value = &loader->values[reverse ? PC_FIT_REVERSE : PC_FIT_RETURN];
  pc_status status = fit_one(back, direction, loader->name.text, "return", false, value, curve, NULL, faults);
  if (status != PC_OK || !isnan(value->value))
    return status;
  for (size_t i = 0; i < back->count; i++)
    value->rows += back->items[i].direction == direction;
  value->word = value->rows < PC_FIT_SPEED_ROWS ? PC_FIT_TOO_FEW : PC_FIT_NONE;
  if (value->rows == 0 && reverse) /* it never backed */
    return PC_OK;
  if (value->word == PC_FIT_TOO_FEW)
    pc_faults_caution(faults, "return", "%s: %zu %s %s too few to tell a speed from chance; time at least %d",
                      loader->name.text, value->rows, reverse ? "in reverse" : "forward",
                      value->rows == 1 ? "is" : "are", (int)PC_FIT_SPEED_ROWS);
  else
    pc_faults_caution(faults, "return", "%s: all distances %s are alike, which fixes no speed",
                      loader->name.text, reverse ? "in reverse" : "forward");
  return PC_OK;
}

/* No row says its direction: what comes of them is a guess. */
static pc_status fit_untold(pc_samples *back, pc_fit_loader *loader, pc_faults *faults) {
  pc_curve curve;
  const char *who = loader->name.text;
  pc_status status = split_by_pace(back, &loader->split_by_pace);
  bool split = loader->split_by_pace;
  if (status == PC_OK)
    status = fit_one(back, split ? PC_DIRECTION_FORWARD : PC_DIRECTION_UNKNOWN, who, "return", true,
                     &loader->values[PC_FIT_RETURN], &curve, NULL, faults);
  if (status == PC_OK && split)
    status = fit_one(back, PC_DIRECTION_REVERSE, who, "return", false, &loader->values[PC_FIT_REVERSE],
                     &curve, NULL, faults);
  for (int i = PC_FIT_RETURN; i <= PC_FIT_REVERSE; i++) {
    pc_fit_value *value = &loader->values[i];
    value->error = value->spread = value->spread_error = NAN;
    if (!isnan(value->value))
      value->word = split ? PC_FIT_BY_PACE : PC_FIT_MIXED;
  }
  return status;
}

static pc_status fit_returns(const pc_samples *returns, pc_fit_loader *loader, pc_curve curves[2],
                             pc_faults *faults) {
  pc_samples back = {pc_copy(returns->items, returns->count, sizeof *back.items), returns->count, 0};
  if (!back.items)
    return PC_ERR_MEMORY;
  loader->told = has_directions(&back);
  pc_status status = loader->told ? fit_told(&back, PC_DIRECTION_FORWARD, loader, &curves[0], faults)
                                  : fit_untold(&back, loader, faults);
  if (loader->told && status == PC_OK)
    status = fit_told(&back, PC_DIRECTION_REVERSE, loader, &curves[1], faults);
  free(back.items);
  return status;
}

/* The acceleration, as all curves in which it is seen have it. */
static void find_acceleration(const pc_curve curves[4], pc_fit_value *a) {
  double weights = 0.0, sum = 0.0;
  for (int i = 0; i < 4; i++)
    add_acceleration(&curves[i], &weights, &sum, &a->rows, &a->down);
  if (weights > 0.0) {
    a->value = exp(sum / weights);
    a->error = a->value / sqrt(weights);
    a->word = word_of(1.0 / sqrt(weights), a->rows, a->down);
  }
}

/* A machine that takes time to start does so in every phase: where its rows are too few to show it, a speed
 * without it would be too low, and look sure. */
static pc_status start_slowly(const pc_samples *samples, pc_timed_direction direction, const pc_fit_value *a,
                              const pc_curve *seen, pc_fit_value *value) {
  driving d;
  pc_curve curve;
  if (isnan(a->value) || isnan(value->value) || seen->form != PC_CURVE_SPEED)
    return PC_OK;
  pc_status status = driving_of(samples, direction, &d);
  if (status == PC_OK)
    status = pc_curve_fit_started(d.distance, d.time, d.count, a->value, a->error / a->value, &curve);
  if (status == PC_OK) {
    *value = speed_value(&curve);
  } else if (status != PC_ERR_MEMORY) { /* ways so short that the speed is never reached */
    *value = unknown;
    value->rows = d.count;
    value->word = PC_FIT_TOO_FEW;
    status = PC_OK;
  }
  driving_free(&d);
  return status;
}

static pc_status fit_speeds(const pc_samples pools[PC_POOL_COUNT], pc_fit_loader *loader, pc_faults *faults) {
  pc_curve curves[4] = {{0}};
  const char *who = loader->name.text;
  pc_status status = fit_one(&pools[PC_POOL_PUSH], PC_DIRECTION_UNKNOWN, who, "fill", true,
                             &loader->values[PC_FIT_PUSH], &curves[0], NULL, faults);
  if (status == PC_OK)
    status = fit_one(&pools[PC_POOL_CARRY], PC_DIRECTION_UNKNOWN, who, "carry", true,
                     &loader->values[PC_FIT_CARRY], &curves[1], &loader->slower_with_load, faults);
  if (status == PC_OK)
    status = fit_returns(&pools[PC_POOL_RETURN], loader, &curves[2], faults);
  find_acceleration(curves, &loader->values[PC_FIT_ACCELERATION]);
  for (int i = 0; i < 4 && status == PC_OK; i++) {
    static const pc_timed_direction directions[] = {PC_DIRECTION_UNKNOWN, PC_DIRECTION_UNKNOWN,
                                                    PC_DIRECTION_FORWARD, PC_DIRECTION_REVERSE};
    if (i < 2 || loader->told)
      status =
          start_slowly(&pools[i < 2 ? i : PC_POOL_RETURN], directions[i],
                       &loader->values[PC_FIT_ACCELERATION], &curves[i], &loader->values[PC_FIT_PUSH + i]);
  }
  return status;
}

static pc_status fit_time(const pc_samples *samples, pc_fit_value *value) {
  pc_curve curve;
  driving d;
  if (samples->count < PC_FIT_TIME_ROWS)
    return PC_OK;
  pc_status status = driving_of(samples, PC_DIRECTION_UNKNOWN, &d);
  if (status == PC_OK)
    status = pc_curve_fit(NULL, d.time, d.count, PC_CURVE_TIME, &curve);
  if (status == PC_OK)
    *value = time_value(&curve);
  driving_free(&d);
  return status == PC_ERR_MEMORY ? status : PC_OK;
}

/* Turns go through many angles: a plain mean. */
static void mean_turn(const pc_samples *samples, pc_fit_value *value) {
  pc_sum sum = {0}, squares = {0};
  double n = (double)samples->count;
  if (samples->count < PC_FIT_TIME_ROWS)
    return;
  for (size_t i = 0; i < samples->count; i++)
    pc_sum_add(&sum, samples->items[i].time_s);
  value->value = pc_sum_value(&sum) / n;
  for (size_t i = 0; i < samples->count; i++) {
    double off = samples->items[i].time_s - value->value;
    pc_sum_add(&squares, off * off);
  }
  value->error = sqrt(pc_sum_value(&squares) / (n - 1.0) / n);
  value->rows = samples->count;
  value->word = word_of(value->error / value->value, value->rows, 0);
}

pc_status pc_fit_loader_make(const pc_samples pools[PC_POOL_COUNT], pc_fit_loader *loader,
                             pc_faults *faults) {
  size_t before = pc_faults_fatal(faults);
  for (int i = 0; i < PC_FIT_COUNT; i++)
    loader->values[i] = unknown;
  loader->slower_with_load = NAN;
  pc_status status = fit_speeds(pools, loader, faults);
  if (status == PC_OK)
    status = fit_time(&pools[PC_POOL_LOWER], &loader->values[PC_FIT_LOWER]);
  if (status == PC_OK)
    status = fit_time(&pools[PC_POOL_RAISE], &loader->values[PC_FIT_RAISE]);
  if (status == PC_OK)
    status = fit_time(&pools[PC_POOL_DUMP], &loader->values[PC_FIT_DUMP]);
  mean_turn(&pools[PC_POOL_TURN], &loader->values[PC_FIT_TURN]);
  return status == PC_OK && pc_faults_fatal(faults) > before ? PC_ERR_RANGE : status;
}
