// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/replicate.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "base/sum.h"
#include "study/replicate_private.h"

/* Student's t of a two-sided interval at this level; NaN unless 0 < level < 1. GSL finds it for all of these:
 * its error handler, which ends the process, is for others. */
static double t_of(double level, size_t count) {
  double share = 0.5 + 0.5 * level;
  return level > 0.0 && share < 1.0 ? gsl_cdf_tdist_Pinv(share, (double)(count - 1)) : (double)NAN;
}

static double value_at(const double *values, const double *minus, size_t i) {
  return minus ? values[i] - minus[i] : values[i];
}

static pc_statistic statistic_of(const double *values, const double *minus, size_t count, double level) {
  pc_statistic s = {NAN, 0.0, level, INFINITY, -INFINITY, count};
  pc_sum sum = {0}, squares = {0};
  for (size_t i = 0; i < count; i++) {
    double value = value_at(values, minus, i);
    pc_sum_add(&sum, value);
    s.min = fmin(s.min, value);
    s.max = fmax(s.max, value);
  }
  if (count == 0)
    return s;
  s.mean = pc_sum_value(&sum) / (double)count;
  if (count < 2)
    return s;
  for (size_t i = 0; i < count; i++) {
    double off = value_at(values, minus, i) - s.mean;
    pc_sum_add(&squares, off * off);
  }
  double error = sqrt(pc_sum_value(&squares) / (double)(count - 1) / (double)count);
  s.half_width = t_of(level, count) * error;
  return s;
}

pc_statistic pc_statistic_of(const double *values, size_t count, double level) {
  return statistic_of(values, NULL, count, level);
}

pc_statistic pc_statistic_of_differences(const double *a, const double *b, size_t count, double level) {
  return statistic_of(a, b, count, level);
}

pc_statistic pc_summary_difference(const pc_summary *a, const pc_summary *b, double level) {
  size_t common = a->replications < b->replications ? a->replications : b->replications;
  return pc_statistic_of_differences(a->times_s, b->times_s, common, level);
}

double pc_level_of_each(double level, size_t count) {
  return count > 2 ? 1.0 - (1.0 - level) / (double)(count - 1) : level;
}

double pc_statistic_spread(const pc_statistic *statistic) {
  double n = (double)statistic->count;
  if (statistic->count < 2)
    return 0.0;
  return statistic->half_width / t_of(statistic->level, statistic->count) * sqrt(n);
}

static double half_width_with(double spread, double level, size_t count) {
  return t_of(level, count) * spread / sqrt((double)count);
}

size_t pc_replications_for(const pc_statistic *statistic, double half_width) {
  double spread = pc_statistic_spread(statistic);
  size_t low = statistic->count, high = PC_REPLICATIONS_TOLD;
  if (low < 2)
    return 0;
  while (low < high) { /* the width falls with the count */
    size_t middle = low + (high - low) / 2;
    if (half_width_with(spread, statistic->level, middle) <= half_width * (1.0 + 1e-12))
      high = middle;
    else
      low = middle + 1;
  }
  return high;
}

size_t pc_replications_to_tell(const pc_statistic *difference, double time_s) {
  double tight = PC_TIE_SHARE * time_s, off = fabs(difference->mean), half = difference->half_width;
  if (difference->count < 2 || half <= off || off + half <= tight)
    return 0;
  return pc_replications_for(difference, fmax(off, tight - off));
}

pc_status pc_run_once(const pc_lot *lot, uint64_t seed, const pc_trace *trace, pc_result *result) {
  pc_world *world;
  *result = (pc_result){0};
  pc_status status = pc_world_create(lot, &world);
  if (status == PC_OK)
    status = pc_result_init_for(result, lot);
  if (status == PC_OK)
    status = pc_world_run(world, seed, 0, trace, result);
  pc_world_free(world);
  return status;
}

/* ---- threads: each takes every n-th replication and has a world of its own ---- */

typedef struct replicate_task {
  const pc_lot *lot;
  pc_result *results; /* of replication `first` and those after it */
  unsigned char *done;
  size_t first, count, parts;
  uint64_t seed;
  const pc_trace *trace;
  pc_steps *steps;
} replicate_task;

static pc_status run_some(void *context, size_t part) {
  const replicate_task *task = context;
  pc_world *world;
  pc_status status = pc_world_create(task->lot, &world);
  for (size_t i = part; i < task->count && status == PC_OK; i += task->parts) {
    size_t replication = task->first + i;
    if (i > 0 && pc_steps_stopped(task->steps))
      break;
    status = pc_world_run(world, task->seed, replication, replication == 0 ? task->trace : NULL,
                          &task->results[i]);
    task->done[i] = status == PC_OK;
    pc_steps_count(task->steps);
  }
  pc_world_free(world);
  return status;
}

pc_status pc_replicate_steps(const pc_lot *lot, size_t first, size_t count, uint64_t seed, int threads,
                             const pc_trace *trace, pc_steps *steps, pc_result *results, size_t *done) {
  *done = 0;
  size_t parts = pc_parts_for(threads, count);
  replicate_task task = {lot,   results, pc_alloc(count, sizeof *task.done), first, count, parts, seed,
                         trace, steps};
  if (!task.done)
    return PC_ERR_MEMORY;
  pc_status status = pc_parallel(parts, run_some, &task);
  while (status == PC_OK && *done < count && task.done[*done])
    ++*done;
  free(task.done);
  return status;
}

pc_status pc_replicate_range(const pc_lot *lot, size_t first, size_t replications, uint64_t seed, int threads,
                             const pc_trace *trace, const pc_watch *watch, pc_result *results, size_t *done) {
  pc_steps steps;
  pc_steps_begin(&steps, watch, replications);
  pc_status status =
      pc_replicate_steps(lot, first, replications, seed, threads, trace, &steps, results, done);
  pc_steps_end(&steps);
  return status;
}

/* ---- summing up ---- */

static void add_machine(pc_machine_result *to, const pc_machine_result *from, double weight) {
  for (int p = 0; p < PC_PHASE_COUNT; p++)
    to->time_s[p] += weight * from->time_s[p];
  to->fill_m += weight * from->fill_m;
  to->carry_m += weight * from->carry_m;
  to->return_m += weight * from->return_m;
  to->placed_kg += weight * from->placed_kg;
  to->fuel_l += weight * from->fuel_l;
  to->absent_s += weight * from->absent_s;
  to->break_s += weight * from->break_s;
  to->refuel_s += weight * from->refuel_s;
  to->repair_s += weight * from->repair_s;
}

static void add_result(pc_result *mean, const pc_result *result, double weight) {
  mean->total_time_s += weight * result->total_time_s;
  mean->start_kg += weight * result->start_kg;
  mean->fallen_kg += weight * result->fallen_kg;
  mean->placed_kg += weight * result->placed_kg;
  mean->left_kg += weight * result->left_kg;
  mean->haul_off_kg += weight * result->haul_off_kg;
  for (size_t a = 0; a < result->area_count; a++) {
    mean->areas[a].max_depth_m += weight * result->areas[a].max_depth_m;
    mean->areas[a].late |= result->areas[a].late;
  }
  for (size_t i = 0; i < result->passage_count; i++)
    mean->passages[i].wait_s += weight * result->passages[i].wait_s;
  mean->small_m2 = result->small_m2;
  mean->small_kg = result->small_kg;
  for (size_t m = 0; m < result->machine_count; m++)
    add_machine(&mean->machines[m], &result->machines[m], weight);
  for (size_t z = 0; z < result->zone_count; z++) {
    mean->zones[z].snow_kg += weight * result->zones[z].snow_kg;
    mean->zones[z].volume_m3 += weight * result->zones[z].volume_m3;
    mean->zones[z].wait_s += weight * result->zones[z].wait_s;
    mean->zones[z].capacity_m3 = result->zones[z].capacity_m3;
  }
}

static double mean_count(const pc_result *results, size_t replications, int (*get)(const pc_result *, size_t),
                         size_t i) {
  double sum = 0.0;
  for (size_t r = 0; r < replications; r++)
    sum += get(&results[r], i);
  return sum / (double)replications;
}

static int machine_cycles(const pc_result *result, size_t m) {
  return result->machines[m].cycles;
}

static int zone_loads(const pc_result *result, size_t z) {
  return result->zones[z].loads;
}

typedef struct mean { /* of the values that are numbers */
  pc_sum sum;
  size_t count;
} mean;

static void add_to(mean *m, double value) {
  if (isnan(value))
    return;
  pc_sum_add(&m->sum, value);
  m->count++;
}

static double mean_of(const mean *m) {
  return m->count > 0 ? pc_sum_value(&m->sum) / (double)m->count : NAN;
}

/* When areas are clear, over the replications in which they were, and how often they were late. */
static void sum_areas(const pc_result *results, pc_summary *summary) {
  for (size_t a = 0; a < summary->mean.area_count; a++) {
    mean done = {.count = 0}, ready = {.count = 0}, late = {.count = 0};
    for (size_t r = 0; r < summary->replications; r++) {
      const pc_area_result *area = &results[r].areas[a];
      summary->area_late[a] += area->late;
      summary->area_clear[a] += isnan(area->done_s) ? 0 : 1;
      add_to(&done, area->done_s);
      add_to(&ready, area->ready_s);
      if (area->late)
        add_to(&late, area->late_s);
    }
    pc_area_result *all = &summary->mean.areas[a];
    all->done_s = mean_of(&done);
    all->ready_s = mean_of(&ready);
    all->late_s = summary->area_late[a] > 0 ? mean_of(&late) : 0.0;
  }
}

/* When machines are done, over the replications in which they worked, and in which area they then are, where
 * it is the same in all of these. */
static void sum_ends(const pc_result *results, pc_summary *summary) {
  for (size_t m = 0; m < summary->mean.machine_count; m++) {
    mean done = {.count = 0}, from = {.count = 0};
    int area = -1;
    bool same = true;
    for (size_t r = 0; r < summary->replications; r++) {
      const pc_machine_result *machine = &results[r].machines[m];
      add_to(&done, machine->done_s);
      add_to(&from, machine->last_area_from_s);
      same &= area < 0 || machine->last_area < 0 || machine->last_area == area;
      area = machine->last_area < 0 ? area : machine->last_area;
    }
    pc_machine_result *all = &summary->mean.machines[m];
    all->done_s = mean_of(&done);
    all->last_area = same ? area : -1;
    all->last_area_from_s = same ? mean_of(&from) : (double)NAN;
  }
}

/* Machines are paid from when they come until they leave, or until the work is done. */
static double paid_s(const pc_lot *lot, const pc_lot_machine *machine, double total_s) {
  double until = isnan(machine->until_s) ? total_s : fmin(pc_lot_clock_s(lot, machine->until_s), total_s);
  return fmax(0.0, until - pc_lot_clock_s(lot, machine->from_s));
}

/* Of what has a price; NaN: nothing has. */
static double cost_of(const pc_lot *lot, const pc_summary *summary) {
  const pc_money *money = &lot->money;
  double per_s = pc_money_per_s(money);
  bool paid = !isnan(per_s), fuel = !isnan(money->fuel_per_m3) && !isnan(summary->fuel_l),
       hauled = !isnan(money->haul_off_per_m3);
  double cost = 0.0;
  for (size_t m = 0; m < lot->machine_count && paid; m++)
    cost += per_s * paid_s(lot, &lot->machines[m], summary->total_time_s.mean);
  if (fuel)
    cost += money->fuel_per_m3 * summary->fuel_l / 1000.0;
  if (hauled && summary->mean.haul_off_kg > 0.0)
    cost += money->haul_off_per_m3 * summary->mean.haul_off_kg / lot->snow.pile_density_kgpm3;
  return paid || fuel || hauled ? cost : (double)NAN;
}

static pc_status sum_up(const pc_lot *lot, const pc_result *results, pc_summary *summary) {
  size_t n = summary->replications;
  double left_kg = 0.0;
  summary->mean.reason = results[0].reason;
  summary->mean.finished = true;
  for (size_t r = 0; r < n; r++) {
    summary->times_s[r] = results[r].total_time_s;
    add_result(&summary->mean, &results[r], 1.0 / (double)n);
    summary->cycles += (double)results[r].cycles / (double)n;
    left_kg = fmax(left_kg, results[r].left_kg);
    if (!results[r].finished && summary->unfinished++ == 0) {
      summary->mean.reason = results[r].reason;
      summary->mean.finished = false;
    }
  }
  for (size_t m = 0; m < lot->machine_count; m++)
    summary->mean.machines[m].cycles = (int)lround(mean_count(results, n, machine_cycles, m));
  for (size_t z = 0; z < lot->zone_count; z++)
    summary->mean.zones[z].loads = (int)lround(mean_count(results, n, zone_loads, z));
  summary->mean.cycles = (int)lround(summary->cycles);
  sum_areas(results, summary);
  sum_ends(results, summary);
  summary->total_time_s = pc_statistic_of(summary->times_s, n, 0.95);
  for (size_t m = 0; m < lot->machine_count; m++)
    summary->fuel_l += summary->mean.machines[m].fuel_l;
  summary->cost = cost_of(lot, summary);
  pc_status status = pc_bound_make(lot, left_kg, &summary->bound);
  /* the bound is one on clearing the lot: runs that stopped early have nothing to show against it */
  summary->efficiency = summary->unfinished == 0 && summary->total_time_s.mean > 0.0
                            ? summary->bound.time_s / summary->total_time_s.mean
                            : NAN;
  return status;
}

static bool has_rooms(const pc_lot *lot, const pc_result *result) {
  return result->machine_count == lot->machine_count && result->zone_count == lot->zone_count &&
         result->area_count == lot->area_count && result->passage_count == lot->passage_count;
}

pc_status pc_summary_make(const pc_lot *lot, const pc_result *results, size_t replications,
                          pc_summary *summary) {
  memset(summary, 0, sizeof *summary);
  if (replications == 0)
    return PC_ERR_RANGE;
  for (size_t r = 0; r < replications; r++)
    if (!has_rooms(lot, &results[r]))
      return PC_ERR_RANGE;
  pc_status status = PC_ERR_MEMORY;
  summary->replications = replications;
  summary->times_s = pc_alloc(replications, sizeof *summary->times_s);
  summary->area_late = pc_alloc(lot->area_count, sizeof *summary->area_late);
  summary->area_clear = pc_alloc(lot->area_count, sizeof *summary->area_clear);
  if (summary->times_s && summary->area_late && summary->area_clear &&
      pc_result_init_for(&summary->mean, lot) == PC_OK)
    status = sum_up(lot, results, summary);
  if (status != PC_OK)
    pc_summary_free(summary);
  return status;
}

pc_status pc_results_create(const pc_lot *lot, size_t count, pc_result **results) {
  *results = pc_alloc(count, sizeof **results);
  for (size_t r = 0; *results && r < count; r++)
    if (pc_result_init_for(&(*results)[r], lot) != PC_OK) {
      pc_results_free(*results, count);
      *results = NULL;
    }
  return *results ? PC_OK : PC_ERR_MEMORY;
}

void pc_results_free(pc_result *results, size_t count) {
  for (size_t r = 0; results && r < count; r++)
    pc_result_free(&results[r]);
  free(results);
}

pc_status pc_replicate(const pc_lot *lot, size_t replications, uint64_t seed, int threads,
                       const pc_trace *trace, pc_summary *summary) {
  return pc_replicate_watched(lot, replications, seed, threads, trace, NULL, summary);
}

pc_status pc_replicate_watched(const pc_lot *lot, size_t replications, uint64_t seed, int threads,
                               const pc_trace *trace, const pc_watch *watch, pc_summary *summary) {
  pc_steps steps;
  pc_steps_begin(&steps, watch, replications);
  pc_status status = pc_replicate_summary(lot, replications, seed, threads, trace, &steps, summary);
  pc_steps_end(&steps);
  return status;
}

pc_status pc_replicate_summary(const pc_lot *lot, size_t replications, uint64_t seed, int threads,
                               const pc_trace *trace, pc_steps *steps, pc_summary *summary) {
  memset(summary, 0, sizeof *summary);
  if (replications == 0)
    return PC_ERR_RANGE;
  pc_result *results;
  size_t done = 0;
  pc_status status = pc_results_create(lot, replications, &results);
  if (status != PC_OK)
    return status;
  status = pc_replicate_steps(lot, 0, replications, seed, threads, trace, steps, results, &done);
  if (status == PC_OK)
    status = pc_summary_make(lot, results, done, summary);
  pc_results_free(results, replications);
  return status;
}

int pc_summary_order_of_ends(const pc_summary *a, const pc_summary *b) {
  double open_a = (double)a->unfinished * (double)b->replications;
  double open_b = (double)b->unfinished * (double)a->replications;
  if (open_a != open_b)
    return open_a < open_b ? -1 : 1;
  /* what is left on average says nothing of nights some of which finish: all leave a film */
  double left_a = round(a->mean.left_kg), left_b = round(b->mean.left_kg); /* less by rounding is not less */
  if (a->unfinished < a->replications || left_a == left_b)
    return 0;
  return left_a < left_b ? -1 : 1;
}

size_t pc_summary_late(const pc_summary *summary) {
  size_t late = 0;
  for (size_t a = 0; a < summary->mean.area_count; a++)
    late += summary->area_late[a];
  return late;
}

void pc_summary_free(pc_summary *summary) {
  if (!summary)
    return;
  free(summary->times_s);
  free(summary->area_late);
  free(summary->area_clear);
  pc_result_free(&summary->mean);
  memset(summary, 0, sizeof *summary);
}
