// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/crews.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/compare.h"
#include "study/crews_private.h"

double pc_match_factor(double machines, double serve_s, double cycle_s) {
  return cycle_s > 0.0 ? machines * serve_s / cycle_s : NAN;
}

/* ---- one crew ---- */

static double at_work_s(const pc_machine_result *machine) {
  return pc_machine_all_s(machine) - machine->time_s[PC_PHASE_IDLE] - machine->time_s[PC_PHASE_WAIT];
}

/* Largest share of all loads that one berth has to take. */
static double busiest_berth(const pc_lot *lot, const pc_result *mean) {
  double loads = 0.0, most = 0.0;
  for (size_t z = 0; z < mean->zone_count; z++) {
    double here = mean->zones[z].loads, berths = lot->zones[z].berths;
    loads += here;
    most = fmax(most, berths > 0.0 ? here / berths : here);
  }
  return loads > 0.0 ? most / loads : 0.0;
}

/* Machines that never dump (a blade lays its snow aside) have no part in it. */
static double match_factor(const pc_lot *lot, const pc_result *mean) {
  double machines = 0.0, dumping = 0.0, working = 0.0, cycles = 0.0;
  for (size_t m = 0; m < mean->machine_count; m++) {
    const pc_machine_result *machine = &mean->machines[m];
    if (machine->cycles == 0)
      continue;
    machines += 1.0;
    cycles += machine->cycles;
    dumping += machine->time_s[PC_PHASE_DUMP];
    working += at_work_s(machine);
  }
  if (!(cycles > 0.0))
    return NAN;
  return pc_match_factor(machines, dumping / cycles * busiest_berth(lot, mean), working / cycles);
}

/* Share of the time in which a machine could not have done more: all but waiting and standing idle. A machine
 * that comes later or leaves earlier (or takes a break) has nothing to spare then. */
static double busy_share(const pc_lot *lot, const pc_result *mean, size_t m) {
  const pc_machine_result *machine = &mean->machines[m];
  const pc_lot_machine *given = &lot->machines[m];
  double all = pc_machine_all_s(machine),
         here = fmin(isnan(given->until_s) ? all : pc_lot_clock_s(lot, given->until_s), all);
  double away = fmax(0.0, all - fmax(0.0, here - pc_lot_clock_s(lot, given->from_s)));
  /* in time at work: standing idle is by the clock, as all of the night, breaks and shifts are */
  double at_work = pc_lot_work_s(lot, all), pauses = all - at_work;
  double spare = machine->time_s[PC_PHASE_WAIT] + machine->time_s[PC_PHASE_IDLE] - pauses -
                 pc_lot_work_s(lot, machine->break_s + away) - machine->repair_s;
  return all > 0.0 ? 1.0 - fmax(0.0, spare) / at_work : 0.0;
}

static pc_name only_area(const pc_lot *lot, const pc_lot_machine *machine) {
  size_t allowed = 0, only = 0;
  for (size_t a = 0; machine->allowed && a < lot->area_count; a++)
    if (machine->allowed[a]) {
      allowed++;
      only = a;
    }
  return allowed == 1 && lot->area_count > 1 ? lot->areas[only].name : pc_name_of("");
}

bool pc_same_kind(const pc_lot *lot, const pc_lot_machine *a, const pc_lot_machine *b) {
  for (size_t i = 0; i < lot->area_count; i++)
    if ((!a->allowed || a->allowed[i]) != (!b->allowed || b->allowed[i]))
      return false;
  return pc_name_is(&a->unit.loader.name, b->unit.loader.name.text) &&
         pc_name_is(&a->unit.box.name, b->unit.box.name.text);
}

/* The machines that are busy to the end while others are not. */
static void find_limit(const pc_lot *lot, const pc_result *mean, pc_crew_use *use) {
  size_t count = mean->machine_count, busiest = 0;
  double most = 0.0, others = 0.0;
  int alike = 0;
  bool kept = true, all_others_stay = true;
  for (size_t m = 0; m < count; m++)
    if (busy_share(lot, mean, m) > most) {
      most = busy_share(lot, mean, m);
      busiest = m;
    }
  for (size_t m = 0; m < count; m++) {
    double busy = busy_share(lot, mean, m);
    bool is = busy >= most - PC_CREW_ALIKE;
    if (!is && pc_same_kind(lot, &lot->machines[m], &lot->machines[busiest]))
      return;
    alike += is;
    kept &= !is || lot->machines[m].keep;
    all_others_stay &= is || lot->machines[m].keep;
    others += is ? 0.0 : busy / (double)count;
  }
  if (alike == 0 || (size_t)alike == count)
    return;
  if (all_others_stay &&
      !kept) /* all whose number is in question work to the end: only that holds them back */
    return;
  others *= (double)count / (double)(count - (size_t)alike);
  if (most < PC_CREW_BUSY || others > most - PC_CREW_SPARE)
    return;
  use->limit = lot->machines[busiest].name;
  use->limit_area = only_area(lot, &lot->machines[busiest]);
  use->limit_count = alike;
  use->limit_kept = kept;
  use->limit_busy = most;
  use->others_busy = others;
}

pc_crew_use pc_crew_use_of(const pc_lot *lot, const pc_result *mean) {
  pc_crew_use use = {.match_factor = match_factor(lot, mean)};
  double all = 0.0, working = 0.0, waiting = 0.0;
  for (size_t m = 0; m < mean->machine_count; m++) {
    all += pc_machine_all_s(&mean->machines[m]);
    working += at_work_s(&mean->machines[m]);
    waiting += mean->machines[m].time_s[PC_PHASE_WAIT];
  }
  use.working = all > 0.0 ? working / all : 0.0;
  use.waiting = all > 0.0 ? waiting / all : 0.0;
  for (size_t z = 0; z < mean->zone_count; z++)
    if (mean->zones[z].wait_s > use.waits_s) {
      use.waits_s = mean->zones[z].wait_s;
      use.waits_at = lot->zones[z].name;
    }
  for (size_t i = 0; i < mean->passage_count; i++)
    if (mean->passages[i].wait_s > use.waits_s) {
      use.waits_s = mean->passages[i].wait_s;
      use.waits_at = lot->passages[i].name;
      use.waits_in_passage = true;
    }
  if (lot->machine_count == mean->machine_count)
    find_limit(lot, mean, &use);
  return use;
}

/* ---- groups ---- */

static bool same_group(const pc_comparison *comparison, size_t i, size_t j) {
  const pc_compare_row *a = &comparison->rows[i], *b = &comparison->rows[j];
  return a->depth_m == b->depth_m && strcmp(a->layout.text, b->layout.text) == 0 &&
         (comparison->mixed || strcmp(a->box.text, b->box.text) == 0) &&
         strcmp(a->loader.text, b->loader.text) == 0 && strcmp(a->policy.text, b->policy.text) == 0;
}

/* Among as many, the best first: a row that is done and in time, then by rank, which has those that finish
 * in more nights first. */
static int fewest_first(const void *a, const void *b) {
  const pc_crew_step *x = a, *y = b;
  if (x->machines != y->machines)
    return x->machines - y->machines;
  if (x->finished != y->finished)
    return x->finished ? -1 : 1;
  if (x->finished && x->late != y->late)
    return x->late ? 1 : -1;
  return x->row < y->row ? -1 : x->row > y->row;
}

static bool is_late(const pc_summary *summary) {
  for (size_t a = 0; a < summary->mean.area_count; a++)
    if (summary->area_late && summary->area_late[a] > 0)
      return true;
  return false;
}

static pc_crew_step step_of(const pc_comparison *comparison, size_t row) {
  const pc_compare_row *from = &comparison->rows[row];
  return (pc_crew_step){.row = row,
                        .machines = from->crew,
                        .finished = from->summary.unfinished == 0,
                        .late = is_late(&from->summary),
                        .time_s = from->summary.total_time_s.mean,
                        .cost = from->summary.cost,
                        .speed_up = NAN,
                        .saved_s = NAN,
                        .cost_difference = NAN};
}

/* What a step is worth, next to the one before it. */
static void weigh_step(pc_crew_step *step, const pc_crew_step *before) {
  int added = step->machines - before->machines;
  step->saved_s = before->time_s - step->time_s;
  step->cost_difference = step->cost - before->cost;
  step->saves =
      added > 0 && before->time_s > 0.0 && step->time_s <= before->time_s * pow(1.0 - PC_CREW_SAVING, added);
  step->pays = isnan(step->cost_difference) ? step->saves : step->cost_difference < 0.0;
}

/* Being in time comes first. */
static bool costs_less(const pc_crew_step *a, const pc_crew_step *b) {
  return a->late != b->late ? b->late : a->cost < b->cost;
}

static void weigh_group(pc_crew_step *steps, pc_crew_group *group) {
  const pc_crew_step *before = NULL, *one = NULL, *cheapest = NULL;
  for (size_t i = 0; i < group->count; i++) {
    pc_crew_step *step = &steps[i];
    if (!step->finished)
      continue;
    if (step->machines == 1)
      one = step;
    if (one && step->time_s > 0.0)
      step->speed_up = one->time_s / step->time_s;
    if (before)
      weigh_step(step, before);
    if (step->pays)
      group->last_that_pays = step->machines;
    if (step->saves)
      group->last_that_saves = step->machines;
    if (!isnan(step->cost) && (!cheapest || costs_less(step, cheapest)))
      cheapest = step;
    before = step;
  }
  group->least_cost = cheapest ? cheapest->machines : 0;
}

/* One step to each number, the first. */
static void keep_best(pc_crew_step *steps, pc_crew_group *group) {
  size_t kept = 0;
  for (size_t i = 0; i < group->count; i++)
    if (kept == 0 || steps[i].machines != steps[kept - 1].machines)
      steps[kept++] = steps[i];
  group->count = kept;
}

static bool several_numbers(const pc_comparison *comparison) {
  for (size_t i = 1; i < comparison->row_count; i++)
    if (comparison->rows[i].crew != comparison->rows[0].crew)
      return true;
  return false;
}

pc_status pc_crews_make(const pc_comparison *comparison, pc_crews *crews) {
  *crews = (pc_crews){0};
  size_t rows = comparison->row_count;
  if (!several_numbers(comparison))
    return PC_OK;
  crews->steps = pc_alloc(rows, sizeof *crews->steps);
  crews->groups = pc_alloc(rows, sizeof *crews->groups);
  bool *taken = pc_alloc(rows, sizeof *taken);
  pc_status status = crews->steps && crews->groups && taken ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; status == PC_OK && i < rows; i++) {
    if (taken[i])
      continue;
    pc_crew_group *group = &crews->groups[crews->group_count++];
    *group = (pc_crew_group){.first = crews->step_count};
    for (size_t j = i; j < rows; j++) {
      if (taken[j] || !same_group(comparison, i, j))
        continue;
      taken[j] = true;
      crews->steps[crews->step_count++] = step_of(comparison, j);
      group->count++;
    }
    qsort(&crews->steps[group->first], group->count, sizeof *crews->steps, fewest_first);
    keep_best(&crews->steps[group->first], group);
    crews->step_count = group->first + group->count;
    weigh_group(&crews->steps[group->first], group);
  }
  free(taken);
  if (status != PC_OK)
    pc_crews_free(crews);
  return status;
}

void pc_crews_free(pc_crews *crews) {
  if (!crews)
    return;
  free(crews->steps);
  free(crews->groups);
  *crews = (pc_crews){0};
}
